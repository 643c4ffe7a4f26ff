"""`python -m voicedraft.draft.schema` prints the JSON Schema of review.json, as published beside this file."""

from __future__ import annotations

import json

from voicedraft.draft.document import json_schema


def text() -> str:
    """The schema as the published file holds it."""
    return json.dumps(json_schema(), indent=1, ensure_ascii=False, sort_keys=True) + "\n"


if __name__ == "__main__":
    print(text(), end="")
