"""Rule: whether a number is the speaker's score of this cigar, or another's, supposed, denied, or a difference."""

from __future__ import annotations

from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.line import Line, Words

_MODAL = frozenset({"would", "'d", "could", "might", "can", "should", "may", "could've", "would've", "might've"})
_DIFFERENCE = frozenset({"more", "off", "less", "higher", "lower", "extra", "up", "down", "better", "worse", "away"})
_COSTS = frozenset({
    "costs", "cost", "lose", "loses", "lost", "dock", "docked", "knock", "knocked", "deduct", "gain", "gained", "earns",
    "missing", "drop", "dropped", "took", "takes", "adds", "added",
})
_DEDUCT = frozenset({
    "minus", "away", "deduct", "deducted", "subtract", "subtracted", "dock", "docked", "docking", "knock", "knocked",
    "lose", "loses", "lost",
})
_REACH = 5
_CONDITION = 8
"""Words of a condition looked at where no comma ends it."""
_MEND = frozenset({"fix", "sort", "straighten", "lose", "cure", "mend"})
_SCORING_ORDERS = frozenset({
    "add", "sum", "tot", "total", "count", "average", "divide", "take", "call", "put", "make", "mark", "say", "score",
    "write",
})
_GIVEN = frozenset({"said", "given", "put", "gone", "called", "marked", "scored", "rated", "made", "had"})
_WISHED = frozenset({"a", "an", "better", "more", "less", "another", "straighter", "proper"})
_ASKERS = frozenset({"you", "anyone", "anybody", "i", "we", "one"})


def of_another_cigar(line: Line, number: Number, words: Words) -> bool:
    """Whether the clause, or the nearest clause before it that says, speaks of another cigar."""
    for clause in range(line.clause[number.first], -1, -1):
        first, last = line.clause_range(clause)
        own = clause == line.clause[number.first]
        marks = [
            (s, True) for s in line.find(words.cigars, first, last)
            if not _of_a_thing(line, s) and not _kin(line, s) and (own or line.text(s[0]) not in ("than", "compared"))
        ]
        held = {i for s, _ in marks for i in range(*s)}
        marks += [
            (s, False) for s in line.find(words.this, first, last)
            if line.text(s[1]) not in _LOTS and held.isdisjoint(range(*s))
        ]
        marks += [((i, i + 2), True) for i in _other_ones(line, first, last, words)]
        marks += [((i, i + 1), True) for i in _named_others(line, first, min(last, number.first), words)]
        if marks:
            near = min(marks, key=lambda m: (abs(m[0][0] - number.first), not m[1]))
            return near[1]
    return False


def other_cigar_before(line: Line, i: int, words: Words) -> bool:
    """Whether the words nearest before token `i` that say which cigar is meant say another one."""
    marks = [(s[0], True) for s in line.find(words.cigars, 0, i) if not _of_a_thing(line, s) and not _kin(line, s)]
    marks += [(k, True) for k in (*_other_ones(line, 0, i, words), *_named_others(line, 0, i, words))]
    marks += [(s[0], False) for s in line.find(words.this, 0, i) if line.text(s[1]) not in _LOTS]
    return max(marks)[1] if marks else False


def _of_a_thing(line: Line, span: tuple[int, int]) -> bool:
    """"The other marks" is no other cigar."""
    i = span[1]
    pointing = line.text(i - 1) in ("other", "another") and line.joined(i)
    return pointing and line.pos[i] == "NOUN" and line.text(i) not in _SMOKES


def _kin(line: Line, span: tuple[int, int]) -> bool:
    """"My sister's school": a sister of the speaker, not of the cigar."""
    return line.text(span[0]) == "sister" and line.text(span[0] - 1) in ("my", "your", "his", "her", "our")


_LOTS = frozenset({"box", "line", "maker", "house", "family", "range", "year", "brand", "lot", "batch", "bundle"})
_SMOKES = frozenset({"cigar", "cigars", "one", "ones", "stick", "sticks", "smoke", "size", "sizes", "line", "blend"})
_NAMERS = frozenset({"the", "that", "your", "his", "her", "their", "our", "my"})


def _named_others(line: Line, first: int, last: int, words: Words) -> list[int]:
    """"The Almoner managed twenty-four", "your Pargeter": a name that the speaker did not open the session with."""
    return [
        i for i in range(first + 1, last)
        if line.tokens[i].printed[:1].isupper() and line.pos[i] == "PROPN" and line.text(i - 1) in _NAMERS
        and line.text(i) not in line.own and not line.find(words.named, i, i + 1)
    ]


def _other_ones(line: Line, first: int, last: int, words: Words) -> list[int]:
    """"The fat one", "their robusto", "the robusto" beside "this one"."""
    out = []
    for i in range(first, last):
        text = line.text(i)
        told_apart = i > 1 and line.joined(i) and line.pos[i - 1] in ("ADJ", "PROPN", "NOUN")
        if text in ("one", "ones") and told_apart and line.text(i - 2) in ("the", "their", "your", "his"):
            out.append(i - 2)
        told = [line.text(j) for j in range(i + 1, min(i + 4, last))]
        if text in words.vitolas and line.text(i - 1) == "the" and ("last" in told or ("i" in told and "had" in told)):
            out.append(i - 1)
        if text in words.vitolas and line.pos[i] in ("NOUN", "PROPN", "ADJ"):
            before = line.text(i - 1)
            if before in ("their", "his", "her") or (before == "the" and line.find(words.this)):
                out.append(i - 1)
    return out


def supposed(line: Line, number: Number, words: Words) -> bool:
    """"If they fixed the draw it would be a nine", "could have been an eight"; not "if you want a number, eight"."""
    clause = line.clause[number.first]
    before = [line.text(i) for i in range(number.first) if line.clause[i] == clause]
    modal = any(w in _MODAL for w in before)
    if would_have(line, number) or (modal and ("been" in before or "without" in before)):
        return True
    if modal and "be" in before and (_unreal(line, number) or _granted(line, number)):
        return True
    if line.text(0) == "without" and any(w in before for w in ("going", "heading", "looking")):
        return True
    if ({"might", "could"} & set(before) and "be" in before) or _on_demand(line, number):
        return True
    if _wished(line, number) or inverted(line, number):
        return True
    turn = _turned(line, number)
    real = [
        i for i, t in enumerate(line.tokens)
        if i >= turn and t.text in ("if", "unless") and not _asks(line, i, words)
    ]
    unreal = any(_past(line, i) for i in real if i < number.first)
    return bool(real) and (modal or unreal or any(line.clause[i] == clause and i < number.first for i in real))


_TURNS = frozenset({"but", "anyway", "however", "meanwhile"})


def _turned(line: Line, number: Number) -> int:
    """The token from which on the speaker is back from a supposition: "but as it stands", 0 where it never turns."""
    turns = [i for i in range(number.first) if line.text(i) in _TURNS]
    stands = [
        i for i in range(number.first)
        if line.text(i) == "as" and line.text(i + 1) in ("it", "is", "this") and line.text(i + 2) in _STANDS
    ]
    return max([0, *turns, *stands])


_STANDS = frozenset({"stands", "stood", "is", "was", "'s"})


def _wished(line: Line, number: Number) -> bool:
    """"With a better burn that's a nine": a thing better than it was, and the number as its outcome."""
    for i in range(_turned(line, number), number.first - 2):
        better = line.text(i + 2) == "better" or line.tags[i + 2] == "JJR"
        if line.text(i) == "with" and line.text(i + 1) in ("a", "an", "some") and better:
            return not any(line.text(j) in ("deserves", "gets") for j in range(i, number.first))
    return False


def inverted(line: Line, number: Number) -> bool:
    """"Had it stayed lit it would have been fifteen", "were it cheaper, an eight"."""
    for i in range(_turned(line, number), number.first):
        opens = i == 0 or line.tokens[i].breaks or line.text(i - 1) in ("and", "but", "so")
        if opens and line.text(i) in ("had", "were", "should") and line.text(i + 1) in _SUBJECTS:
            return any(line.text(j) in _MODAL for j in range(i + 2, len(line.tokens)))
    return False


_SUBJECTS = frozenset({"it", "they", "the", "this", "that", "she", "he", "i", "we", "there", "not"})


def would_have(line: Line, number: Number) -> bool:
    """"I'd have said seven"; "I'd have to say seven" is a score."""
    start, _ = line.clause_range(line.clause[number.first])
    if not any(line.text(i) in _MODAL for i in range(start, number.first)):
        return False
    have = [i for i in range(start, number.first) if line.text(i) in ("have", "'ve", "of")]
    return any(line.tags[i + 1] == "VBN" or line.text(i + 1) in _GIVEN for i in have if i + 1 < number.first)


def _past(line: Line, i: int) -> bool:
    """Whether the condition that starts at `i` is in the past ("if they cleaned up the rolling, that's a nine")."""
    last = next((j for j in range(i + 1, len(line.tokens)) if line.tokens[j].breaks), len(line.tokens))
    return any(line.tags[j] == "VBD" for j in range(i + 1, last))


def _on_demand(line: Line, number: Number) -> bool:
    """"Fix the burn and it's an eight": what is asked for first, and the number as its outcome."""
    start, _ = line.clause_range(line.clause[number.first])
    modal = any(line.text(i) in _MODAL for i in range(start, number.first))
    if start > 1 and line.text(start) == "and" and modal and line.text(0) in ("make", "give", "put"):
        return True
    asked = line.tags[0] == "VB" or line.text(0) in _MEND
    return asked and start > 1 and line.text(start) == "and" and line.text(0) not in _SCORING_ORDERS and not any(
        n.first < start for n in line.numbers
    )


def defined(line: Line, number: Number) -> bool:
    """"A ten is for weddings": what a number means to the speaker, not a score; "an eight is what it gets" is one."""
    i = number.last
    generic = line.text(number.first - 1) in ("a", "an") and line.joined(i) and line.text(i) in ("is", "means")
    return generic and line.text(i + 1) not in ("what", "my", "where", "fair", "right", "the", "it", "about")


def _unreal(line: Line, number: Number) -> bool:
    """"With a straight burn it would be a nine", "without that, it would be": a condition without an "if"."""
    before = [line.text(i) for i in range(number.first)]
    return bool({"without", "otherwise", "minus"} & set(before)) or any(
        a == "with" and b in _WISHED for a, b in pairwise(before)
    )


def _granted(line: Line, number: Number) -> bool:
    """"It'd be nine with no fan", "that would be an eight without the tunnelling": the condition comes after."""
    _, end = line.clause_range(line.clause[number.first])
    rest = [line.text(i) for i in range(number.last, end)]
    return bool({"without", "if", "minus"} & set(rest)) or any(
        a == "with" and b in _WISHED | {"no"} for a, b in pairwise(rest)
    )


def referred(line: Line, number: Number) -> bool:
    """"The ninety-two I gave that other one": a score given elsewhere, only brought up."""
    return line.text(number.first - 1) in ("the", "that") and line.joined(number.last) and (
        line.text(number.last) in ("i", "he", "she", "we", "you", "they", "my", "everyone")
    )


def _asks(line: Line, i: int, words: Words) -> bool:
    """Whether the condition that starts at `i` only asks for the score ("if you want a number", "if I'm honest")."""
    last = next((j for j in range(i + 1, len(line.tokens)) if line.tokens[j].breaks), len(line.tokens))
    last = min(last, i + _CONDITION)
    texts = [line.text(j) for j in range(i + 1, last)]
    if {"perfect", "top", "best", "full", "maximum", "most"}.intersection(texts) and line.numbers:
        return True
    if any(w in words.asking for w in texts) or {("have", "to"), ("had", "to")} & set(pairwise(texts)):
        return True
    past = any(line.tags[j] in ("VBD", "VBN") or line.text(j) in ("'d", "had") for j in range(i + 1, last))
    return texts[:1] != [] and texts[0] in _ASKERS and not past


def denied(line: Line, number: Number, words: Words) -> bool:
    """"Not a nine", "nearly an eight", "I was going to give it nine"; a "no" set off by a comma is a correction."""
    for a, b in line.find(words.never, max(number.first - _REACH, 0), number.first):
        single = b - a == 1 and line.text(a) in ("no", "not")
        broken = any(line.tokens[j].breaks for j in range(b, number.first + 1))
        if not broken and not (single and number.first - b > 1):
            return True
    return False


_NOT_GOING = (
    ("i'm", "not"), ("i", "won't"), ("i", "wouldn't"), ("i", "can't"), ("not", "from"), ("no", "chance"), ("not", "a"),
    ("not", "happening"), ("never",), ("i", "refuse"), ("i", "'m", "not"), ("i", "wo"), ("i", "ca"), ("i", "am", "not"),
)
_SHORT = 7


def turned_down(after: Line) -> bool:
    """"I'm not going to.": a short next sentence refuses what was asked for."""
    texts = tuple(t.text for t in after.tokens)
    goes = {"going", "won't", "wouldn't", "can't", "chance", "happening", "refuse", "doing", "wo", "ca"}
    opens = any(texts[: len(form)] == form for form in _NOT_GOING)
    return opens and len(texts) <= _SHORT and not after.numbers and not goes.isdisjoint(texts)


def difference(line: Line, last: int) -> bool:
    """Whether points are added or taken: "a point more", "two points off", "costs a point"."""
    i = last
    if line.text(i) in ("points", "point", "marks"):
        i += 1
        before = {line.text(j) for j in range(max(last - 6, 0), last)}
        if before & _COSTS:
            return True
    return line.joined(i) and line.text(i) in _DIFFERENCE


def deducted(line: Line, number: Number) -> bool:
    """"Minus one for the burn", "I take away five", "docked it two"."""
    return any(line.text(i) in _DEDUCT for i in range(max(number.first - 2, 0), number.first))


def of_another_speaker(line: Line, number: Number, words: Words) -> bool:
    """"Dave gives it nine", "my wife says seven": a person other than the speaker is the subject of the clause."""
    start, _ = line.clause_range(line.clause[number.first])
    before = range(start, number.first)
    got = [
        i for i in before
        if line.text(i) in ("get", "gets", "got") and i > start and line.pos[i - 1] == "PROPN"
        and line.tokens[i - 1].printed[:1].isupper() and line.text(i - 1) not in line.own
        and not line.find(words.named, i - 1, i)
    ]
    if got:
        return True
    if own_list(line, number):
        return True
    verbs = [i for i in before if line.text(i) in words.verbs]
    if not verbs:
        return False
    subjects = [i for i in before if i < verbs[-1]]
    if any(line.text(i) in ("i", "me", "we", "i'd") for i in subjects):
        return False
    who = [i for i in range(verbs[0]) if line.text(i) == "who" and line.clause[i] >= line.clause[verbs[0]] - 1]
    if start == verbs[0] and who:
        return True
    person = line.text(verbs[0] - 1).endswith(_AGENTS) and line.tags[verbs[0] - 1] == "NN"
    if verbs[0] > start and person and line.text(verbs[0]) in _SAYING and not line.find(words.named, start, verbs[0]):
        return line.text(verbs[0] - 1) not in _NO_AGENTS
    who_says = verbs[0] - 1
    while who_says > start and line.text(who_says) in _AUXILIARIES:
        who_says -= 1
    named = verbs[0] > start and line.pos[who_says] == "PROPN" and line.tokens[who_says].printed[:1].isupper()
    return named or any(line.text(i) in words.speakers for i in subjects)


def own_list(line: Line, number: Number) -> bool:
    """"My son-in-law sent his own list, draw ninety": the marks of somebody who is not the speaker."""
    for i in range(number.first - 1):
        noun = i + 1 + (line.text(i + 1) == "own")
        counted = line.text(noun) in ("number", "numbers") and line.text(noun + 1) == "of"
        listed = line.text(noun) in _LISTS and noun < number.first and not counted
        if listed and line.text(i) in ("his", "her", "their"):
            return True
    return False


def after_waiting(line: Line, number: Number) -> bool:
    """"Give it two years and that eight becomes a nine": a mark that it would get later on."""
    for i in range(number.first):
        waits = not _WAITING.isdisjoint(line.texts[max(i - _AGO, 0) : i])
        if waits and line.text(i) in _SPANS and "and" in line.texts[i + 1 : number.first]:
            return True
    return False


_SPANS = frozenset({"year", "years", "month", "months", "week", "weeks"})
_WAITING = frozenset({"give", "more", "another", "leave", "let", "wait"})
_AGO = 4
"""Tokens between the verb of waiting and how long; our own choice, no outside source."""
_LISTS = frozenset({
    "list", "lists", "marks", "scores", "card", "scorecard", "numbers", "notes", "ratings", "figures", "sheet",
    "grades", "score", "mark", "rating", "number",
})
_AUXILIARIES = frozenset({"would", "'d", "will", "'ll", "has", "had", "'s", "just", "only", "always", "probably"})
"""What may stand between a person and what he says: "Kelly would give it two"."""
_AGENTS = ("er", "or", "ist", "man", "woman", "ian", "ant")
"""Endings of those who do something: "the music teacher gave twenty-two"."""
_SAYING = frozenset({"gave", "gives", "says", "said", "scored", "marked", "rated", "wrote", "reckons", "put", "thinks"})
_NO_AGENTS = frozenset({
    "wrapper", "binder", "filler", "cover", "number", "paper", "lighter", "cutter", "humidor", "corner", "water",
    "order", "flavor", "letter", "power", "after", "colour", "color", "plant", "factor", "ledger", "register",
    "computer",
})
