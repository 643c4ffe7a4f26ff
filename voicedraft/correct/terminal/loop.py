"""The terminal's loop: reads a command, makes it, shows where one is."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import WordCompleter
from pydantic import TypeAdapter, ValidationError
from rich.console import Console

from voicedraft.correct.changes import Change
from voicedraft.correct.errors import CorrectionError, StaleError
from voicedraft.correct.session import Outcome, Session
from voicedraft.correct.telling import tell
from voicedraft.correct.terminal import ask
from voicedraft.correct.terminal.player import Device, Output, PlayError, cut
from voicedraft.correct.terminal.screen import Row, Screen, rows
from voicedraft.correct.web.sound import Sounds
from voicedraft.draft import wording
from voicedraft.draft.document import PassageEntry
from voicedraft.errors import VoicedraftError
from voicedraft.types import SECTIONS, STAGES

HELP: list[tuple[str, str]] = [
    ("Enter, n / p", "next, previous passage"), ("12, 5:08", "to passage 12, or to what was said at 5:08"),
    ("look", "list what needs a look first; l goes to the next of them"),
    ("play [FROM TO]", "play the passage, or its words FROM to TO"), ("on", "play on to the end of the take"),
    ("words", "the words with their numbers"), ("s SECTION", "another section, by name or its beginning"),
    ("t STAGE", "another stage, or none"), ("a", "accept, and go on"), ("split N", "part before word N"),
    ("merge", "join with the next passage"), ("aside", "leave out of the review"),
    ("fix [FROM TO]", "write the words anew"), ("heard [FROM TO]", "take repairs back: print what was heard"),
    ("values", "flavours, strength, facts, scores and pairings, numbered"),
    ("go N", "to the words of value N, and play them"),
    ("change N, remove N", "value N"),
    ("add KIND [FROM TO]", "flavour, strength, fact, score or pairing said in the words"),
    ("u / r", "undo, redo"),
    ("list, back N", "the corrections; take back number N"), ("q", "stop; everything is saved"),
]
STAGE_OF = {"prelight": "prelight", "first_third": "first", "second_third": "second", "final_third": "final",
            "palate": "after"}
SMOKED = ("first", "second", "final", "after")
_CHANGE: TypeAdapter[Any] = TypeAdapter(Change)


class Terminal:
    """One sitting in the terminal. `prompt` asks for a line; `output` plays."""

    def __init__(self, session: Session, console: Console, output: Output,
                 prompt: Callable[[str, str], str] | None = None) -> None:
        self.session = session
        self.screen = Screen(console)
        self.output = output
        self.sounds = Sounds(session.directory)
        self.at = next((i for i, p in enumerate(session.review.passages) if p.look_first), 0)
        self._lines: PromptSession[str] = PromptSession()
        self._prompt = prompt or self._ask_line
        self._commands: dict[str, Callable[[list[str]], None]] = {
            "n": lambda _: self._move(1), "p": lambda _: self._move(-1), "l": lambda _: self._next_look(),
            "look": lambda _: self.screen.look(self.session.review), "play": self._play,
            "on": lambda _: self._play_on(),
            "words": lambda _: self.screen.words(self.passage), "s": self._section, "t": self._stage,
            "a": lambda _: self._accept(), "split": self._split, "merge": lambda _: self._passage("passage.merge"),
            "aside": lambda _: self._passage("passage.aside"), "fix": self._fix, "heard": self._heard,
            "values": lambda _: self.screen.values(self.session.review), "go": self._go, "change": self._change,
            "remove": self._remove, "add": self._add,
            "u": lambda _: self._made(self.session.undo(self.session.revision)),
            "r": lambda _: self._made(self.session.redo(self.session.revision)),
            "list": lambda _: self.screen.corrections(self.session), "back": self._back,
            "help": lambda _: self.screen.help(HELP), "?": lambda _: self.screen.help(HELP),
        }

    @property
    def passage(self) -> PassageEntry:
        """The passage one is at."""
        passages = self.session.review.passages
        self.at = min(max(self.at, 0), len(passages) - 1)
        return passages[self.at]

    def run(self) -> None:
        """Reads commands until the person stops."""
        count = len(self.session.review.passages)
        if not count:
            self.screen.say("The draft holds no passages: nothing was said.")
            return
        self.screen.say(f"{count} passages. “help” lists the commands; every correction is saved at once.")
        for lost in self.session.unplaced:
            self.screen.say(f"No place in this reading: {tell(lost.event)}: {lost.reason}", "yellow")
        self.screen.passage(self.session.review, self.at)
        while True:
            try:
                line = self._prompt("> ", "").strip()
            except (EOFError, KeyboardInterrupt):
                return
            if line in ("q", "quit", "exit"):
                return
            self.do(line)

    def do(self, line: str) -> None:
        """Makes one command; whatever goes wrong is told in a sentence."""
        seen = self.session.revision
        try:
            if self.session.refresh():
                raise StaleError(self.session.revision, [tell(e) for e in self.session.contents.events[seen:]])
            self._run(line)
        except StaleError as error:
            self.screen.say(str(error), "yellow")
            self.screen.passage(self.session.review, self.at)
        except VoicedraftError as error:
            self.screen.say(str(error), "yellow")
        except ValidationError as error:
            first = error.errors()[0]
            self.screen.say(f"{first['loc'][-1]}: {first['msg']}.", "yellow")
        except (EOFError, KeyboardInterrupt):
            self.screen.say("Left as it was.")

    def _run(self, line: str) -> None:
        name, *rest = line.split() or ["n"]
        if name.isdigit():
            self._to(int(name) - 1)
        elif re.fullmatch(r"\d+:\d\d(:\d\d)?", name):
            self._to_clock(name)
        elif name in self._commands:
            self._commands[name](rest)
        else:
            raise CorrectionError(f"There is no command “{name}”. “help” lists them.")

    def _ask_line(self, question: str, default: str) -> str:
        words = [u.split()[0] for u, _ in HELP] + list(SECTIONS) if question == "> " else []
        return self._lines.prompt(question, default=default, completer=WordCompleter(words) if words else None)

    def _ask(self, question: str, default: str) -> str:
        return self._prompt(f"{question}: ", default).strip()

    # Moving and playing

    def _to(self, index: int) -> None:
        count = len(self.session.review.passages)
        if not 0 <= index < count:
            raise CorrectionError(f"There is no passage {index + 1}; the last is {count}.")
        self.at = index
        self.screen.passage(self.session.review, self.at)

    def _to_clock(self, text: str) -> None:
        seconds = 0.0
        for part in text.split(":"):
            seconds = seconds * 60 + float(part)
        passages = self.session.review.passages
        self._to(max((i for i, p in enumerate(passages) if p.start < seconds + 1), default=0))

    def _move(self, by: int) -> None:
        self._to(min(max(self.at + by, 0), len(self.session.review.passages) - 1))

    def _next_look(self) -> None:
        passages = self.session.review.passages
        order = [*range(self.at + 1, len(passages)), *range(self.at)]
        found = next((i for i in order if passages[i].look_first), None)
        if found is None:
            raise CorrectionError("Nothing else needs a look first.")
        self._to(found)

    def _range(self, rest: list[str]) -> tuple[int, int]:
        count = len(self.passage.words)
        if not rest:
            return 0, count
        if not all(x.isdigit() for x in rest) or len(rest) > 2:
            raise CorrectionError("Give the numbers of the first and last word; “words” shows them.")
        first, last = int(rest[0]) - 1, int(rest[-1])
        if not 0 <= first < last <= count:
            raise CorrectionError(f"The passage has words 1 to {count}.")
        return first, last

    def _play(self, rest: list[str]) -> None:
        first, last = self._range(rest)
        self._sound(self.passage.take, self.passage.words[first].start, self.passage.words[last - 1].end)

    def _play_on(self) -> None:
        take = next(t for t in self.session.review.takes if t.number == self.passage.take)
        self._sound(take.number, self.passage.start, take.end)

    def _sound(self, number: int, start: float, end: float) -> None:
        take = next(t for t in self.session.review.takes if t.number == number)
        sound = self.sounds.get(number)
        self.output.play(cut(sound.path, start - take.start, end - take.start))

    # Corrections

    def _do(self, what: str, **fields: Any) -> None:
        self._made(self.session.change(_CHANGE.validate_python({"what": what, **fields}), self.session.revision))

    def _made(self, outcome: Outcome) -> None:
        self.screen.say(f"Saved: {tell(outcome.event)}", "green")
        target = outcome.event.target.get("passage")
        ids = [p.id for p in self.session.review.passages]
        if target in ids:
            self.at = ids.index(str(target))
            self.screen.passage(self.session.review, self.at)

    def _passage(self, what: str, **fields: Any) -> None:
        self._do(what, passage=self.passage.id, **fields)

    def _accept(self) -> None:
        self._passage("passage.accept")
        self._move(1)

    def _section(self, rest: list[str]) -> None:
        section = ask.one_of(" ".join(rest), SECTIONS, wording.SECTION_NAMES)
        if section == "aside":
            return self._passage("passage.aside")
        self._passage("passage.label", section=section, stage=self._stage_for(section))

    def _stage_for(self, section: str) -> str | None:
        if section not in ("burn", "verdict"):
            return STAGE_OF.get(section)
        if self.passage.stage in SMOKED or section == "verdict":
            return self.passage.stage if self.passage.stage in SMOKED else None
        before = reversed(self.session.review.passages[: self.at])
        return next((p.stage for p in before if p.stage in SMOKED), None)

    def _stage(self, rest: list[str]) -> None:
        names: dict[str, str] = {**{str(s): wording.STAGE_NAMES[s] for s in STAGES}, "none": "none"}
        stage = ask.one_of(" ".join(rest), list(names), names)
        self._passage("passage.label", section=self.passage.section, stage=None if stage == "none" else stage)

    def _split(self, rest: list[str]) -> None:
        if len(rest) != 1 or not rest[0].isdigit() or int(rest[0]) < 2:
            raise CorrectionError("Give the number of the word that the second passage begins with (see “words”).")
        self._passage("passage.split", at=int(rest[0]) - 1)

    def _fix(self, rest: list[str]) -> None:
        first, last = self._range(rest)
        self.session.warm()
        before = " ".join(w.text for w in self.passage.words[first:last] if w.text)
        self._passage("words.fix", first=first, last=last, text=self._ask("Words", before))

    def _heard(self, rest: list[str]) -> None:
        first, last = self._range(rest)
        self._passage("words.revert", first=first, last=last)

    def _back(self, rest: list[str]) -> None:
        events = self.session.contents.events
        if len(rest) != 1 or not rest[0].isdigit() or not 1 <= int(rest[0]) <= len(events):
            raise CorrectionError("Give the number of a correction; “list” shows them.")
        self._made(self.session.undo(self.session.revision, events[int(rest[0]) - 1].id))

    # Values

    def _row(self, rest: list[str]) -> Row:
        found = rows(self.session.review)
        if len(rest) != 1 or not rest[0].isdigit() or not 1 <= int(rest[0]) <= len(found):
            raise CorrectionError("Give the number of a value; “values” shows them.")
        return found[int(rest[0]) - 1]

    def _go(self, rest: list[str]) -> None:
        row = self._row(rest)
        ids = [p.id for p in self.session.review.passages]
        self._to(ids.index(row.entry.passage))
        self._sound(self.passage.take, row.entry.start, row.entry.end)

    def _change(self, rest: list[str]) -> None:
        row = self._row(rest)
        if row.kind == "flavour":
            key = {"stage": row.key[0], "term": row.key[1]}
            self._do("descriptor.edit", key=key, new=ask.flavour(self._ask, row.entry, "", "first"))
        elif row.kind == "strength":
            self._do("strength.set", stage=row.key[0], **ask.strength(self._ask, row.entry))
        elif row.kind == "fact":
            self._do("fact.set", name=row.key[0], **ask.fact(self._ask, row.key[0], row.entry, ""))
        elif row.kind == "score":
            self._do("score.edit", aspect=row.key[0], new=ask.score(self._ask, row.entry))
        else:
            key = {"kind": row.key[0], "value": row.key[1]}
            self._do("pairing.edit", key=key, new=ask.pairing(self._ask, row.entry, row.key[0], ""))

    def _remove(self, rest: list[str]) -> None:
        row = self._row(rest)
        key = row.key
        wishes: dict[str, dict[str, Any]] = {
            "flavour": {"what": "descriptor.remove", "key": {"stage": key[0], "term": key[-1]}},
            "strength": {"what": "strength.clear", "stage": key[0]}, "fact": {"what": "fact.clear", "name": key[0]},
            "score": {"what": "score.remove", "aspect": key[0]},
            "pairing": {"what": "pairing.remove", "key": {"kind": key[0], "value": key[-1]}},
        }
        self._do(**wishes[row.kind])

    def _add(self, rest: list[str]) -> None:
        kinds = ("flavour", "strength", "fact", "score", "pairing")
        kind = ask.one_of(rest[0] if rest else "", kinds)
        first, last = self._range(rest[1:])
        source = {"passage": self.passage.id, "first": first, "last": last}
        said = " ".join(w.text for w in self.passage.words[first:last] if w.text) if rest[1:] else ""
        words, stage = said.strip(" .,;:!?"), self.passage.stage or ""
        if kind == "flavour":
            self._do("descriptor.add", source=source,
                     new=ask.flavour(self._ask, None, words.lower(), stage if stage in ask.THIRDS else "first"))
        elif kind == "strength":
            self._do("strength.set", source=source, stage=ask.third(self._ask, stage), **ask.strength(self._ask, None))
        elif kind == "fact":
            name = ask.one_of(self._ask("Fact", ""), list(wording.FACT_NAMES), wording.FACT_NAMES)
            self._do("fact.set", source=source, name=name,
                     **ask.fact(self._ask, name, self.session.review.facts.get(name), words))
        elif kind == "score":
            self._do("score.add", source=source, new=ask.score(self._ask, None))
        else:
            self._do("pairing.add", source=source, new=ask.pairing(self._ask, None, "drink", words.lower()))


def correct_in_terminal(directory: Path, who: str) -> None:
    """Corrects a draft folder in the terminal until the person stops. Raises OutputError where it holds no draft."""
    with Session(directory, who=who) as session:
        Terminal(session, Console(highlight=False), Device()).run()


__all__ = ["PlayError", "Terminal", "correct_in_terminal"]
