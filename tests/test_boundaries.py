"""WindowDiff and Pk against nltk and against the published definition."""

import random

import pytest
from nltk.metrics.segmentation import pk as nltk_pk
from nltk.metrics.segmentation import windowdiff as nltk_windowdiff

from voicedraft.evaluate.boundaries import boundaries, boundary_figures, pk, window, window_diff


@pytest.mark.parametrize("seed", range(25))
def test_windowdiff_and_pk_agree_with_nltk_on_random_segmentations(seed: int) -> None:
    """Source: nltk.metrics.segmentation, an independent implementation of both papers."""
    rng = random.Random(seed)
    n = rng.randint(20, 400)
    reference = [int(rng.random() < 0.1) for _ in range(n)]
    hypothesis = [int(rng.random() < 0.1) for _ in range(n)]
    k = rng.randint(2, 12)
    as_text = ["".join(map(str, s)) for s in (reference, hypothesis)]
    assert window_diff(reference, hypothesis, k) == pytest.approx(nltk_windowdiff(*as_text, k))
    assert pk(reference, hypothesis, k) == pytest.approx(nltk_pk(*as_text, k))


def test_windowdiff_counts_the_near_miss_and_the_false_alarm_as_pevzner_and_hearst_describe() -> None:
    """Pevzner & Hearst 2002, section 4: Pk misses a false boundary that lies within k of a true one; WindowDiff does
    not, since it compares how many boundaries a window holds. One true boundary, one false one right beside it."""
    reference = [0] * 10 + [1] + [0] * 10
    doubled = [0] * 10 + [1, 1] + [0] * 9
    k = 4
    assert pk(reference, doubled, k) == pytest.approx(1 / 18)
    assert window_diff(reference, doubled, k) == pytest.approx(4 / 18)
    assert window_diff(reference, reference, k) == 0


def test_an_all_boundary_and_a_no_boundary_reading_are_both_bad() -> None:
    """Pevzner & Hearst 2002 discuss both degenerate readings; each must score far from 0."""
    gold = ["a"] * 20 + ["b"] * 20 + ["c"] * 20
    assert boundary_figures(gold, ["a"] * 60)["windowdiff"] > 0.3
    assert boundary_figures(gold, [str(i) for i in range(60)])["windowdiff"] == 1.0


def test_the_window_is_half_the_mean_segment() -> None:
    """k as Pevzner & Hearst 2002 set it."""
    reference = boundaries(["a"] * 30 + ["b"] * 30)
    assert window(reference) == round(59 / 2 / 2)


def test_a_window_that_does_not_fit_is_refused() -> None:
    """A caller's mistake is named, not scored."""
    with pytest.raises(ValueError, match="does not fit"):
        window_diff([0, 1], [0, 1], 3)
    with pytest.raises(ValueError, match="different lengths"):
        pk([0, 1, 0], [0, 1], 2)
