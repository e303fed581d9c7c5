"""Allergens as a set for each jurisdiction; milk is sticky; lactose is another matter."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science import labels as lab
from advisor.science import residues
from advisor.science.allergen_sources import GROUPS, INGREDIENTS, PROCESSES, TREE_NUTS
from advisor.science.labels import Ingredient, labels
from advisor.science.milks import MILKS

MILKY = [
    "milk", "cream", "butter", "brown-butter", "ghee", "whey", "acid-whey", "yoghurt", "casein",
    "caseinate", "lactose-free-milk", "anhydrous-milkfat", "goat-milk",
]  # fmt: skip
WORDS = st.sampled_from(sorted(INGREDIENTS))
STEPS = st.sampled_from(sorted(PROCESSES))


def _declared(*things: Ingredient | str, steps: tuple[str, ...] = ()) -> dict[str, frozenset[str]]:
    return {place: label.declare for place, label in labels(things, steps).items()}


@pytest.mark.parametrize("kind", MILKY)
def test_milk_is_declared_everywhere(kind: str) -> None:
    """Milk, whey, butter and ghee are declared in every jurisdiction (1169/2011 Annex II; FD&C)."""
    assert all("milk" in groups for groups in _declared(kind).values())


@given(st.lists(WORDS, max_size=4), st.sampled_from(MILKY), st.lists(STEPS, max_size=6))
def test_nothing_clears_milk(others: list[str], milky: str, steps: list[str]) -> None:
    """No list of further ingredients and steps takes the milk declaration away."""
    made = _declared(*others, milky, steps=tuple(steps))
    assert all("milk" in groups for groups in made.values())
    assert lab.contains_milk([*others, milky], steps)


@given(st.lists(WORDS, max_size=4), st.lists(STEPS, max_size=4), WORDS, STEPS)
def test_more_ingredients_never_declare_less(
    things: list[str], steps: list[str], thing: str, step: str
) -> None:
    """Adding an ingredient or a step never removes a declaration."""
    before = labels(things, steps)
    after = labels([*things, thing], [*steps, step])
    for place in before:
        assert before[place].declare <= after[place].declare
        assert before[place].check <= after[place].check | after[place].declare


@pytest.mark.parametrize("step", ["milk-wash", "whey-dose", "butter-wash", "casein-fining"])
def test_steps_bring_milk(step: str) -> None:
    """A milk wash, whey dose, butter wash or casein fining declares milk by itself."""
    assert all(
        "milk" in g for g in _declared("gin", steps=(step, "fine-filter", "dilute")).values()
    )


@pytest.mark.parametrize(
    ("thing", "eu", "us", "canada_check"),
    [
        (Ingredient("peanut-oil", "refined"), {"peanuts"}, set(), {"peanuts"}),
        (Ingredient("peanut-oil"), {"peanuts"}, {"peanuts"}, set()),
        (Ingredient("toasted-sesame-oil"), {"sesame"}, {"sesame"}, set()),
        (Ingredient("sesame-oil", "refined"), {"sesame"}, set(), {"sesame"}),
        (Ingredient("soybean-oil", "refined"), set(), set(), {"soy"}),
        (Ingredient("soybean-oil"), {"soy"}, {"soy"}, set()),
        (Ingredient("peanut-butter"), {"peanuts"}, {"peanuts"}, set()),
        (Ingredient("coconut-oil"), set(), set(), set()),
        (Ingredient("olive-oil"), set(), set(), set()),
        (Ingredient("palm-oil"), set(), set(), set()),
        (Ingredient("lard"), set(), set(), set()),
        (Ingredient("almond"), {"tree-nuts"}, {"tree-nuts"}, set()),
        (Ingredient("hazelnut"), {"tree-nuts"}, {"tree-nuts"}, set()),
        (Ingredient("walnut"), {"tree-nuts"}, {"tree-nuts"}, set()),
        (Ingredient("chestnut"), set(), set(), set()),
        (Ingredient("pine-nut"), set(), {"tree-nuts"}, set()),
    ],
)
def test_one_line_answers(
    thing: Ingredient, eu: set[str], us: set[str], canada_check: set[str]
) -> None:
    """Oils and nuts by law: 1169/2011 Annex II; FD&C 201(qq); FDA Edition 5 (2025); Canada."""
    found = labels([thing])
    assert found["eu"].declare == found["uk"].declare == eu
    assert found["us"].declare == us
    assert found["canada"].check == canada_check


def test_toasted_sesame_oil_has_no_refined_form() -> None:
    """Toasted oil is never highly refined, whatever the caller says."""
    assert "sesame" in labels([Ingredient("toasted-sesame-oil", "refined")])["us"].declare


def test_distillate_exceptions_are_exact() -> None:
    """Whey, cereals and nuts *distilled afterwards* are exempt in the EU (Annex II 1d, 7a, 8)."""
    for kind in ("whey", "wheat", "barley", "almond"):
        found = labels([Ingredient(kind, "distilled")])
        assert found["eu"].declare == found["uk"].declare == frozenset()
        assert labels([kind])["eu"].declare  # an infusion or a wash is not exempt
    assert labels([Ingredient("milk", "distilled")])["eu"].declare == {"milk"}
    assert labels([Ingredient("butter", "distilled")])["eu"].declare == {"milk"}
    assert labels([Ingredient("peanut", "distilled")])["eu"].declare == {"peanuts"}
    assert labels([Ingredient("whey", "distilled")])["us"].check == {"milk"}


def test_lapsed_exemptions_are_not_applied() -> None:
    """The 2005 list (casein in wine; almonds or walnuts as spirit flavour) has lapsed."""
    assert labels(["casein", "wine"])["eu"].declare == {"milk"}
    assert labels(["walnut", "spirit"])["uk"].declare == {"tree-nuts"}


def test_lactitol_and_isinglass_exceptions() -> None:
    """Lactitol, and isinglass fining beer or wine, are exempt (Annex II 7b, 4b); elsewhere not."""
    assert labels(["lactitol"])["eu"].declare == frozenset()
    assert labels(["isinglass-for-beer-or-wine"])["eu"].check == frozenset()
    assert labels(["isinglass"])["eu"].declare == {"fish"}
    assert labels(["spirit"], ["isinglass-fining"])["us"].declare == {"fish"}


def test_group_counts() -> None:
    """14 groups in the EU, nine major allergens in the US with sesame since 2023."""
    assert len(GROUPS["eu"]) == 14
    assert len(GROUPS["us"]) == 9
    assert "sesame" in GROUPS["us"]
    assert "celery" not in GROUPS["us"]
    assert "mustard" in GROUPS["canada"]
    assert len(TREE_NUTS["canada"]) == 9


def test_groups_stay_with_their_law() -> None:
    """Celery and lupin are EU matters, barley is no US allergen, wheat is."""
    assert _declared("celery") == {
        "eu": {"celery"},
        "uk": {"celery"},
        "us": frozenset(),
        "canada": frozenset(),
    }
    barley = _declared("barley")
    assert barley["eu"] == {"gluten"}
    assert barley["us"] == frozenset()
    assert _declared("wheat")["us"] == {"wheat"}


@pytest.mark.parametrize(
    ("measured", "eu", "canada"), [(9.9, False, False), (10.0, False, True), (10.1, True, True)]
)
def test_sulphites(measured: float, eu: bool, canada: bool) -> None:
    """Above 10 mg/L in the EU; from 10 ppm in Canada and the US.

    US: 27 CFR 4.32(e) for wine; 21 CFR 101.100(a)(4) and 130.9: 10 parts per million or more is a
    detectable amount, and has to be declared.
    """
    found = labels(["wine"], sulphites=measured)
    assert ("sulphites" in found["eu"].declare) is eu
    assert ("sulphites" in found["uk"].declare) is eu
    assert ("sulphites" in found["canada"].declare) is canada
    assert ("sulphites" in found["us"].declare) is canada
    for place, label in found.items():
        assert "sulphites" not in label.check, place


def test_wine_unmeasured_is_to_be_checked() -> None:
    """Wine of unknown sulphite and fining is a check, never silence."""
    for place in ("eu", "uk", "us", "canada"):
        assert labels(["wine"])[place].check >= {"sulphites", "milk", "eggs"}, place
    assert labels(["sulphites"])["us"].declare == {"sulphites"}
    assert "27 CFR 4.32(e)" in lab.cautions(labels(["sulphites"])["us"])[0].jurisdiction


@pytest.mark.parametrize(
    ("strength", "exempt"), [(0.5, False), (1.2, False), (1.21, True), (40, True)]
)
def test_strength_exempts_the_list_never_the_allergens(strength: float, exempt: bool) -> None:
    """Above 1.2 %vol no ingredient list (Art. 16(4)), but allergens stay (Art. 9(1)(c))."""
    assert lab.ingredient_list_exempt(strength, "eu") is exempt
    assert lab.ingredient_list_exempt(strength, "uk") is exempt
    assert not lab.ingredient_list_exempt(strength, "us")
    assert "milk" in labels(["milk", "spirit"])["eu"].declare


def test_unknown_ingredients_are_reported() -> None:
    """What the table does not know is listed, and said in the statement."""
    found = labels(["moon-dust", "milk"])["us"]
    assert found.unknown == {"moon-dust"}
    assert "moon-dust" in found.statement
    assert "Contains milk." in found.statement


def test_milk_kinds_map_to_ingredients() -> None:
    """Every milk kind has an ingredient word; dairy is milk, plant drinks are their own."""
    for kind, milk in MILKS.items():
        word = lab.milk_ingredient(kind)
        assert word in INGREDIENTS, kind
        assert (word == "milk") == (kind not in ("soy", "oat", "almond", "coconut", "rice")), milk
    assert labels([lab.milk_ingredient("lactose-free")])["eu"].declare == {"milk"}
    assert labels([lab.milk_ingredient("soy")])["eu"].declare == {"soy"}
    assert labels([lab.milk_ingredient("oat")])["eu"].declare == {"gluten"}


def test_every_listed_ingredient_resolves() -> None:
    """Each word and each step yields only groups of the law that is asked."""
    for word in INGREDIENTS:
        for place, label in labels([word], list(PROCESSES)).items():
            law = GROUPS["eu" if place == "uk" else place]
            assert label.declare | label.check <= law | {"sulphites"}


def test_milk_caution_is_first_and_a_stop() -> None:
    """The milk caution leads and tells what to do."""
    said = lab.cautions(labels(["milk", "almond", "wine"])["uk"])
    assert said[0].stop
    assert "milk protein" in said[0].fact
    assert len(said) == 3


def test_milk_wash_protein_arithmetic() -> None:
    """250 mL milk in 1 L: 1650 mg/L (825-1980), 149 mg per 90 mL (74-178): arithmetic on 33 g/L."""
    batch = residues.whey_protein(250, 1000)
    assert batch.value == pytest.approx(1650)
    assert (batch.low, batch.high) == pytest.approx((825, 1980))
    serve = residues.whey_protein_per_serve(250, 1000, 90)
    assert serve.value == pytest.approx(149, abs=0.6)
    assert (serve.low, serve.high) == pytest.approx((74, 178), abs=0.6)
    assert serve.value / residues.ED05[1] == pytest.approx(35, abs=0.6)
    assert batch.value / residues.WINE_TEST_LIMIT == pytest.approx(6600)


def test_one_per_cent_survival_still_counts() -> None:
    """Even 1 % of it lies above the dose for 1 in 100 allergic people (Blom et al. 2022)."""
    one_per_cent = residues.whey_protein_per_serve(250, 1000, 90).value * 0.01
    assert residues.ED01[1] < one_per_cent < residues.ED05[0]


def test_butter_wash_protein_arithmetic() -> None:
    """113.4 g butter: 1 % transfer gives 0.67 mg per 60 mL of 750, 10 % gives 6.6 (CXS 279)."""
    assert residues.butter_protein(113.4, 750, 60, 0.01) == pytest.approx(0.67, abs=0.01)
    ten = residues.butter_protein(113.4, 750, 60, 0.10)
    assert ten == pytest.approx(6.6, abs=0.06)
    assert ten > residues.ED05[1]
    assert pytest.approx(0.02 * 3.3 / 9.0, abs=1e-4) == residues.BUTTER_PROTEIN


def test_whey_reaches_a_dose_in_less_than_a_drop() -> None:
    """0.2 mg protein is 0.026 mL of acid whey, less than a 0.05 mL drop (7.6 mg/mL)."""
    from advisor.science.whey import WHEYS

    assert residues.ED01[0] / WHEYS["acid-whey"].protein.value == pytest.approx(0.026, abs=0.001)


def test_lactose_is_a_number_of_its_own() -> None:
    """250 mL milk of 4.8 % in 1 L is 1.1 g per 90 mL; lactose-free milk is 0 but still milk."""
    assert residues.lactose_per_serve(250, 1000, 90) == pytest.approx(1.08, abs=0.01)
    assert residues.lactose_per_serve(250, 1000, 90, 0.0) == 0
    assert lab.contains_milk(["lactose-free-milk"])


@pytest.mark.parametrize(
    ("grams", "word"), [(0, "none"), (0.01, "note"), (6.0, "note"), (6.01, "warn"), (12, "warn")]
)
def test_lactose_notes(grams: float, word: str) -> None:
    """Warn above 6 g a serve, note any amount (EFSA Journal 2010, opinion 1777)."""
    assert residues.lactose_note(grams) == word


@pytest.mark.parametrize(
    "call",
    [
        lambda: labels([Ingredient("milk", "cooked")]),
        lambda: labels(["milk"], ["abracadabra"]),
        lambda: labels(["milk"], jurisdictions=["atlantis"]),
        lambda: labels(["wine"], sulphites=math.nan),
        lambda: lab.ingredient_list_exempt(40, "mars"),
        lambda: residues.whey_protein(250, 0),
        lambda: residues.butter_protein(100, 750, 60, 1.5),
        lambda: residues.lactose_note(-1),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Unknown forms, steps and places are refused."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
