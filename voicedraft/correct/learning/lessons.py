"""What one corrected draft teaches: words, terms, cue phrases, and the sections of its sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal

from pydantic import BaseModel, ConfigDict

from voicedraft.correct.anchors import fold
from voicedraft.correct.journal import Event, active
from voicedraft.correct.replay import apply_event
from voicedraft.correct.session import Session
from voicedraft.correct.state import State
from voicedraft.draft.document import Review
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.types import SECTIONS

LONGEST = 4
"""Words of a mishearing or a term; longer corrections are rewritings that teach nothing general."""
CUE_WORDS = 5
"""Words of a phrase that opens a section; the shipped ones rarely have more."""
ALONE = 3
"""Words of a phrase that may stand alone as a sentence ("The business end."); longer ones tell something already."""
NEAR = 8
"""Neighbours kept beside a mishearing."""


class _Lesson(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")
    event: str


class Misheard(_Lesson):
    """`heard` was written, `right` was said, beside the words `near`."""

    kind: Literal["misheard"] = "misheard"
    heard: str
    right: str
    near: tuple[str, ...]


class Never(_Lesson):
    """`heard` is right as it is heard: a repair of it was taken back."""

    kind: Literal["never"] = "never"
    heard: str


class NewTerm(_Lesson):
    """A flavour that the lexicon did not know."""

    kind: Literal["term"] = "term"
    term: str
    family: str


class NoTerm(_Lesson):
    """A flavour that the lexicon did not know was taken out again: what was learned of it before is unlearned."""

    kind: Literal["no term"] = "no term"
    term: str


class Synonym(_Lesson):
    """Another word for a flavour that the lexicon knows."""

    kind: Literal["synonym"] = "synonym"
    term: str
    of: str


class Cue(_Lesson):
    """A phrase that opened a section."""

    kind: Literal["cue"] = "cue"
    phrase: str
    section: str


class NewPairing(_Lesson):
    """A drink or food that the lexicon did not know."""

    kind: Literal["pairing"] = "pairing"
    name: str
    side: Literal["drink", "food"]


Lesson = Misheard | Never | NewTerm | NoTerm | Synonym | Cue | NewPairing


class Sentence(BaseModel):
    """One passage as corrected: its words with their times, its take, section and stage, and the events that set it."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    take: int
    words: tuple[tuple[str, float, float], ...]
    section: str
    stage: str | None
    events: tuple[str, ...] = ()


class SessionLessons(BaseModel):
    """All that one corrected draft teaches. `sentences` is empty where no section was corrected or accepted."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    version: Literal[1] = 1
    session: str
    title: str
    lessons: tuple[Lesson, ...] = ()
    sentences: tuple[Sentence, ...] = ()


def lessons_of(session: Session, key: str, forgotten: frozenset[str] = frozenset()) -> SessionLessons:
    """The lessons of a draft's corrections that count and are not forgotten."""
    events = [e for e in active(session.contents.events) if e.id not in forgotten]
    state = State.of(session.reading)
    lexicon = load_lexicon()
    found: list[Lesson] = []
    for event in events:
        teach = TEACHERS.get(event.what)
        if teach:
            found += teach(event, state, lexicon)
        _apply(state, event, session)
    return SessionLessons(session=key, title=_title(session.review), lessons=tuple(found),
                          sentences=_sentences(state, events, session))


def _apply(state: State, event: Event, session: Session) -> None:
    from voicedraft.correct.apply import Unplaced

    try:
        apply_event(state, event, session.reading_id)
    except Unplaced:
        return


def _title(review: Review) -> str:
    cigar = review.facts.get("cigar")
    return str(cigar.value) if cigar and not cigar.guessed else ""


def _sentences(state: State, events: list[Event], session: Session) -> tuple[Sentence, ...]:
    """The passages as they stand, where a person set or accepted any."""
    if not any(p.by_hand for p in state.parts):
        return ()
    by_passage: dict[str, list[str]] = {}
    for event in events:
        if event.what in ("passage.label", "passage.aside", "passage.accept"):
            by_passage.setdefault(str(event.target.get("passage")), []).append(event.id)
    return tuple(
        Sentence(
            take=p.take, section=p.section, stage=p.stage, events=tuple(by_passage.get(p.id, ())),
            words=tuple((w.text, w.start, w.end) for w in state.words[p.first : p.last] if w.text),
        )
        for p in state.parts
    )


# One teacher a kind of correction


def _from_fix(event: Event, state: State, lexicon: Lexicon) -> list[Lesson]:
    heard = _folded(" ".join(event.target["at"]["words"]))
    right = " ".join(str(event.new["text"]).split()).strip(" .,;:!?…")
    wanted = _folded(right)
    if not heard or not wanted or heard == wanted or max(len(heard.split()), len(wanted.split())) > LONGEST:
        return []
    return [Misheard(event=event.id, heard=heard, right=right.lower() if right.islower() else right,
                     near=_near(event, state, lexicon, heard))]


def _folded(text: str) -> str:
    return " ".join(w for w in (fold(t) for t in text.split()) if w)


def _near(event: Event, state: State, lexicon: Lexicon, heard: str) -> tuple[str, ...]:
    """Words of the passage that tell of the trade, else its longer words."""
    passage = next((p for p in state.parts if p.id == event.target.get("passage")), None)
    if passage is None:
        return ()
    own = set(heard.split())
    words = [fold(t) for w in state.words[passage.first : passage.last] for t in w.text.split()]
    words = [w for w in dict.fromkeys(words) if w and w not in own]
    trade = _trade(lexicon)
    told = [w for w in words if w in trade] or [w for w in words if len(w) > 4]
    return tuple(sorted(told[:NEAR]))


def _trade(lexicon: Lexicon) -> frozenset[str]:
    parts = lexicon.tables.get("misheard", {}).get("group", {})
    return frozenset({fold(w) for words in parts.values() for w in words} | {fold(f) for f in lexicon.forms})


def _from_revert(event: Event, state: State, lexicon: Lexicon) -> list[Lesson]:
    return [Never(event=event.id, heard=_folded(" ".join(event.target["at"]["words"])))]


def _from_descriptor(event: Event, state: State, lexicon: Lexicon) -> list[Lesson]:
    """A flavour unknown so far. Where a known one takes the place of an unknown name that was read, that name is
    another word for it; a name that the reviewer had written themselves was a slip and is unlearned."""
    term, old = str(event.new["term"]), str(event.old.get("term", ""))
    renamed = old and old != term and lexicon.family(old) is None and len(old.split()) <= LONGEST
    own = ("descriptor", str(event.old.get("stage", "")), old.lower()) in state.by_hand
    found: list[Lesson] = [NoTerm(event=event.id, term=old)] if renamed and own else []
    if lexicon.family(term) is None and len(term.split()) <= LONGEST:
        return [*found, NewTerm(event=event.id, term=term, family=str(event.new.get("family") or "other"))]
    known = lexicon.forms.get(term)
    if renamed and not own and known:
        found.append(Synonym(event=event.id, term=old, of=known.term.term))
    return found


def _from_removal(event: Event, state: State, lexicon: Lexicon) -> list[Lesson]:
    term = str(event.old.get("term", ""))
    return [NoTerm(event=event.id, term=term)] if term and lexicon.family(term) is None else []


def _from_pairing(event: Event, state: State, lexicon: Lexicon) -> list[Lesson]:
    side, name = event.new["kind"], str(event.new["value"]).lower()
    known = {w for body in (lexicon.tables.get("pairings", {}).get(s, {}) for s in ("drink", "food"))
             for words in body.values() if isinstance(words, list) for w in words}
    if side not in ("drink", "food") or name in known or len(name.split()) > LONGEST:
        return []
    return [NewPairing(event=event.id, name=name, side=side)]


def _from_label(event: Event, state: State, lexicon: Lexicon) -> list[Lesson]:
    """The words up to the first comma of a passage that opens another section than the one before it."""
    section = str(event.new["section"])
    at = next((i for i, p in enumerate(state.parts) if p.id == event.target.get("passage")), None)
    if at is None or section == "aside" or event.old.get("section") == section:
        return []
    part = state.parts[at]
    if at and state.parts[at - 1].section == section:
        return []
    words = [w.text for w in state.words[part.first : part.last] if w.text]
    end = next((i + 1 for i, w in enumerate(words[:CUE_WORDS]) if w[-1:] in ".,;:–—?!…"), None)
    if end is None or (end == len(words) and end > ALONE):
        return []
    phrase = " ".join(w.lower().strip(" .,;:–—?!…") for w in words[:end])
    if not _says_something(phrase, lexicon):
        return []
    return [Cue(event=event.id, phrase=phrase, section=section)]


def _says_something(phrase: str, lexicon: Lexicon) -> bool:
    """Whether a phrase holds more than words that begin any sentence, and opens no section yet."""
    from spacy.lang.en.stop_words import STOP_WORDS

    filler = STOP_WORDS | {"okay", "ok", "right", "so", "well", "oh", "um", "uh", "alright", "yeah", "yes", "no", "um,"}
    if all(w in filler or not w.isalpha() for w in phrase.split()):
        return False
    tables = lexicon.tables.get("sections", {})
    return all(phrase not in tables.get(s, {}).get("openers", ()) for s in SECTIONS)


Teacher = Callable[[Event, State, Lexicon], Iterable[Lesson]]

TEACHERS: dict[str, Teacher] = {
    "words.fix": _from_fix, "words.revert": _from_revert, "descriptor.add": _from_descriptor,
    "descriptor.edit": _from_descriptor, "descriptor.remove": _from_removal,
    "pairing.add": _from_pairing, "pairing.edit": _from_pairing,
    "passage.label": _from_label,
}
"""Kind of correction → what it teaches."""
