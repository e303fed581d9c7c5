"""Density, strength, mixing, freezing and flash point of ethanol and water."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import example, given
from hypothesis import strategies as st

from advisor.science import oiml
from advisor.science.ethanol import (
    density,
    density_of_mass_percent,
    mass_percent,
    mass_percent_at_60f,
    strength_from_density,
    strength_of_mass_percent,
    strength_of_proof,
    strength_with_sugar,
    volume_at,
)
from advisor.science.flash import fire_category, flash_point
from advisor.science.freezing import (
    freezing_point,
    ice_mass_share,
    lowest_liquid_strength,
)
from advisor.science.mixing import (
    Part,
    mix,
    spirit_to_raise,
    strength_after_water_mass,
    water_to_dilute,
)

STRENGTHS = st.floats(0.0, 100.0)
VOLUMES = st.floats(0.1, 10_000.0)


@pytest.mark.parametrize("percent", range(5, 64, 6))
@pytest.mark.parametrize("temperature", [4.0, 20.0, 30.0])
def test_density_agrees_with_an_independent_fit(percent: int, temperature: float) -> None:
    """Within 0.8 kg/m3 of Melinder's fit as computed by CoolProp, whose own error is 0.3 at 20."""
    share = mass_percent(percent) / 100.0
    other = PropsSI("D", "T", temperature + 273.15, "P", 101325, f"INCOMP::MEA[{share:.6f}]")
    assert density(percent, temperature) == pytest.approx(other, abs=0.8)


@pytest.mark.parametrize("percent", range(5, 61, 5))
def test_freezing_agrees_with_an_independent_fit(percent: int) -> None:
    """Within 0.15 degC of Melinder's freezing curve as computed by CoolProp."""
    share = mass_percent(percent) / 100.0
    other = PropsSI("T_freeze", "T", 300, "P", 101325, f"INCOMP::MEA[{share:.6f}]") - 273.15
    assert freezing_point(percent).value == pytest.approx(other, abs=0.15)


def test_coefficients_have_the_published_shape() -> None:
    """12 A, 6 B and 11, 10, 9, 4, 2 C, the first C positive (OIML R 22)."""
    assert (len(oiml.A), len(oiml.B)) == (12, 6)
    assert [len(row) for row in oiml.C] == [11, 10, 9, 4, 2]
    assert oiml.C[0][0] == 0.1693443461530087
    assert oiml.B[0] == -0.20618513


@pytest.mark.parametrize("strength", [0, 5, 10, 12.5, 15, 20, 25, 30])
def test_frozen_states_are_refused(strength: float) -> None:
    """At -18 degC everything below the freezing curve raises, though the formula has a number."""
    with pytest.raises(ValueError, match="freeze"):
        density(strength, -18.0)


@pytest.mark.parametrize(
    ("strength", "temperature", "word"),
    [(-0.1, 20, "strength"), (100.1, 20, "strength"), (40, 41, "temperature"),
     (40, -21, "temperature"), (math.nan, 20, "strength"), (40, math.inf, "temperature")],
)  # fmt: skip
def test_out_of_range_is_refused(strength: float, temperature: float, word: str) -> None:
    """The error names the argument."""
    with pytest.raises(ValueError, match=word):
        density(strength, temperature)


@given(STRENGTHS)
def test_strength_round_trips_through_mass(strength: float) -> None:
    """% by volume to % by mass and back is exact."""
    assert strength_of_mass_percent(mass_percent(strength)) == pytest.approx(strength, abs=1e-8)


@given(STRENGTHS, st.floats(0.0, 40.0))
def test_strength_round_trips_through_density(strength: float, temperature: float) -> None:
    """Strength to density and back is exact at every temperature above freezing."""
    rho = density(strength, temperature)
    assert strength_from_density(rho, temperature) == pytest.approx(strength, abs=1e-5)


@given(STRENGTHS, STRENGTHS, st.floats(0.0, 40.0))
def test_density_falls_with_strength(a: float, b: float, temperature: float) -> None:
    """Stronger is never denser."""
    low, high = sorted((a, b))
    assert density(high, temperature) <= density(low, temperature) + 1e-9


@given(st.floats(15.0, 100.0), st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_warm_spirit_takes_more_room(strength: float, a: float, b: float) -> None:
    """Volume never shrinks with warmth from 15 %vol (weaker drinks share water's 4 degC turn)."""
    low, high = sorted((a, b))
    assert volume_at(1000.0, strength, high) >= volume_at(1000.0, strength, low) - 1e-6


@given(st.lists(st.tuples(VOLUMES, STRENGTHS), min_size=1, max_size=6))
def test_mixing_conserves_ethanol(parts: list[tuple[float, float]]) -> None:
    """Ethanol in equals ethanol out, and the mixture never expands by more than rounding."""
    mixture = mix([Part(volume, strength) for volume, strength in parts])
    poured = sum(volume * strength for volume, strength in parts)
    assert mixture.volume * mixture.strength == pytest.approx(poured, rel=1e-9, abs=1e-9)
    assert math.isfinite(mixture.volume)
    assert mixture.contraction >= -0.005 * sum(volume for volume, _ in parts)


@given(st.lists(st.tuples(VOLUMES, STRENGTHS), min_size=2, max_size=5))
def test_mixing_is_the_same_in_any_order(parts: list[tuple[float, float]]) -> None:
    """The order of pouring does not matter."""
    forward = mix([Part(v, s) for v, s in parts])
    backward = mix([Part(v, s) for v, s in reversed(parts)])
    assert forward.strength == pytest.approx(backward.strength, abs=1e-9)


@given(st.floats(10.0, 5000.0), st.floats(1.0, 100.0), st.floats(0.02, 1.0))
def test_dilution_reaches_its_target(volume: float, strength: float, part: float) -> None:
    """Adding the water that was asked for gives the strength that was asked for."""
    target = strength * part
    water = water_to_dilute(volume, strength, target)
    assert water >= 0.0
    assert mix((Part(volume, strength), Part(water))).strength == pytest.approx(target, abs=1e-6)


@example(10.0, 2.2250738585e-313, 5e-324, 60.0)
@given(st.floats(10.0, 5000.0), st.floats(0.0, 50.0), st.floats(0.0, 1.0), st.floats(60.0, 96.0))
def test_raising_reaches_its_target(
    volume: float, strength: float, part: float, spirit: float
) -> None:
    """Adding the spirit that was asked for gives the strength that was asked for."""
    target = strength + part * (55.0 - strength)
    more = spirit_to_raise(volume, strength, target, spirit)
    mixture = mix((Part(volume, strength), Part(more, spirit)))
    assert mixture.strength == pytest.approx(target, abs=1e-6)


@pytest.mark.parametrize("target", [0.0, -1.0, 41.0])
def test_dilution_refuses_a_target_above_the_spirit(target: float) -> None:
    """Water cannot make a spirit stronger, nor free of alcohol."""
    with pytest.raises(ValueError, match="target strength"):
        water_to_dilute(750.0, 40.0, target)


def test_raising_refuses_a_weak_spirit() -> None:
    """A spirit at or below the target cannot raise anything to it."""
    with pytest.raises(ValueError, match="target strength"):
        spirit_to_raise(750.0, 30.0, 40.0, 40.0)


def test_an_empty_mixture_is_refused() -> None:
    """Nothing poured is an error, not a division by zero."""
    with pytest.raises(ValueError, match="volume"):
        mix([Part(0.0)])


def test_milk_solids_take_room_but_no_alcohol() -> None:
    """The inert share of milk neither loses ethanol nor changes the strength by over 0.6 %vol."""
    plain = mix((Part(1000, 40), Part(250)))
    milky = mix((Part(1000, 40), Part(250, inert=0.10)))
    assert milky.ethanol == plain.ethanol
    assert abs(milky.strength - plain.strength) < 0.6


def test_brown_butter_brings_no_water() -> None:
    """Without water in the fat the spirit stays at its strength (derived)."""
    assert strength_after_water_mass(750, 40, 0.0).strength == pytest.approx(40.0)


@given(st.floats(0.0, 67.0), st.floats(0.0, 67.0))
def test_freezing_falls_with_strength(a: float, b: float) -> None:
    """Stronger never freezes sooner."""
    low, high = sorted((a, b))
    assert freezing_point(high).value <= freezing_point(low).value + 1e-9


@given(st.floats(-42.0, -0.5))
def test_lowest_liquid_strength_inverts_freezing(temperature: float) -> None:
    """The weakest liquid spirit at a temperature begins to freeze just there."""
    strength = lowest_liquid_strength(temperature).value
    assert freezing_point(min(67.0, strength)).value == pytest.approx(temperature, abs=0.01)


@given(STRENGTHS, st.floats(-43.0, 20.0))
def test_ice_share_is_a_share(strength: float, temperature: float) -> None:
    """Ice is 0 to 100 % of the mass, its interval holds it, and stronger never has more."""
    ice = ice_mass_share(strength, temperature)
    assert 0.0 <= ice.low <= ice.value <= ice.high <= 100.0
    assert ice_mass_share(min(100.0, strength + 5.0), temperature).value <= ice.value + 1e-9


@given(st.floats(10.0, 100.0))
def test_flash_point_is_finite_and_held(strength: float) -> None:
    """The interval holds the value, and stronger flashes no later than 1 degC above."""
    flash = flash_point(strength)
    assert 10.0 < flash.low <= flash.value <= flash.high < 70.0
    assert flash_point(min(100.0, strength + 5.0)).value <= flash.value + 1.0


def test_bar_spirit_is_a_category_three_liquid() -> None:
    """40 %vol flashes at 26-28 degC: category 3 of 29 CFR 1910.106(a)(19); 95 % is category 2."""
    assert fire_category(40.0).value == "category-3"
    assert fire_category(95.0).value == "category-2"
    assert fire_category(60.0).certainty < 0.75  # the sources disagree just there


def test_weak_drinks_have_no_flash_point_here() -> None:
    """Below 10 %vol the sources are silent, so the call is refused."""
    with pytest.raises(ValueError, match="strength"):
        flash_point(5.0)


def test_sugar_is_taken_out_of_the_reading() -> None:
    """A sweetened drink made up on paper reads back within the stated half interval."""
    solvent = 1000.0 - 200.0 * 0.62
    made = mix((Part(500, 40.0), Part(solvent - 500.0)))
    rho = (density(made.strength) * made.volume / 1000.0 + 200.0) / (made.volume + 124.0) * 1000.0
    true = 100.0 * 200.0 / (made.volume + 124.0)
    strength, half = strength_with_sugar(rho, 200.0 * 1000.0 / (made.volume + 124.0))
    assert abs(strength - true) <= half
    assert half == pytest.approx(2.3, abs=0.05)


def test_proof_on_both_bases() -> None:
    """US proof is twice the strength; the 60 degF basis moves it by 0.07 %vol, rounded, at most."""
    assert strength_of_proof(100.0) == 50.0
    for strength in range(5, 100, 5):
        other = strength_of_mass_percent(mass_percent_at_60f(strength))
        assert abs(other - strength) <= 0.075


def test_density_by_mass_percent_and_strength_agree() -> None:
    """Both doors lead to the same formula."""
    assert density_of_mass_percent(mass_percent(40.0), 25.0) == density(40.0, 25.0)
