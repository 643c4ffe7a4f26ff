"""A small spoken session, drafted, for the tests of correcting: two takes, ten passages, values of every kind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from tests import tiny
from voicedraft.correct.changes import Change
from voicedraft.correct.learning import learn
from voicedraft.correct.session import Session
from voicedraft.draft.compose import compose
from voicedraft.draft.document import PassageEntry, Review
from voicedraft.draft.write import READING, to_json, write_draft, write_text
from voicedraft.types import (
    Descriptor,
    Fact,
    Pairing,
    Passage,
    Reading,
    Repair,
    Score,
    Section,
    Stage,
    Strength,
    Transcript,
)

Row = tuple[str, Section, Stage | None]

FIRST_TAKE: tuple[Row, ...] = (
    ("Good evening from the shed.", "aside", None),
    ("This is the Fenwick Tollgate toro with a hay bano wrapper.", "background", None),
    ("On the foot I get cedar and a little raisin.", "prelight", "prelight"),
)
SECOND_TAKE: tuple[Row, ...] = (
    ("So, first third, strong cedar now, it is medium.", "first_third", "first"),
    ("The burn line is straight and the draw is easy.", "first_third", "first"),
    ("Second third, the cedar has gone and cocoa comes up.", "second_third", "second"),
    ("The dog wants his dinner, hang on.", "second_third", "second"),
    ("I would guess a broadleaf binder.", "background", None),
    ("The draw gets nine out of ten.", "burn", "after"),
    ("Have it with aged rum.", "pairings", None),
)
LOOK_FIRST = ("p5", "p7")


def spoken(takes: Sequence[Sequence[Row]] = (FIRST_TAKE, SECOND_TAKE)) -> tuple[Transcript, tuple[Passage, ...]]:
    """The words and passages p1, p2, … of takes of labelled sentences."""
    transcript = tiny.transcript(*[[text for text, _, _ in take] for take in takes])
    passages: list[Passage] = []
    first = 0
    for number, take in enumerate(takes, start=1):
        for text, section, stage in take:
            last = first + len(text.split())
            passages.append(Passage(f"p{len(passages) + 1}", number, first, last, section, stage, 0.9))
            first = last
    return transcript, tuple(passages)


def _place(transcript: Transcript, phrase: str, passages: Sequence[Passage]) -> tuple[str, int, int, str]:
    """(passage, first, last, said) of the first place where a phrase is spoken."""
    words = phrase.split()
    plain = [w.text.strip(".,") for w in transcript.words]
    for i in range(len(plain)):
        if plain[i : i + len(words)] == words:
            passage = next(p for p in passages if p.first <= i < p.last)
            return passage.id, i, i + len(words), transcript.text(i, i + len(words))
    raise ValueError(f"{phrase!r} is not spoken")


def reading() -> Reading:
    """The whole small session, read."""
    transcript, passages = spoken()
    _, first, last, _ = _place(transcript, "hay bano", passages)
    words = list(transcript.words)
    words[first], words[first + 1] = replace(words[first], text="habano"), replace(words[first + 1], text="")
    repair = Repair(first, last, "hay bano", "habano", "sounds alike, beside wrapper", 0.9)
    transcript = replace(transcript, words=tuple(words), repairs=(repair,))

    def at(phrase: str) -> tuple[str, int, int, str]:
        return _place(transcript, phrase, passages)

    toro, shed = at("toro"), at("habano")
    return Reading(
        transcript, passages,
        descriptors=(
            Descriptor("cedar", "wood", "foot", "present", "medium", *at("cedar")),
            Descriptor("raisin", "fruit", "foot", "present", "light", *at("raisin")),
            Descriptor("cedar", "wood", "first", "present", "strong", *at("strong cedar")),
            Descriptor("cedar", "wood", "second", "gone", None, *at("cedar has gone")),
            Descriptor("cocoa", "cocoa", "second", "present", "medium", *at("cocoa comes up")),
        ),
        strength=(Strength("first", 3, 3, *at("medium")),),
        facts={
            "cigar": Fact("cigar", "Fenwick Tollgate", *at("Fenwick Tollgate")),
            "vitola": Fact("vitola", "toro", *toro),
            "wrapper": Fact("wrapper", "habano", *shed),
            "binder": Fact("binder", "broadleaf", *at("broadleaf binder"), guessed=True),
        },
        scores=(Score("draw", 9, 10, *at("nine out of ten")),),
        pairings=(Pairing("drink", "aged rum", *at("aged rum")),),
    )


def review() -> Review:
    """The small session as a document."""
    return compose(reading(), LOOK_FIRST)


MISHEARD: tuple[tuple[Row, ...], ...] = (
    (
        ("This is the Fenwick Tollgate toro with a hay bano wrapper.", "background", None),
        ("I paid nine tea dollars for a single stick.", "background", None),
        ("On the foot I get cedar and a little raisin.", "prelight", "prelight"),
    ),
    (
        ("So, first third, strong cedar now, it is medium.", "first_third", "first"),
        ("Second third, the cedar has gone and coco comes in.", "second_third", "second"),
        ("The draw gets nine out of ton.", "burn", "after"),
        ("Have it with aged gum.", "pairings", None),
    ),
)
"""A session whose values hang on words that were misheard."""


def really_read(takes: Sequence[Sequence[Row]] = MISHEARD) -> Review:
    """A session with its values read by the program's own readers, sections given."""
    from voicedraft.lexicon import load_lexicon
    from voicedraft.read import Weights, read_values
    from voicedraft.read.analysis import analyse

    transcript, passages = spoken(takes)
    return compose(read_values(analyse(transcript), passages, load_lexicon(), Weights()))


def draft(directory: Path, document: Review | None = None) -> Path:
    """A draft folder as `voicedraft draft` leaves it."""
    document = document or review()
    directory.mkdir(parents=True, exist_ok=True)
    write_text(directory / READING, to_json(document))
    write_draft(document, directory)
    return directory


_CHANGE: TypeAdapter[Any] = TypeAdapter(Change)


def wish(what: str, **fields: Any) -> Any:
    """One change, checked as the page checks it."""
    return _CHANGE.validate_python({"what": what, **fields})


def correct(session: Session, what: str, **fields: Any) -> Any:
    """Makes one change on top of everything so far."""
    return session.change(wish(what, **fields), session.revision)


def teach(folder: Path, what: str, **fields: object) -> list[object]:
    """One correction of a draft, and the lessons that are learned from the draft then."""
    with Session(folder, write=False) as session:
        correct(session, what, **fields)
        return list(learn(session).lessons)


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its path."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def passage(document: Review, text: str) -> PassageEntry:
    """The passage whose text holds `text`."""
    return next(p for p in document.passages if text in p.text)


def offsets(entry: PassageEntry, phrase: str) -> dict[str, int]:
    """`first` and `last` of a phrase among the words of a passage."""
    plain = [w.text.strip(".,") for w in entry.words]
    wanted = phrase.split()
    i = next(i for i in range(len(plain)) if plain[i : i + len(wanted)] == wanted)
    return {"first": i, "last": i + len(wanted)}


def everything(session: Session) -> list[Callable[[], Any]]:
    """One change of every kind, each to be made on top of the ones before it."""

    def at(text: str, phrase: str) -> dict[str, Any]:
        entry = passage(session.review, text)
        return {"passage": entry.id, **offsets(entry, phrase)}

    def do(what: str, **fields: Any) -> Callable[[], Any]:
        return lambda: correct(session, what, **{k: v() if callable(v) else v for k, v in fields.items()})

    return [
        do("passage.label", passage="p5", section="burn", stage="first"),
        do("passage.aside", passage="p7"),
        do("passage.split", passage="p6", at=2),
        do("passage.merge", passage="p9"),
        do("passage.accept", passage="p1"),
        do("words.revert", **{k: (lambda k=k: at("Fenwick", "habano")[k]) for k in ("passage", "first", "last")}),
        do("words.fix", text="corojo", **{k: (lambda k=k: at("Fenwick", "hay bano")[k])
                                          for k in ("passage", "first", "last")}),
        do("descriptor.add", source=lambda: at("straight", "straight"), new={"term": "hay", "stage": "first"}),
        do("descriptor.edit", key={"stage": "foot", "term": "raisin"},
           new={"term": "raisin", "stage": "foot", "status": "present", "intensity": "hint"}),
        do("descriptor.remove", key={"stage": "foot", "term": "cedar"}),
        do("strength.set", stage="first", low=3, high=4),
        do("strength.set", stage="second", low=4, high=4, source=lambda: at("cocoa", "cocoa")),
        do("strength.clear", stage="first"),
        do("fact.set", name="binder", value="broadleaf", guessed=False),
        do("fact.set", name="ring_gauge", value=50, source=lambda: at("Fenwick", "toro")),
        do("fact.clear", name="vitola"),
        do("score.edit", aspect="draw", new={"aspect": "draw", "value": 8, "out_of": 10}),
        do("score.add", source=lambda: at("straight", "burn line"), new={"aspect": "burn", "value": 9, "out_of": 10}),
        do("score.remove", aspect="draw"),
        do("pairing.edit", key={"kind": "drink", "value": "aged rum"}, new={"kind": "drink", "value": "old aged rum"}),
        do("pairing.add", source=lambda: at("dinner", "dinner"), new={"kind": "food", "value": "dinner"}),
        do("pairing.remove", key={"kind": "food", "value": "dinner"}),
    ]
