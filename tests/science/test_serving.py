"""Ethanol per serve and standard drinks."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.serving import BASES, GRAMS, ethanol_grams, ethanol_ml, standard_drinks


def test_every_basis_is_named() -> None:
    """Each yardstick has its grams and its words."""
    assert set(GRAMS) == set(BASES) == {"us", "uk", "au"}
    assert GRAMS["uk"] == pytest.approx(7.89, abs=0.005)  # 10 mL, UK definition


@given(st.floats(0.0, 5000.0), st.floats(0.0, 100.0))
def test_bases_differ_only_by_their_grams(volume: float, strength: float) -> None:
    """The same serve counts in the ratio of the grams."""
    grams = ethanol_grams(volume, strength)
    for basis, per in GRAMS.items():
        assert standard_drinks(volume, strength, basis) * per == pytest.approx(grams, abs=1e-9)
    assert ethanol_ml(volume, strength) * 0.789239 == pytest.approx(grams, rel=1e-5, abs=1e-9)


def test_unknown_basis_is_refused() -> None:
    """The error lists the bases there are."""
    with pytest.raises(ValueError, match="au, uk, us"):
        standard_drinks(50.0, 40.0, "fr")


def test_australian_drink_is_ten_grams() -> None:
    """10 g (from memory, not yet verified) is 12.67 mL of ethanol."""
    assert standard_drinks(12.67, 100.0, "au") == pytest.approx(1.0, abs=0.001)
