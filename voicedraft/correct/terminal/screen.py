"""What the terminal prints: a passage, its numbered words, the values, the lists. All text is printed as text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from voicedraft.correct.journal import active
from voicedraft.correct.session import Session
from voicedraft.correct.telling import tell
from voicedraft.draft import wording
from voicedraft.draft.document import PassageEntry, Quoted, Review
from voicedraft.types import DESCRIPTOR_STAGES


@dataclass(frozen=True, slots=True)
class Row:
    """One value as listed: its kind, the key that a correction needs, and how it is printed."""

    kind: str
    key: tuple[str, ...]
    label: str
    text: str
    entry: Quoted


def rows(review: Review) -> list[Row]:
    """Every value in the order in which it is numbered."""
    out: list[Row] = []
    for d in sorted(review.descriptors, key=lambda d: (DESCRIPTOR_STAGES.index(d.stage), d.start)):
        how = wording.INTENSITY_NAMES[d.intensity] if d.intensity else wording.STATUS_NAMES.get(d.status, "there")
        out.append(Row("flavour", (d.stage, d.term), f"{wording.STAGE_NAMES[d.stage]}: {d.term}", how, d))
    for stage, s in review.strength.items():
        label = f"Strength, {wording.STAGE_NAMES[stage].lower()}"
        out.append(Row("strength", (stage,), label, wording.strength_text(s.low, s.high), s))
    for name in wording.FACT_NAMES:
        if name in review.facts:
            fact = review.facts[name]
            text = wording.fact_text(name, fact.value) + (" (a guess)" if fact.guessed else "")
            out.append(Row("fact", (name,), wording.FACT_NAMES[name], text, fact))
    for score in review.scores:
        text = f"{wording.number(score.value)} of {wording.number(score.out_of)}"
        out.append(Row("score", (score.aspect,), f"Score: {score.aspect}", text, score))
    for kind, label in (("drink", "To drink"), ("food", "To eat"), ("avoid", "To leave aside")):
        out += [Row("pairing", (kind, p.value), label, p.value, p) for p in getattr(review.pairings, kind)]
    return out


class Screen:
    """Prints to a rich console."""

    def __init__(self, console: Console) -> None:
        self.console = console

    def say(self, text: str, style: str = "") -> None:
        """A line of plain text."""
        self.console.print(Text(text, style=style))

    def passage(self, review: Review, index: int) -> None:
        """One passage with what is known of it."""
        p = review.passages[index]
        head = Text(f"{index + 1} of {len(review.passages)}  {wording.clock(p.start)}  take {p.take}  ", style="dim")
        head.append(_label(p), style="bold")
        head.append(f"  {round(p.confidence * 100)} % sure", style="yellow" if p.look_first else "dim")
        if p.look_first:
            head.append("  look at this first", style="yellow")
        self.console.print(head)
        self.console.print(Text(f"  {p.text}"))
        if p.heard != p.text:
            self.console.print(Text(f"  heard: {p.heard}", style="dim"))

    def words(self, p: PassageEntry) -> None:
        """The words of a passage with their numbers."""
        line = Text()
        for n, word in enumerate(p.words, start=1):
            line.append(f"{n}:", style="dim")
            line.append(f"{word.text or '–'} ", style="underline" if word.heard is not None else "")
        self.console.print(line)

    def values(self, review: Review) -> None:
        """Every value, numbered."""
        table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
        for n, row in enumerate(rows(review), start=1):
            said = Text(f"“{row.entry.said}”", style="italic")
            table.add_row(Text(str(n), style="dim"), Text(row.label), Text(row.text, style="bold"), said,
                          Text(wording.clock(row.entry.start), style="dim"))
        self.console.print(table)
        if review.not_mentioned:
            self.say(f"Not mentioned: {', '.join(review.not_mentioned)}.", "dim")

    def look(self, review: Review) -> None:
        """The passages to look at first."""
        found = [(n, p) for n, p in enumerate(review.passages, start=1) if p.look_first]
        for n, p in found:
            self.say(f"{n:>4}  {wording.clock(p.start)}  {_label(p)}, {round(p.confidence * 100)} % sure: {p.text}")
        if not found:
            self.say("Nothing is left that the reading was unsure of.")

    def corrections(self, session: Session) -> None:
        """Every correction, numbered, those taken back marked; and those without a place."""
        counting = {e.id for e in active(session.contents.events)}
        for n, event in enumerate(session.contents.events, start=1):
            taken_back = event.id not in counting and event.what not in ("undo", "redo")
            self.say(f"{n:>4}  {event.who}: {tell(event)}", "strike" if taken_back else "")
        for lost in session.unplaced:
            self.say(f"No place in this reading: {tell(lost.event)}: {lost.reason}", "yellow")
        if not session.contents.events:
            self.say("No corrections yet.")

    def help(self, commands: list[tuple[str, str]]) -> None:
        """The commands."""
        table: Any = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
        for usage, text in commands:
            table.add_row(Text(usage, style="bold"), Text(text))
        self.console.print(table)


def _label(p: PassageEntry) -> str:
    name = wording.SECTION_NAMES[p.section]
    shown = p.stage and p.section in ("burn", "palate", "verdict")
    return f"{name}, {wording.STAGE_NAMES[p.stage].lower()}" if p.stage and shown else name
