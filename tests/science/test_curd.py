"""Will it curdle, and what the curd weighs and keeps."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.curd import (
    OUTCOMES,
    ethanol_clot_chance,
    haze_zone,
    onset_ph,
    will_curdle,
)
from advisor.science.curd_yield import (
    RECIPE_YIELD,
    adjusted_yield,
    curd_mass,
    curd_moisture,
    curd_solids,
    drink_yield,
    liquid_held,
    van_slyke_price,
    whey_protein_left,
)
from advisor.science.estimate import Estimate
from advisor.science.milks import MILKS
from advisor.science.outside_recipes import RECIPES, UNDECIDED, Recorded, outcome

ORDER = ("none", "partial", "full")


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.id)
def test_published_recipes_curdle(recipe: Recorded) -> None:
    """Recorded as curdled, comes out as a curd, but for four that the record cannot decide."""
    expected = outcome(recipe)
    if recipe.id in UNDECIDED:
        assert expected == "none", UNDECIDED[recipe.id]
    else:
        assert expected in ("full", "partial")


@given(
    st.floats(2.0, 7.0), st.floats(0.0, 2.0), st.sampled_from(sorted(MILKS)), st.floats(0.0, 95.0)
)
def test_more_acid_never_means_less_curd(
    ph: float, drop: float, kind: str, temperature: float
) -> None:
    """Lowering the pH never turns a better split into a worse one."""
    before = will_curdle(ph, kind, temperature=temperature).outcome.value
    after = will_curdle(ph - drop, kind, temperature=temperature).outcome.value
    assert ORDER.index(after) >= ORDER.index(before)


@given(
    st.floats(0.0, 8.0), st.floats(0.0, 1.0), st.sampled_from(sorted(MILKS)), st.floats(0.0, 60.0),
    st.floats(-2.0, 100.0),
)  # fmt: skip
def test_a_verdict_is_always_whole(
    ph: float, half: float, kind: str, strength: float, temperature: float
) -> None:
    """Every mix gets a known word, a certainty of 0.5 to 1 and at least one reason."""
    verdict = will_curdle(
        Estimate(ph, ph - half, ph + half), kind, strength=strength, temperature=temperature
    )
    assert verdict.outcome.value in OUTCOMES
    assert 0.5 <= verdict.outcome.certainty <= 1.0
    assert verdict.reasons
    assert verdict.full_below <= verdict.onset_below


def test_doubt_about_the_ph_is_doubt_about_the_curd() -> None:
    """A wide reading near a limit is less certain than a narrow one."""
    narrow = will_curdle(Estimate(4.4, 4.35, 4.45)).outcome
    wide = will_curdle(Estimate(4.4, 3.6, 5.2)).outcome
    assert narrow.value == wide.value == "full"
    assert narrow.certainty > wide.certainty


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_more_alcohol_clots_sooner(a: float, b: float) -> None:
    """The chance of a clot never falls with strength; goat is never later than cow."""
    low, high = sorted((a, b))
    for kind in ("whole", "goat", "soy"):
        assert ethanol_clot_chance(kind, low) <= ethanol_clot_chance(kind, high)
    assert ethanol_clot_chance("goat", low) >= ethanol_clot_chance("whole", low) - 1e-9


def test_alcohol_limits_follow_the_rule() -> None:
    """Below 33 %vol cow milk needs acid, above 42 it clots; goat 22 and 35 (derived)."""
    assert ethanol_clot_chance("whole", 32.9) == 0.0
    assert ethanol_clot_chance("whole", 42.0) >= 0.9
    assert ethanol_clot_chance("goat", 21.0) < 0.11
    assert ethanol_clot_chance("goat", 35.0) > 0.95


def test_alcohol_lifts_the_first_flakes() -> None:
    """More alcohol flocculates at a higher pH (Huppertz 2022: direction; the size is judgement)."""
    assert onset_ph(20.0, "whole", 10.0) > onset_ph(20.0, "whole", 0.0)


def test_cold_and_heat_treatment_are_told() -> None:
    """Below 8 degC the clot may wait; long-life milk gives sandy curd (thesis; Zoller 1921)."""
    reasons = " ".join(will_curdle(4.4, "long-life", temperature=4.0).reasons)
    assert "8 degC" in reasons
    assert "sandier" in reasons


def test_soy_lets_go_earlier_than_casein() -> None:
    """Soy sets near pH 5.5 (coffee-trade texts; tofu 5.7-6.4), where cow milk only begins to."""
    assert will_curdle(5.4, "soy").outcome.value == "full"
    assert will_curdle(5.4, "whole").outcome.value == "none"


@pytest.mark.parametrize("kind", ["oat", "almond", "coconut", "rice"])
def test_drinks_without_casein_do_not_wash(kind: str) -> None:
    """No acid makes a curd of them."""
    assert will_curdle(4.0, kind).outcome.value == "none"


def test_haze_zones_tile_the_scale() -> None:
    """Safe to 3.6, risk 4.0-5.2, otherwise it depends (LaClair & Etzel 2009)."""
    words = [haze_zone(ph).value for ph in (3.0, 3.6, 3.8, 4.0, 4.6, 5.2, 5.3, 6.7)]
    assert words == ["clear", "clear", "depends", "risk", "risk", "risk", "depends", "depends"]


@given(st.floats(1.0, 5000.0), st.sampled_from(sorted(MILKS)), st.floats(0.0, 94.0))
def test_curd_is_solids_and_liquid(volume: float, kind: str, moisture: float) -> None:
    """Wet curd less its liquid is its solids, and never weighs more than twice the milk's share."""
    wet, liquid = curd_mass(volume, kind, moisture), liquid_held(volume, kind, moisture)
    assert wet - liquid == pytest.approx(curd_solids(volume, kind), rel=1e-9)


def test_cream_and_skim_curds_differ_by_fat() -> None:
    """Skim gives the protein of whole without its fat (composition tables)."""
    assert curd_solids(1000, "skim") < 0.6 * curd_solids(1000, "whole")
    assert curd_solids(1000, "oat") == 0.0


def test_moisture_ranges() -> None:
    """78 % (75-82) drained cold, 50 % (48-55) hot or pressed (cottage, queso blanco, paneer)."""
    cold, hot, pressed = curd_moisture(20), curd_moisture(75), curd_moisture(20, pressed=True)
    assert (cold.value, cold.low, cold.high) == (78.0, 75.0, 82.0)
    assert (hot.value, hot.low, hot.high) == (50.0, 48.0, 55.0)
    assert pressed == hot


@given(st.floats(10.0, 5000.0), st.floats(0.0, 0.6))
def test_yield_never_exceeds_the_mix(mix: float, share: float) -> None:
    """Value and interval stay between nothing and the mix less what the curd holds."""
    held = 0.22 * mix * share
    drink = drink_yield(mix, mix * share, held)
    assert 0.0 <= drink.low <= drink.value <= drink.high <= mix - held + 1e-9


def test_yield_holds_the_recorded_range() -> None:
    """With a quarter of milk: inside the recipes' 61-82 %, and the arithmetic 94 % is kept."""
    drink = drink_yield(1000.0, 250.0, 56.0)
    assert RECIPE_YIELD.low <= drink.value / 10.0 <= RECIPE_YIELD.high
    assert drink.low / 10.0 <= 63.0
    assert drink.high / 10.0 == pytest.approx(94.4, abs=0.1)


@pytest.mark.parametrize(("share", "percent"), [(24, 73), (20, 79), (26, 82), (20, 69), (36, 63)])
def test_recorded_yields_lie_in_the_interval(share: float, percent: float) -> None:
    """Five recipes that state both volumes (milk share, yield as % of the mix)."""
    drink = drink_yield(1000.0, 10.0 * share, 2.2 * share)
    assert drink.low <= 10.0 * percent <= drink.high
    assert drink.value == pytest.approx(10.0 * percent, abs=100.0)


def test_heat_knits_whey_protein_in() -> None:
    """Hot acid leaves about 10 % of the protein, cold about 22 (Guelph; Parnell-Clunies 1985)."""
    assert whey_protein_left("whole", 82.0).value < whey_protein_left("long-life").value
    assert whey_protein_left("long-life").value < whey_protein_left("whole").value


def test_dairy_formulas_refuse_nonsense() -> None:
    """Moisture of 100 % would divide by zero; it is refused by name."""
    with pytest.raises(ValueError, match="moisture"):
        van_slyke_price(3.6, 2.5, 1.0)
    with pytest.raises(ValueError, match="moisture"):
        adjusted_yield(11.0, 0.37, 0.99)
