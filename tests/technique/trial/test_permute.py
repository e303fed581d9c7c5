"""Permutation tests on scores, against Fisher's own example, scipy and brute force."""

from __future__ import annotations

from itertools import combinations, permutations, product
from math import fsum

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from advisor.technique.trial.permute import holm, signs, within_flights

# Cross- less self-fertilised maize, eighths of an inch (Darwin 1876, as in HistData::ZeaMays).
MAIZE = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
SCORES = st.integers(-20, 20).map(lambda n: n / 2)


def test_fishers_example() -> None:
    """863 of the 32 768 sign patterns reach Darwin's total (Fisher 1935, 21; count from memory)."""
    assert signs(MAIZE).p * 2**15 == pytest.approx(863)
    assert signs(MAIZE, two_sided=True).p == pytest.approx(2 * 863 / 2**15)


@settings(max_examples=25, deadline=None)
@given(st.lists(SCORES, min_size=2, max_size=9))
def test_signs_agree_with_scipy(differences: list[float]) -> None:
    """One- and two-sided p equal scipy's exhaustive permutation test."""
    for side, two_sided in (("greater", False), ("two-sided", True)):
        oracle = stats.permutation_test(
            (np.array(differences),),
            np.sum,
            permutation_type="samples",
            alternative=side,
            n_resamples=np.inf,
        )
        found = signs(differences, two_sided=two_sided)
        assert found.exact
        assert found.p == pytest.approx(min(1.0, oracle.pvalue))


@given(st.lists(SCORES, min_size=1, max_size=30), st.randoms())
def test_who_came_first_does_not_matter(differences: list[float], rng: object) -> None:
    """Answers in another order give the same p, and p lies from 0 to 1."""
    other = list(differences)
    rng.shuffle(other)  # type: ignore[attr-defined]
    assert signs(differences) == signs(other)
    assert 0 < signs(differences).p <= 1


@given(st.lists(SCORES, min_size=1, max_size=15), st.integers(0, 14), st.integers(1, 10))
def test_a_larger_difference_never_weakens_the_proof(
    differences: list[float], place: int, more: int
) -> None:
    """Raising one positive difference never raises p."""
    place %= len(differences)
    if differences[place] <= 0:
        return
    raised = [d + more * (i == place) for i, d in enumerate(differences)]
    assert signs(raised).p <= signs(differences).p + 1e-12


def test_all_one_way_is_one_pattern() -> None:
    """n differences the foretold way give 2 to the minus n, the least there is."""
    assert signs([1, 2, 1.5, 3]).p == pytest.approx(1 / 16)
    assert signs([0, 0, 0]).p == 1.0


def test_a_draw_states_its_error_and_never_says_zero() -> None:
    """Where the sums are too many, the drawn p is near the normal limit and within its error."""
    differences = [(17 * i * i + 31 * i) % 1997 / 100 * 1.0371 - 8 for i in range(60)]
    found = signs(differences, seed=3)
    z = sum(differences) / sum(d * d for d in differences) ** 0.5
    assert not found.exact
    assert found.p == pytest.approx(stats.norm.sf(z), abs=4 * found.error + 0.003)
    sure = signs([d * d + 1.3731 for d in differences])
    assert 0 < sure.p < 1e-3


def _spread(rows: list[tuple[float, ...]]) -> float:
    sums = [fsum(c) for c in zip(*rows, strict=True)]
    mean = fsum(sums) / len(sums)
    return fsum((s - mean) ** 2 for s in sums)


@settings(deadline=None, max_examples=25)
@given(st.lists(st.tuples(SCORES, SCORES, SCORES), min_size=1, max_size=4))
def test_exchange_within_flights_agrees_with_brute_force(rows: list[tuple[float, ...]]) -> None:
    """p equals counting every exchange of the cups within every flight, one by one."""
    seen = _spread(rows)
    drawn = list(product(*(tuple(permutations(row)) for row in rows)))
    reached = sum(_spread(list(one)) >= seen - 1e-9 for one in drawn)
    assert within_flights(rows).p == pytest.approx(reached / len(drawn))


def test_a_drawn_exchange_agrees_with_friedman_on_ranks() -> None:
    """On ranks the test is Friedman's: the drawn p equals scipy's within its error and more."""
    rows = [(1, 2, 3, 4), (2, 1, 3, 4), (1, 3, 2, 4), (1, 2, 4, 3), (4, 1, 2, 3), (2, 1, 4, 3),
            (1, 4, 2, 3), (3, 1, 2, 4)]  # fmt: skip
    oracle = stats.friedmanchisquare(*zip(*rows, strict=True)).pvalue
    found = within_flights(rows)
    assert not found.exact
    assert found.p == pytest.approx(oracle, abs=0.02)  # chi-square is itself a limit


def test_taste_that_is_the_same_everywhere_proves_nothing() -> None:
    """Taster offsets alone give p of 1."""
    assert within_flights([(3, 3, 3), (7, 7, 7)]).p == 1.0


PS = st.lists(st.floats(0, 1), min_size=1, max_size=6)


@given(PS)
def test_holm_is_closed_testing_by_bonferroni(ps: list[float]) -> None:
    """Each adjusted p is the worst Bonferroni p of any set that holds it (Marcus et al. 1976)."""
    found = holm(ps)
    for i, p in enumerate(found):
        worst = max(
            min(1.0, len(group) * min(ps[j] for j in group))
            for size in range(1, len(ps) + 1)
            for group in combinations(range(len(ps)), size)
            if i in group
        )
        assert p == pytest.approx(worst)


def test_holm_by_hand() -> None:
    """0.01, 0.04, 0.03, 0.005 become 0.03, 0.06, 0.06, 0.02 (arithmetic)."""
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx((0.03, 0.06, 0.06, 0.02))


@pytest.mark.parametrize(
    "call",
    [
        lambda: signs([]),
        lambda: signs([float("nan")]),
        lambda: within_flights([]),
        lambda: within_flights([(1,)]),
        lambda: within_flights([(1, 2), (1, 2, 3)]),
        lambda: holm([1.2]),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Nothing to test, and p-values that are none, are refused with a reason."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
