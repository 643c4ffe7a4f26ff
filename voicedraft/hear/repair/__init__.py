"""Misheard words set right where sound and context both say so.

Proposals of each kind, in this order → the surest at each place → words written anew, what was heard kept.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from voicedraft.hear.repair.context import places, stops_of, strings
from voicedraft.hear.repair.ending import Ending
from voicedraft.hear.repair.forms import Forms
from voicedraft.hear.repair.half import Half
from voicedraft.hear.repair.joined import Joined
from voicedraft.hear.repair.maker import Maker
from voicedraft.hear.repair.proposal import Proposal, Proposer
from voicedraft.hear.repair.sound import fold
from voicedraft.hear.repair.sounded import Sounded
from voicedraft.hear.repair.spelt import Spelt
from voicedraft.hear.repair.tens import Tens
from voicedraft.hear.repair.unknown import Unknown
from voicedraft.lexicon import Lexicon
from voicedraft.types import Repair, Transcript, Word

__all__ = ["repair", "undo"]

_MARKS = re.compile(r"^(\W*)(.*?)([.,;:?!…\"'”’)\]]*)$", re.DOTALL)


def repair(
    transcript: Transcript, lexicon: Lexicon, cigar: str = "", habit: Path | None = None
) -> Transcript:
    """The transcript with misheard words set right, and a `Repair` for each. Heard words are kept.

    cigar: maker and line as the reviewer spells them; "" where not given. habit: other counts of neighbouring words
    than those that come with the program. A transcript that was repaired before is repaired further. What the user took
    back once ([never] in the misheard words) is not repaired, by whatever rule.
    """
    said = frozenset(fold(w.text) for w in transcript.words)
    unknown = Unknown(lexicon, said)
    careful: list[Proposer] = [unknown, Sounded(lexicon, unknown), Half(lexicon, unknown, habit),
                               Spelt(lexicon, unknown.frames), Ending(lexicon, unknown.frames)]
    proposers: list[Proposer] = [Forms(lexicon, said), Joined(lexicon), Tens(), *careful]
    if cigar.strip():
        proposers.insert(0, Maker(cigar))
    flavours = frozenset(fold(form) for form in lexicon.forms)
    names = proper_names(lexicon)
    never = frozenset(fold(h) for h in lexicon.tables.get("misheard", {}).get("never", {}).get("heard", ()))
    words: list[Word] = []
    repairs: list[Repair] = []
    for take in dict.fromkeys(w.take for w in transcript.words):
        spoken = [w for w in transcript.words if w.take == take]
        folded = [fold(w.text) for w in spoken]
        ends = stops_of([w.text for w in spoken], ".?!")
        stops = stops_of([w.text for w in spoken])
        odds = [1.0 if w.probability is None else w.probability for w in spoken]
        commas = stops_of([w.text for w in spoken], ",")  # A pause was heard: no word of the trade goes across it.
        written = {i for i, w in enumerate(spoken) if w.text[:1].isupper() and i and i - 1 not in ends}
        proposals = [p for proposer in proposers for p in proposer.propose(folded, stops, odds)
                     if not (proposer in careful and _a_name(p, written, flavours))
                     and not commas.intersection(range(p.first, p.last - 1))
                     and never.isdisjoint((h := " ".join(folded[p.first : p.last]), h.removesuffix("'s")))]
        chosen = _choose(proposals, folded)
        at = 0
        for proposal in chosen:
            words += spoken[at : proposal.first]
            old = spoken[proposal.first : proposal.last]
            opens = proposal.first == 0 or proposal.first - 1 in ends
            new = _rewrite(old, names.get(fold(proposal.right), proposal.right), opens)
            repairs.append(Repair(len(words), len(words) + len(new), " ".join(w.heard or w.text for w in old),
                                  " ".join(w.text for w in new), proposal.reason, round(proposal.confidence, 3)))
            words += new
            at = proposal.last
        words += spoken[at:]
    if not repairs:
        return transcript
    return replace(transcript, words=tuple(words), repairs=tuple(repairs))


def undo(transcript: Transcript, index: int) -> Transcript:
    """The transcript with repair `index` taken back: its words read as they were heard."""
    gone = transcript.repairs[index]
    old = transcript.words[gone.first : gone.last]
    heard = gone.heard.split()
    words = _spread(heard, old, heard)
    shift = len(words) - len(old)
    rest = tuple(
        replace(r, first=r.first + shift, last=r.last + shift) if r.first >= gone.last else r
        for i, r in enumerate(transcript.repairs) if i != index
    )
    spoken = (*transcript.words[: gone.first], *words, *transcript.words[gone.last :])
    return replace(transcript, words=spoken, repairs=rest)


def proper_names(lexicon: Lexicon) -> dict[str, str]:
    """Folded name → as it is written, for names of places and leaf that print takes a capital for."""
    names = places(lexicon)
    names += [w for w in strings(lexicon.tables.get("hearing", {})) if w != w.lower()]
    small = {"de", "la", "del", "y", "do", "el", "of", "the"}
    out = {}
    for name in names:
        parts = [p if i and p in small else p[:1].upper() + p[1:] for i, p in enumerate(name.split())]
        out[fold(name)] = name if name != name.lower() else " ".join(parts)
    return out


def _a_name(proposal: Proposal, written: set[int], flavours: frozenset[str]) -> bool:
    """Whether what is taken for a flavour is written as a name: with a capital that opens no sentence."""
    flavour = fold(proposal.right).removesuffix("'s") in flavours
    return flavour and not written.isdisjoint(range(proposal.first, proposal.last))


def _choose(proposals: list[Proposal], folded: Sequence[str]) -> list[Proposal]:
    """The proposals that do not overlap, in order; longer before surer. One that changes nothing guards its place."""
    taken: list[Proposal] = []
    for p in sorted(proposals, key=lambda p: (-(p.last - p.first), -p.confidence, p.first)):
        if all(p.last <= t.first or p.first >= t.last for t in taken):
            taken.append(p)
    real = [p for p in taken if " ".join(folded[p.first : p.last]) != fold(p.right)]
    return sorted(real, key=lambda p: p.first)


def _rewrite(old: Sequence[Word], right: str, opens: bool) -> list[Word]:
    """New words over the time of the old; the marks around them are kept. opens: they stand first in a sentence."""
    lead = _MARKS.match(old[0].text)
    tail = _MARKS.match(old[-1].text)
    texts = right.split()
    if opens and lead and lead[2][:1].isupper():
        texts[0] = texts[0][:1].upper() + texts[0][1:]
    texts[0] = (lead[1] if lead else "") + texts[0]
    texts[-1] += tail[3] if tail else ""
    return _spread(texts, old, [w.heard or w.text for w in old])


def _spread(texts: Sequence[str], old: Sequence[Word], heard: Sequence[str]) -> list[Word]:
    """`texts` over the time of `old`; where the counts agree each word keeps its own time."""
    odds = min((w.probability for w in old if w.probability is not None), default=None)
    if len(texts) == len(old):
        return [replace(w, text=t, heard=h) for w, t, h in zip(old, texts, heard, strict=True)]
    start, end, total = old[0].start, old[-1].end, sum(len(t) + 1 for t in texts)
    out, now = [], start
    for i, text in enumerate(texts):
        after = now + (end - start) * (len(text) + 1) / total
        said = " ".join(heard) if i == 0 and len(heard) != len(texts) else heard[i] if len(heard) == len(texts) else ""
        out.append(Word(text, round(now, 3), round(after, 3), old[0].take, said, odds))
        now = after
    return out
