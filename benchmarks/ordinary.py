"""What is made of ordinary speech with words that sound like the trade's: no trade word may be heard that was not said.

    python -m benchmarks.ordinary [--voices rms slt] [--taught FILE...] [--sound FOLDER]

The sentences of `voicedraft/train/data/hearing/kept.txt`, which nothing has learned from, fifteen a take, heard as a
user has them; with `--taught` by each of these hearing weights, one after the other, in place of the shipped ones.
`git show COMMIT:voicedraft/hear/weights/hearing.npz` gives those of another day.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from benchmarks.hearing import ours
from benchmarks.measure import Tally
from benchmarks.voices import spoken_texts
from voicedraft.hear import tuned
from voicedraft.lexicon import load_lexicon
from voicedraft.train.hearing.texts import ORDINARY

TAKE = 15
"""Sentences of one take."""


def main() -> None:
    """Speak, hear by each of the weights, print a row for each."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--voices", nargs="+", default=["rms", "slt"])
    parser.add_argument("--taught", type=Path, nargs="+", default=[tuned.FILE], help="hearing weights to compare")
    parser.add_argument("--sound", type=Path, help="folder in which the spoken takes are kept")
    given = parser.parse_args()
    lexicon = load_lexicon()
    lines = ORDINARY.with_name("kept.txt").read_text(encoding="utf-8").splitlines()
    takes = [lines[i : i + TAKE] for i in range(0, len(lines), TAKE)]
    with tempfile.TemporaryDirectory() as work:
        spoken = [t for voice in given.voices for t in spoken_texts("kept", takes, voice, given.sound or Path(work))]
        for file in given.taught:
            tuned.FILE = file
            tuned.shipped.cache_clear()
            tally = Tally(lexicon)
            for (_, said), heard in zip(spoken, ours([p for p, _ in spoken], "base", lexicon), strict=True):
                tally.add(said, heard)
            print(f"{file}: WER {tally.wer:.3f}, trade words heard that were not said {tally.put_in}", flush=True)


if __name__ == "__main__":
    main()
