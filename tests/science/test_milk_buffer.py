"""Milk as a buffer, hot and cold, alone and with acids."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.acids import ACIDULANTS, acidulant
from advisor.science.milk_buffer import (
    coagulation_ph,
    demand,
    demand_value,
    dose_to_ph,
    heat_release,
    hot_citric_dose,
    milk_sites,
    mix_ph,
    slope,
    strip_bias,
    supply,
)
from advisor.science.milk_salts import millimolar, serum_millimolar
from advisor.science.milks import MILKS

DAIRY = [m.id for m in MILKS.values() if m.casein > 0.0]
ACIDS = [a.id for a in ACIDULANTS.values() if a.acids]


@pytest.mark.parametrize("kind", MILKS)
def test_natural_state_is_the_reference(kind: str) -> None:
    """At its own pH a milk has taken up nothing, and alone in a glass it has that pH."""
    assert demand_value(kind, MILKS[kind].ph) == pytest.approx(0.0, abs=1e-9)
    alone = mix_ph(0.0, 1000.0, kind, ()).ph
    assert alone == pytest.approx(MILKS[kind].ph, abs=0.02)


@given(st.sampled_from(sorted(MILKS)), st.floats(2.0, 8.0), st.floats(2.0, 8.0))
def test_demand_grows_as_ph_falls(kind: str, a: float, b: float) -> None:
    """A lower pH always takes more hydrogen ions."""
    low, high = sorted((a, b))
    assert demand_value(kind, low) >= demand_value(kind, high) - 1e-9


def test_curve_bends_over_at_the_peak() -> None:
    """Convex to about pH 5.1, then the slope falls (Lucey, Gorry & Fox 1993: peak 5.0-5.1)."""
    assert slope("skim", 5.1) > slope("skim", 5.5) > slope("skim", 6.0)
    assert slope("skim", 5.1) > slope("skim", 4.8) > slope("skim", 4.5)


def test_colloidal_phosphate_is_spent_by_its_limit() -> None:
    """Below pH 4.9 under a fifth of it is left (Fox & McSweeney 1998, p. 260)."""
    steep = milk_sites("skim").steep

    def taken(ph: float) -> float:
        return sum(s.amount / (1 + 10 ** (s.steepness * (ph - s.pk))) for s in steep)

    whole = taken(3.0) - taken(6.7)
    assert (taken(4.9) - taken(6.7)) / whole > 0.8
    assert whole == pytest.approx(0.0125, abs=0.0015)  # 8 (Holt) to 13.8 mmol/L, with +-25 %


def test_mean_slope_stays_below_the_largest() -> None:
    """26 mmol/L per pH on the way from 6.7 to 4.6, below the 33 at the peak (derived)."""
    mean = demand_value("skim", 4.6) / 2.1
    assert 22.0 < mean < slope("skim", 5.1)


def test_salts_go_by_the_table() -> None:
    """K and Na together 59, citrate 9.3, chloride 34 mmol/L (Fox & McSweeney 1998, Table 5.6)."""
    assert millimolar("sodium") + millimolar("potassium") == pytest.approx(59.0, abs=0.5)
    assert serum_millimolar("phosphate") == pytest.approx(10.4, abs=0.1)
    with pytest.raises(ValueError, match="citrate"):
        millimolar("iron")


def test_interval_of_cow_milk_is_the_accepted_range() -> None:
    """53 mmol/L with 45 to 60 about it, from the gluconic dose (J. Dairy Sci. 1960)."""
    skim = demand("skim", 4.6)
    assert skim.value == pytest.approx(53.0, abs=0.5)
    assert skim.low == pytest.approx(45.5, abs=1.0)
    assert skim.high == pytest.approx(60.5, abs=1.0)


@pytest.mark.parametrize(
    ("kind", "factor"), [("sheep", 1.45), ("cream", 0.6), ("ultra-filtered", 1.45)]
)
def test_other_milks_scale_with_their_protein(kind: str, factor: float) -> None:
    """More protein takes more acid than whole cow milk, less takes less (derived, +-0.1)."""
    ratio = demand_value(kind, 4.6) / demand_value("whole", 4.6)
    assert ratio == pytest.approx(factor, abs=0.1)


def test_soured_milk_needs_no_more_acid() -> None:
    """Buttermilk and yoghurt are at or below the split already."""
    for kind in ("buttermilk", "yoghurt"):
        assert demand_value(kind, 4.6) <= 1e-9
        assert dose_to_ph(kind, "citric", 4.6) == 0.0


@given(st.sampled_from(DAIRY), st.sampled_from(ACIDS), st.floats(4.4, 5.4))
def test_the_dose_reaches_its_ph(kind: str, acid: str, ph: float) -> None:
    """Milk with the dose that was asked for has the pH that was asked for (0.15, activities)."""
    if supply(acidulant(acid), 1.0, ph) <= 0.0:
        with pytest.raises(ValueError, match="cannot"):
            dose_to_ph(kind, acid, ph)
        return
    dose = dose_to_ph(kind, acid, ph)
    if dose == 0.0:
        return
    drink = dose * 1.0 if ACIDULANTS[acid].form == "liquid" else 0.0
    if drink > 500.0:
        return  # thinned so far that the ionic strength of milk no longer holds
    assert mix_ph(drink, 1000.0, kind, ((acid, dose),)).ph == pytest.approx(ph, abs=0.15)


@given(
    st.floats(1.0, 5000.0), st.floats(1.0, 5000.0), st.sampled_from(sorted(MILKS)),
    st.sampled_from(ACIDS), st.floats(0.0, 0.3), st.floats(0.0, 90.0), st.floats(0.0, 50.0),
)  # fmt: skip
def test_mix_is_always_finite(
    drink: float,
    milk: float,
    kind: str,
    acid: str,
    part: float,
    temperature: float,
    strength: float,
) -> None:
    """Every mix has a pH, and more acid never raises it."""
    dose = part * (drink + milk)
    less = mix_ph(drink, milk, kind, ((acid, dose),), temperature=temperature, strength=strength).ph
    more = mix_ph(
        drink,
        milk,
        kind,
        ((acid, 1.5 * dose + 0.005 * milk),),
        temperature=temperature,
        strength=strength,
    ).ph
    assert math.isfinite(less)
    assert more <= max(less, 4.3) + 0.1  # a mild juice pulls a sharper mix up towards itself


def test_heat_lowers_the_dose() -> None:
    """Hot milk needs 40-50 % of the hydrogen ions of cold milk (20-25 of 50; Chandan & Kilara)."""
    hot = demand_value("whole", 5.35, 75.0) / demand_value("whole", 4.6)
    assert 0.38 <= hot <= 0.50
    assert hot_citric_dose().low <= 2.16 <= hot_citric_dose().high  # Chandan et al. 1979
    assert heat_release(20.0) == 0.0
    assert heat_release(95.0) == heat_release(80.0)


@pytest.mark.parametrize(("t", "ph"), [(4, 4.6), (20, 4.6), (50, 5.02), (80, 5.4), (95, 5.4)])
def test_coagulation_follows_the_rule(t: float, ph: float) -> None:
    """4.6 + 0.014 (T - 20), capped at 5.4 and held in the cold (derived fit, +-0.2)."""
    assert coagulation_ph(t) == pytest.approx(ph, abs=0.005)
    assert coagulation_ph(t, "soy") == 5.5


def test_strip_bias_covers_practice() -> None:
    """0.2-0.4 too high above 20 %vol (common practice), about 0.3 at 30 (derived, Prenesti)."""
    assert strip_bias(30.0).value == pytest.approx(0.3)
    assert strip_bias(20.0).value >= 0.2
    assert strip_bias(30.0).high <= 0.43


def test_alcohol_lifts_what_an_electrode_shows() -> None:
    """The electrode's pH lies above the water-scale pH, inside the bias's interval."""
    recipe = (1000.0, 250.0, "whole", (("citric", 2.25),))
    gap = mix_ph(*recipe, strength=31.7).ph - mix_ph(*recipe).ph
    bias = strip_bias(31.7)
    assert bias.low <= gap <= bias.high + 0.01


def test_supply_counts_cations() -> None:
    """Lemon juice gives 8 % less than its acid alone: its potassium is spoken for."""
    lemon = supply(acidulant("lemon-juice"), 1000.0, 4.6)
    acid = supply(acidulant("citric"), 48.0, 4.6)
    assert lemon / acid == pytest.approx(0.92, abs=0.01)


def test_nothing_to_mix_is_refused() -> None:
    """Two empty glasses raise."""
    with pytest.raises(ValueError, match="nothing to mix"):
        mix_ph(0.0, 0.0, "whole", ())
