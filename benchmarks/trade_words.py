"""How many of the trade's words are heard: sentences of every development session that hold one, dealt to voices.

    python -m benchmarks.trade_words [--voices joe heart en-gb] [--share 0.3] [--noise 10] [--taught FILE]
        [--sound FOLDER] [--heard FILE]

The sessions are dealt to the voices in turn, so that each voice has other speakers' words; of each take the first share
of the sentences that hold a word of the trade are spoken, clean and in brown noise. Our side alone is heard, as a user
has it; the counts of neighbouring words are made without the session that is spoken. Plain faster-whisper beside it is
`benchmarks/hearing.py`. `--taught` hears with another file of hearing weights than the shipped one.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from pathlib import Path

from benchmarks.hearing import GOLD, habit_without, noisy, ours
from benchmarks.measure import Tally, count, trade_words, words
from benchmarks.voices import spoken_texts
from voicedraft.hear import tuned
from voicedraft.lexicon import Lexicon, load_lexicon


def dense(gold: Path, share: float, lexicon: Lexicon) -> list[list[str]]:
    """The first share of each take's sentences that hold a word of the trade; takes without one are left out."""
    terms = trade_words(lexicon)
    session = json.loads(gold.read_text(encoding="utf-8"))
    takes = [[s["t"] for s in take["sentences"] if count(words(s["t"]), terms)] for take in session["takes"]]
    return [t[: max(1, round(len(t) * share))] for t in takes if t]


def main() -> None:
    """Speak, hear, print a row for each voice and for all."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--voices", nargs="+", default=["joe", "heart", "en-gb"])
    parser.add_argument("--share", type=float, default=0.3)
    parser.add_argument("--noise", type=float, default=10.0, metavar="DB")
    parser.add_argument("--sessions", nargs="*", help="only these, by name")
    parser.add_argument("--taught", type=Path, help="other hearing weights")
    parser.add_argument("--sound", type=Path, help="folder in which the spoken takes are kept")
    parser.add_argument("--heard", type=Path, help="file for what was said and heard, as JSON lines")
    given = parser.parse_args()
    if given.taught:
        tuned.FILE = given.taught
    lexicon = load_lexicon()
    golds = [g for g in sorted(GOLD.glob("*.json")) if not given.sessions or g.stem in given.sessions]
    dealt = [(g, given.voices[n % len(given.voices)]) for n, g in enumerate(golds)]
    with tempfile.TemporaryDirectory() as work:
        folder = given.sound or Path(work)
        spoken = [spoken_texts(g.stem, dense(g, given.share, lexicon), voice, folder) for g, voice in dealt]
        habits = [habit_without(g.stem, Path(work), lexicon) for g in golds]
        for noise in (None, given.noise):
            tallies = {voice: Tally(lexicon) for voice in (*given.voices, "all")}
            for (gold, voice), takes, habit in zip(dealt, spoken, habits, strict=True):
                sound = takes if noise is None else noisy(takes, noise, folder)
                heard = ours([p for p, _ in sound], "base", lexicon, habit)
                for (_, said), got in zip(sound, heard, strict=True):
                    for name in (voice, "all"):
                        tallies[name].add(said, got)
                    if given.heard:
                        with given.heard.open("a", encoding="utf-8") as out:
                            row = {"session": gold.stem, "voice": voice, "noise": noise, "said": said, "heard": got}
                            out.write(json.dumps(row) + "\n")
            show(tallies, "clean" if noise is None else f"{noise:g} dB")


def show(tallies: dict[str, Tally], place: str) -> None:
    """A row for each."""
    for name, tally in tallies.items():
        missed = tally.worst(12) if name != "all" else ""
        print(f"{name:6} {place:6} trade words {tally.recall:.3f} of {tally.there:4}   WER {tally.wer:.3f}   {missed}",
              flush=True)


if __name__ == "__main__":
    main()
