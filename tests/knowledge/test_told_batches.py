"""Batches as somebody tells them, against the shipped base: what must be stopped, held or said.

Each is a case in which the advice once was unsafe or wrong. What is expected is what the sources
of the rules say (US Food Code, EU 1169/2011, tables of freezing points) or, where none is named,
judgement.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from advisor.consult import Consultation
from advisor.knowledge.load import load
from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.advise import Advice, advise
from advisor.reasoning.infer import engine_for
from advisor.reasoning.repair import usable_actions
from tests.reasoning.batches import inferred

if TYPE_CHECKING:
    from advisor.reasoning.infer import Inference

WASH = {
    "operation": "strip",
    "drink_volume": "1 l",
    "milk_volume": "250 ml",
    "milk_kind": "whole",
    "acid_kind": "lemon-juice",
    "acid_volume": "60 ml",
}
WEAK = {**WASH, "drink_strength": "8 %"}
SETTLED = {"cloud_after_days": "yes", "bottle_shows": "white-floor"}
GREY = {
    **WASH,
    "colour_turned": "yes",
    "drink_strength": "18 %",
    "colour_now": "grey-green-or-black",
    "has_tea_or_coffee": "yes",
}
OVERPROOF = {
    "fat_wont_part": "yes",
    "operation": "fat-wash",
    "fat_kind": "coconut-oil",
    "fat_mass": "150 g",
    "spirit_volume": "700 ml",
    "spirit_strength": "63 %",
    "cap_feel": "none",
    "freeze_time": "20 h",
    "freezer_temperature": "-18 C",
}


def told(**raw: str) -> Inference:
    """What follows from these answers alone."""
    return inferred(load(), **raw)


def advised(**raw: str) -> Advice:
    """The advice on these answers alone."""
    return advise(engine_for(load(), "reference"), told(**raw))


def shown(advice: Advice) -> list[str]:
    """The remedies that are shown, for this batch and for the next."""
    return [each.remedy.id for each in (*advice.this_batch, *advice.next_batch)]


def usable(**raw: str) -> set[str]:
    """All remedies that apply, whether they are shown or not."""
    inference = told(**raw)
    return {
        action.id
        for of in ("this-batch", "next-batch")
        for action in usable_actions(load(), inference, of)
    }


# --- hours in the warm -------------------------------------------------------------------


@pytest.mark.parametrize(
    "kept",
    [
        {"kept_where": "room", "kept_days": "3"},
        {"kept_where": "room", "kept_days": "1"},
        {"kept_where": "room", "kept_days": "unknown"},
        {"hours_warm": "72"},
    ],
    ids=str,
)
@pytest.mark.parametrize("extra", [{}, {"has_egg": "yes"}], ids=("plain", "egg"))
def test_days_on_a_shelf_are_hours_in_the_warm(kept, extra):
    """A weak milk drink that stood at room temperature is thrown away, however it is told."""
    advice = advised(**SETTLED, **WEAK, **kept, **extra)
    assert advice.verdict.kind == "discard"
    assert "rack-off-the-floor" not in shown(advice)


def test_in_the_fridge_the_same_drink_is_racked():
    """The cold is what makes the difference."""
    advice = advised(**SETTLED, **WEAK, kept_where="fridge", kept_days="3", hours_warm="2")
    assert advice.verdict.cause == "fines-settled"


@pytest.mark.parametrize("strength", [{}, {"drink_strength": "unknown"}], ids=("silent", "unknown"))
@pytest.mark.parametrize(
    "kept", [{"hours_warm": "9"}, {"kept_where": "room", "kept_days": "2"}], ids=str
)
def test_warm_and_of_unknown_strength_is_held(kept, strength):
    """Nothing is rescued before its strength is known; a strength that is known lifts the stop."""
    advice = advised(**SETTLED, **WASH, **kept, **strength)
    assert advice.verdict.kind == "stop"
    assert "hold-until-the-strength-is-known" in shown(advice)
    assert "discard-doubt" in advice.cautions
    assert advised(**SETTLED, **WASH, **kept, drink_strength="30 %").verdict.kind == "cause"


@pytest.mark.parametrize("symptom", ["cloud_after_days", "bottle_separates"])
def test_a_bottle_that_changed_is_asked_after_gas_smell_and_warmth(symptom):
    """Before the causes are gone into; of a strong drink the hours are left out."""
    for strength, wanted in (
        ("8 %", {"gas_or_film", "new_sour_smell", "kept_where", "hours_warm"}),
        ("unknown", {"gas_or_film", "new_sour_smell", "kept_where", "hours_warm"}),
        ("25 %", {"gas_or_film", "new_sour_smell"}),
    ):
        consultation = Consultation(load()).tell_symptoms([symptom])
        asked: list[str] = []
        while (question := consultation.next_question) is not None and len(asked) < 5:
            name = question.finding
            if name in {**WASH, "drink_strength": ""}:
                value = {**WASH, "drink_strength": strength}[name]
                consultation = consultation.answered(name, value)
            else:
                asked.append(name)
                consultation = consultation.dont_know(name)
        assert wanted <= set(asked), (strength, asked)


# --- metal, soap, crystal ------------------------------------------------------------------


def test_a_grey_drink_is_held_until_metal_is_ruled_out():
    """It is neither coloured over nor served; bare metal throws it away, and its lack clears it."""
    for answer in ({}, {"metal_touched": "unknown"}):
        advice = advised(**GREY, **answer)
        assert advice.verdict.kind == "stop"
        assert shown(advice) == ["hold-until-metal-is-ruled-out"]
        assert "reactive-metal" in advice.cautions
    assert advised(**GREY, metal_touched="yes").verdict.kind == "discard"
    assert advised(**GREY, metal_touched="no").verdict.kind not in ("stop", "discard")


@pytest.mark.parametrize("metal", ["yes", "no", "unknown"])
def test_a_grey_drink_is_never_coloured_over(metal):
    """Colouring it over hides the sign."""
    assert "colour-it-after-the-wash" not in usable(**GREY, metal_touched=metal)
    assert "colour-it-after-the-wash" in usable(**WASH, colour_gone="yes")


def test_nothing_that_keeps_the_drink_cures_metal_or_lead():
    """What cures them is thrown away or held."""
    gone = {"discard-metal-or-lead", "hold-until-metal-is-ruled-out", "look-for-soap-and-metal"}
    for cause in ("iron-tannin-dark", "reactive-metal-acid", "lead-glaze-crystal"):
        for remedy in load().remedies.values():
            if remedy.of == "this-batch" and cause in remedy.cures:
                assert remedy.id in gone, (cause, remedy.id)


def test_lead_crystal_is_thrown_away():
    """Also where nobody said for how long; hours and strength have nothing to do with it."""
    for days in ({}, {"kept_days": "3"}, {"kept_days": "unknown"}):
        advice = advised(
            safety_doubt="yes", operation="strip", vessel_kind="crystal-or-unknown-glaze", **days
        )
        assert advice.verdict.kind in ("stop", "discard")
        assert shown(advice) == ["discard-metal-or-lead"]


def test_a_soapy_bite_is_no_tannin():
    """Soap, alkali or metal: the batch is held, and no steep is blamed."""
    inference = told(bitter_still="yes", bite_kind="soapy")
    assert "stop" in inference.verdicts
    assert set(inference.ranked[:2]) <= {"detergent-residue", "soapy-alkali", NOT_LISTED}
    assert "look-for-soap-and-metal" in shown(advised(bitter_still="yes", bite_kind="soapy"))
    for cause in ("botanical-oversteep", "milk-share-low-tannin", "not-polyphenol-bite"):
        assert inference.standing[cause] < 0.03


# --- guests ----------------------------------------------------------------------------------

DAIRY = re.compile(
    r"(fresh|pasteurised) (whole )?milk|whole milk|skimmed milk|half-and-half|\bghee\b"
    r"|clear acid whey|fresh whey|ml of whey|milk or cream|sheep milk|take butter"
)
NUTS = re.compile(r"nut oil|unstabilised|stir (them|nut syrup) in")
EGG_OR_SOY = re.compile(r"egg white|pasteurised (milk and )?egg|soy drink")
# Named in passing, to keep it out or to say what it is; they bring nothing in.
SAYS = {
    "choose-a-clarifier-from-the-guest-list", "one-clarifier-by-the-gram", "name-the-clarifier",
    "discard-sour-milk-batch", "wash-again-with-soy-alone", "plain-carton-without-gums",
    "print-contains-milk", "weigh-the-acid-not-the-taste", "say-next-to-no-lactose",
}  # fmt: skip
OAT = {**WASH, "milk_kind": "oat", "diet_allergen": "yes"}


@pytest.mark.parametrize(
    ("guest", "brings"),
    [
        ("milk-allergy", DAIRY),
        ("lactose", DAIRY),
        ("vegan", DAIRY),
        ("unknown", DAIRY),
        ("nut-allergy", NUTS),
        ("sesame-allergy", NUTS),
        ("other", EGG_OR_SOY),
        ("vegan", re.compile("egg white|pasteurised egg")),
    ],
    ids=lambda value: value if isinstance(value, str) else "brings",
)
def test_no_remedy_brings_in_what_the_guest_must_avoid(guest, brings):
    """Whatever the drink was, nothing that would harm the guest who asks is offered."""
    base = load()
    for batch in (
        OAT,
        {"operation": "fat-wash", "fat_kind": "coconut-oil", "diet_allergen": "yes"},
    ):
        for name in usable(**batch, guest_question=guest) - SAYS:
            remedy = base.remedies[name]
            words = f"{remedy.title} {remedy.do} {remedy.otherwise}".lower()
            assert not brings.search(words), (guest, name)
    assert any(brings.search(base.remedies[name].do.lower()) for name in usable(**OAT) - SAYS), (
        "without such a guest they are offered"
    )


def test_soy_is_offered_where_milk_may_not_go_in():
    """A plant wash that did not curdle is washed again with soy, where soy does no harm."""
    for guest in ("milk-allergy", "lactose", "vegan"):
        assert "wash-again-with-soy-alone" in usable(**OAT, guest_question=guest)
    for guest in ("other", "unknown", "none"):
        assert "wash-again-with-soy-alone" not in usable(**OAT, guest_question=guest)


NO_MILK = (
    {"operation": "fat-wash", "fat_kind": "bacon-fat", "guest_question": "vegan"},
    {"operation": "fat-wash", "fat_kind": "coconut-oil", "guest_question": "nut-allergy"},
    {"operation": "fat-wash", "fat_kind": "coconut-oil", "guest_question": "milk-allergy"},
    {"operation": "fat-wash", "fat_kind": "olive-oil", "guest_question": "lactose"},
    {"operation": "strip", "milk_kind": "oat", "guest_question": "milk-allergy"},
    {"operation": "strip", "milk_kind": "soy", "guest_question": "lactose"},
)


@pytest.mark.parametrize("batch", NO_MILK, ids=lambda b: "-".join(b.values()))
def test_nothing_is_said_to_contain_milk_that_met_none(batch):
    """Neither as a caution, nor as a cause, nor as what to tell the guest."""
    advice = advised(diet_allergen="yes", **batch)
    assert not {"contains-milk", "milk-allergy-stop", "lactose-note"} & set(advice.cautions)
    assert advice.verdict.cause not in ("milk-protein-remains", "lactose-not-told")
    assert not {"do-not-serve-and-say-milk", "tell-the-lactose-dose"} & set(shown(advice))


@pytest.mark.parametrize(
    "batch",
    [
        {"operation": "fat-wash", "fat_kind": "ghee"},
        {"operation": "fat-wash", "fat_kind": "unknown"},
        {"operation": "strip", "milk_kind": "lactose-free"},
        {"operation": "strip", "milk_kind": "oat", "milk_powder_added": "yes"},
        {"operation": "several", "fat_kind": "coconut-oil"},
        {"operation": "whey-dose"},
    ],
    ids=str,
)
def test_whatever_may_hold_milk_is_said_to(batch):
    """The flag comes off for nothing but what was named and holds none."""
    advice = advised(diet_allergen="yes", guest_question="milk-allergy", **batch)
    assert advice.verdict.kind == "stop"
    assert {"contains-milk", "milk-allergy-stop"} & set(advice.cautions)


def test_animal_fat_is_no_milk_and_not_vegan():
    """It stops by what went in."""
    advice = advised(
        diet_allergen="yes", operation="fat-wash", fat_kind="lard", guest_question="vegan"
    )
    assert advice.verdict.kind == "stop"
    assert "animal-fat" in advice.cautions
    assert shown(advice) == ["not-for-a-guest-without-animal-food"]


def test_nuts_are_said_to_be_in_it_only_where_they_are():
    """A question alone is no nut; it is not ruled out either until somebody has looked."""
    batch = {"diet_allergen": "yes", "operation": "fat-wash", "guest_question": "nut-allergy"}
    oil = advised(**batch, fat_kind="coconut-oil")
    assert "nuts-not-ruled-out" in oil.cautions
    assert "nuts-and-seeds" not in oil.cautions
    looked = advised(**batch, fat_kind="coconut-oil", nut_or_seed_used="no")
    assert not {"nuts-not-ruled-out", "nuts-and-seeds"} & set(looked.cautions)
    paste = advised(**batch, fat_kind="peanut-butter")
    assert paste.verdict.kind == "stop"
    assert "nuts-and-seeds" in paste.cautions
    assert "nuts-not-ruled-out" not in paste.cautions


@pytest.mark.parametrize(
    "batch",
    [
        {"operation": "strip", "milk_kind": "lactose-free"},
        {"operation": "fat-wash", "fat_kind": "brown-butter"},
    ],
    ids=str,
)
def test_next_to_no_lactose_is_told_as_that(batch):
    """It is milk all the same, and no gram and a tenth of milk sugar runs through."""
    advice = advised(diet_allergen="yes", guest_question="lactose", **batch)
    assert {"contains-milk", "lactose-free-is-milk"} <= set(advice.cautions)
    assert "lactose-note" not in advice.cautions
    assert shown(advice) == ["say-next-to-no-lactose"]
    whole = advised(
        diet_allergen="yes", guest_question="lactose", operation="strip", milk_kind="whole"
    )
    assert "lactose-note" in whole.cautions
    assert "tell-the-lactose-dose" in shown(whole)


def test_a_guest_who_is_unwell_comes_first():
    """The stop is said at once, with what to do, and no batch is saved meanwhile."""
    for more in ({}, WEAK, {"off_smell": "yes"}):
        advice = advised(guest_unwell="yes", **more)
        assert advice.verdict.kind == "stop"
        assert "help-the-guest-first" in shown(advice)
        assert "guest-unwell" in advice.cautions
    assert "help-the-guest-first" not in usable(**WEAK)
    consultation = Consultation(load()).tell_symptoms(["guest_unwell"])
    assert consultation.dont_know("operation").stop_reason is not None


# --- fire, cold, keeping ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("plan", "first"),
    [
        ({"hot_fat_plan": "hot-fat", "fat_temperature": "120 C"}, "fire-first-steps"),
        ({"hot_fat_plan": "hot-fat"}, "fire-first-steps"),
        ({"hot_fat_plan": "centrifuge"}, "stop-the-spinner"),
        ({"hot_fat_plan": "cryogen"}, "vent-and-leave"),
    ],
    ids=str,
)
def test_a_hazard_says_what_to_do_now(plan, first):
    """Before it is burning as well as after."""
    advice = advised(fire_spatter="yes", **plan)
    assert advice.verdict.kind == "stop"
    assert shown(advice)[0] == first


def test_no_ice_by_the_sum_is_no_slush():
    """At 63 % nothing freezes at -18 C; what floats at 40 % does not float there."""
    inference = told(**OVERPROOF)
    assert inference.ranked[0] == "overproof-fat-hangs"
    for cause in ("weak-spirit-slush", "nut-solids-suspended", "nut-paste-holds-spirit"):
        assert inference.standing[cause] < 0.01
    assert "stronger-base-or-warmer-cold" not in usable(**OVERPROOF)
    weak = {**OVERPROOF, "spirit_strength": "25 %"}
    assert told(**weak).standing["weak-spirit-slush"] > 0.02
    assert "stronger-base-or-warmer-cold" in usable(**weak)


def test_a_strength_that_nobody_knows_is_kept_cold():
    """It counts as weak; a strong drink is left out; fat-washed spirit has its own line."""
    assert "keep-cold" in advised(colour_gone="yes", operation="strip").cautions
    assert "keep-cold" in advised(colour_gone="yes", operation="whey-dose").cautions
    strong = advised(colour_gone="yes", operation="strip", drink_strength="40 %")
    assert "keep-cold" not in strong.cautions
    assert "keep-fat-wash-cold" in advised(fat_too_little="yes", operation="fat-wash").cautions
    assert "keep-fat-wash-cold" not in strong.cautions


# --- what spoils ---------------------------------------------------------------------------------


def test_old_whey_is_named_before_a_wait_that_never_was():
    """No mix waits in a dose of whey."""
    inference = told(
        off_smell="yes",
        operation="whey-dose",
        whey_kind="yoghurt-hung",
        whey_age="6",
        whey_volume="60 ml",
        smell_kind="cheesy-or-sour",
    )
    assert inference.ranked[0] == "whey-spoiled"
    assert inference.standing["milk-soured-wait"] < 0.01


def test_the_hours_and_the_strength_choose_the_remedy():
    """One line that fits, in place of all of them; a discard no longer says 'if'."""
    lines = {
        "9 %": "warm-and-under-ten",
        "18 %": "warm-between-ten-and-twenty",
        "30 %": "warm-and-twenty-or-more",
        "unknown": "warm-and-strength-unknown",
    }
    for strength, line in lines.items():
        found = usable(safety_doubt="yes", **WASH, drink_strength=strength)
        assert found & set(lines.values()) == {line}
        assert "throw-it-away-after-a-warm-night" not in found
    late = usable(safety_doubt="yes", **WEAK, hours_warm="12")
    assert not late & set(lines.values())
    assert "throw-it-away-after-a-warm-night" in late


def test_a_verdict_to_discard_leaves_no_if():
    """What has been decided is not put back to whoever asks."""
    for batch in (
        {"safety_doubt": "yes", **WEAK, "hours_warm": "12"},
        {"operation": "fat-wash", "garlic_or_herb_in_fat": "yes", "kept_where": "room"},
        {"operation": "strip", "raw_milk": "yes", "milk_kind": "whole"},
    ):
        advice = advised(**batch)
        assert advice.verdict.kind == "discard"
        assert advice.this_batch
        for each in advice.this_batch:
            words = each.remedy.do.lower()
            assert not re.search(
                r"\bif (it|fat|carton) (stood|smells|was above|is under \d)", words
            )


# --- what is asked -------------------------------------------------------------------------------


def asked(**raw: str) -> set[str]:
    """The questions that could be asked now."""
    consultation = Consultation(load())
    symptoms = [name for name in raw if load().findings[name].symptom]
    consultation = consultation.tell_symptoms(symptoms)
    for name, value in raw.items():
        if name not in symptoms:
            consultation = consultation.tell(name, value)
    return {candidate.finding for candidate in consultation.candidates}


def test_fat_is_asked_after_only_where_fat_went_in():
    """A burnt milk wash has no fat to filter."""
    fat = {"fat_filtered_first", "fat_mixed_how", "cooled_how", "stored_with_fat", "fat_label"}
    for symptom in ("burnt_taste", "gritty", "bottle_separates", "salty", "off_smell"):
        assert not fat & asked(**{symptom: "yes"}, operation="strip")
    assert "fat_filtered_first" in asked(burnt_taste="yes", operation="fat-wash")


def test_nut_is_not_asked_after_where_it_was_named():
    """Peanut butter is an answer."""
    batch = {"diet_allergen": "yes", "operation": "fat-wash"}
    assert "nut_or_seed_used" not in asked(**batch, fat_kind="peanut-butter")
    assert "nut_or_seed_used" in asked(**batch, fat_kind="coconut-oil")


def test_no_figure_in_parts_stands_before_times():
    """A factor is written 1.25:1, so no text says 'times' after it."""
    for remedy in load().remedies.values():
        assert not re.search(r"\{overbuild\}\s+times", remedy.do)
