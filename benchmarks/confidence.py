"""How far the confidence of a passage can be trusted: against whether the section of each of its words is right.

    python -m benchmarks.confidence tests/gold/held_back/[qyvwn]*.json tests/gold/mended_on/*.json

Give sessions that nothing was fitted on. Printed: expected calibration error, the reliability table, and what "look
first" marks.
"""

from __future__ import annotations

import sys
from pathlib import Path

from voicedraft.evaluate.calibration import expected_error, reliability
from voicedraft.evaluate.gold import load
from voicedraft.evaluate.gold_vtt import heard
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.sections import read_sections, shipped


def words_of(path: Path) -> list[tuple[float, bool]]:
    """(confidence, whether its section is right) of each word of a session."""
    gold = load(path)
    said = [s["section"] for take in gold["takes"] for s in take["sentences"] for _ in s["t"].split()]
    passages = read_sections(analyse(heard(gold, "sentences")), load_lexicon())
    return [(p.confidence, p.section == said[i]) for p in passages for i in range(p.first, p.last)]


def main() -> None:
    """Prints all of it over the given sessions."""
    rows = [row for path in sys.argv[1:] for row in words_of(Path(path))]
    if not rows:
        sys.exit("Give at least one gold session.")
    sure, right = zip(*rows, strict=True)
    table = reliability(sure, right)
    wrong = len(right) - sum(right)
    marked = [ok for c, ok in rows if c < shipped().look_first]
    print(f"{len(sys.argv) - 1} sessions, {len(rows)} words; expected calibration error {expected_error(table):.4f}")
    print(f"look first: {len(marked) / len(rows):.1%} of the words, "
          f"{(len(marked) - sum(marked)) / max(1, wrong):.1%} of the wrong ones")
    for b in table:
        print(f"{b.low:.1f} to {b.high:.1f}: {b.weight:7.0f} words, mean {b.mean:.3f}, right {b.right:.3f}")


if __name__ == "__main__":
    main()
