"""Scores against published numbers, an independent library, and their own laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from advisor.evaluation.scores import (
    brier,
    brier_of_all,
    calibration_error,
    log_score,
    log_score_of,
    murphy,
    quantile,
    reliability,
    share,
    wilson,
)

_forecasts = st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60)


def test_scores_of_four_forecasts():
    """Brier .1250 and log loss .4004: computed by hand from the definitions of both scores.

    .9, .7, .6, .2 against 1, 1, 0, 0: (.01 + .09 + .36 + .04) / 4 and
    -(ln .9 + ln .7 + ln .4 + ln .8) / 4.
    """
    chances, happened = [0.9, 0.7, 0.6, 0.2], [1, 1, 0, 0]
    assert brier(chances, happened) == pytest.approx(0.1250, abs=5e-5)
    assert log_score(chances, happened) == pytest.approx(0.4004, abs=5e-5)


@pytest.mark.parametrize(
    ("right", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_gives_the_published_intervals(right, of, low, high):
    """The four worked examples of Newcombe 1998, Statistics in Medicine 17:857, table I, method 3.

    Recalled from memory; that they are right is confirmed by scipy in the next test.
    """
    assert wilson(right, of) == pytest.approx((low, high), abs=5e-5)
    again = binomtest(right, of).proportion_ci(0.95, method="wilson")
    assert (low, high) == pytest.approx((again.low, again.high), abs=5e-5)


@given(st.integers(1, 2000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_agrees_with_scipy(pair):
    """scipy's Wilson interval is the same for any share."""
    right, of = pair
    theirs = binomtest(right, of).proportion_ci(0.95, method="wilson")
    assert wilson(right, of) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


def test_a_share_of_none_says_nothing():
    """No cases give no share, and an interval that holds everything."""
    none = share([])
    assert (none.share, none.low, none.high) == (None, 0.0, 1.0)
    assert share([True, False, True, True]).share == 0.75


@pytest.mark.parametrize(("right", "of"), [(-1, 3), (4, 3)])
def test_an_impossible_share_is_refused(right, of):
    """More right than there are is an error, not a number."""
    with pytest.raises(ValueError, match="must lie between"):
        wilson(right, of)


def test_certain_and_wrong_costs_much_but_is_a_number():
    """A forecast of 1 that fails is scored as 1e-9 off it: 20.7 nats, never infinite."""
    assert log_score([1.0], [0]) == pytest.approx(-math.log(1e-9))
    assert log_score_of(0.0) == pytest.approx(-math.log(1e-9))
    assert log_score_of(1.0) == 0.0


def test_brier_of_a_whole_ranking():
    """Brier 1950 for several outcomes, by hand: (1-.5)^2 + .3^2 + .2^2, and .8 together of two."""
    standing = {"a": 0.5, "b": 0.3, "c": 0.2}
    assert brier_of_all(standing, ["a"]) == pytest.approx(0.38)
    assert brier_of_all(standing, ["a", "b"]) == pytest.approx(0.2**2 + 0.2**2)
    assert brier_of_all({"a": 1.0}, ["b"]) == 2.0
    assert brier_of_all({"a": 1.0}, ["a"]) == 0.0


def test_the_whole_ranking_of_two_is_twice_the_score_of_one():
    """With two outcomes Brier's own sum is twice the half-score (known since Brier 1950)."""
    for p in (0.0, 0.25, 0.9, 1.0):
        whole = brier_of_all({"a": p, "b": 1.0 - p}, ["a"])
        assert whole == pytest.approx(2 * brier([p], [1]))


def test_bins_hold_what_belongs_to_them():
    """A forecast on an edge counts above it, 1 in the last bin, and bins count by hand."""
    table = reliability([0.0, 0.05, 0.1, 0.95, 1.0], [0, 1, 1, 1, 0])
    assert [b.n for b in table] == [2, 1, 0, 0, 0, 0, 0, 0, 0, 2]
    assert table[0].said == pytest.approx(0.025)
    assert table[0].was == 0.5
    assert table[9].said == pytest.approx(0.975)
    assert table[5].said is None
    assert table[5].was is None


def test_a_filled_bin_that_is_far_off_is_flagged():
    """Twenty forecasts more than ten points off are; nineteen, or ten points, are not."""
    held = [0.55] * 20
    assert reliability(held, [1] * 14 + [0] * 6)[5].off
    assert not reliability(held, [1] * 13 + [0] * 7)[5].off
    assert not reliability(held[1:], [1] * 19)[5].off
    assert not any(b.off for b in reliability(held, [1] * 14 + [0] * 6)[:5])


def test_calibration_error_by_hand():
    """Three at .2 with none right, one at .9 right: (3 x .2 + .1) / 4."""
    table = reliability([0.2, 0.2, 0.2, 0.9], [0, 0, 0, 1])
    assert calibration_error(table) == pytest.approx(0.175)
    assert calibration_error(reliability([], [])) is None


def test_a_probability_outside_its_range_is_refused():
    """1.2 is no probability."""
    with pytest.raises(ValueError, match=r"1\.2"):
        reliability([1.2], [1])


@given(_forecasts)
def test_the_parts_add_up_to_brier(forecasts):
    """Murphy 1973, with the terms within bins of Stephenson et al. 2008: an identity."""
    chances, happened = zip(*forecasts, strict=True)
    parts = murphy(chances, happened)
    whole = parts.reliability - parts.resolution + parts.uncertainty + parts.within
    assert whole == pytest.approx(brier(chances, happened), abs=1e-9)
    assert parts.resolution <= parts.uncertainty + 1e-9


def test_parts_by_hand():
    """Ten at .2 with two right and ten at .8 with eight right are perfectly reliable."""
    parts = murphy([0.2] * 10 + [0.8] * 10, [1] * 2 + [0] * 8 + [1] * 8 + [0] * 2)
    assert parts.reliability == pytest.approx(0.0)
    assert parts.resolution == pytest.approx(0.09)
    assert parts.uncertainty == pytest.approx(0.25)
    assert parts.within == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("numbers", "part", "is_"),
    [([], 0.95, None), ([3], 0.95, 3), (list(range(1, 21)), 0.95, 19), ([1, 1, 9], 0.5, 1)],
)
def test_quantiles_are_numbers_that_occur(numbers, part, is_):
    """19 of 1 to 20 is the least that 95 % do not exceed."""
    assert quantile(numbers, part) == is_
