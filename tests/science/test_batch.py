"""The registered calculations on a batch."""

from __future__ import annotations

import math
import time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.science import batch_acid
from advisor.science.acids import ACIDULANTS
from advisor.science.estimate import Category, Estimate
from advisor.science.fats import FATS
from advisor.science.milk_buffer import dose_to_ph
from advisor.science.milks import MILKS
from advisor.science.registry import (
    Calculation,
    ContradictionError,
    calculations,
    get,
)

BATCH: dict[str, Any] = {
    "drink_ml": 1000.0,
    "drink_strength": 40.0,
    "milk_ml": 250.0,
    "milk_kind": "whole",
    "acid_kind": "citric-15",
    "acid_ml": 15.0,
    "mix_temperature": 20.0,
    "serve_ml": 60.0,
    "spirit_strength": 40.0,
    "freezer_temperature": -18.0,
    "spirit_ml": 750.0,
    "fat_kind": "plain-butter",
    "fat_g": 113.4,
}
REQUIRED = (
    "batch.mix_volume", "batch.mix_strength", "batch.milk_share", "batch.drink_per_milk",
    "batch.overbuild", "acid.mix_ph", "acid.read_ph", "acid.per_litre_milk", "acid.excess",
    "acid.still_needed_citric", "acid.still_needed_juice", "acid.next_dose_citric",
    "acid.next_dose_juice", "curd.expected", "curd.mass", "curd.liquid_held", "curd.yield",
    "protein.whey_left", "protein.per_serve", "lactose.per_serve", "ethanol.freezing_point",
    "ethanol.ice_share", "ethanol.lowest_liquid_strength", "ethanol.after_butter", "ethanol.top_up",
    "ethanol.per_serve_us", "ethanol.per_serve_uk", "ethanol.per_serve_au",
)  # fmt: skip
MINE = tuple(
    c for c in calculations().values() if c.function.__module__.startswith("advisor.science.batch")
)


def run(id: str, **change: Any) -> Any:
    """One calculation on the standard batch with some inputs changed (``None`` drops one)."""
    one = get(id)
    batch = {k: v for k, v in {**BATCH, **change}.items() if v is not None}
    return one.function(**{k: v for k, v in batch.items() if k in one.inputs})


@pytest.mark.parametrize("id", REQUIRED)
def test_every_needed_calculation_is_registered_and_runs(id: str) -> None:
    """It is there, with a source, a formula and a unit, and returns that unit on a plain batch."""
    one = get(id)
    assert one.title
    assert one.source
    assert one.formula
    result = run(id, strip_ph=4.5)
    if one.unit == "word":
        assert isinstance(result, Category)
        assert result.value in one.choices
    else:
        assert isinstance(result, Estimate)
        assert result.unit == one.unit


@pytest.mark.parametrize("one", MINE, ids=lambda c: c.id)
def test_inputs_are_described(one: Calculation) -> None:
    """Each input has a unit and words; a word input has choices; a default lies in its range."""
    for name, given_ in one.inputs.items():
        assert given_.unit, name
        assert given_.about, name
        if given_.unit == "word":
            assert given_.choices, name
        if isinstance(given_.default, float):
            assert given_.low is not None
            assert given_.high is not None
            assert given_.low <= given_.default <= given_.high


def test_contraction_is_counted() -> None:
    """1000 mL of 40 % and 250 mL milk make less than 1250 mL, at about 32 %vol (OIML R 22)."""
    assert 1246.0 < run("batch.mix_volume").value < 1250.0
    assert run("batch.mix_strength").value == pytest.approx(32.0, abs=0.15)


def test_plain_ratios() -> None:
    """4 : 1 is 20 % milk and an over-build of 1.25; 2 : 1 is 1.5 (arithmetic)."""
    assert run("batch.milk_share").value == pytest.approx(20.0)
    assert run("batch.drink_per_milk").value == pytest.approx(4.0)
    assert run("batch.overbuild").value == pytest.approx(1.25)
    assert run("batch.overbuild_share").value == pytest.approx(25.0)
    assert run("batch.overbuild", milk_ml=500.0).value == pytest.approx(1.5)


def test_what_came_back_is_a_share_of_what_went_in() -> None:
    """700 mL out of 1000 mL drink and milk is 70 %; more out than went in is refused."""
    back = get("batch.share_back").function
    assert back(drink_ml=800.0, milk_ml=200.0, bottled_ml=700.0).value == pytest.approx(70.0)
    with pytest.raises(ValueError, match="bottled_ml is 2000 mL"):
        back(drink_ml=800.0, milk_ml=200.0, bottled_ml=2000.0)


def test_published_wash_splits_with_some_to_spare() -> None:
    """Vodka, 250 mL milk, 15 mL of 15 % citric: 9.0 g/L of milk, 1.5 times the need, full curd."""
    assert run("acid.per_litre_milk").value == pytest.approx(9.0, abs=0.01)
    assert run("acid.excess").value == pytest.approx(1.5, rel=0.1)
    assert run("curd.expected").value == "full"
    assert run("acid.still_needed_citric").value == 0.0


def test_short_acid_is_found_and_made_up() -> None:
    """Half the acid is short; adding what is asked for brings the pH to the working point."""
    short = run("acid.still_needed_citric", acid_ml=6.0)
    assert short.value > 0.3
    assert run("curd.expected", acid_ml=6.0).value != "full"
    mended = run("acid.mix_ph", acid_ml=6.0 + short.value / 0.15)
    assert mended.value == pytest.approx(4.6, abs=0.12)


def test_juice_and_powder_ask_for_the_same_ions() -> None:
    """Lemon juice for a shortfall carries 8 % more acid than powder: its potassium (derived)."""
    grams = run("acid.still_needed_citric", acid_kind="none", acid_ml=None).value
    juice = run("acid.still_needed_juice", acid_kind="none", acid_ml=None).value
    assert juice * 0.048 == pytest.approx(grams * 1.085, rel=0.02)


def test_next_dose_lies_in_practice() -> None:
    """7-10 g citric per litre of cold milk (practice); 2-3.5 hot (Chandan & Kilara, margin)."""
    cold = run("acid.next_dose_citric", milk_ml=1000.0)
    assert 7.0 <= cold.value <= 10.0
    assert cold.low <= 7.5
    assert cold.high >= 9.5
    hot = run("acid.next_dose_citric", milk_ml=1000.0, mix_temperature=75.0)
    assert 2.0 <= hot.value <= 3.5
    lemon = run("acid.next_dose_juice", milk_ml=1000.0)
    assert 130.0 <= lemon.value <= 200.0


def test_a_reading_goes_before_the_recipe() -> None:
    """With a strip the curd and the shortfall follow the strip, less the alcohol's push."""
    read = run("acid.read_ph", strip_ph=5.5, strip_step=0.5)
    assert read.value == pytest.approx(5.5 - 0.32, abs=0.01)
    assert run("curd.expected", strip_ph=6.5).value == "none"
    assert run("acid.still_needed_citric", strip_ph=6.0).value > 0.5
    assert run("acid.still_needed_citric", strip_ph=4.5).value == 0.0


def test_a_reading_serves_without_the_dose() -> None:
    """The acid named but not measured out: the reading and the milk's own buffering decide."""
    assert run("acid.still_needed_citric", strip_ph=5.8, acid_ml=None).value > 0.3
    assert run("acid.still_needed_citric", strip_ph=5.8, acid_kind=None).value > 0.3


def test_a_finer_strip_is_believed_more() -> None:
    """The interval narrows with the step and widens when the strength is not known."""
    coarse = run("acid.read_ph", strip_ph=5.0, strip_step=1.0)
    fine = run("acid.read_ph", strip_ph=5.0, strip_step=0.1)
    blind = run("acid.read_ph", strip_ph=5.0, strip_step=0.1, drink_strength=None)
    assert fine.high - fine.low < coarse.high - coarse.low
    assert fine.high - fine.low < blind.high - blind.low


def test_unsaid_milk_is_less_certain() -> None:
    """Leaving the milk out assumes whole milk with a wider interval."""
    said, unsaid = run("acid.mix_ph"), run("acid.mix_ph", milk_kind=None)
    assert said.value == pytest.approx(unsaid.value, abs=1e-6)
    assert unsaid.high - unsaid.low > said.high - said.low


def test_a_fitted_milk_replaces_the_table() -> None:
    """More buffering raises the pH and the need for acid."""
    fitted = run("acid.mix_ph", milk_buffering=Estimate(1.5, 1.4, 1.6, "ratio"))
    assert fitted.value > run("acid.mix_ph").value + 0.1
    needed = run("acid.next_dose_citric", milk_buffering=1.5).value
    assert needed == pytest.approx(1.5 * run("acid.next_dose_citric").value, rel=0.01)


def test_own_acid_counts() -> None:
    """Acid the drink already has lowers the pH and adds to the supply."""
    sour = run("acid.mix_ph", own_acid=3.0)
    assert sour.value < run("acid.mix_ph").value - 0.2
    assert run("acid.excess", own_acid=3.0).value > 2.0 * run("acid.excess").value


@pytest.mark.parametrize("kind", ["oat", "almond", "rice", "coconut"])
def test_no_dose_is_given_where_none_helps(kind: str) -> None:
    """A drink without casein gets no acid dose, but an error that says why."""
    for name in ("acid.still_needed_citric", "acid.next_dose_citric", "acid.excess"):
        with pytest.raises(ValueError, match="no curd"):
            run(name, milk_kind=kind)


@pytest.mark.parametrize(
    ("id", "change", "words"),
    [
        ("acid.mix_ph", {"acid_kind": "citric"}, "acid_ml is 15 mL"),
        ("acid.mix_ph", {"acid_kind": "citric", "acid_ml": None}, "acid_g is missing"),
        ("acid.mix_ph", {"acid_kind": "lemon-juice", "acid_ml": None}, "acid_ml is missing"),
        ("acid.mix_ph", {"acid_kind": "lemon"}, "lemon-juice"),
        ("acid.mix_ph", {"acid_ml": 2000.0}, "includes it"),
        ("acid.mix_ph", {"milk_ml": 0.0}, "milk_ml"),
        ("acid.mix_ph", {"drink_ml": math.nan}, "drink_ml"),
        ("acid.mix_ph", {"milk_kind": "yak"}, "milk kind"),
        ("batch.mix_strength", {"drink_strength": 101.0}, "drink_strength .* 0 and 100 %vol"),
        ("curd.expected", {"acid_kind": None}, "strip_ph"),
        ("ethanol.top_up", {"top_up_strength": 40.0}, "top_up_strength"),
        ("ethanol.freezing_point", {"spirit_strength": 80.0}, "spirit_strength"),
        ("ethanol.after_butter", {"fat_kind": "wax"}, "fat_kind"),
        ("lactose.per_serve", {"serve_ml": -1.0}, "serve_ml"),
    ],
)
def test_bad_input_is_named(id: str, change: dict[str, Any], words: str) -> None:
    """The error names the input, its value or the words allowed."""
    with pytest.raises(ValueError, match=words):
        run(id, **change)


def test_top_up_restores_the_strength() -> None:
    """The 60 % spirit asked for brings a measured volume back to the drink's strength."""
    from advisor.science.mixing import Part, mix

    spirit = run("ethanol.top_up", bottled_ml=1000.0).value
    weak = run("batch.mix_strength").value
    mended = mix((Part(1000.0, weak), Part(spirit, 60.0)))
    assert mended.strength == pytest.approx(40.0, abs=0.01)


def test_a_measured_strength_goes_before_the_sum() -> None:
    """1 L of 12 % to 20 % with 60 %: 1000 x 8 / 40 = 200 mL, but for contraction (OIML R 22)."""
    from advisor.science.mixing import Part, mix

    batch = {"drink_strength": 20.0, "bottled_ml": 1000.0}
    spirit = run("ethanol.top_up", measured_strength=12.0, **batch).value
    assert spirit == pytest.approx(200.0, rel=0.02)
    mended = mix((Part(1000.0, 12.0), Part(spirit, 60.0)))
    assert mended.strength == pytest.approx(20.0, abs=0.01)
    assert run("ethanol.top_up", measured_strength=20.0, **batch).value == 0.0


def test_how_far_a_reading_lies_from_the_sum() -> None:
    """Read at what drink and milk come to it is nought off; the points are read less sum."""
    sum_ = run("batch.mix_strength").value
    assert run("batch.strength_off", measured_strength=sum_).value == pytest.approx(0.0, abs=1e-9)
    off = run("batch.strength_off", measured_strength=Estimate(25.0, 24.0, 26.0, "%vol"))
    assert off.value == pytest.approx(25.0 - sum_)
    assert off.low < off.value - 0.9 < off.value + 0.9 < off.high


@pytest.mark.parametrize(
    ("id", "change", "words"),
    [
        ("batch.strength_off", {"measured_strength": 42.0}, "milk cannot make"),
        ("ethanol.top_up", {"measured_strength": 42.0}, "milk cannot make"),
        ("batch.share_back", {"bottled_ml": 2300.0}, "no more can come out"),
        ("acid.mix_ph", {"acid_ml": 2000.0}, "includes it"),
    ],
)
def test_what_cannot_all_be_true_is_told_apart(id: str, change: dict[str, Any], words: str) -> None:
    """Each input is possible by itself; together they are refused as a contradiction."""
    with pytest.raises(ContradictionError, match=words):
        run(id, **change)


def test_the_next_dose_is_no_less_than_this_one_took() -> None:
    """A drink that took more than the sum takes it again: what went in and what the strip asks."""
    batch = {"acid_kind": "lemon-juice", "acid_ml": 60.0, "strip_ph": 5.3}
    more = run("acid.still_needed_juice", **batch)
    assert more.value > 5.0
    took = run("acid.next_dose_juice", **batch)
    assert took.value == pytest.approx(60.0 + more.value, rel=0.01)
    assert took.value > 1.2 * run("acid.next_dose_juice").value
    assert run("acid.next_dose_citric", **batch).value > run("acid.next_dose_citric").value
    # Read below its working pH, or not read, the plan stands.
    plan = run("acid.next_dose_juice", acid_ml=None, acid_kind=None)
    assert run("acid.next_dose_juice", **{**batch, "strip_ph": 4.3}) == plan
    assert run("acid.next_dose_juice", **{**batch, "strip_ph": None}) == plan


def test_protein_is_never_nothing() -> None:
    """A full split still leaves about 90 mg of milk protein in 60 mL; a failed one far more."""
    full = run("protein.per_serve")
    assert full.low > 30.0
    assert full.value == pytest.approx(90.0, abs=15.0)  # 250 mL x 33 g/L x 20-22 % in 1.25 L
    assert run("protein.per_serve", acid_ml=1.0).value > 3.0 * full.value


def test_lactose_stays_unless_split() -> None:
    """9-10 g/L with a fifth of milk; under 0.15 g in a serve of lactose-free."""
    assert run("lactose.per_serve", serve_ml=1000.0).value == pytest.approx(9.7, abs=0.3)
    free = run("lactose.per_serve", milk_kind="lactose-free")
    assert free.value == 0.0
    assert 0.0 < free.high < 0.15


def test_serves_by_three_yardsticks() -> None:
    """14, 7.89 and 10 g: the AU count is 1.4 times the US one."""
    us, uk, au = (run(f"ethanol.per_serve_{b}").value for b in ("us", "uk", "au"))
    assert au == pytest.approx(1.4 * us)
    assert uk == pytest.approx(14.0 / 7.892391 * us)


def test_intervals_of_inputs_are_carried() -> None:
    """A doubtful volume makes a doubtful pH, share and strength."""
    rough = Estimate(250.0, 200.0, 300.0, "mL")
    for name in ("batch.milk_share", "batch.mix_strength", "acid.mix_ph", "curd.mass"):
        sure, doubtful = run(name), run(name, milk_ml=rough)
        assert doubtful.high - doubtful.low > sure.high - sure.low, name


@settings(max_examples=150, deadline=None)
@given(
    drink_ml=st.floats(1.0, 1e6), milk_ml=st.floats(1.0, 1e6), drink_strength=st.floats(0.0, 100.0),
    milk_kind=st.sampled_from(sorted(MILKS)), acid_kind=st.sampled_from(sorted(ACIDULANTS)),
    dose=st.floats(0.0, 1e5), mix_temperature=st.floats(-2.0, 100.0), strip_ph=st.floats(0.0, 14.0),
    strip=st.booleans(), serve_ml=st.floats(1.0, 5000.0), spirit_strength=st.floats(0.0, 100.0),
    freezer_temperature=st.floats(-43.0, 0.0), fat_kind=st.sampled_from(sorted(FATS)),
    fat_g=st.floats(0.0, 1e5), spread=st.floats(0.0, 0.5),
)  # fmt: skip
def test_any_batch_gives_numbers_or_a_plain_error(
    dose: float, strip: bool, spread: float, **batch: Any
) -> None:
    """No input in range gives NaN, infinity, a negative amount or any error but ``ValueError``."""
    if not strip:
        batch.pop("strip_ph")
    powder = ACIDULANTS[batch["acid_kind"]].form == "powder"
    batch["acid_g" if powder else "acid_ml"] = dose
    volume = batch["milk_ml"]
    batch["milk_ml"] = Estimate(volume, volume * (1.0 - spread), volume * (1.0 + spread), "mL")
    for one in MINE:
        if any(i.required and k not in batch for k, i in one.inputs.items()):
            continue
        result, complaint = None, ""
        try:
            result = one.function(**{k: v for k, v in batch.items() if k in one.inputs})
        except ValueError as error:
            complaint = str(error)
        assert not any(word in complaint for word in ("finite", "hold its value", "domain")), one.id
        if result is None:
            continue
        if isinstance(result, Category):
            assert result.value in one.choices
        else:
            assert all(map(math.isfinite, (result.low, result.value, result.high)))
            if one.unit not in ("degC", "pH") and not one.signed:
                assert result.low >= 0.0, one.id


def test_all_figures_of_a_batch_are_fast() -> None:
    """All calculations on a fresh batch take well under 6 ms (2 aimed at on a quiet machine)."""
    best = math.inf
    for i in range(20):
        batch = {**BATCH, "milk_ml": 240.0 + 0.01 * i}
        start = time.perf_counter()
        for one in MINE:
            if all(k in batch or not x.required for k, x in one.inputs.items()):
                one.function(**{k: v for k, v in batch.items() if k in one.inputs})
        best = min(best, time.perf_counter() - start)
    assert best < 0.006


@pytest.mark.parametrize("kind", ["oat", "soy", "almond", "coconut", "rice"])
def test_a_plant_drink_leaves_no_milk_protein(kind):
    """Its own protein is no milk protein: what is declared is the plant, not milk."""
    batch = {"drink_ml": 800.0, "milk_ml": 200.0, "milk_kind": kind}
    assert get("protein.per_serve").function(**batch).high == 0.0
    assert get("protein.whey_left").function(**batch).high == 0.0
    assert get("protein.per_serve").function(**{**batch, "milk_kind": "lactose-free"}).low > 0.0


@pytest.mark.parametrize("kind", ["citric-15", "lemon-juice", "orange-juice", "wine"])
def test_just_enough_of_any_acid_is_once_the_need(kind: str) -> None:
    """The dose that brings milk to 4.6 by the charge balance is neither more nor less than needed.

    Penniston et al. 2008: half of the acid of an orange is held by its potassium, and gives the
    milk nothing.
    """
    dose = 0.25 * dose_to_ph("whole", kind, 4.6)
    found = batch_acid.excess(milk_ml=250.0, acid_kind=kind, acid_ml=dose, milk_kind="whole")
    assert found.value == pytest.approx(1.0, abs=0.02)
