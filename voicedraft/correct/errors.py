"""What can go wrong while correcting. The page and the terminal turn these into one sentence."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.errors import VoicedraftError


class CorrectionError(VoicedraftError):
    """A correction that cannot be made: it names what does not exist, or a value of the wrong shape."""


class StaleError(CorrectionError):
    """Somebody else corrected the draft meanwhile. `changed` tells what, one sentence each; nothing was written."""

    def __init__(self, revision: int, changed: Sequence[str]) -> None:
        super().__init__(
            f"The draft was corrected elsewhere meanwhile ({'; '.join(changed) or 'no details'}). "
            "Look at the new state and make the correction again if it still holds."
        )
        self.revision = revision
        self.changed = tuple(changed)
