"""Student's t and the power of paired scores, against scipy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from advisor.technique.trial import student


@given(st.floats(-30, 30), st.integers(1, 200))
def test_tail_agrees_with_scipy(t: float, degrees: int) -> None:
    """P(T > t) by scipy's incomplete beta: Abramowitz & Stegun 1964, 26.7, from memory.

    Its own tail of t is off by 2e-9 near nought.
    """
    inside = special.betainc(0.5, degrees / 2, t * t / (degrees + t * t))
    tail = 0.5 - math.copysign(0.5, t) * inside
    assert student.upper_tail(t, degrees) == pytest.approx(tail, abs=1e-13)


@given(st.floats(-1e6, 1e6))
def test_one_degree_of_freedom_is_cauchys(t: float) -> None:
    """With one degree of freedom the tail is 1/2 - atan(t)/pi."""
    assert student.upper_tail(t, 1) == pytest.approx(0.5 - math.atan(t) / math.pi, abs=1e-14)


@given(st.floats(0.0005, 0.45), st.integers(1, 100))
def test_quantile_agrees_with_scipy(tail: float, degrees: int) -> None:
    """The limit of a tail equals scipy's."""
    assert student.quantile(tail, degrees) == pytest.approx(stats.t.isf(tail, degrees), rel=1e-6)


@pytest.mark.parametrize("pairs", [2, 3, 6, 12, 40, 150])
@pytest.mark.parametrize("d", [0.0, 0.7, 1.5, 3.0])
def test_power_is_the_noncentral_t(pairs: int, d: float) -> None:
    """Power equals scipy's noncentral t with the shift of a paired difference."""
    limit = stats.t.isf(0.05, pairs - 1)
    oracle = stats.nct.sf(limit, pairs - 1, d / math.sqrt(2) * math.sqrt(pairs))
    assert student.paired_power(d, pairs) == pytest.approx(oracle, abs=1e-5)


@given(st.lists(st.floats(-10, 10), min_size=2, max_size=30))
def test_interval_agrees_with_scipy(numbers: list[float]) -> None:
    """The interval of a mean equals scipy's one-sample interval."""
    found = student.mean_interval(numbers)
    assert found is not None
    if max(numbers) - min(numbers) < 1e-6:
        assert found.high - found.low == pytest.approx(0.0, abs=1e-3)
        return
    oracle = stats.ttest_1samp(numbers, 0.0).confidence_interval(0.95)
    assert (found.low, found.high) == pytest.approx((oracle.low, oracle.high), rel=1e-6, abs=1e-7)


def test_one_number_has_no_interval() -> None:
    """A mean of one is not given a spread that nobody measured."""
    assert student.mean_interval([3.0]) is None
    assert student.paired_power(2.0, 1) == 0.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: student.upper_tail(1.0, 0),
        lambda: student.quantile(0.6, 3),
        lambda: student.paired_power(-1.0, 5),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Impossible degrees, tails and sizes are refused."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
