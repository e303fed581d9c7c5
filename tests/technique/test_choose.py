"""Choosing: what is ranked, what is refused with its way out, and what pulls against what."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.chain import available
from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge.conditions import Is
from advisor.knowledge.load import load
from advisor.knowledge.model import Brought, Technique
from advisor.knowledge.words import BROUGHT, DOES, EFFECTS
from advisor.reasoning.answers import Answer
from advisor.report.choice import choice_report
from advisor.report.screen import plain_lines
from advisor.science.wording import banned_words
from advisor.technique.brief import Brief, brief_from, read_brief
from advisor.technique.choose import Choice, choose, chooser_for, standing_word
from advisor.technique.lines import choosing_lines, effort

BASE = load()
DEMO = Path(__file__).parent.parent.parent / "scenarios_demo" / "briefs"
BRIEFS = sorted(DEMO.glob("*.yaml"))
MADE_WITH_MILK = (
    "strip",
    "strip-light",
    "strip-twice",
    "curd-steep",
    "milk-fining",
    "whey-dose",
    "strip-whey-back",
    "fat-wash-then-strip",
    "strip-then-fat-wash",
    "fat-wash-then-whey",
    "fat-strip-whey",
)


def chosen(**answers: object) -> Choice:
    """The choice for answers as people write them."""
    return choose(BASE, brief_from(BASE, answers))


def place(choice: Choice, technique: str) -> int:
    """Where a technique stands; far behind when it is refused."""
    names = [option.technique for option in choice.ranked]
    return names.index(technique) if technique in names else 999


def lines_against(choice: Choice, technique: str) -> set[str]:
    """The lines that refuse a technique."""
    refusal = choice.refusal(technique)
    return {reason.line for reason in refusal.reasons} if refusal else set()


# --- the demo briefs ------------------------------------------------------------------------


def test_there_are_enough_briefs():
    """A developer finds at least eight worked briefs to begin from."""
    assert len(BRIEFS) >= 8


@pytest.mark.parametrize("path", BRIEFS, ids=lambda p: p.stem)
def test_a_demo_brief_comes_out_as_it_expects(path):
    """Each brief names what should come first, be refused and be named as a conflict."""
    brief = read_brief(path, BASE)
    assert brief.invented
    assert brief.story
    assert brief.expect
    choice = choose(BASE, brief)
    expect = brief.expect
    if "first" in expect:
        wanted = expect["first"]
        assert choice.first is not None
        assert choice.first.technique in ([wanted] if isinstance(wanted, str) else wanted)
    top = {option.technique for option in choice.ranked[:3]}
    assert set(expect.get("among", ())) <= top
    assert set(expect.get("refused", ())) <= {r.technique for r in choice.refused}
    assert set(expect.get("conflicts", ())) <= {c.id for c in choice.conflicts}


# --- refusals -------------------------------------------------------------------------------

SPIRIT = {"goals": ["fat_flavour"], "base_kind": "spirit", "base_strength": 43}
SOUR = {"goals": ["less_astringent"], "base_kind": "mixed-drink", "base_strength": 20}

REFUSALS = [
    (
        "no-acid-and-none-allowed",
        "strip",
        {**SOUR, "base_acid_kind": "none", "acid_wanted": "none"},
    ),
    ("acid-short-and-none-allowed", "strip", {**SOUR, "base_acid": 0.6, "acid_wanted": "none"}),
    ("plant-drink-without-casein", "strip", {**SOUR, "milk_wanted": "oat"}),
    ("plant-drink-makes-no-whey", "whey-dose", {**SOUR, "milk_wanted": "almond"}),
    ("soy-drink-is-another-wash", "strip-light", {**SOUR, "milk_wanted": "soy"}),
    ("too-strong-for-milk", "strip", {**SOUR, "base_kind": "spirit", "base_strength": 63}),
    ("plant-fat-named", "fat-wash", {**SPIRIT, "wanted_fat": "coconut-oil"}),
    ("dairy-or-meat-fat-named", "plant-fat-wash", {**SPIRIT, "wanted_fat": "ghee"}),
    ("no-spirit-to-wash", "fat-wash", {"goals": ["fat_flavour"], "base_kind": "juice"}),
    (
        "tea-without-spirit-and-fat",
        "plant-fat-wash",
        {"goals": ["fat_flavour"], "base_kind": "tea-or-coffee", "base_strength": 5},
    ),
    (
        "spirit-too-weak-for-the-freezer",
        "plant-fat-wash",
        {**SPIRIT, "base_strength": 20, "wanted_fat": "olive-oil"},
    ),
    ("washed-drink-would-freeze", "strip-then-fat-wash", {**SOUR, "base_strength": 25}),
    (
        "oil-stops-floating",
        "plant-fat-wash",
        {**SPIRIT, "base_strength": 63, "wanted_fat": "olive-oil"},
    ),
    (
        "no-freezer-for-soft-fat",
        "plant-fat-wash",
        {**SPIRIT, "wanted_fat": "olive-oil", "kit": ["paper"]},
    ),
    ("needs/agar-clarify/1", "agar-clarify", {"goals": ["clear"], "kit": ["paper"]}),
    ("time/fat-wash", "fat-wash", {**SPIRIT, "wanted_fat": "ghee", "time_limit": "2 h"}),
    ("work/fat-strip-whey", "fat-strip-whey", {**SOUR, "hands_on_limit": "30 min"}),
    ("brings/strip/1/no_dairy", "strip", {**SOUR, "no_dairy": "yes"}),
    ("brings/egg-white-foam/1/no_egg", "egg-white-foam", {"goals": ["foam"], "no_egg": "yes"}),
    ("brings/soy-strip/1/no_soy", "soy-strip", {**SOUR, "no_soy": "yes"}),
    (
        "brings/gelatine-fining/1/no_meat",
        "gelatine-fining",
        {**SOUR, "no_meat": "yes"},
    ),
    (
        "brings/plant-fat-wash/3/no_sesame",
        "plant-fat-wash",
        {**SPIRIT, "wanted_fat": "toasted-sesame-oil", "no_sesame": "yes"},
    ),
    (
        "brings/plant-fat-wash/4/no_nuts",
        "plant-fat-wash",
        {**SPIRIT, "wanted_fat": "peanut-butter", "no_nuts": "yes"},
    ),
    ("cost/strip", "strip", {**SOUR, "base_cost": 20, "cost_limit": 10}),
]


@pytest.mark.parametrize(("line", "technique", "answers"), REFUSALS, ids=[r[0] for r in REFUSALS])
def test_what_cannot_work_is_refused_with_its_way_out(line, technique, answers):
    """A technique that cannot work is not ranked; why, and what to do instead, are said."""
    choice = chosen(**answers)
    assert line in lines_against(choice, technique)
    assert choice.option(technique) is None
    refusal = choice.refusal(technique)
    assert refusal is not None
    assert all(reason.because and reason.source for reason in refusal.reasons)
    assert refusal.way_out
    assert all(len(way) > 20 for way in refusal.way_out)


def test_every_refusing_rule_is_tried():
    """No rule that forbids goes without a brief that shows it."""
    forbidding = {
        rule.id
        for rule in BASE.choosing.values()
        if any(effect.kind == "forbid" for effect in rule.effects)
    }
    assert forbidding <= {line for line, _, _ in REFUSALS}


@pytest.mark.parametrize(
    ("answers", "technique"),
    [
        ({**SOUR, "base_acid_kind": "none", "acid_wanted": "none"}, "curd-steep"),
        ({**SOUR, "milk_wanted": "oat"}, "soy-strip"),
        ({**SPIRIT, "wanted_fat": "coconut-oil"}, "plant-fat-wash"),
        ({**SPIRIT, "wanted_fat": "ghee"}, "fat-wash"),
        ({**SOUR, "base_strength": 25, "wanted_fat": "ghee"}, "fat-wash-then-strip"),
        ({**SOUR, "base_kind": "spirit", "base_strength": 45, "base_acid": 8}, "strip"),
    ],
)
def test_the_way_out_is_open(answers, technique):
    """The technique that a refusal points to is not refused for the same brief."""
    assert chosen(**answers).option(technique) is not None


def test_a_refusal_on_an_uncertain_number_is_only_a_doubt():
    """A freezing point within its own error of the limit does not forbid: it speaks against."""
    near = chosen(**{**SOUR, "base_kind": "spirit", "base_strength": 41.5})
    option = near.option("strip-then-fat-wash")
    assert option is not None
    assert any(reason.line == "washed-drink-would-freeze" for reason in option.against)


# --- conflicts ------------------------------------------------------------------------------

CONFLICTS = {
    "paler-and-keep-colour": {"goals": ["paler"], "keep_colour": "yes"},
    "less-bitter-and-keep-bitter": {"goals": ["less_bitter"], "keep_bitter": "yes"},
    "body-and-foam-without-dairy": {"goals": ["more_body"], "no_dairy": "yes"},
    "foam-without-egg-and-dairy": {"goals": ["foam"], "no_animal": "yes"},
    "clear-and-foam-from-egg": {"goals": ["clear", "foam"], "no_dairy": "yes"},
    "fat-flavour-in-a-hurry": {"goals": ["fat_flavour"], "time_limit": "2 h"},
    "clear-and-fat-in-a-day": {"goals": ["fat_flavour", "clear"], "time_limit": "9 h"},
    "butter-flavour-without-dairy": {
        "goals": ["fat_flavour"],
        "wanted_fat": "ghee",
        "no_dairy": "yes",
    },
    "meat-fat-without-meat": {
        "goals": ["fat_flavour"],
        "wanted_fat": "bacon-fat",
        "no_meat": "yes",
    },
    "sesame-without-sesame": {
        "goals": ["fat_flavour"],
        "wanted_fat": "toasted-sesame-oil",
        "no_sesame": "yes",
    },
    "nut-fat-without-nuts": {
        "goals": ["fat_flavour"],
        "wanted_fat": "peanut-butter",
        "no_nuts": "yes",
    },
    "top-notes-and-fat": {"goals": ["fat_flavour"], "keep_top_notes": "yes"},
    "much-stripping-and-top-notes": {
        "goals": ["less_astringent"],
        "base_tannin": "much",
        "keep_top_notes": "yes",
    },
    "colour-and-stripping": {
        "goals": ["less_bitter"],
        "base_colour": "deep",
        "keep_colour": "yes",
    },
    "keeps-long-and-foams": {"goals": ["foam"], "keep_wanted": "60 days"},
    "strength-and-wash": {"goals": ["clear"], "keep_strength": "yes"},
    "clear-and-body-from-whey": {"goals": ["clear", "more_body"], "base_ph": 4.4},
    "keeps-weeks-without-strength": {
        "goals": ["clear"],
        "base_kind": "juice",
        "keep_wanted": "30 days",
    },
}


@pytest.mark.parametrize(("conflict", "answers"), CONFLICTS.items(), ids=CONFLICTS)
def test_a_conflict_is_named_with_its_trade_off(conflict, answers):
    """Goals and limits that pull against each other are said, with what each costs the other."""
    named = {c.id: c for c in chosen(**answers).conflicts}
    assert conflict in named
    found = named[conflict]
    assert found.kind in ("impossible", "trade-off")
    assert found.trade_off
    assert found.because
    assert found.source
    assert set(found.between) & (set(answers) | {f"goal_{g}" for g in answers["goals"]})


@pytest.mark.parametrize(("conflict", "answers"), CONFLICTS.items(), ids=CONFLICTS)
def test_a_conflict_goes_when_its_limit_goes(conflict, answers):
    """With the goal alone nothing is made up."""
    alone = chosen(goals=answers["goals"])
    assert conflict not in {c.id for c in alone.conflicts}


def test_every_conflict_is_tried():
    """No conflict of the knowledge goes without a brief that shows it."""
    written = {
        rule.id
        for rule in BASE.choosing.values()
        if any(effect.kind == "conflict" for effect in rule.effects)
    }
    assert written == set(CONFLICTS)


def test_a_goal_that_nothing_can_serve_is_said():
    """When every technique that would serve a goal is refused, that is named, and what refuses."""
    choice = chosen(
        goals=["fat_flavour"],
        base_kind="spirit",
        base_strength=43,
        wanted_fat="brown-butter",
        no_dairy="yes",
    )
    named = {c.id: c for c in choice.conflicts}
    left = named["nothing-left/goal_fat_flavour"]
    assert left.kind == "impossible"
    assert "no_dairy" in left.between
    assert choice.first is None


def test_a_brief_without_a_goal_is_refused():
    """Nothing can be chosen for nothing."""
    with pytest.raises(AdvisorError, match="does not say what is wanted"):
        choose(BASE, Brief({}))


# --- what published work says about which technique does what ---------------------------------


def test_curd_is_the_choice_for_tea_tannin():
    """Ye et al. 2013: milk at 40 % bound 73 % of green-tea and 35 % of black-tea catechins."""
    choice = chosen(
        goals=["less_astringent"],
        base_kind="tea-or-coffee",
        base_strength=15,
        base_acid_kind="lemon-juice",
        base_tannin="much",
    )
    assert choice.first is not None
    assert choice.first.technique == "strip"


def test_fining_agents_stand_in_the_order_of_the_trial():
    """South Africa Wine Scan 2019: gelatine took most tannin, potato protein next, PVPP least."""
    techniques = BASE.techniques
    tannin = {
        name: DOES[techniques[name].does["goal_less_astringent"]]
        for name in ("gelatine-fining", "plant-protein-fining", "pvpp-fining")
    }
    assert tannin["gelatine-fining"] > tannin["plant-protein-fining"] > tannin["pvpp-fining"]
    choice = chosen(
        goals=["less_astringent"], base_kind="wine", base_strength=13, base_tannin="much"
    )
    assert place(choice, "plant-protein-fining") < place(choice, "pvpp-fining")
    assert place(choice, "gelatine-fining") < place(choice, "pvpp-fining")


def test_a_red_that_must_stay_red_gets_plant_protein_before_gelatine():
    """Rio Segade et al. 2020: pea kept more red; Wine Scan 2019: gelatine took most colour."""
    answers = {
        "goals": ["less_astringent"],
        "base_kind": "wine",
        "base_strength": 13,
        "base_tannin": "much",
        "base_colour": "deep",
    }
    choice = chosen(**answers, keep_colour="yes")
    assert place(choice, "plant-protein-fining") < place(choice, "gelatine-fining")


def test_egg_foams_better_than_chickpea_and_whey_foams_at_all():
    """Buhl et al. 2019: aquafaba below egg white; McGee 2004: egg foams hold longest."""
    choice = chosen(goals=["foam"], base_kind="mixed-drink", base_strength=18)
    assert place(choice, "egg-white-foam") < place(choice, "plant-foamer")
    option = choice.option("whey-dose")
    assert option is not None
    assert option.serves["goal_foam"] == "much"


def test_salt_masks_a_little_bitterness():
    """Breslin & Beauchamp 1997: a sodium salt cut bitterness far more than sweetness."""
    choice = chosen(
        goals=["less_bitter"], base_kind="mixed-drink", base_strength=20, base_bitter="some"
    )
    assert choice.first is not None
    assert choice.first.technique == "salt-and-sweeten"


def test_a_fining_dose_of_milk_stays_within_the_wine_law():
    """27 CFR 24.246: milk at 2 mL/L, at most 10 mL/L; a light wash is over ten times that."""
    techniques = BASE.techniques
    assert 2.0 <= sum(techniques["milk-fining"].amounts["milk"]) <= 10.0
    assert sum(techniques["strip-light"].amounts["milk"]) > 10 * 10.0


def test_whey_is_for_sharp_drinks():
    """LaClair & Etzel 2009: clear at pH 3.6 and below, turbid near pH 4 and above."""
    answers = {"goals": ["more_body", "clear"], "base_kind": "mixed-drink", "base_strength": 18}
    sharp = chosen(**answers, base_ph=3.2).option("whey-dose")
    mild = chosen(**answers, base_ph=4.4).option("whey-dose")
    assert sharp is not None
    assert mild is not None
    assert sharp.standing > mild.standing + 9.0


def test_the_freezer_limit_is_where_the_tables_put_it():
    """Melinder and Lange: at -18 C ice begins below 33.7 to 35 % vol."""
    weak = chosen(**{**SPIRIT, "base_strength": 20, "wanted_fat": "olive-oil"})
    strong = chosen(**{**SPIRIT, "base_strength": 40, "wanted_fat": "olive-oil"})
    assert weak.option("plant-fat-wash") is None
    assert strong.first is not None
    assert strong.first.technique == "plant-fat-wash"


def test_fat_flavour_with_clarity_puts_the_curd_last():
    """Ammari & Schroen 2018: fat and protein hold fat-loving matter; common practice agrees."""
    choice = chosen(
        goals=["fat_flavour", "clear"],
        base_kind="mixed-drink",
        base_strength=24,
        base_acid=6,
        wanted_fat="coconut-oil",
    )
    assert choice.first is not None
    assert choice.first.technique == "fat-wash-then-strip"


def test_only_clear_needs_no_milk():
    """Common practice, no source: a gel or a spin clears pulp; our own judgement on the rest."""
    choice = chosen(goals=["clear"], base_kind="juice", holds=["has_pulp"], kit=["cloth", "paper"])
    assert choice.first is not None
    assert choice.first.technique == "agar-clarify"
    assert not choice.first.contains_milk


# --- effects --------------------------------------------------------------------------------


def numbers(choice: Choice, technique: str) -> dict[str, tuple[float, float, float, str]]:
    """The numbers of an option's effects by what they are."""
    option = choice.option(technique)
    assert option is not None
    return {
        c.text: (c.value.low, c.value.value, c.value.high, c.value.unit)
        for c in option.effects
        if c.value is not None
    }


def test_the_strength_after_a_wash_is_that_of_the_mass_balance():
    """OIML R 22: 1000 mL of 40 % and 250 mL of milk make 31.6 to 32.2 %."""
    found = numbers(chosen(**{**SOUR, "base_strength": 40}), "strip")
    assert found["strength after the milk"][1] == pytest.approx(32.0, abs=0.2)


def test_milk_protein_and_sugar_are_those_of_the_arithmetic():
    """250 mL of milk: 8.25 g protein, a fifth stays; 12 g of lactose in 1.25 L (USDA, FAO 2013)."""
    found = numbers(chosen(**SOUR), "strip")
    assert found["whey protein in it"][1] == pytest.approx(8.25 * 0.22 / 1.25, rel=0.1)
    assert found["milk sugar in a serve of 90 ml"][1] == pytest.approx(12 / 1.25 * 0.09, rel=0.05)


def test_two_washes_leave_less_than_one_and_a_light_one_leaves_more():
    """Gold Book F02503: repeated extraction removes at least as much; less milk takes less."""
    choice = chosen(**{**SOUR, "base_tannin": "much"}, holds=["has_tea_or_coffee"])
    left = "tannin left in the drink"
    twice, once, light = (
        numbers(choice, t)[left][1] for t in ("strip-twice", "strip", "strip-light")
    )
    assert 0.0 < twice < once < light < 100.0


def test_what_the_drink_does_not_have_is_not_reckoned():
    """No tannin, no number for tannin."""
    found = numbers(chosen(**{**SOUR, "base_tannin": "none"}), "strip")
    assert "tannin left in the drink" not in found


@pytest.mark.parametrize("path", BRIEFS, ids=lambda p: p.stem)
def test_every_option_says_what_it_does_to_the_drink(path):
    """Taste, colour, strength, body and label are there for each, and numbers are sound."""
    for option in choose(BASE, read_brief(path, BASE)).ranked:
        parts = {change.part for change in option.effects}
        assert {"taste", "colour", "strength", "body", "label"} <= parts <= set(EFFECTS)
        for change in option.effects:
            if change.value is not None:
                value = change.value
                assert value.low <= value.value <= value.high
                assert math.isfinite(value.value)
                assert value.value > 0.0
                assert change.source


# --- laws -----------------------------------------------------------------------------------


def _values(finding):
    if finding.choices:
        return st.sampled_from([*finding.words, "unknown"])
    return st.floats(finding.low, finding.high, allow_nan=False)


_FINDINGS = BASE.brief_findings
_GOALS = sorted(k for k in _FINDINGS if k.startswith("goal_"))
_OTHERS = {k: _values(f) for k, f in _FINDINGS.items() if not k.startswith("goal_")}
_LIMITS = sorted({limit for limits in BROUGHT.values() for limit in limits})


@st.composite
def briefs(draw) -> Brief:
    """Any brief that can be true, with at least one goal."""
    goals = draw(st.lists(st.sampled_from(_GOALS), min_size=1, max_size=4, unique=True))
    keys = draw(st.lists(st.sampled_from(sorted(_OTHERS)), max_size=14, unique=True))
    told: dict[str, object] = dict.fromkeys(goals, "yes")
    told |= {key: draw(_OTHERS[key]) for key in keys}
    while True:
        try:
            return brief_from(BASE, told)
        except ProblemsFound as error:
            # Drop one side of what cannot be true together.
            told.pop(error.problems[0].where.name.removeprefix("answer "))


def saying_yes(brief: Brief, limit: str) -> Brief:
    """The same brief with one more limit."""
    return brief.with_answer(limit, Answer("yes", text="yes"))


_LAWS = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@_LAWS
@given(briefs())
def test_no_dairy_never_ranks_what_is_made_with_milk(brief):
    """Whatever else is said: with no dairy, nothing that touched milk in any form is offered."""
    choice = choose(BASE, saying_yes(brief, "no_dairy"))
    for option in choice.ranked:
        assert option.technique not in MADE_WITH_MILK
        assert not option.contains_milk
        assert "contains-milk" not in option.cautions


@_LAWS
@given(briefs(), st.sampled_from(_LIMITS))
def test_a_limit_keeps_out_what_it_names(brief, limit):
    """No option brings what a limit rules out."""
    choice = choose(BASE, saying_yes(brief, limit))
    for option in choice.ranked:
        assert not [b for b in option.brings if limit in BROUGHT[b]]


@_LAWS
@given(briefs(), st.sampled_from(_LIMITS))
def test_one_more_limit_never_brings_anything_back(brief, limit):
    """What was refused before is refused still."""
    before, after = choose(BASE, brief), choose(BASE, saying_yes(brief, limit))
    assert {r.technique for r in before.refused} <= {r.technique for r in after.refused}


@_LAWS
@given(briefs(), st.randoms())
def test_the_order_of_goals_and_answers_does_not_matter(brief, rng):
    """The same things said in another order give the same choice."""
    keys = list(brief.answers)
    rng.shuffle(keys)
    other = replace(brief, answers={key: brief.answers[key] for key in keys})
    one, two = choose(BASE, brief), choose(BASE, other)
    assert one.ranked == two.ranked
    assert one.refused == two.refused
    assert one.conflicts == two.conflicts


@pytest.mark.skipif("durable-rules" not in available(), reason="durable-rules is not installed")
@_LAWS
@given(briefs())
def test_both_engines_choose_alike(brief):
    """durable-rules and the reference chain fire the same rules on every brief."""
    one = chooser_for(BASE, "durable-rules").weigh(brief)
    two = chooser_for(BASE, "reference").weigh(brief)
    assert one.run == two.run
    assert one.standing == two.standing
    assert one.forbidden == two.forbidden


@_LAWS
@given(briefs())
def test_milk_is_always_declared(brief):
    """Every wash, whey dose and butter says that it contains milk, first of all cautions."""
    for option in choose(BASE, brief).ranked:
        if option.technique in MADE_WITH_MILK:
            assert option.contains_milk
        if option.contains_milk:
            assert "milk" in option.allergens
            assert option.cautions[0] == "contains-milk"


@_LAWS
@given(briefs())
def test_every_technique_is_ranked_or_refused_and_every_reason_is_sourced(brief):
    """Nothing is lost, nothing stands in both lists, and no reason goes without a source."""
    choice = choose(BASE, brief)
    ranked = [o.technique for o in choice.ranked]
    refused = [r.technique for r in choice.refused]
    assert sorted([*ranked, *refused]) == sorted(BASE.techniques)
    standings = [o.standing for o in choice.ranked]
    assert all(a >= b - 1e-6 for a, b in pairwise(standings))
    for option in choice.ranked:
        assert all(r.source and r.text for r in (*option.for_, *option.against))


# --- the rules themselves -------------------------------------------------------------------


def test_there_are_rules_and_techniques_enough():
    """About a hundred rules over some eighteen techniques, so that any brief gets an answer."""
    assert len(BASE.choosing) >= 100
    assert len(BASE.techniques) >= 18


def test_half_of_the_rules_rest_on_a_publication():
    """Practice and judgement say so; at least half cite what was published."""
    rules = BASE.choosing.values()
    published = sum(any(c.published for c in rule.source) for rule in rules)
    assert published >= len(rules) / 2


def test_no_refusal_rests_on_a_limit_that_is_not_set():
    """A rule that forbids while a limit is open would let it go when the limit is set."""
    for rule in BASE.choosing.values():
        if any(e.kind == "forbid" for e in rule.effects):
            for option in rule.when:
                for test in option:
                    if test.key in _LIMITS:
                        assert isinstance(test, Is), rule.id
                        assert test.words == ("yes",), rule.id


def test_every_goal_is_served_and_every_technique_serves():
    """Each goal has at least two techniques that do something for it, each technique a goal."""
    for goal in _GOALS:
        serving = [t for t in BASE.techniques.values() if t.does.get(goal) in ("much", "some")]
        assert len(serving) >= 2, goal
    for technique in BASE.techniques.values():
        assert set(technique.does) == set(_GOALS), technique.id
        assert set(technique.does.values()) & {"much", "some", "a-little"}, technique.id


def test_what_is_curdled_or_whey_always_brings_milk():
    """The flag follows from what is done, not from what was written."""
    for technique in BASE.techniques.values():
        if {"strip", "whey-dose"} & set(technique.operations) or technique.amounts:
            assert any(b.what == "milk" and not b.when for b in technique.brings), technique.id


def test_butter_and_ghee_are_milk():
    """Codex CXS 279 and 280; EU 1169/2011 Annex II no. 7 has no exception for them."""
    for fat in ("brown-butter", "plain-butter", "ghee", "any", "unknown", "other"):
        option = chosen(**SPIRIT, wanted_fat=fat).option("fat-wash")
        assert option is not None
        assert option.contains_milk, fat
    bacon = chosen(**SPIRIT, wanted_fat="bacon-fat").option("fat-wash")
    assert bacon is not None
    assert bacon.brings == ("meat",)


def test_trouble_never_speaks_for_a_technique():
    """Effort weighs nothing or against; a single quick step weighs nothing."""
    techniques = BASE.techniques
    assert all(effort(t) <= 0.0 for t in techniques.values())
    assert effort(techniques["salt-and-sweeten"]) == 0.0
    assert effort(techniques["fat-strip-whey"]) < effort(techniques["strip"])


def test_lines_have_names_of_their_own():
    """Every line can be named in an explanation."""
    ids = [line.id for line in choosing_lines(BASE)]
    assert len(ids) == len(set(ids))


def test_no_text_promises_what_nobody_can():
    """Safe, sterile, allergen free: no text about a technique says such a thing."""
    texts = [t.about + " " + t.because + " " + " ".join(t.effects.values())
             for t in BASE.techniques.values()]
    texts += [f"{r.title} {r.because} {e.word}" for r in BASE.choosing.values() for e in r.effects]
    for text in texts:
        found = [w for w in banned_words(text) if w != "vegan"]
        assert not found, (found, text)


def test_standings_in_words_follow_the_numbers():
    """More is never said to fit worse."""
    words = [standing_word(x) for x in (40.0, 15.0, 5.0, 0.0, -10.0, -40.0)]
    assert words == [
        "fits very well",
        "fits well",
        "fits",
        "possible",
        "a poor fit",
        "not advised",
    ]


def test_a_technique_of_a_house_is_kept_from_a_no_dairy_brief():
    """The law holds for what a house adds: what brings milk is refused without a rule for it."""
    rinse = Technique(
        id="cream-rinse",
        title="Cream rinse",
        operations=("rinse",),
        about="The glass is rinsed with cream.",
        needs=(),
        brings=(Brought("milk"),),
        minutes=1.0,
        wait=0.0,
        shortest=1.0,
        does={"goal_rounder": "some"},
        effects={"taste": "softer"},
        because="Cream clings to the glass.",
    )
    base = replace(BASE, techniques={**BASE.techniques, "cream-rinse": rinse})
    without = choose(base, brief_from(base, {"goals": ["rounder"], "no_dairy": "yes"}))
    assert without.refusal("cream-rinse") is not None
    allowed = choose(base, brief_from(base, {"goals": ["rounder"], "no_dairy": "no"}))
    option = allowed.option("cream-rinse")
    assert option is not None
    assert "contains-milk" in option.cautions


def test_no_house_can_take_the_milk_off_a_wash():
    """A technique rewritten without milk and a caution switched off change nothing."""
    bare = {
        key: replace(technique, brings=(), amounts={})
        for key, technique in BASE.techniques.items()
    }
    cautions = {k: c for k, c in BASE.cautions.items() if k != "contains-milk"}
    base = replace(BASE, techniques=bare, cautions=cautions)
    brief = brief_from(base, {**SPIRIT, "wanted_fat": "ghee"})
    for name in (*MADE_WITH_MILK, "fat-wash"):
        option = choose(base, brief).option(name)
        if option is not None:
            assert option.contains_milk, name
            assert option.cautions[0] == "contains-milk"
    without = choose(base, brief.with_answer("no_dairy", Answer("yes", text="yes")))
    for name in (*MADE_WITH_MILK, "fat-wash"):
        assert without.refusal(name) is not None, name
    assert "Contains milk" in "\n".join(plain_lines(choice_report(base, choose(base, brief))))
