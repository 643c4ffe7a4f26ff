"""What was learned, in plain lines."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from voicedraft.correct.learning.lessons import Cue, Lesson, Misheard, Never, NewPairing, NewTerm, NoTerm, Synonym
from voicedraft.correct.learning.sections import LEAST_SESSIONS
from voicedraft.correct.learning.store import Store, learn
from voicedraft.correct.session import Session
from voicedraft.draft.wording import SECTION_NAMES

Say = Callable[[str], object]


def tell(lesson: Lesson) -> str:
    """One lesson in words."""
    if isinstance(lesson, Misheard):
        beside = f", beside {', '.join(lesson.near)}" if lesson.near else ""
        return f"heard “{lesson.heard}”, said “{lesson.right}”{beside}"
    if isinstance(lesson, Never):
        return f"“{lesson.heard}” is right as heard"
    if isinstance(lesson, NewTerm):
        return f"flavour “{lesson.term}”, family {lesson.family}"
    if isinstance(lesson, NoTerm):
        return f"“{lesson.term}” is no flavour to look for"
    if isinstance(lesson, Synonym):
        return f"“{lesson.term}” is another word for “{lesson.of}”"
    if isinstance(lesson, Cue):
        return f"“{lesson.phrase}” opens {SECTION_NAMES.get(lesson.section, lesson.section)}"
    assert isinstance(lesson, NewPairing)
    return f"{'drink' if lesson.side == 'drink' else 'food'} “{lesson.name}”"


def print_learned(say: Say, store: Store | None = None) -> None:
    """Everything learned, draft by draft. Raises LexiconError on a malformed file."""
    store = store or Store()
    sessions, forgotten = store.sessions(), store.forgotten()
    for session in sessions:
        said = sum(bool(s.events) and not forgotten & set(s.events) for s in session.sentences)
        say(f"{session.title or 'A draft without a name'} ({session.session})")
        for lesson in session.lessons:
            say(f"  {lesson.event}  {tell(lesson)}{' (forgotten)' if lesson.event in forgotten else ''}")
        for sentence in session.sentences:
            if sentence.events:
                text = " ".join(w for w, _, _ in sentence.words[:8])
                lost = " (forgotten)" if forgotten & set(sentence.events) else ""
                section = SECTION_NAMES.get(sentence.section, sentence.section)
                say(f"  {sentence.events[-1]}  “{text}…” is {section}{lost}")
        if session.sentences:
            say(f"  sections: {said} corrected or accepted of {len(session.sentences)} passages")
    drafts = sum(bool(s.sentences) for s in sessions)
    if drafts:
        say(f"Sections are weighed by your own drafts from {LEAST_SESSIONS} corrected ones on; there are {drafts}.")
    if not sessions:
        say("Nothing has been learned yet. Correct a draft: voicedraft correct DIR.")
    for path in sorted(store.own.glob("*.toml")):
        say(f"Your own words: {path}")


def learn_and_tell(directory: Path, say: Say, store: Store | None = None) -> None:
    """Learns from one draft and says how much. Raises OutputError where there is no draft."""
    with Session(directory, write=False) as session:
        lessons = learn(session, store)
    count = len(lessons.lessons) + sum(bool(s.events) for s in lessons.sentences)
    if count:
        say(f"Learned {count} thing{'s' if count > 1 else ''} from these corrections; see “voicedraft lexicon show”.")
