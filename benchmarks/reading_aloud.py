"""How much of the reading is lost on the way through sound: gold sessions read aloud and heard, against their text.

    python -m benchmarks.reading_aloud [--voices joe heart en-gb] [--sessions s14 s05:heart] [--share 0.25]
        [--noise 10] [--sound FOLDER] [--list] [--untaught]

The sessions are dealt to the voices in turn, as in `trade_words`; a session named with a voice is spoken in that one.
Text is one cue a sentence, as `voicedraft evaluate --style sentences` reads it; both sides use the shipped weights and
the clock of the same takes. The sessions are ones that the weights were fitted on: only the difference tells anything.
The counts of neighbouring words that the hear room uses leave the spoken session out. With a share, flavours count
whose words are spoken; facts, strength, scores and pairings, which the gold has no words for, are then not told.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from benchmarks.hearing import GOLD, habit_without, noisy
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

SHOWN = ("sections", "stages", "descriptor_f1", "status", "intensity", "said_contrary", "invented")
WHOLE = ("facts", "strength", "scores", "pairings")


@dataclass(frozen=True, slots=True)
class Way:
    """How a session goes through sound: the share of each take, decibels from speech to noise, the folder in which
    sound is kept, and whether base has what it has learned of the trade."""

    share: float
    noise: float | None
    folder: Path
    taught: bool


def aloud(name: str, voice: str, way: Way, lexicon: Lexicon, tally: Tally) -> tuple[Row, Row, list[str]]:
    """(figures of the text, figures of the sound, flavours lost and put in) of one session."""
    gold = spoken_part(load(GOLD / f"{name}.json"), way.share)
    spoken = spoken_session(GOLD / f"{name}.json", voice, way.share, way.folder)
    if way.noise is not None:
        spoken = noisy(spoken, way.noise, way.folder)
    starts = [take.start for take in heard(gold, "sentences").takes]
    clocks = tuple(f"+{round(s - starts[0]) // 60}:{round(s - starts[0]) % 60:02d}" for s in starts)
    options = HearOptions(device="cpu", start=("20:00", *clocks[1:]), cache=way.folder / "heard",
                          habit=habit_without(name, way.folder, lexicon), taught=way.taught)
    transcript = hear([p for p, _ in spoken], options, lexicon, SilentProgress())
    for number, (_, said) in enumerate(spoken, 1):
        tally.add(said, take_text(transcript, number))
    sound: dict[str, Any] = compose(read(transcript, lexicon, None)).model_dump(mode="json")
    text = review_of(gold, "sentences")
    return score(gold, text), score(gold, sound), differing(text, sound)


def spoken_part(gold: dict[str, Any], share: float) -> dict[str, Any]:
    """The gold with the first `share` of each take's sentences, and the flavours that those say."""
    takes = [t | {"sentences": t["sentences"][: max(1, round(len(t["sentences"]) * share))]} for t in gold["takes"]]
    said = " ".join(s["t"] for t in takes for s in t["sentences"])
    kept = [d for d in gold["descriptors"] if d["quote"] in said]
    return gold | {"takes": takes, "descriptors": kept if share < 1 else gold["descriptors"]}


def differing(text: Mapping[str, Any], sound: Mapping[str, Any]) -> list[str]:
    """Flavours that the text's review alone has (-) and that the sound's alone has (+)."""
    a, b = (Counter(f'{d["stage"]} {d["term"]}' for d in review["descriptors"]) for review in (text, sound))
    return [f"- {t}" for t in sorted((a - b).elements())] + [f"+ {t}" for t in sorted((b - a).elements())]


def main() -> None:
    """Every session, then the totals side by side."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--voices", nargs="+", default=["joe", "heart", "en-gb"])
    parser.add_argument("--sessions", nargs="*", metavar="SESSION[:VOICE]", help="only these")
    parser.add_argument("--share", type=float, default=1.0, help="how much of each take is spoken")
    parser.add_argument("--noise", type=float, default=None, metavar="DB", help="decibels from speech to noise")
    parser.add_argument("--sound", type=Path, default=None, help="folder in which all sound is kept")
    parser.add_argument("--list", action="store_true", help="name the flavours that are lost and put in")
    parser.add_argument("--untaught", action="store_true", help="base without what it has learned of the trade")
    given = parser.parse_args()
    dealt = {g.stem: given.voices[n % len(given.voices)] for n, g in enumerate(sorted(GOLD.glob("*.json")))}
    asked = dict(pair.partition(":")[::2] for pair in given.sessions or ())
    dealt = {name: voice or dealt[name] for name, voice in asked.items()} or dealt
    lexicon = load_lexicon()
    overall = Tally(lexicon)
    rows: dict[str, list[tuple[Row, Row]]] = {voice: [] for voice in (*dict.fromkeys(dealt.values()), "all")}
    shown = SHOWN + (WHOLE if given.share == 1 else ())
    with tempfile.TemporaryDirectory() as work:
        way = Way(given.share, given.noise, given.sound or Path(work), not given.untaught)
        for name, voice in dealt.items():
            text, sound, differences = aloud(name, voice, way, lexicon, overall)
            rows[voice].append((text, sound))
            rows["all"].append((text, sound))
            show(f"{name}:{voice}", [(text, sound)], shown)
            if given.list and differences:
                print("    " + "; ".join(differences), flush=True)
    for voice, both in rows.items():
        show(voice, both, shown)
    print(f"WER {overall.wer:.3f}, trade words {overall.recall:.3f} of {overall.there}")


def show(name: str, rows: list[tuple[Row, Row]], shown: tuple[str, ...]) -> None:
    """One line: each figure of the text and of the sound."""
    text, sound = total([a for a, _ in rows]), total([b for _, b in rows])
    print(f"{name}: " + ", ".join(f"{k} {text[k]:.3f} → {sound[k]:.3f}" for k in text if k in shown), flush=True)


if __name__ == "__main__":
    main()
