"""How much of the reading is lost on the way through sound: gold sessions read aloud and heard, against their text.

    python -m benchmarks.reading_aloud [--sessions s14:joe s05:heart s25:joe] [--share 1.0] [--sound FOLDER]
        [--untaught]

Text is one cue a sentence, as `voicedraft evaluate --style sentences` reads it; both sides use the shipped weights and
the clock of the same takes. The sessions are ones that the weights were fitted on: only the difference tells anything.
The counts of neighbouring words that the hear room uses leave the spoken session out.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path
from typing import Any

from benchmarks.hearing import GOLD, habit_without
from benchmarks.measure import Tally, take_text
from benchmarks.voices import spoken_session
from voicedraft.draft.compose import compose
from voicedraft.evaluate.figures import Row, score, total
from voicedraft.evaluate.gold import load
from voicedraft.evaluate.gold_vtt import heard
from voicedraft.evaluate.run import review_of
from voicedraft.hear import HearOptions, hear
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.progress import SilentProgress
from voicedraft.read import read

SESSIONS = ("s14:joe", "s05:heart", "s25:joe")
SHOWN = ("sections", "stages", "descriptor_f1", "status", "intensity", "facts", "strength", "scores", "pairings")


def aloud(
    name: str, voice: str, share: float, folder: Path, lexicon: Lexicon, tally: Tally, taught: bool = True
) -> tuple[Row, Row]:
    """(figures of the text, figures of the sound) of one session."""
    gold = load(GOLD / f"{name}.json")
    for take in gold["takes"]:
        take["sentences"] = take["sentences"][: max(1, round(len(take["sentences"]) * share))]
    spoken = spoken_session(GOLD / f"{name}.json", voice, share, folder)
    starts = [take.start for take in heard(gold, "sentences").takes]
    clocks = tuple(f"+{round(s - starts[0]) // 60}:{round(s - starts[0]) % 60:02d}" for s in starts)
    options = HearOptions(device="cpu", start=("20:00", *clocks[1:]), cache=folder / "heard",
                          habit=habit_without(name, folder, lexicon), taught=taught)
    transcript = hear([p for p, _ in spoken], options, lexicon, SilentProgress())
    for number, (_, said) in enumerate(spoken, 1):
        tally.add(said, take_text(transcript, number))
    review: dict[str, Any] = compose(read(transcript, lexicon, None)).model_dump(mode="json")
    return score(gold, review_of(gold, "sentences")), score(gold, review)


def main() -> None:
    """Every session, then the totals side by side."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--sessions", nargs="*", default=SESSIONS, metavar="SESSION:VOICE")
    parser.add_argument("--share", type=float, default=1.0, help="how much of each take is spoken")
    parser.add_argument("--sound", type=Path, default=None, help="folder in which all sound is kept")
    parser.add_argument("--untaught", action="store_true", help="base without what it has learned of the trade")
    given = parser.parse_args()
    lexicon, texts, sounds = load_lexicon(), [], []
    overall = Tally(lexicon)
    with tempfile.TemporaryDirectory() as work:
        for pair in given.sessions:
            name, _, voice = pair.partition(":")
            text, sound = aloud(name, voice, given.share, given.sound or Path(work), lexicon, overall,
                                not given.untaught)
            texts.append(text)
            sounds.append(sound)
            show(pair, total([text]), total([sound]))
    show("all", total(texts), total(sounds))
    print(f"WER {overall.wer:.3f}, trade words {overall.recall:.3f} of {overall.there}")


def show(name: str, text: dict[str, float], sound: dict[str, float]) -> None:
    """One line: each figure of the text and of the sound."""
    pairs = ", ".join(f"{k} {text[k]:.3f} → {sound[k]:.3f}" for k in text if k in SHOWN)
    print(f"{name}: {pairs}", flush=True)


if __name__ == "__main__":
    main()
