"""Warming and cooling: Newton's law against a textbook example, an integrator and a library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from advisor.science.ethanol import mass_percent
from advisor.science.heat import (
    FILMS,
    SHAPES,
    heat_capacity,
    heating_minutes,
    mixed_temperature,
    newton_time,
    through_wall_minutes,
    vessel_surface,
)


def test_a_thermocouple_warms_in_five_seconds():
    """Time constant 1 s, 25 to 199 degC in gas at 200 degC: 5.2 s.

    Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, example 5.1; from memory, not
    yet verified, and the logarithm ln(175/1) = 5.165 is plain arithmetic.
    """
    assert newton_time(1.0, 25.0, 199.0, 200.0) == pytest.approx(5.2, abs=0.05)


def test_newtons_law_is_what_an_integrator_finds():
    """dT/dt = (around - T)/constant, integrated by scipy, arrives when the formula says."""
    constant, start, end, around = 40.0, 25.0, 6.0, 4.0
    hours = newton_time(constant, start, end, around)
    solved = solve_ivp(
        lambda _t, y: (around - y) / constant, (0.0, hours), [start], rtol=1e-9, atol=1e-9
    )
    assert solved.y[0][-1] == pytest.approx(end, abs=1e-5)


@pytest.mark.parametrize("strength", [0.0, 10.0, 20.0, 40.0, 55.0])
def test_heat_capacity_agrees_with_a_property_library(strength):
    """Within 1.5 % of CoolProp's ethanol-water brine (Melinder 2010), 0 to 60 % by mass."""
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    share = max(1e-4, mass_percent(strength) / 100.0)
    known = coolprop.PropsSI("C", "T", 293.15, "P", 101325, f"INCOMP::MEA[{share}]") / 1000.0
    assert heat_capacity(strength) == pytest.approx(known, rel=0.015)


def test_pure_ethanol_takes_half_the_heat_of_water():
    """2.43 J/(g K), handbooks; recalled."""
    assert heat_capacity(100.0) == pytest.approx(2.43, abs=0.02)


def test_mixing_like_with_like_is_the_mean():
    """Equal volumes of water at 20 and 60 degC come to 40."""
    assert mixed_temperature(((100.0, 0.0, 20.0), (100.0, 0.0, 60.0))) == pytest.approx(40.0)


@given(
    st.lists(
        st.tuples(st.floats(1.0, 1e4), st.floats(0.0, 60.0), st.floats(0.0, 90.0)),
        min_size=1,
        max_size=4,
    )
)
def test_a_mix_is_neither_warmer_nor_colder_than_its_parts(parts):
    """The temperature of a mix lies between the coldest and the warmest part."""
    mixed = mixed_temperature(tuple(parts))
    assert min(t for *_, t in parts) - 1e-9 <= mixed <= max(t for *_, t in parts) + 1e-9


def test_eight_times_the_volume_takes_twice_as_long():
    """In one shape of vessel time goes with volume over surface: the cube root of the volume."""
    small = through_wall_minutes(500.0, 40.0, 20.0, 5.0, 4.0, place="fridge").value
    large = through_wall_minutes(4000.0, 40.0, 20.0, 5.0, 4.0, place="fridge").value
    assert large / small == pytest.approx(2.0, rel=1e-9)


def test_a_tray_cools_sooner_than_a_jar_and_water_sooner_than_air():
    """More surface and a better film both cool faster."""
    jar = through_wall_minutes(2000.0, 20.0, 25.0, 8.0, 4.0)
    tray = through_wall_minutes(2000.0, 20.0, 25.0, 8.0, 4.0, shape="tray")
    bath = through_wall_minutes(2000.0, 20.0, 25.0, 8.0, 4.0, place="cold-water")
    assert tray.value < 0.7 * jar.value
    assert bath.high < jar.low


def test_the_surface_of_a_cylinder():
    """One litre as tall as wide: 100.5 x ... = pi d^2 (1/2 + h/d), by the plain formula."""
    width = (4.0 * 1000.0 / (math.pi * SHAPES["jar"])) ** (1 / 3)
    height = SHAPES["jar"] * width
    whole = 2 * math.pi * (width / 2) ** 2 + math.pi * width * height
    assert vessel_surface(1000.0) == pytest.approx(whole)


def test_a_litre_of_milk_warms_in_some_minutes():
    """1 L from 5 to 60 degC takes 230 kJ: five minutes with half of 1500 W, 3.4 to 8.5."""
    found = heating_minutes(1000.0, 5.0, 60.0)
    assert found.value == pytest.approx(4.18 * 998.2 * 55.0 / (1500.0 * 0.5) / 60.0, rel=1e-3)
    assert found.low < found.value < found.high


@pytest.mark.parametrize(
    ("start", "end", "around"), [(20.0, 3.0, 4.0), (20.0, 25.0, 4.0), (20.0, 4.0, 4.0)]
)
def test_what_is_never_reached_is_refused(start, end, around):
    """Nothing cools below its surroundings, nor warms in the cold."""
    with pytest.raises(ValueError, match="end is"):
        newton_time(10.0, start, end, around)


def test_unknown_words_are_refused():
    """Places and shapes are those listed, and the message lists them."""
    with pytest.raises(ValueError, match="place must be one of"):
        through_wall_minutes(100.0, 0.0, 20.0, 5.0, 4.0, place="cellar")
    with pytest.raises(ValueError, match="shape must be one of"):
        vessel_surface(100.0, "sphere")
    assert set(FILMS) >= {"fridge", "freezer"}


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1.0])
def test_bad_numbers_are_refused(bad):
    """No NaN and no negative volume comes through."""
    with pytest.raises(ValueError, match="it must lie between"):
        heating_minutes(bad, 5.0, 60.0)
