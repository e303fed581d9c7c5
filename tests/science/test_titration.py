"""Fitting a person's own milk or drink from a few readings."""

from __future__ import annotations

import random

import pytest

from advisor.science.acids import CITRIC, CITRIC_MASS
from advisor.science.equilibrium import protons_released, solve_ph
from advisor.science.milk_buffer import mix_ph
from advisor.science.titration import fit_drink, fit_milk

DOSES = (0.0, 0.2, 0.4, 0.6, 0.8)


def _readings(scale: float, step: float, offset: float = 0.0) -> list[tuple[float, float]]:
    """Citric acid into 100 mL of milk, read in steps."""
    points = []
    for dose in DOSES:
        ph = mix_ph(0.0, 100.0, "whole", (("citric", dose),), scale=scale).ph + offset
        points.append((dose, round(ph / step) * step))
    return points


@pytest.mark.parametrize("scale", [0.6, 0.8, 1.0, 1.3, 1.7])
@pytest.mark.parametrize("step", [0.01, 0.2, 0.5])
def test_the_milk_is_recovered(scale: float, step: float) -> None:
    """The interval holds the buffering that made the readings, with strips as with a meter."""
    fit = fit_milk(_readings(scale, step), milk_ml=100.0, step=step)
    assert fit.buffering.low <= scale <= fit.buffering.high
    assert fit.buffering.value == pytest.approx(scale, rel=0.25 if step == 0.5 else 0.1)


def test_a_finer_tool_gives_a_narrower_answer() -> None:
    """A meter's interval is narrower than a strip's."""
    meter = fit_milk(_readings(1.2, 0.01), milk_ml=100.0, step=0.01).buffering
    strip = fit_milk(_readings(1.2, 0.5), milk_ml=100.0, step=0.5).buffering
    assert meter.high - meter.low < 0.7 * (strip.high - strip.low)


def test_one_misread_strip_does_not_carry_it_away() -> None:
    """A reading that is 1.5 too high moves the answer by under a quarter."""
    points = _readings(1.0, 0.2)
    points[2] = (points[2][0], points[2][1] + 1.5)
    assert fit_milk(points, milk_ml=100.0, step=0.2).buffering.value == pytest.approx(1.0, abs=0.25)


def test_intervals_keep_their_promise() -> None:
    """With noise of the tool's size, at least 85 of 100 intervals hold the truth (95 % nominal)."""
    chance = random.Random(4)  # a fixed seed: the same hundred titrations each time
    held = 0
    for _ in range(100):
        scale = chance.uniform(0.7, 1.4)
        points = [(dose, ph + chance.gauss(0.0, 0.06)) for dose, ph in _readings(scale, 0.001)]
        buffering = fit_milk(points, milk_ml=100.0, step=0.1).buffering
        held += buffering.low <= scale <= buffering.high
    assert held >= 85


def test_alcohol_is_taken_off_the_reading() -> None:
    """Readings pushed up by 20 %vol give the same milk when the strength is told."""
    lifted = [(dose, ph + 0.2) for dose, ph in _readings(1.0, 0.01)]
    told = fit_milk(lifted, milk_ml=100.0, step=0.01, strength=20.0)
    assert told.buffering.value == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize(("grams", "cation"), [(2.0, 0.3), (5.0, 0.8), (0.5, 0.2), (12.0, 0.5)])
def test_the_drink_is_recovered(grams: float, cation: float) -> None:
    """The interval holds the own acid of a drink made up on paper, cations taken off."""
    points = []
    for dose in (0.0, 0.1, 0.3, 0.6):
        total = (grams + 10.0 * dose) / CITRIC_MASS
        ph = solve_ph([(CITRIC, total)], cation * grams / CITRIC_MASS, guess=3.0).ph
        points.append((dose, round(ph, 2)))
    full = protons_released(CITRIC, 4.6)
    truth = grams * (full - cation) / full
    fit = fit_drink(points, drink_ml=100.0, step=0.01)
    assert fit.own_acid.low <= truth <= fit.own_acid.high
    assert fit.own_acid.value == pytest.approx(truth, rel=0.35)


@pytest.mark.parametrize("points", [[], [(0.0, 6.7)], [(0.5, 5.0), (0.5, 5.1)]])
def test_too_few_points_are_refused(points: list[tuple[float, float]]) -> None:
    """Fewer than two different doses cannot be fitted."""
    with pytest.raises(ValueError, match="two different doses"):
        fit_milk(points, milk_ml=100.0)
    with pytest.raises(ValueError, match="two different doses"):
        fit_drink(points, drink_ml=100.0)


def test_a_titration_needs_an_acid() -> None:
    """Naming no acid is refused."""
    with pytest.raises(ValueError, match="needs an acid"):
        fit_milk([(0.0, 6.7), (1.0, 5.0)], milk_ml=100.0, acid="none")


@pytest.mark.parametrize("reading", [float("nan"), 20.0])
def test_impossible_readings_are_refused(reading: float) -> None:
    """A reading outside any strip is refused by name."""
    with pytest.raises(ValueError, match="reading"):
        fit_milk([(0.0, 6.7), (0.5, reading)], milk_ml=100.0)
