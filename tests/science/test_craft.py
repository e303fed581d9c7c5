"""The registered calculations of the craft, and every outside row of this room."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.science.estimate import Category, Estimate
from advisor.science.fats import FATS
from advisor.science.outside import bad_references, outside_checks
from advisor.science.outside_craft import craft_bad_references, craft_checks
from advisor.science.registry import Calculation, Input, calculations

if TYPE_CHECKING:
    from advisor.science.outside import OutsideCheck

CRAFT = {
    name: c
    for name, c in calculations().items()
    if c.function.__module__.startswith("advisor.science.craft")
}


@pytest.mark.parametrize("row", craft_checks(), ids=lambda r: r.id)
def test_outside_row(row: OutsideCheck) -> None:
    """Each published value is met within its tolerance; the row names the source.

    Rows marked memory are from memory, not yet verified.
    """
    assert row.miss() <= row.tolerance + 1e-12, f"{row.what}: {row.value()} ({row.source})"


@pytest.mark.parametrize("row", craft_bad_references(), ids=lambda r: r.id)
def test_bad_reference_is_not_matched(row: OutsideCheck) -> None:
    """Each widely copied wrong value is missed by more than its tolerance."""
    assert row.miss() > row.tolerance


def test_row_ids_are_unique() -> None:
    """No two outside rows share an id, in these rooms or in the whole project."""
    own = [r.id for r in (*craft_checks(), *craft_bad_references())]
    assert len(own) == len(set(own))
    everywhere = {r.id: r.what for r in (*outside_checks(), *bad_references())}
    for row in (*craft_checks(), *craft_bad_references()):
        assert everywhere.get(row.id, row.what) == row.what


def _value(one: Input) -> st.SearchStrategy[object]:
    if one.unit == "word":
        return st.sampled_from(one.choices)
    low, high = one.low or 0.0, min(one.high or 1e4, 1e4)
    number = st.floats(low, high, allow_subnormal=False).map(lambda x: max(low, round(x, 3)))
    made = st.tuples(number, number, number).map(sorted)
    return number | made.map(lambda t: Estimate(t[1], t[0], t[2], one.unit))


def _arguments(c: Calculation) -> st.SearchStrategy[dict[str, object]]:
    required = {n: _value(i) for n, i in c.inputs.items() if i.required}
    optional = {n: _value(i) for n, i in c.inputs.items() if not i.required}
    return st.fixed_dictionaries(required, optional=optional)


@pytest.mark.parametrize("name", sorted(CRAFT))
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_any_input_in_range_gives_a_finite_answer_or_a_reason(
    name: str, data: st.DataObject
) -> None:
    """Inputs inside the published ranges give a finite result of the right kind or a ValueError."""
    c = CRAFT[name]
    given = data.draw(_arguments(c))
    try:
        result = c.function(**given)
    except ValueError as error:
        if len(str(error)) < 15:
            pytest.fail(f"the refusal says too little: {error}")
        return
    if c.unit == "word":
        assert isinstance(result, Category)
        assert result.value in c.choices
        assert 0.5 <= result.certainty <= 1
    else:
        assert isinstance(result, Estimate)
        assert result.unit == c.unit
        assert all(map(math.isfinite, (result.low, result.value, result.high)))
        if c.unit == "%" and name.startswith(("strip", "whey", "fat.solid", "fat.aroma")):
            assert result.low >= 0
            assert result.high <= 100


@pytest.mark.parametrize("name", sorted(CRAFT))
def test_registration_is_complete(name: str) -> None:
    """Every calculation states title, formula and source, and words have choices."""
    c = CRAFT[name]
    assert c.title
    assert c.formula
    assert c.source
    assert (c.unit == "word") == bool(c.choices)
    for one in c.inputs.values():
        assert (one.unit == "word") == bool(one.choices)


def test_the_promised_names_are_there() -> None:
    """The names that a knowledge base relies on are registered."""
    promised = {
        "fat.rate", "fat.sets_at", "fat.floats", "fat.water_strength", "strip.removal",
        "strip.milk_for_reduction", "whey.share", "whey.haze_risk", "keeping.band",
    }  # fmt: skip
    assert promised <= set(CRAFT)


def test_a_wash_in_numbers() -> None:
    """200 mL of whole milk on 800 mL of green tea punch takes roughly half the tannin or more."""
    weak = CRAFT["strip.removal"].function(drink_ml=800.0, milk_ml=200.0, base_kind="green-tea")
    assert isinstance(weak, Estimate)
    assert 45 < weak.value < 80
    strong = CRAFT["strip.removal"].function(
        drink_ml=800.0, milk_ml=200.0, base_kind="green-tea", drink_strength=40.0
    )
    assert isinstance(strong, Estimate)
    assert strong.value < weak.value


def test_plant_drinks_strip_little() -> None:
    """Oat drink does not curdle, so it strips far less than cow milk (Korean J. Food Preserv.)."""
    oat, cow = (
        CRAFT["strip.removal"].function(drink_ml=800.0, milk_ml=200.0, milk_kind=kind)
        for kind in ("oat", "whole")
    )
    assert isinstance(oat, Estimate)
    assert isinstance(cow, Estimate)
    assert oat.value < 0.1 * cow.value


def test_two_washes_take_more_than_one() -> None:
    """The same milk in two washes takes at least as much (multistage extraction, IUPAC)."""
    given = {"drink_ml": 1000.0, "milk_ml": 300.0, "base_kind": "red-wine"}
    once = CRAFT["strip.removal"].function(**given)
    twice = CRAFT["strip.removal_in_two"].function(**given)
    assert isinstance(once, Estimate)
    assert isinstance(twice, Estimate)
    assert twice.value > once.value
    assert twice.low > once.low


def test_milk_for_reduction_round_trip() -> None:
    """The milk found takes the wanted share out again."""
    milk = CRAFT["strip.milk_for_reduction"].function(
        drink_ml=1000.0, reduction=50.0, base_kind="green-tea", drink_strength=20.0
    )
    assert isinstance(milk, Estimate)
    back = CRAFT["strip.removal"].function(
        drink_ml=1000.0, milk_ml=milk.value, base_kind="green-tea", drink_strength=20.0
    )
    assert isinstance(back, Estimate)
    # Milk solids and contraction shift the strength of the mixture a little.
    assert back.value == pytest.approx(50, abs=2)


def test_grams_and_millilitres_of_fat_agree() -> None:
    """The same fat by weight or by volume gives the same rate."""
    for kind in FATS:
        by_g = CRAFT["fat.rate"].function(fat_kind=kind, fat_g=100.0, spirit_ml=750.0)
        assert isinstance(by_g, Estimate)
        ml = by_g.value * 7.5
        by_ml = CRAFT["fat.rate"].function(fat_kind=kind, fat_ml=ml, spirit_ml=750.0)
        assert isinstance(by_ml, Estimate)
        assert by_ml.value == pytest.approx(by_g.value)


def test_keeping_band_without_ph_stays_cold() -> None:
    """Without a pH no strength escapes the cold (Food Code gives alcohol no credit)."""
    for strength in (0.0, 15.0, 60.0):
        band = CRAFT["keeping.band"].function(final_strength=strength)
        assert isinstance(band, Category)
        assert band.value.startswith("cold-")


def test_import_stays_light() -> None:
    """The catalogue loads no statistics library, label table or tasting module."""
    code = (
        "import sys, advisor.science.catalogue;"
        "heavy = ('scipy', 'numpy', 'statistics', 'advisor.science.labels',"
        " 'advisor.science.tasting', 'advisor.science.keeping');"
        "sys.exit(','.join(m for m in heavy if m in sys.modules) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
