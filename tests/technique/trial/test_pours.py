"""Quantities: what goes in is what the level says, and every cup is equally strong."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.science.mixing import Part, mix
from advisor.science.wording import banned_words
from advisor.technique.trial import Base, plan_trial, preparation

BASE = Base(volume=2000, strength=25, acid=6, kind="black-tea")


def test_shares_are_those_of_the_levels() -> None:
    """Milk over drink and milk is the level, acid per litre of milk the set dose."""
    trial = plan_trial("milk-share", [10, 20, 30], tasters=8, base=BASE, fixed={"acid-dose": 6})
    for pour, level in zip(preparation(trial).pours[1:], (10, 20, 30), strict=True):
        assert 100 * pour.milk_ml / (pour.milk_ml + pour.drink_ml) == pytest.approx(level)
        assert pour.acid_g == pytest.approx(6 * pour.milk_ml / 1000)


def test_all_cups_are_equally_strong() -> None:
    """Levelled with water, every sample has the strength of the weakest to 0.4 %vol (OIML R 22)."""
    trial = plan_trial("milk-share", [10, 20, 30], tasters=8, base=BASE)
    for pour in preparation(trial).pours:
        liquid = mix([Part(pour.drink_ml, 25.0), Part(pour.milk_ml)])
        water = liquid.volume * pour.water_per_100 / 100
        strong = mix([Part(liquid.volume, liquid.strength), Part(water)]).strength
        assert strong == pytest.approx(17.5, abs=0.4)
        assert pour.strength == pytest.approx(17.5)


def test_butter_water_is_levelled_too() -> None:
    """25 % butter of 16 % water thins 40 %vol to about 38.5 (Codex CXS 279; arithmetic)."""
    trial = plan_trial("fat-rate", [10, 25], tasters=8, base=Base(strength=40))
    control, low, high = preparation(trial).pours
    assert high.water_per_100 == 0
    assert control.water_per_100 > low.water_per_100 > 0
    assert high.strength == pytest.approx(38.5, abs=0.4)
    assert high.fat_g == pytest.approx(high.fat_ml * 0.93, rel=0.05)


def test_a_fair_control_keeps_the_other_operation() -> None:
    """A trial of milk on a fat-washed spirit compares with the fat-washed, unstripped spirit."""
    trial = plan_trial("milk-share", tasters=8, base=Base(strength=40), fixed={"fat-rate": 15})
    control = preparation(trial).pours[0]
    assert control.fat_ml > 0
    assert control.milk_ml == 0


def test_whey_is_dosed_as_a_share() -> None:
    """20 % whey is 25 ml to 100 ml of drink (arithmetic)."""
    trial = plan_trial("whey-share", [20], tasters=12, test="paired")
    assert preparation(trial).pours[1].whey_ml_per_100 == pytest.approx(25)


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(["milk-share", "fat-rate", "whey-share", "steep-time", "acid-dose"]),
    st.integers(6, 12), st.floats(5, 30), st.floats(0, 60), st.data(),
)  # fmt: skip
def test_every_batch_fills_its_cups(
    dial: str, tasters: int, cup: float, strength: float, data: st.DataObject
) -> None:
    """What a batch is expected to give is at least what the cups take; nothing is negative."""
    trial = plan_trial(dial, tasters=tasters, cup_ml=cup, base=Base(strength=strength),
                       seed=data.draw(st.integers(0, 99)))  # fmt: skip
    made = preparation(trial)
    for pour in made.pours:
        assert pour.expect_ml >= pour.need_ml * 0.999
        assert pour.need_ml >= pour.cups * cup
        assert min(pour.drink_ml, pour.milk_ml, pour.fat_ml, pour.water_per_100) >= 0
    assert made.drink_ml == pytest.approx(sum(p.drink_ml for p in made.pours))


def test_alcohol_of_one_taster_in_three_countries() -> None:
    """75 ml at 17.5 %vol: 10.36 g, 0.74 US drinks, 1.31 UK units, 1.04 Australian (arithmetic)."""
    trial = plan_trial("milk-share", [10, 20, 30], tasters=8, base=BASE)
    made = preparation(trial)
    assert made.ml_each == 75
    assert made.alcohol == pytest.approx({"us": 0.740, "uk": 1.3125, "au": 1.036}, abs=2e-3)


def test_cautions_come_first_and_promise_nothing() -> None:
    """Milk is a stop, allergies are asked before pouring, and no banned word is used."""
    trial = plan_trial("milk-share", tasters=8, base=BASE)
    made = preparation(trial)
    assert made.cautions[0].stop
    assert "contain milk" in made.cautions[0].fact
    assert "before anything is poured" in made.cautions[0].action
    nuts = plan_trial("fat-rate", tasters=8, base=Base(strength=40, fat_kind="peanut-butter"))
    text = " ".join(c.text for t in (trial, nuts) for c in preparation(t).cautions)
    assert "peanuts" in text
    assert not banned_words(text + " ".join(made.notes))


def test_too_little_drink_and_too_many_cups_are_said() -> None:
    """A short bottle, an untold strength and a long evening each have a note."""
    short = plan_trial("milk-share", tasters=12, base=Base(volume=300))
    notes = " ".join(preparation(short).notes)
    assert "you have 300 ml" in notes
    assert "strength of the drink is not told" in notes
    long = plan_trial("milk-share")
    assert "too many for one sitting" in " ".join(preparation(long).notes)


def test_a_split_that_chemistry_doubts_is_said() -> None:
    """Without acid whole milk does not split; the sample says so before anybody pours."""
    trial = plan_trial("milk-share", [30], tasters=12, test="paired", base=Base(acid=0.0))
    (_, pour) = preparation(trial).pours
    assert any("may not be full" in text for text in pour.remarks)
    enough = plan_trial("milk-share", [30], tasters=12, test="paired", base=Base(acid=8.0),
                        fixed={"acid-dose": 8})  # fmt: skip
    assert not any("may not" in text for text in preparation(enough).pours[1].remarks)


def test_milk_that_alcohol_clots_is_said():
    """Kim and others 2013: goat milk at 48 %vol in the mix clots before any acid; cow milk in a
    drink of 20 %vol does not (Davies & White 1958)."""
    goat = plan_trial("milk-share", base=Base(strength=60.0, milk_kind="goat", acid=6.0))
    cow = plan_trial("milk-share", base=Base(strength=20.0, acid=6.0))
    said = [r for p in preparation(goat).pours for r in p.remarks if "on alcohol alone" in r]
    assert said
    assert not [r for p in preparation(cow).pours for r in p.remarks if "on alcohol alone" in r]


def test_a_plant_drink_is_named_with_its_allergen():
    """Oats are a cereal containing gluten (Regulation 1169/2011 Annex II no. 1)."""
    trial = plan_trial("milk-share", base=Base(strength=20.0, milk_kind="oat"))
    stops = [c.fact for c in preparation(trial).cautions if c.stop]
    assert "oat drink (gluten)" in stops[0]
