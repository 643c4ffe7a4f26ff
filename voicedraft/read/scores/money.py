"""Rule: a number of money is no mark: "the price is now fourteen pounds"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.scores.line import Line

_MONEY = frozenset({
    "pounds", "quid", "dollars", "bucks", "euros", "euro", "pence", "cents", "kroner", "kronor", "francs", "rupees",
    "rand", "yen", "£", "$", "€", "₹", "¥",
})
_SIGNS = frozenset({"£", "$", "€", "₹", "¥"})


def of_money(rows: Sequence[Line]) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers that a word or sign of money follows or leads."""
    return frozenset(
        (line.index, n.first) for line in rows for n in line.numbers
        if (line.joined(n.last) and line.text(n.last) in _MONEY) or line.text(n.first - 1) in _SIGNS
    )
