"""Worked examples from outside: dilution, extraction, residues, fat and water."""

from __future__ import annotations

import pytest

from advisor.errors import AdvisorError
from advisor.science.strip import repeated_left
from tests.technique.protocol.briefs import PUNCH, SPIRIT, base, made


def test_four_to_one_leaves_four_fifths_of_the_strength():
    """40 %vol at 4 : 1 comes to 32 %vol; contraction adds a few tenths (OIML R 22)."""
    strength = made(
        SPIRIT, "strip", answers={"base_strength": 40, "acid_wanted": "citric"},
        overrides={"milk_share": "20 %"},
    ).expected.strength  # fmt: skip
    assert strength.value == pytest.approx(32.0, abs=0.5)


def test_plain_butter_thins_the_spirit_as_its_water_says():
    """100 g of butter (16 % water, Codex CXS 279) take 750 mL of 40 %vol to 39.2 %vol."""
    protocol = made(
        SPIRIT, "fat-wash",
        answers={"base_strength": 40, "base_volume": "750 ml", "wanted_fat": "plain-butter"},
        overrides={"fat": "100 g"},
    )  # fmt: skip
    assert protocol.expected.strength.value == pytest.approx(39.2, abs=0.05)


def test_a_serve_of_a_wash_holds_a_hundred_and_fifty_milligrams():
    """250 mL milk at 33 g/L in a litre: 1.65 g whey protein, about 150 mg (74 to 178) in 90 mL.

    Derived: a fifth of milk protein stays dissolved (Fox & McSweeney 1998, p. 149); lactose
    12 g a litre, 1.1 g a serve (FAO 2013).
    """
    protocol = made(PUNCH, "strip", overrides={"milk_share": "25 %"})
    assert protocol.expected.protein_per_serve.unit == "mg"
    assert 74.0 <= protocol.expected.protein_per_serve.value <= 178.0
    assert protocol.expected.lactose_per_serve.value == pytest.approx(1.1, abs=0.1)


def test_a_quarter_of_whey_carries_what_whey_holds():
    """30 mL of acid whey carry about 230 mg protein and 1.5 g lactose (USDA tables)."""
    protocol = made(
        {"base_kind": "spirit", "base_strength": 40, "serve_size": "150 ml"}, "whey-dose",
        overrides={"whey_share": "20 %"},
    )  # fmt: skip
    assert protocol.expected.protein_per_serve.value == pytest.approx(230.0, rel=0.05)
    assert protocol.expected.lactose_per_serve.value == pytest.approx(1.5, rel=0.06)


def test_two_washes_leave_no_more_than_one_of_the_same_milk():
    """(V1/(V1 + K V2))^n: IUPAC Gold Book F02503; a partition of 3 leaves 25 % or 16 %.

    The protocol for two washes uses as much milk as one ordinary wash, within a tenth.
    """
    assert repeated_left(3.0 / 26.0 * 2.0, 1000.0, 1000.0, 2) < repeated_left(
        3.0 / 26.0 * 2.0, 1000.0, 1000.0, 1
    )
    answers = {"base_volume": "1 l", "base_tannin": "some"}
    once = made(PUNCH, "strip", answers=answers).dose("strip.milk").amount.value
    twice = made(PUNCH, "strip-twice", answers=answers)
    both = sum(twice.dose(f"{n}.milk").amount.value for n in ("first", "second"))
    assert both == pytest.approx(once, rel=0.15)


def test_hot_milk_leaves_half_the_whey_protein():
    """Cold acid leaves 20 to 24 % of milk protein, hot acid about 10 % (Parnell-Clunies 1985)."""
    cold = made(PUNCH, "curd-steep", overrides={"milk_temperature": "20 C"})
    hot = made(PUNCH, "curd-steep", overrides={"milk_temperature": "85 C"})
    curd_whey = [p.quantities["curd_steep.curd_whey"].amount.value for p in (cold, hot)]
    per_whey = [
        p.expected.whey_protein.value / held
        for p, held in zip((cold, hot), curd_whey, strict=True)
    ]
    assert per_whey[1] / per_whey[0] == pytest.approx(10.0 / 22.0, rel=0.15)


def test_brown_butter_takes_a_fifth_more_butter():
    """Butter of 80 % fat for brown butter of 97 % (Codex CXS 279: 80 % at least, 16 % water)."""
    protocol = made(SPIRIT, "fat-wash", answers={"wanted_fat": "brown-butter"})
    fat = protocol.dose("fat_wash.fat").amount.value
    raw = protocol.quantities["fat_wash.raw_butter"].amount.value
    assert raw / fat == pytest.approx(0.97 / 0.80, rel=1e-6)


def test_weak_drinks_are_not_put_in_the_freezer():
    """At -18 degC ice begins below about 35 %vol (Melinder 2010): such drinks set in the fridge."""
    strong = {s.id for s in made(SPIRIT, "fat-wash").steps}
    weak = {s.id for s in made({"base_kind": "wine", "base_strength": 18}, "fat-wash").steps}
    assert "fat_wash.chill-freezer" in strong
    assert "fat_wash.chill-fridge" in weak


def test_whey_stays_clear_in_a_sharp_drink_and_may_haze_in_a_mild_one():
    """Up to pH 3.6 whey drinks stay clear, 4.0 to 5.2 is the haze zone (LaClair & Etzel 2009)."""
    sharp = made(PUNCH, "whey-dose", answers={"base_ph": 2.6})
    mild = made(PUNCH, "whey-dose", answers={"base_acid": 1, "base_ph": 4.2})
    assert not [w for w in sharp.warnings if "haze" in w]
    assert [w for w in mild.warnings if "haze" in w]


@pytest.mark.parametrize("technique", sorted(base().protocols))
def test_every_protocol_has_steps_shopping_and_a_label(technique):
    """Nothing is left out: steps with sources, a list to buy, a card, and how long it keeps."""
    given = {"base_kind": "juice"} if technique == "centrifuge-only" else SPIRIT
    try:
        protocol = made(given, technique)
    except AdvisorError as error:
        pytest.fail(str(error))
    assert len(protocol.steps) >= 4
    assert all(step.source for step in protocol.steps)
    assert {p.group for p in protocol.shopping} >= {"drink", "kit"}
    assert 1 <= protocol.expected.keep_days <= 28
    assert protocol.label.deferral


def test_milk_that_clots_on_alcohol_alone_is_refused_with_the_way_out():
    """Kim and others 2013: nearly all goat milk clots from 35 %vol in the mix on (half the
    strength of the classical alcohol test). No step may then promise that it stays smooth."""
    strong = {**SPIRIT, "base_strength": "60 %"}
    with pytest.raises(AdvisorError, match="clots on alcohol alone") as caught:
        made(strong, "strip", answers={"milk_wanted": "goat"})
    assert caught.value.code == "milk-clots-on-alcohol"
    assert "thin the drink to about 27 % vol" in caught.value.hint
    thinned = made({**SPIRIT, "base_strength": "27 %"}, "strip", answers={"milk_wanted": "goat"})
    assert not [w for w in thinned.warnings if "in cold and slowly" in w]
    # Cow milk holds to about 40 (Davies & White 1958): the usual spirit is washed as it is.
    assert made(SPIRIT, "strip").steps


def test_a_warning_does_not_contradict_the_steps():
    """Where the milk may clot, the warning names the dial that the steps go by."""
    found = made({**SPIRIT, "base_strength": "30 %"}, "strip", answers={"milk_wanted": "goat"})
    (said,) = [w for w in found.warnings if "clot on alcohol alone" in w]
    assert "milk_temperature 4" in said


def test_curd_that_stays_in_solution_is_counted_as_protein():
    """Whole milk holds 3.3 g of protein in 100 g (FAO 2013): a fifth of it in the mix, and hardly
    any acid, leave most of about 6.5 g per litre where a full split leaves about 1.5."""
    short = made(SPIRIT, "strip", overrides={"acid": "1 ml"})
    full = made(SPIRIT, "strip")
    assert any("short of a split" in w for w in short.warnings)
    assert short.expected.whey_protein.value > 4000
    assert full.expected.whey_protein.value < 2500
