"""How far a test may be relied on: its basis, and where its threshold lies in the interval."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from advisor.chain.port import Fact
from advisor.knowledge.conditions import InRange, Is, Known
from advisor.reasoning.evidence import Footing, sureness


def relied(test: InRange, value: float, low: float, high: float, basis: str = "measured") -> float:
    return sureness(test, Fact(test.key, number=value), Footing(basis, low, high))


@pytest.mark.parametrize(
    ("basis", "share"), [("measured", 1.0), ("told", 1.0), ("calculated", 0.85), ("assumed", 0.35)]
)
def test_the_basis_counts(basis: str, share: float) -> None:
    """Measured and told count in full, a calculation less, an assumption little."""
    assert sureness(Is("a", ("x",)), Fact("a", "x"), Footing(basis)) == pytest.approx(share)
    assert sureness(Known("a"), Fact("a", number=1.0), Footing(basis)) == pytest.approx(share)


def test_a_word_with_little_certainty_counts_for_little() -> None:
    """A word that is as likely wrong as right counts for nothing, a certain one in full."""
    test, fact = Is("a", ("x",)), Fact("a", "x")
    counted = [sureness(test, fact, Footing("measured", certainty=c)) for c in (0.5, 0.75, 1.0)]
    assert counted == pytest.approx([0.0, 0.5, 1.0])


def test_silence_is_certain() -> None:
    """A test for what was never asked rests on nothing that could be wrong."""
    assert sureness(Known("a"), None, None) == 1.0


def test_a_value_at_the_threshold_counts_for_nothing() -> None:
    """With the threshold in the middle of the interval the test is a toss-up."""
    assert relied(InRange("a", 5.0, low_in=True), 5.0, 4.0, 6.0) == pytest.approx(0.0, abs=1e-12)


def test_a_value_deep_inside_counts_in_full() -> None:
    """With the threshold far outside the interval the test counts in full."""
    assert relied(InRange("a", 5.0), 9.0, 8.0, 10.0) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.01, 2.0))
def test_further_inside_counts_no_less(one: float, two: float, half: float) -> None:
    """The further a value lies inside the range the more the test counts."""
    near, far = sorted((one, two))
    at = InRange("a", 5.0, low_in=True)
    less, more = (relied(at, 5.0 + d, 5.0 + d - half, 5.0 + d + half) for d in (near, far))
    assert less <= more + 1e-12


@given(
    st.floats(-5, 5), st.floats(0.05, 3.0), st.floats(-5, 5), st.floats(0.01, 5.0), st.booleans()
)
def test_the_chance_inside_is_the_normal_one(
    value: float, half: float, low: float, width: float, open_top: bool
) -> None:
    """A symmetric interval is read as 95 % of a normal distribution (scipy gives the same)."""
    high = None if open_top else low + width
    test = InRange("a", low, high)
    assume(test.holds_number(value))
    spread = stats.norm(value, half / stats.norm.ppf(0.975))
    chance = (1.0 if high is None else spread.cdf(high)) - spread.cdf(low)
    wanted = max(0.0, 2.0 * chance - 1.0)
    assert relied(test, value, value - half, value + half) == pytest.approx(wanted, abs=1e-6)


@given(st.floats(-100, 100), st.floats(0, 50), st.floats(0, 50), st.floats(-100, 100))
def test_reliance_is_a_share(value: float, below: float, above: float, limit: float) -> None:
    """Whatever the interval, reliance lies between nothing and one."""
    share = relied(InRange("a", limit), value, value - below, value + above)
    assert 0.0 <= share <= 1.0
    assert math.isfinite(share)
