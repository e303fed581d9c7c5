"""Which test and how many tasters: against published panel sizes and simulated panels."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from advisor.technique.trial.methods import TESTS
from advisor.technique.trial.size import (
    POWER,
    found_by,
    least_flights,
    power_of,
    sizes,
    tasters_needed,
)


@pytest.mark.parametrize(
    ("test", "needed"), [("triangle", 202), ("duo-trio", 228), ("tetrad", 61), ("paired", 23)]
)
def test_panels_for_one_unit(test: str, needed: int) -> None:
    """Tasters for d' 1 at alpha 0.05 and power 0.8: exact binomial on the scales of Ennis 1993."""
    assert tasters_needed(test, 1.0) == needed


def test_a_rating_panel_is_that_of_a_paired_t_test() -> None:
    """The first n whose noncentral t power reaches 0.8, by scipy."""
    for d in (0.8, 1.5, 2.5):
        first = next(
            n
            for n in range(2, 200)
            if stats.nct.sf(stats.t.isf(0.05, n - 1), n - 1, d / 2**0.5 * n**0.5) >= POWER
        )
        assert tasters_needed("rate", d) == first


def test_trend_power_agrees_with_whole_panels_drawn_anew() -> None:
    """Power of a ranking by scipy's Page test on 500 panels from another random stream."""
    rng = Random(99)
    found = 0
    for _ in range(500):
        ranks = []
        for _ in range(7):
            felt = [1.5 * i / 3 + rng.gauss(0, 1) for i in range(4)]
            ranks.append(stats.rankdata(felt).astype(int))
        found += stats.page_trend_test(ranks, ranked=True, method="exact").pvalue <= 0.05
    assert power_of("rank", 7, 1.5, treated=3) == pytest.approx(found / 500, abs=0.08)


@given(st.sampled_from(sorted(TESTS)), st.integers(1, 4))
def test_least_flights_is_the_edge(test: str, treated: int) -> None:
    """With the least flights all answers right are significant; with one fewer never."""
    least = least_flights(test, treated)
    alpha = 0.05 / treated
    if TESTS[test].kind == "rate":
        assert 0.5**least <= alpha < 0.5 ** (least - 1)
    else:
        p0 = 1 / 3 if test in ("triangle", "tetrad") else 1 / 2
        assert p0**least <= alpha + 1e-12
        assert p0 ** (least - 1) > alpha or least == 2


@settings(deadline=None, max_examples=30)
@given(st.sampled_from(sorted(TESTS)), st.integers(6, 25), st.floats(0.2, 3.0), st.floats(0.1, 1.5))
def test_a_larger_difference_is_found_more_often(
    test: str, flights: int, d: float, more: float
) -> None:
    """Power rises with the difference and stays a probability."""
    low, high = (power_of(test, flights, x) for x in (d, d + more))
    assert 0 <= low <= high + 1e-9 <= 1 + 1e-8


def test_what_a_panel_finds_is_found_and_a_bit_less_is_not() -> None:
    """``found_by`` is the edge of power 0.8."""
    for test in ("triangle", "paired", "rate"):
        d = found_by(test, 15)
        assert d is not None
        assert power_of(test, 15, d) >= POWER > power_of(test, 15, d - 0.02)


def test_twelve_tasters_in_a_triangle_see_only_large_differences() -> None:
    """A triangle of twelve needs d' above 2 for power 0.8 (exact binomial); the list says so."""
    (triangle,) = [s for s in sizes(1.0, tasters=12) if s.test == "triangle"]
    assert triangle.finds is not None
    assert triangle.finds > 2
    assert triangle.power < 0.2


def test_sizes_count_cups_and_repeats() -> None:
    """Cups for one taster: three triangles of three samples twice are eighteen."""
    listed = {s.test: s for s in sizes(1.5, tasters=4, treated=3, repeats=2, cup_ml=10)}
    assert listed["triangle"].cups == 18
    assert listed["rate"].cups == 2 * (4 + 1)
    assert listed["rank"].ml == 80
    assert [s.tasters or 999 for s in sizes(1.5, tasters=4)] == sorted(
        s.tasters or 999 for s in sizes(1.5, tasters=4)
    )


def test_without_a_direction_only_open_tests_are_offered() -> None:
    """A paired test, a ranking and scores need a named sense with a foretold way."""
    assert {s.test for s in sizes(1.5, tasters=8, direction=False)} == {
        "triangle", "duo-trio", "tetrad",
    }  # fmt: skip


def test_hopeless_panels_are_none_not_a_number() -> None:
    """Beyond 400 tasters the answer is that it is beyond."""
    assert tasters_needed("triangle", 0.3) is None
    with pytest.raises(ValueError, match="d must lie"):
        tasters_needed("triangle", 0.0)
