"""Native whey protein after heat (published rows are in the outside checks)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.whey_protein import (
    native_alpha_lactalbumin,
    native_beta_lactoglobulin,
    native_whey_protein,
)

KINDS = (native_beta_lactoglobulin, native_alpha_lactalbumin, native_whey_protein)


@given(st.floats(0.0, 150.0), st.floats(0.0, 150.0), st.floats(0.0, 600.0))
def test_heat_and_time_only_take_away(a: float, b: float, minutes: float) -> None:
    """Hotter or longer never leaves more native protein, and shares stay shares."""
    low, high = sorted((a, b))
    for kind in KINDS:
        mild, hard = kind(low, minutes), kind(high, minutes)
        assert hard.value <= mild.value + 1e-9
        assert kind(low, minutes / 2).value >= mild.value - 1e-9
        assert 0.0 <= hard.low <= hard.value <= hard.high <= 100.0


def test_pasteurising_spares_most() -> None:
    """72 degC for 15 s leaves over 95 % of it native."""
    assert native_whey_protein(72.0, 0.25).value > 95.0


def test_severe_heat_matches_the_review() -> None:
    """90-95 degC for 5 min denatures 70-80 % of whey protein (Encyclopedia 2021, 1(4)), +-12."""
    left = native_whey_protein(92.5, 5.0).value
    assert 8.0 <= left <= 42.0
    assert native_beta_lactoglobulin(92.5, 5.0).value < 12.0


def test_out_of_range_is_refused() -> None:
    """The error names the argument."""
    with pytest.raises(ValueError, match="temperature"):
        native_whey_protein(200.0, 5.0)
    with pytest.raises(ValueError, match="time"):
        native_whey_protein(80.0, -1.0)
