"""From a brief to the drink in the jug and the circumstances that steps depend on.

What the brief does not say is taken from the kind of drink, and every such guess is
written down as an assumption.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.science.acids import acidulant
from advisor.science.blend import acid_behind_ph, ph_of_drink
from advisor.science.estimate import Estimate, exact
from advisor.science.fats import FATS
from advisor.science.milk_buffer import citric_less_salts
from advisor.science.milks import MILKS
from advisor.technique.protocol.plan import Ingredient, Liquid, Plan

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base
    from advisor.technique.brief import Brief

__all__ = [
    "LARGEST",
    "LEAST_SPIRIT",
    "SMALLEST",
    "SPIRIT",
    "begin",
    "drink_name",
    "fat_kind",
    "milk_kind",
    "serve_ml",
]

SMALLEST, LARGEST = 25.0, 200_000.0
"""mL of drink put in: below it paper and jug keep most of it; above it nothing here was tried."""

SPIRIT = Estimate(40.0, 37.5, 46.0, "%vol")
"""The spirit in a mixed drink, where it has to be taken out of the sum."""

LEAST_SPIRIT = 5.0
"""%vol; below it there is nothing that a fat could wash."""

_STRENGTH: dict[str, tuple[float, float, float]] = {
    "spirit": (40.0, 37.5, 50.0),
    "mixed-drink": (20.0, 12.0, 28.0),
    "wine": (13.0, 11.0, 18.0),
    "tea-or-coffee": (0.0, 0.0, 0.0),
    "juice": (0.0, 0.0, 0.0),
    "no-alcohol": (0.0, 0.0, 0.0),
}
_NAMES = {
    "spirit": "spirit",
    "mixed-drink": "mixed drink",
    "wine": "wine",
    "tea-or-coffee": "tea or coffee",
    "juice": "juice",
    "no-alcohol": "drink",
}
_SPIRITS = {
    "neutral": ("neutral-spirit", "neutral spirit"),
    "white-rum": ("rum", "white rum"),
    "aged-rum": ("rum", "aged rum"),
    "whisky": ("whisky", "whisky"),
    "brandy": ("brandy", "brandy"),
    "gin": ("gin", "gin"),
    "agave": ("agave-spirit", "agave spirit"),
    "aniseed": ("spirit", "aniseed spirit"),
    "bitter-aperitif": ("liqueur", "bitter aperitif"),
    "liqueur": ("liqueur", "liqueur"),
}
_BASES = {
    "spirit": ("spirit", "spirit"),
    "mixed-drink": ("spirit", "spirit"),
    "wine": ("wine", "wine"),
    "tea-or-coffee": ("tea", "tea or coffee"),
    "juice": ("juice", "juice"),
    "no-alcohol": ("juice", "juice or infusion"),
}
# What else the drink says it holds: finding -> (ingredient word, name, circumstance).
_HELD = (
    ("has_citrus", "juice", "citrus juice", "has-citrus"),
    ("has_tea_or_coffee", "tea", "tea or coffee", "has-tea"),
    ("has_pulp", "fruit", "fruit", "has-pulp"),
    ("has_wine", "fortified-wine", "wine or fortified wine", "has-wine"),
    ("has_egg", "egg", "egg", "has-egg"),
    ("honey_in_drink", "honey", "honey", ""),
    ("nut_syrup_in_drink", "orgeat", "almond or nut syrup", "has-oily-parts"),
    ("has_oily_parts", "nut, seed or anise in the drink", "nut, seed or anise", "has-oily-parts"),
)
_JUICE_SHARE = Estimate(10.0, 6.0, 16.0, "%")  # of the drink, where nobody said
_WORDS = (
    ("base_tannin", "much", "much-tannin"),
    ("base_tannin", "some", "some-tannin"),
    ("base_bitter", "much", "much-bitter"),
    ("base_colour", "deep", "deep-colour"),
    ("base_aroma", "top-notes", "top-notes"),
    ("base_aroma", "oily", "oily-aroma"),
)
_YES = (
    ("goal_clear", "goal-clear"),
    ("goal_foam", "goal-foam"),
    ("goal_more_body", "goal-more-body"),
    ("goal_paler", "goal-paler"),
    ("goal_less_bitter", "goal-less-bitter"),
    ("goal_less_astringent", "goal-less-astringent"),
    ("keep_colour", "keep-colour"),
    ("keep_top_notes", "keep-top-notes"),
    ("keep_bitter", "keep-bitter"),
    ("keep_strength", "keep-strength"),
)
_KIT = ("paper", "cloth", "freezer", "scale", "thermometer", "ph")
_BASE_CIRCUMSTANCE = {
    "spirit": "spirit-base",
    "mixed-drink": "mixed-base",
    "wine": "wine-base",
    "tea-or-coffee": "tea-base",
    "juice": "juice-base",
    "no-alcohol": "no-alcohol-base",
}


def begin(
    base: Base,
    brief: Brief,
    technique: str,
    drink_ml: float,
    overrides: Mapping[str, str | float],
    *,
    quick: bool,
) -> Plan:
    """The plan with its drink in the jug. ``AdvisorError`` when the drink cannot be so large."""
    if not SMALLEST <= drink_ml <= LARGEST:
        raise AdvisorError(
            "batch-size",
            f"a batch of {drink_ml:.3g} ml of drink cannot be planned",
            where="batch",
            hint=f"from {SMALLEST:g} ml to {LARGEST / 1000:g} litres of drink can",
        )
    plan = Plan(
        base=base,
        brief=brief,
        technique=technique,
        overrides=overrides,
        drink=Liquid(exact(drink_ml, "mL"), exact(0.0, "%vol"), exact(0.0, "g/L")),
        drink_ml=drink_ml,
        circumstances=set(),
    )
    kind = _kind(plan)
    _circumstances(plan, kind, quick)
    strength = _strength(plan, kind)
    acid, ph = _acid(plan, kind)
    plan.own_acid = acid.value
    sugar = brief.number("base_sugar")
    plan.drink = Liquid(
        volume=exact(drink_ml, "mL"),
        strength=strength,
        acid=acid,
        ph=ph,
        sugar=None if sugar is None else exact(sugar, "g/L"),
    )
    plan.mark("has-alcohol", strength.value >= 0.5)
    plan.mark("strong", strength.value >= 30.0)
    _ingredients(plan, kind)
    return plan


def drink_name(brief: Brief) -> str:
    """What the drink is called in a sentence."""
    return _NAMES.get(brief.word("base_kind") or "", "drink")


def serve_ml(brief: Brief) -> float:
    """mL of a serve; 90 where nothing was said."""
    return brief.number("serve_size") or 90.0


def _kind(plan: Plan) -> str:
    kind = plan.brief.word("base_kind")
    if kind is not None:
        return kind
    strength = plan.brief.number("base_strength")
    guess = "mixed-drink" if strength is None or 5.0 <= strength < 30.0 else "spirit"
    if strength is not None and strength < 5.0:
        guess = "no-alcohol"
    plan.assume(f"The kind of drink was not said: taken as a {_NAMES[guess]}.")
    return guess


def _circumstances(plan: Plan, kind: str, quick: bool) -> None:
    brief = plan.brief
    plan.mark(_BASE_CIRCUMSTANCE[kind])
    for finding, word, name in _WORDS:
        if brief.word(finding) == word:
            plan.mark(name)
    for finding, name in _YES:
        if brief.yes(finding):
            plan.mark(name)
    for tool in _KIT:
        plan.mark("ph-tool" if tool == "ph" else tool, brief.word(f"kit_{tool}") != "no")
    plan.mark("centrifuge", brief.yes("kit_centrifuge"))
    plan.mark("bench", plan.drink_ml <= 250.0)
    plan.mark("large", plan.drink_ml >= 5000.0)
    plan.mark("quick", quick)
    for finding, _, _, name in _HELD:
        if name and brief.yes(finding):
            plan.mark(name)


def _strength(plan: Plan, kind: str) -> Estimate:
    answer = plan.brief.answers.get("base_strength")
    if answer is not None and answer.given and isinstance(answer.value, float):
        return Estimate(
            answer.value, min(answer.value, answer.low), max(answer.value, answer.high), "%vol"
        )
    value, low, high = _STRENGTH[kind]
    plan.assume(
        f"The strength was not said: taken as {value:g} % vol"
        + (f" ({low:g} to {high:g})." if high > low else ".")
    )
    return Estimate(value, low, high, "%vol")


def _acid(plan: Plan, kind: str) -> tuple[Estimate, Estimate | None]:
    """Acid of the drink itself (g/L as citric) and its pH, as far as they are known."""
    brief = plan.brief
    reading = brief.number("base_ph")
    ph = None if reading is None else Estimate(reading, reading - 0.2, reading + 0.2, "pH")
    plan.ph_measured = reading is not None
    word = brief.word("base_acid_kind")
    if word is not None and word != "none" and acidulant(word).form == "liquid":
        plan.own_kind = word
    elif kind == "wine" or brief.yes("has_citrus"):
        plan.own_kind = "wine" if kind == "wine" else "lemon-juice"
    answer = brief.answers.get("base_acid")
    if answer is not None and answer.given and isinstance(answer.value, float):
        half = 0.1 * answer.value
        acid = Estimate(answer.value, answer.value - half, answer.value + half, "g/L")
        return acid, ph or _ph_of(plan, acid)
    if word == "none":
        return exact(0.0, "g/L"), ph
    if word is not None:
        return _acid_of_kind(plan, word, ph)
    if reading is not None and reading <= 4.5:
        acid = acid_behind_ph(max(1.5, reading))
        plan.assume(
            f"Only the pH is known: it takes at least {acid.value:.2g} g of acid per litre, and no "
            "more than that is counted on. Titrate it, or say how much juice is in it."
        )
        return acid, ph
    if kind == "wine":
        return _acid_of_kind(plan, "wine", ph)
    if brief.yes("has_citrus"):
        return _acid_of_kind(plan, "lemon-juice", ph)
    plan.assume("No acid was named: the drink is taken to bring none of its own.")
    return Estimate(0.0, 0.0, 0.5, "g/L"), ph


def _acid_of_kind(
    plan: Plan, word: str, ph: Estimate | None
) -> tuple[Estimate, Estimate | None]:
    item = acidulant(word)
    if word in ("wine", "cola") or plan.holds("juice-base"):
        per_litre = citric_less_salts(word, 1000.0) if item.form == "liquid" else 5.0
        low, high = per_litre * (1 - item.spread), per_litre * (1 + item.spread)
        plan.assume(
            f"The amount of acid was not said: {per_litre:.2g} g per litre is free for the milk, "
            f"as in {item.title} (as citric acid, its salts counted)."
        )
        acid = Estimate(per_litre, max(0.0, low), high, "g/L")
        return acid, ph or _ph_of(plan, acid)
    if item.form == "liquid":
        each = citric_less_salts(word, 10.0)  # per litre of drink and 1 % of it
        acid = Estimate(
            each * _JUICE_SHARE.value, each * _JUICE_SHARE.low, each * _JUICE_SHARE.high, "g/L"
        )
        plan.assume(
            f"The amount of {item.title} was not said: taken as {_JUICE_SHARE.value:g} % of the "
            f"drink ({_JUICE_SHARE.low:g} to {_JUICE_SHARE.high:g}), {acid.value:.2g} g of acid "
            "per litre."
        )
        return acid, ph or _ph_of(plan, acid)
    plan.assume(
        f"The amount of {item.title} was not said: none of it is counted on for the milk."
    )
    return Estimate(0.0, 0.0, 8.0, "g/L"), ph


def _ph_of(plan: Plan, acid: Estimate) -> Estimate:
    kind = plan.own_kind or "lemon-juice"
    value = ph_of_drink(kind, acid.value / citric_less_salts(kind, 1000.0))
    return Estimate(value, value - 0.4, value + 0.5, "pH")


def _ingredients(plan: Plan, kind: str) -> None:
    brief = plan.brief
    spirit = brief.word("base_spirit")
    word, name = _BASES[kind]
    if spirit in _SPIRITS and kind in ("spirit", "mixed-drink", "tea-or-coffee"):
        word, name = _SPIRITS[spirit]
    grams = plan.drink_ml
    plan.ingredients.append(Ingredient(word, name, grams))
    if kind == "tea-or-coffee" and spirit in _SPIRITS:
        plan.ingredients.append(Ingredient("tea", "tea or coffee", 0.3 * grams))
    for finding, held, text, _ in _HELD:
        if brief.yes(finding) and all(i.name != text for i in plan.ingredients):
            # How much of it is in the drink is not known: after the base, in this order.
            plan.ingredients.append(Ingredient(held, text, 0.1 * grams))
    if brief.word("base_acid_kind") == "wine" and all(
        "wine" not in i.name for i in plan.ingredients
    ):
        plan.ingredients.append(Ingredient("wine", "wine", 0.1 * grams))
    if (brief.number("base_sugar") or 0.0) > 0.0:
        plan.ingredients.append(Ingredient("sugar", "sugar", (brief.number("base_sugar") or 0.0)))


def milk_kind(plan: Plan) -> str:
    """The milk for this part: fixed by the protocol, wanted, or whole milk."""
    word = plan.use.words.get("milk_kind") or plan.brief.word("milk_wanted")
    return word if word is not None and word in MILKS else "whole"


def fat_kind(plan: Plan, fallback: str) -> str:
    """The fat for this part, within the limits that the brief sets."""
    word = plan.use.words.get("fat_kind") or plan.brief.word("wanted_fat")
    if word == "nut-paste":
        return "almond-butter"
    if word == "other":
        raise AdvisorError(
            "fat-unknown",
            "the fat is not said, so no dose can be worked out",
            where="wanted_fat",
            hint="name one: " + ", ".join(FATS),
        )
    return word if word is not None and word in FATS else fallback
