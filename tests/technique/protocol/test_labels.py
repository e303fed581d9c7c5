"""What milk touched contains milk, whatever else; and the label words are those of the law.

Regulation (EU) 1169/2011 Annex II numbers are named beside each check; US: FD&C Act 201(qq),
FASTER Act; FDA allergen Q&A edition 5 (January 2025) for coconut.
"""

from __future__ import annotations

import pytest

from advisor.errors import AdvisorError
from advisor.science.batch_acid import mix_ph
from advisor.science.wording import BANNED, banned_words
from advisor.technique.protocol.wording import fill, step_text
from tests.technique.protocol.briefs import BRIEFS, PUNCH, SPIRIT, base, brief, made

DAIRY = (
    "whole", "whole-unhomogenised", "two-percent", "skim", "long-life", "lactose-free",
    "ultra-filtered", "half-and-half", "powder", "goat", "sheep", "buffalo",
)  # fmt: skip
WITH_MILK = (
    "strip", "strip-light", "strip-twice", "curd-steep", "milk-fining", "whey-dose",
    "strip-whey-back", "fat-wash-then-strip", "fat-wash-then-whey", "fat-strip-whey",
)  # fmt: skip


def says_milk(protocol):
    """Whether the label says milk in every place, the card says so and the stop is there."""
    return (
        all("milk" in text for text in protocol.label.statements.values())
        and protocol.label.contains_milk
        and "contains-milk" in protocol.cautions
    )


@pytest.mark.parametrize("technique", WITH_MILK)
@pytest.mark.parametrize("name", ["punch", "spirit"])
def test_whatever_milk_touched_contains_milk(name, technique):
    """EU 1169/2011 Annex II no. 7: no exception covers milk that clarified a drink."""
    assert says_milk(made(BRIEFS[name], technique))


@pytest.mark.parametrize("milk", DAIRY)
def test_every_dairy_milk_is_milk(milk):
    """Goat, sheep, buffalo, lactose-free and skimmed milk are milk; strength clears nothing."""
    # Goat milk clots on alcohol alone far below a spirit's strength: there the spirit is thinned.
    strong = {**SPIRIT, "base_strength": "24 %"} if milk == "goat" else SPIRIT
    for given in (PUNCH, {**PUNCH, "base_strength": "8 %"}, strong):
        assert says_milk(made(given, "strip", answers={"milk_wanted": milk}))


@pytest.mark.parametrize("fat", ["brown-butter", "plain-butter", "ghee"])
def test_butter_and_ghee_leave_milk_behind(fat):
    """Butter, brown butter and ghee are milk products; nothing exempts a spirit washed so."""
    assert says_milk(made(SPIRIT, "fat-wash", answers={"wanted_fat": fat}))


def test_lactose_is_a_number_of_its_own():
    """Lactose-free milk still contains milk, and its lactose is near nothing."""
    with_ = made(PUNCH, "strip")
    without = made(PUNCH, "strip", answers={"milk_wanted": "lactose-free"})
    assert says_milk(without)
    assert without.expected.lactose_per_serve.value < 0.1 < with_.expected.lactose_per_serve.value


@pytest.mark.parametrize(
    ("fat", "place", "word"),
    [
        ("peanut-butter", "eu", "peanuts"),  # Annex II no. 5: no exception
        ("peanut-butter", "us", "peanuts"),
        ("sesame-oil", "eu", "sesame"),  # no. 11: no exception for the oil
        ("toasted-sesame-oil", "us", "sesame"),  # FASTER Act; toasted oil is not highly refined
        ("toasted-sesame-oil", "canada", "sesame"),
        ("nut-paste", "eu", "nuts"),  # no. 8
    ],
)
def test_nut_and_seed_fats_are_declared(fat, place, word):
    """A fat of an allergen is declared after the wash as before it."""
    statement = made(SPIRIT, "fat-wash", answers={"wanted_fat": fat}).label.statements[place]
    assert statement.startswith("Contains")
    assert word in statement


@pytest.mark.parametrize("place", ["eu", "uk", "us", "canada"])
def test_coconut_and_olive_are_on_no_list(place):
    """Coconut left the US tree-nut list in January 2025 and was never on the EU's."""
    for fat in ("coconut-oil", "olive-oil"):
        label = made(SPIRIT, "plant-fat-wash", answers={"wanted_fat": fat}).label
        assert "Contains" not in label.statements[place]
        assert "Traces" in label.statements[place]  # silence is not presented as a clearance


def test_egg_white_and_soy_are_declared():
    """Annex II no. 3 and no. 6: a processing aid that may still be there counts (Art. 9(1)(c))."""
    assert "eggs" in made(PUNCH, "egg-white-fining").label.statements["eu"]
    assert "soy" in made(PUNCH, "soy-strip").label.statements["us"]


def test_soy_is_soy_and_not_milk():
    """A wash with soy drink declares soy in the EU and the US, warns of it, and claims no milk."""
    protocol = made(PUNCH, "soy-strip")
    assert "nuts-and-seeds" in protocol.cautions
    assert "contains-milk" not in protocol.cautions
    assert not protocol.label.contains_milk


def test_gelatine_asks_which_animal():
    """Gelatine may be fish (no. 4): the label says to check."""
    assert "fish" in made(PUNCH, "gelatine-fining").label.statements["eu"]


def test_above_1_2_percent_the_list_goes_but_never_the_allergens():
    """EU Art. 16(4): above 1.2 %vol no ingredient list is due; Art. 9(1)(c) still is."""
    weak = made(PUNCH, "strip", answers={"base_strength": "1 %"}).label
    strong = made(PUNCH, "strip").label
    assert strong.list_exempt["eu"]
    assert not weak.list_exempt["eu"]
    assert not strong.list_exempt["us"]
    assert "milk" in strong.statements["eu"]


def test_serves_are_counted_in_the_units_of_each_place():
    """90 mL of 20 %vol: 1.8 UK units (10 mL ethanol), 1.01 US drinks (14 g), 1.42 Australian."""
    protocol = made(
        {"base_kind": "mixed-drink", "base_strength": "20 %", "serve_size": "90 ml"},
        "settle-and-filter",
    )
    drinks = protocol.expected.drinks
    assert drinks["uk"].value == pytest.approx(1.80, abs=0.005)
    assert drinks["us"].value == pytest.approx(1.015, abs=0.005)
    assert drinks["au"].value == pytest.approx(1.42, abs=0.005)


def test_use_by_counts_the_day_of_making():
    """FDA Food Code 3-501.17: seven days, the day of preparation is day 1."""
    protocol = made(
        SPIRIT, "strip", answers={"acid_wanted": "citric-15"}, made="2026-11-25"
    )
    assert protocol.expected.keep_days == 7
    assert protocol.label.use_by == "2026-12-01"


def test_a_date_that_is_none_is_refused():
    """A label with a wrong date would be worse than none."""
    with pytest.raises(AdvisorError, match="not a date"):
        made(PUNCH, "strip", made="yesterday")


def test_a_weak_milky_drink_is_perishable():
    """Under 10 %vol the drink keeps seven days at most, whatever its pH."""
    assert made(PUNCH, "strip", answers={"base_strength": "8 %"}).expected.keep_days <= 7


SHARP_WINE = {"base_kind": "wine", "base_strength": "15 %", "base_tannin": "much"}


def test_the_wine_in_a_wash_brings_its_salts():
    """The protocol and ``work acid mix`` foretell the same pH: wine is more than its acid.

    Ribereau-Gayon and others, Handbook of Enology: potassium holds part of the acid of a wine
    as salt, and its pH lies at 2.9 to 3.8 (from memory); milk can only push that up.
    """
    protocol = made(SHARP_WINE, "strip")
    milk = protocol.quantities["strip.milk"].amount
    drink = protocol.quantities["strip.drink"].amount
    assert milk is not None
    assert drink is not None
    alone = mix_ph(
        drink_ml=drink.value, milk_ml=milk.value, acid_kind="wine", acid_ml=drink.value
    )
    assert protocol.expected.ph is not None
    assert protocol.expected.ph.value == pytest.approx(alone.value, abs=0.05)
    assert protocol.expected.ph.value > 3.8


def test_a_worked_out_ph_never_lengthens_the_days():
    """FDA Food Code 3-501.17 and 1-201.10 Table B: the table is read with a measured pH."""
    protocol = made(SHARP_WINE, "strip", made="2026-11-25")
    assert protocol.expected.keep_days == 7
    assert protocol.expected.keep_band == "cold-middle"
    assert protocol.label.use_by == "2026-12-01"
    assert "only once a calibrated pH meter" in " ".join(protocol.label.storage)
    label = next(s for s in protocol.steps if s.title == "Label it")
    assert "pH meter has shown less than 4.2" in step_text(protocol, label)


def test_a_measured_ph_lengthens_the_days_of_what_nothing_was_poured_into():
    """A reading of 3.3 in a wine that only settles backs the table; in one that is washed with
    milk it is no longer the pH of the drink."""
    settled = made(SHARP_WINE, "settle-and-filter", answers={"base_ph": "3.3"})
    washed = made(SHARP_WINE, "strip", answers={"base_ph": "3.3"})
    unread = made(SHARP_WINE, "settle-and-filter")
    assert settled.expected.keep_band == "non-tcs"
    assert unread.expected.keep_days == washed.expected.keep_days == 7
    assert settled.expected.keep_days > 7


@pytest.mark.parametrize("technique", sorted(base().protocols))
def test_no_text_promises_what_nobody_can(technique):
    """No step, assumption, label or warning of any protocol holds a banned word."""
    for given in BRIEFS.values():
        try:
            protocol = made(given, technique)
        except AdvisorError:
            continue
        texts = [step_text(protocol, s) for s in protocol.steps]
        texts += [
            fill(protocol, text, s.scope)
            for s in protocol.steps
            if s.check
            for text in (s.check.should, s.check.do)
        ]
        texts += [*protocol.assumptions, *protocol.warnings, *protocol.not_linear]
        texts += [*protocol.label.storage, *protocol.label.statements.values()]
        for text in texts:
            assert not banned_words(text), text
    assert "dairy free" in BANNED


def test_a_limit_is_never_broken():
    """What a brief rules out is refused by name, with where it would come from."""
    cases = [
        ("strip", {"no_dairy": "yes"}, "milk"),
        ("egg-white-fining", {"no_egg": "yes"}, "egg"),
        ("soy-strip", {"no_soy": "yes"}, "soy"),
        ("gelatine-fining", {"no_animal": "yes"}, "gelatine"),
    ]
    for technique, limits, word in cases:
        with pytest.raises(AdvisorError) as refused:
            made(PUNCH, technique, answers=limits)
        assert refused.value.code == "limit-broken"
        assert word in str(refused.value)
    assert brief(PUNCH, no_dairy="yes").yes("no_dairy")
