"""How many corrections learning saves: sessions read one after another, the gold standing in for the reviewer.

    python benchmarks/learning.py [--base GOLD...] [--sessions GOLD...] [--held-back GOLD...] [--seed N]

Section and flavour weights are fitted on the base sessions only. Then each of the other sessions is read twice, with
the shipped words and base weights alone, and with what was learned from all sessions before it. Wherever a reading
differs from the gold a correction is made through the journal, as a reviewer would make it, and the draft is learned
from. The sessions have different speakers, so that what is learned is never one speaker's own words. Last, the
held-back sessions are read with and without all that was learned, and every correction is taken back to see that no
trace is left.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from voicedraft.correct.changes import Change
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.learning import Store, chain, learn
from voicedraft.correct.learning.sections import adapt, lesson
from voicedraft.correct.session import Session
from voicedraft.draft.compose import compose
from voicedraft.draft.document import Review
from voicedraft.draft.write import READING, to_json, write_draft, write_text
from voicedraft.evaluate.gold import load, sentence_labels, transcript
from voicedraft.evaluate.matching import pair, term_credit
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.read.descriptors import read_descriptors
from voicedraft.read.descriptors.weights import DescriptorWeights
from voicedraft.read.sections import read_sections
from voicedraft.read.sections.weights import SectionWeights
from voicedraft.train import descriptors as train_descriptors
from voicedraft.train import sections as train_sections
from voicedraft.types import Reading

ROOT = Path(__file__).resolve().parent.parent
Wish = dict[str, Any]
_CHANGE: TypeAdapter[Any] = TypeAdapter(Change)


@dataclass(frozen=True)
class Spoken:
    """One gold session, analysed once."""

    name: str
    gold: Mapping[str, Any]
    analysis: Analysis


def spoken(path: Path) -> Spoken:
    """A gold session from its file."""
    gold = load(path)
    return Spoken(path.stem, gold, analyse(transcript(gold)))


# The reviewer: what the gold would have corrected


def label_wishes(gold: Mapping[str, Any], review: Review) -> list[Wish]:
    """One wish a passage whose section or stage is not that of most of its words."""
    labels = [(s, stage) for a, z, s, stage in sentence_labels(dict(gold)) for _ in range(a, z)]
    out: list[Wish] = []
    at = 0
    for p in review.passages:
        here = labels[at : at + len(p.words)]
        at += len(p.words)
        section, stage = Counter(here).most_common(1)[0][0]
        if (section, stage) == (p.section, p.stage) or (section == p.section == "aside"):
            continue
        if section == "aside":
            out.append({"what": "passage.aside", "passage": p.id})
        else:
            out.append({"what": "passage.label", "passage": p.id, "section": section, "stage": stage})
    return out


def flavour_wishes(gold: Mapping[str, Any], review: Review) -> list[Wish]:
    """Flavours to add, to change and to take out. One that a careful reader may leave out is not asked for."""
    g, r = gold["descriptors"], review.descriptors
    pairs = pair(g, r, lambda a, b: term_credit(a["term"], b.term) if a["stage"] == b.stage else 0.0)
    found, used = {i for i, _, _ in pairs}, {j for _, j, _ in pairs}
    out: list[Wish] = [
        {"what": "descriptor.remove", "key": {"stage": d.stage, "term": d.term}}
        for j, d in enumerate(r) if j not in used
    ]
    for i, j, credit in pairs:
        new = _value(g[i])
        same = credit == 1 and _status(g[i]["status"]) == _status(r[j].status) and new["intensity"] == r[j].intensity
        if not same:
            out.append({"what": "descriptor.edit", "key": {"stage": r[j].stage, "term": r[j].term}, "new": new})
    for i, entry in enumerate(g):
        if i not in found and not entry.get("optional"):
            out.append({"what": "descriptor.add", "source": _source(entry["quote"], review), "new": _value(entry)})
    return out


def _status(status: str) -> str:
    """Gone and absent count as one, as the figures have it."""
    return "gone" if status == "absent" else status


def _value(entry: Mapping[str, Any]) -> dict[str, Any]:
    present = entry["status"] == "present"
    return {"term": entry["term"], "stage": entry["stage"], "status": entry["status"],
            "intensity": entry.get("intensity") if present else None}


def _source(quote: str, review: Review) -> dict[str, Any]:
    """The passage in which a quote begins."""
    for p in review.passages:
        if quote in p.text or p.text in quote:
            return {"passage": p.id}
    return {"passage": review.passages[0].id}


# Reading and correcting


def wishes(gold: Mapping[str, Any], review: Review) -> tuple[list[Wish], list[Wish]]:
    """(corrections of sections and stages, corrections of flavours)."""
    return label_wishes(gold, review), flavour_wishes(gold, review)


def correct(session: Session, gold: Mapping[str, Any]) -> int:
    """Makes every correction through the journal; gives how many could not be made as asked."""
    refused = 0
    for find in (label_wishes, flavour_wishes):
        for wish in find(gold, session.review):
            try:
                session.change(_CHANGE.validate_python(wish), session.revision)
            except CorrectionError:
                refused += 1
    return refused


@dataclass
class Learner:
    """The user's folder, and the weights learned so far on top of the base."""

    store: Store
    base: SectionWeights
    flavours: DescriptorWeights
    drafts: Path
    lessons: list[chain.Lesson]
    weights: SectionWeights

    def read(self, s: Spoken, learned: bool) -> Reading:
        """A session read with or without what was learned."""
        lexicon = load_lexicon(self.store.folder) if learned else load_lexicon()
        own = self.weights if learned else self.base
        passages = read_sections(s.analysis, lexicon, own)
        flavours = read_descriptors(s.analysis, passages, lexicon, self.flavours)
        return Reading(s.analysis.transcript, passages, flavours)

    def study(self, s: Spoken, review: Review) -> int:
        """Corrects a draft by its gold and learns from it."""
        folder = self.drafts / s.name
        folder.mkdir(parents=True)
        write_text(folder / READING, to_json(review))
        write_draft(review, folder)
        with Session(folder, write=False) as session:
            refused = correct(session, s.gold)
            taught = learn(session, self.store)
        made = None
        if taught.sentences:
            lexicon = load_lexicon(self.store.folder)
            made = lesson(taught.sentences, self.base, lexicon, analysis=s.analysis)
        if made is not None:
            self.lessons.append(made)
            self.weights = adapt(self.base, self.lessons)
        return refused

    def take_all_back(self) -> int:
        """Undoes every correction, learns again, and gives how many files are left in the user's folder."""
        for folder in sorted(self.drafts.iterdir()):
            with Session(folder, write=False) as session:
                while session.can_undo():
                    session.undo(session.revision)
                learn(session, self.store)
        return sum(p.is_file() for p in self.store.folder.rglob("*"))


def fit(paths: Sequence[Path]) -> tuple[SectionWeights, DescriptorWeights]:
    """Section and flavour weights of the base sessions alone."""
    prepared = [train_sections.prepare(p.stem, load(p)) for p in paths]
    return train_sections.fit(prepared), train_descriptors.fit_golds([load(p) for p in paths])


def run(base: Sequence[Path], sessions: Sequence[Path], held_back: Sequence[Path], say: Callable[[str], None]) -> None:
    """Prints the tables."""
    with tempfile.TemporaryDirectory() as folder:
        weights, flavours = fit(base)
        learner = Learner(Store(Path(folder) / "lexicon"), weights, flavours, Path(folder) / "drafts", [], weights)
        say(f"{len(base)} base sessions, then {len(sessions)} corrected one after another")
        say(f"{'session':10}{'passages':>9} | sections: without  with | flavours: without  with")
        total: Counter[str] = Counter()
        for n, path in enumerate(sessions, start=1):
            s = spoken(path)
            alone, review = compose(learner.read(s, False)), compose(learner.read(s, True))
            counts = [len(w) for r in (alone, review) for w in wishes(s.gold, r)]
            refused = learner.study(s, review)
            _row(say, f"{n:2} {s.name}", len(review.passages), counts)
            total.update(dict(zip("abcd", counts, strict=True)), half=0)
            if n > len(sessions) // 2:
                total.update(dict(zip("efgh", counts, strict=True)))
            if refused:
                say(f"          {refused} corrections were twins of others and were not made")
        _row(say, "all", 0, [total[k] for k in "abcd"])
        _row(say, "later half", 0, [total[k] for k in "efgh"])
        if held_back:
            _held_back(learner, held_back, say)
        say(f"every correction taken back: {learner.take_all_back()} files left in the user's folder")


def _held_back(learner: Learner, paths: Sequence[Path], say: Callable[[str], None]) -> None:
    say(f"{len(paths)} held-back sessions, read with all that was learned; totals alone")
    total = [0, 0, 0, 0]
    for path in paths:
        s = spoken(path)
        counts = [len(w) for known in (False, True) for w in wishes(s.gold, compose(learner.read(s, known)))]
        total = [a + b for a, b in zip(total, counts, strict=True)]
    _row(say, "all", 0, total)


def _row(say: Callable[[str], None], name: str, passages: int, counts: Sequence[int]) -> None:
    say(f"{name:10}{passages or '':>9} | {counts[0]:>17} {counts[2]:>5} | {counts[1]:>17} {counts[3]:>5}")


def main(arguments: Sequence[str] | None = None) -> int:
    """Reads the arguments and prints the tables."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--base", nargs="+", type=Path, default=sorted((ROOT / "tests/gold/sessions").glob("*.json")))
    parser.add_argument("--sessions", nargs="+", type=Path, default=sorted((ROOT / "tests/gold/own").glob("*.json")))
    parser.add_argument("--held-back", nargs="*", type=Path, default=[])
    parser.add_argument("--seed", type=int, default=1, help="order of the sessions")
    options = parser.parse_args(arguments)
    order = list(options.sessions)
    random.Random(options.seed).shuffle(order)
    run(options.base, order, options.held_back, lambda line: print(line, flush=True))
    return 0


if __name__ == "__main__":
    sys.exit(main())
