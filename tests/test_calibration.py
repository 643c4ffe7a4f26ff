"""Reliability, expected calibration error and the threshold, against examples worked by hand."""

from __future__ import annotations

import pytest

from voicedraft.evaluate.calibration import expected_error, reliability, threshold


def test_a_worked_example() -> None:
    """Ten readings in two bins: 0.9 said of five of which four were right, 0.6 said of five of which two were right.

    By the definition of Guo et al. 2017, equation 3: 5/10 * |0.8 - 0.9| + 5/10 * |0.4 - 0.6| = 0.15.
    """
    said = [0.9] * 5 + [0.6] * 5
    right = [True] * 4 + [False] + [True] * 2 + [False] * 3
    table = reliability(said, right)
    assert [(b.low, b.high, b.weight) for b in table] == [(0.5, 0.6, 5), (0.8, 0.9, 5)]
    assert [b.right for b in table] == pytest.approx([0.4, 0.8])
    assert expected_error(table) == pytest.approx(0.15)


def test_weights_count_words() -> None:
    """A long passage weighs more than a short one in its bin."""
    (only,) = reliability([0.95, 0.95], [True, False], [9, 1])
    assert only.right == pytest.approx(0.9)
    assert expected_error([only]) == pytest.approx(0.05)


def test_the_ends_of_the_bins() -> None:
    """A confidence on a border belongs to the bin below; zero and one have a place."""
    assert [(b.low, b.high) for b in reliability([0.0, 0.1, 0.11, 1.0], [True] * 4)] == [(0, 0.1), (0.1, 0.2), (0.9, 1)]


def test_nothing_read_has_no_error() -> None:
    """An empty table gives 0, and lengths that differ are refused."""
    assert expected_error(reliability([], [])) == 0.0
    with pytest.raises(ValueError, match="zip"):
        reliability([0.5], [])


def test_threshold_parts_right_from_wrong() -> None:
    """The threshold lies at the first confidence from which all are right, where such a one exists."""
    assert threshold([0.3, 0.5, 0.8, 0.9], [False, False, True, True]) == 0.8
    assert threshold([0.3, 0.9], [True, True]) == 0.5
