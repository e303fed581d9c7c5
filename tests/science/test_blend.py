"""pH of sour liquids poured together, against published pH and the balance behind it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.blend import (
    acid_behind_ph,
    blend_ph,
    citric_drink,
    ph_of_drink,
    whey_like,
)
from advisor.science.equilibrium import solve_ph


def test_lemon_juice_has_its_ph():
    """48 g/L citric with the salts of lemon juice: pH 2.0 to 2.6 (Penniston et al. 2008)."""
    assert 2.0 <= ph_of_drink("lemon-juice", 1.0) <= 2.6


def test_a_liquid_alone_keeps_its_ph():
    """A drink or a whey of known pH, blended with nothing, has that pH."""
    assert blend_ph([citric_drink(100.0, 6.0, 2.9)]) == pytest.approx(2.9, abs=1e-3)
    assert blend_ph([whey_like(100.0, 4.0, 4.5)]) == pytest.approx(4.5, abs=1e-3)


def test_a_blend_is_the_drink_of_the_mean_composition():
    """Two citric drinks poured together are one drink of their mean acid and salts.

    The balance behind it, ``solve_ph``, is held against PHREEQC in ``test_equilibrium``.
    """
    one, other = citric_drink(100.0, 4.0, 2.8), citric_drink(300.0, 8.0, 3.4)
    acids = ((one.acids[0][0], 0.25 * one.acids[0][1] + 0.75 * other.acids[0][1]),)
    strong = 0.25 * one.strong + 0.75 * other.strong
    assert blend_ph([one, other]) == pytest.approx(solve_ph(acids, strong, guess=3.0).ph, abs=1e-4)


@given(
    acid=st.floats(0.5, 20.0), whey=st.floats(1.0, 400.0), ph=st.floats(2.3, 3.4),
)  # fmt: skip
def test_a_blend_lies_between_its_parts(acid, whey, ph):
    """Drink and whey come to a pH between theirs, nearer to the whey the more there is of it."""
    drink = citric_drink(100.0, acid, ph)
    found = blend_ph([drink, whey_like(whey, 4.0, 4.5)])
    assert ph - 0.02 <= found <= 4.52
    assert blend_ph([drink, whey_like(whey * 1.5, 4.0, 4.5)]) >= found - 1e-3


@pytest.mark.parametrize("ph", [2.0, 2.5, 3.0])
def test_the_least_acid_behind_a_ph_gives_that_ph(ph):
    """Citric acid of that amount alone has that pH; with salts it would take more."""
    found = acid_behind_ph(ph)
    assert found.low == found.value < found.high
    back = solve_ph((citric_drink(1.0, found.value).acids[0],), guess=3.0).ph
    assert back == pytest.approx(ph, abs=0.01)


def test_nothing_has_no_ph():
    """Parts without volume are refused."""
    with pytest.raises(ValueError, match="volume"):
        blend_ph([citric_drink(0.0, 5.0)])
