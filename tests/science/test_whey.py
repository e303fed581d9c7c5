"""Whey dosing: amounts, strength, acidity, haze and lactose."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science import whey
from advisor.science.estimate import Estimate


def test_composition_matches_the_food_tables() -> None:
    """Acid whey per cup of 246 g: 13 g carbohydrate, about 250 mg calcium (USDA 01112)."""
    acid = whey.WHEYS["acid-whey"]
    litres = 0.246 / 1.024
    assert acid.lactose * litres == pytest.approx(13, abs=1.0)
    assert acid.calcium_mg * litres == pytest.approx(250, rel=0.05)


def test_sweet_whey_has_about_half_the_calcium() -> None:
    """Sweet whey holds about half the calcium of acid whey (USDA, as quoted)."""
    ratio = whey.WHEYS["sweet-whey"].calcium_mg / whey.WHEYS["acid-whey"].calcium_mg
    assert ratio == pytest.approx(0.5, abs=0.1)


def test_published_ph_ranges() -> None:
    """pH 4.3-4.8 (acid) and 5.9-6.6 (sweet): dairy-ingredient text, publication not identified."""
    acid, sweet = whey.WHEYS["acid-whey"].ph, whey.WHEYS["sweet-whey"].ph
    assert (acid.low, acid.high) == (4.3, 4.8)
    assert (sweet.low, sweet.high) == (5.9, 6.6)


@pytest.mark.parametrize(
    ("ph", "tannin", "word"),
    [
        (3.0, False, "low"),
        (3.6, False, "low"),
        (3.61, False, "possible"),
        (3.8, False, "possible"),
        (3.99, False, "possible"),
        (4.0, False, "high"),
        (4.6, False, "high"),
        (5.2, False, "high"),
        (5.21, False, "possible"),
        (3.6, True, "low"),
        (3.9, True, "high"),
    ],
)
def test_haze_risk(ph: float, tannin: bool, word: str) -> None:
    """Clear to pH 3.6, much more turbid at 4.0 with salts (LaClair & Etzel 2009).

    Tannin haze is greatest near pH 4 (Siebert & Lynn 2000).
    """
    assert whey.haze_risk(ph, tannin=tannin).value == word


def test_uncertain_ph_lowers_certainty() -> None:
    """A pH interval that crosses a limit gives the same word with less certainty."""
    sure = whey.haze_risk(4.6)
    unsure = whey.haze_risk(Estimate(4.1, 3.5, 4.7, "pH"))
    assert sure.value == unsure.value == "high"
    assert unsure.certainty < sure.certainty


@pytest.mark.parametrize(("mass_percent", "expected"), [(20, 12.3), (32, 8.8), (40, 6.5)])
def test_lactose_solubility_rows(mass_percent: float, expected: float) -> None:
    """12.3, 8.8 and 6.5 g/100 g at 25 degC (Weston et al. 2004; unit recalled)."""
    assert whey.lactose_solubility(mass_percent, 25).value == pytest.approx(expected, abs=0.051)


def test_lactose_equation_is_refused_without_ethanol() -> None:
    """At 0 % it would give 18.1 against a known 21.6 (from memory, not yet verified)."""
    assert abs(11.85 + 0.25 * 25 - 21.6) > 3
    for low in (0, 10, 19.99):
        with pytest.raises(ValueError, match="between 20"):
            whey.lactose_solubility(low, 25)
    with pytest.raises(ValueError, match="outside its range"):
        whey.lactose_solubility(60, 5)


@given(st.floats(20, 38), st.floats(0, 40))
def test_lactose_interval_is_sound(mass_percent: float, temperature: float) -> None:
    """The solubility is never negative and falls with ethanol."""
    result = whey.lactose_solubility(mass_percent, temperature)
    assert result.low >= 0
    assert whey.lactose_solubility(mass_percent + 1, temperature).value < result.value


@given(st.floats(1, 1e5), st.floats(0, 90))
def test_share_round_trip(drink: float, percent: float) -> None:
    """The dose for a share gives that share back."""
    assert whey.share(whey.dose_for_share(drink, percent), drink) == pytest.approx(
        percent, abs=1e-6
    )


def test_dose_for_protein_round_trip() -> None:
    """The dose for a protein content gives it back once mixed (ethanol-free drink)."""
    dose = whey.dose_for_protein(100, "acid-whey", 2.0)
    after = whey.after_dose(100, 0, 5, dose.value, "acid-whey")
    assert after.protein.value == pytest.approx(2.0, rel=0.001)
    assert dose.low < dose.value < dose.high


def test_protein_beyond_the_whey_is_refused() -> None:
    """No dose of whey makes a drink richer than the whey."""
    with pytest.raises(ValueError, match="itself holds only"):
        whey.dose_for_protein(100, "acid-whey", 9)


def test_thirty_ml_carry_the_published_amounts() -> None:
    """30 mL of acid whey carry about 230 mg protein and 1.5 g lactose (USDA arithmetic)."""
    acid = whey.WHEYS["acid-whey"]
    assert 30 * acid.protein.value == pytest.approx(230, rel=0.03)
    assert 0.030 * acid.lactose == pytest.approx(1.5, abs=0.1)


@given(
    st.floats(10, 1000),
    st.floats(0, 60),
    st.floats(0, 50),
    st.floats(0, 1000),
)
def test_dosing_conserves(drink: float, strength: float, acid: float, dose: float) -> None:
    """Ethanol, acid and lactose in equal ethanol, acid and lactose out."""
    after = whey.after_dose(drink, strength, acid, dose, "sweet-whey")
    assert after.strength * after.volume == pytest.approx(strength * drink, rel=1e-6, abs=1e-6)
    put_in = acid * drink + 1.25 * dose
    assert after.acid.value * after.volume == pytest.approx(put_in, rel=1e-9, abs=1e-9)
    assert after.lactose * after.volume == pytest.approx(52 * dose, rel=1e-9, abs=1e-9)


def test_foam_remarks_change_with_the_drink() -> None:
    """Little whey, high strength and the haze zone are each remarked on (practice, no source)."""
    assert any("thin" in s for s in whey.foam_remarks(3.4, 10, 15))
    assert any("25 %vol" in s for s in whey.foam_remarks(3.4, 25, 35))
    assert any("4.6" in s for s in whey.foam_remarks(4.5, 25, 15))
    assert not any("4.6" in s for s in whey.foam_remarks(3.4, 25, 15))


@pytest.mark.parametrize(
    "call",
    [
        lambda: whey.whey("cream"),
        lambda: whey.dose_for_share(100, 100),
        lambda: whey.share(math.nan, 100),
        lambda: whey.haze_risk(math.nan),
        lambda: whey.after_dose(0, 10, 5, 10, "acid-whey"),
        lambda: whey.foam_remarks(4, 120, 10),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Bad numbers and words give a clear error."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
