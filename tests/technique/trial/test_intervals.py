"""d' with an exact interval, against scipy and a published example."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from advisor.science import tasting

SIDED = [m for m in tasting.METHODS if m != "paired-two-sided"]


@given(st.integers(1, 120), st.data(), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_share_interval_is_clopper_pearsons(n: int, data: st.DataObject, level: float) -> None:
    """Limits equal scipy's exact binomial interval."""
    k = data.draw(st.integers(0, n))
    oracle = stats.binomtest(k, n).proportion_ci(level, "exact")
    assert tasting.share_interval(k, n, level) == pytest.approx(
        (oracle.low, oracle.high), abs=1e-8
    )


def test_published_example() -> None:
    """10 of 15 in a 3-AFC is d' 1.116 (a statistics package's manual; from memory, unverified).

    The limits are those of the exact share through the same scale, checked by scipy.
    """
    found = tasting.d_prime_interval("3-afc", 10, 15)
    assert found.value == pytest.approx(1.116, abs=5e-4)
    oracle = stats.binomtest(10, 15).proportion_ci(0.95, "exact")
    assert found.high is not None
    assert tasting.share_correct("3-afc", found.high) == pytest.approx(oracle.high, abs=1e-6)
    assert tasting.share_correct("3-afc", found.low) == pytest.approx(oracle.low, abs=1e-6)


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(SIDED), st.integers(1, 40), st.data())
def test_interval_holds_its_value(method: str, n: int, data: st.DataObject) -> None:
    """low <= value <= high, none of them negative, None only for no limit."""
    k = data.draw(st.integers(0, n))
    found = tasting.d_prime_interval(method, k, n)
    value = 99.0 if found.value is None else found.value
    high = 99.0 if found.high is None else found.high
    assert 0 <= found.low <= value + 1e-9
    assert value <= high + 1e-9
    assert (found.value is None) == (k == n)


def test_a_preference_has_no_d_prime() -> None:
    """Without a right answer there is no d'."""
    with pytest.raises(ValueError, match="right answer"):
        tasting.d_prime_interval("paired-two-sided", 3, 9)
