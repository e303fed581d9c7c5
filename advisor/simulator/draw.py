"""Draw a sound batch: amounts and steps as they are met in the trade, nothing wrong yet.

Spreads follow a count of 42 published milk recipes and 32 fat recipes (milk 20-26 % of the mix
in the middle half, citrus 6-16 % of the drink, fat 6-24 % of the spirit); where no count exists the
spread is judgement. A drawn batch is still checked for symptoms before use, see ``simulate``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.milk_buffer import dose_to_ph
from advisor.simulator.chance import blurred, pick
from advisor.simulator.making import Drink, Fat, Making, MilkUse, WheyUse

if TYPE_CHECKING:
    from random import Random

__all__ = ["OPERATIONS", "draw_batch", "fat_of", "set_acid", "set_fat"]

OPERATIONS = ("strip", "fat-wash", "whey-dose", "several")

_SPIRITS = {
    "neutral": 0.22,
    "white-rum": 0.14,
    "gin": 0.10,
    "agave": 0.12,
    "whisky": 0.20,
    "brandy": 0.10,
    "aged-rum": 0.12,
}
_OAKED = {"whisky": 1.0, "brandy": 0.8, "aged-rum": 0.7}
_LOUD = {
    "whisky": 0.5,
    "brandy": 0.45,
    "aged-rum": 0.4,
    "agave": 0.5,
    "gin": 0.6,
    "aniseed": 1.0,
    "peated-whisky": 1.05,
    "bitter-aperitif": 1.0,
}
_MILKS = {"whole": 0.80, "whole-unhomogenised": 0.06, "two-percent": 0.14}
_JUICES = {"lemon-juice": 0.6, "lime-juice": 0.4}
_POWDERS = {"citric": 0.55, "citric-monohydrate": 0.1, "citric-15": 0.35}

# name asked of people -> (fats of advisor.science, rate % of spirit low, high, perfume, salt)
_FATS: dict[str, tuple[str, float, float, float]] = {
    "bacon-fat": ("bacon-fat", 6.0, 10.0, 2.6),
    "brown-butter": ("brown-butter", 14.0, 24.0, 1.2),
    "ghee": ("ghee", 14.0, 22.0, 0.9),
    "coconut-oil": ("coconut-oil", 15.0, 26.0, 1.0),
    "olive-oil": ("olive-oil", 10.0, 16.0, 1.2),
    "duck-fat": ("duck-fat", 13.0, 20.0, 1.2),
    "lard": ("lard", 10.0, 16.0, 1.2),
    "cocoa-butter": ("cocoa-butter", 9.0, 14.0, 1.6),
    "plain-butter": ("plain-butter", 16.0, 26.0, 0.9),
    "sesame-oil": ("sesame-oil", 8.0, 16.0, 1.3),
    "toasted-sesame-oil": ("toasted-sesame-oil", 1.0, 2.5, 9.0),
    "peanut-butter": ("peanut-butter", 15.0, 22.0, 1.1),
    "nut-paste": ("almond-butter", 15.0, 22.0, 1.1),
    "other": ("margarine", 10.0, 18.0, 0.9),
}
_WARMED = frozenset({"bacon-fat", "lard", "cocoa-butter", "brown-butter", "ghee", "plain-butter",
                     "coconut-oil"})  # fmt: skip
_USUAL_FATS = {
    "bacon-fat": 0.3,
    "brown-butter": 0.25,
    "ghee": 0.12,
    "coconut-oil": 0.22,
    "lard": 0.04,
    "cocoa-butter": 0.02,
    "duck-fat": 0.05,
}


def loudness(kind: str) -> float:
    """How much a spirit's own nose covers a fat, 0 to 1 (judgement)."""
    return _LOUD.get(kind, 0.1)


def draw_batch(random: Random, operation: str) -> Making:
    """A sound batch of one operation (``OPERATIONS``)."""
    made = Making(operation)
    if operation == "several":
        combination = pick(random, {"fat-strip": 0.5, "strip-whey": 0.5})
        if combination == "fat-strip":
            _strip(made, random, "spirit")
            _fat(made, random)
        else:
            _strip(made, random, "citrus")
            made.drink.acid_amount *= 1.5  # sharp enough to stay clear with whey in it
            made.drink.said_acid_amount = made.drink.acid_amount
            _whey(made, random)
            if made.whey is not None:
                made.whey.ml *= 0.4
    elif operation == "strip":
        _strip(made, random, pick(random, {"spirit": 0.27, "citrus": 0.43, "tea": 0.30}))
    elif operation == "fat-wash":
        _spirit(made, random)
        _fat(made, random)
    else:
        _sour(made, random)
        _whey(made, random)
    _after(made, random)
    return made


def _strip(made: Making, random: Random, style: str) -> None:
    drink = made.drink
    _spirit(made, random)
    size = min(4000.0, max(250.0, blurred(random, 750.0, 0.55)))
    if style == "spirit":
        drink.spirit_ml = size
        if random.random() < 0.45:
            drink.tea_kind, drink.tea_load = "black-tea", random.uniform(1.0, 1.8)
    else:
        juice = size * min(0.24, max(0.06, blurred(random, 0.105, 0.28)))
        drink.spirit_ml = size * random.uniform(0.42, 0.6)
        drink.sugar_g = size * random.uniform(0.05, 0.12)
        drink.acid_kind, drink.acid_amount = pick(random, _JUICES), juice
        if style == "tea":
            drink.tea_kind = pick(random, {"black-tea": 0.6, "green-tea": 0.2, "coffee": 0.05,
                                           "bitter-liqueur": 0.15})  # fmt: skip
            drink.tea_load = random.uniform(0.8, 1.5)
            drink.tea_ml = size * random.uniform(0.2, 0.3)
        rest = size - drink.spirit_ml - juice - drink.tea_ml - 0.62 * drink.sugar_g
        drink.water_ml = max(0.0, rest)
        drink.pulp, drink.pectin = random.uniform(0.3, 1.5), random.uniform(10.0, 60.0)
        drink.oil = random.uniform(1.0, 6.0)
        if random.random() < 0.1:
            drink.wine_ml = 0.5 * drink.water_ml
            drink.water_ml -= drink.wine_ml
    _remember_spirit(drink)
    share = min(0.30, max(0.17, blurred(random, 0.215, 0.15)))
    volume = _rough_volume(drink)
    made.milk = MilkUse(kind=pick(random, _MILKS), ml=volume * share / (1.0 - share))
    made.milk.said_kind = made.milk.kind
    made.milk.temperature = pick(random, {5.0: 0.5, 19.0: 0.33, 55.0: 0.17})
    if style == "spirit":
        set_acid(made, pick(random, _POWDERS), random.uniform(1.25, 1.8))
    drink.said_acid_kind, drink.said_acid_amount = drink.acid_kind, drink.acid_amount
    _meet(made, random, style)
    _strain(made, random, volume)
    goals = ["clear"]
    if drink.tea_kind:
        goals.append(pick(random, {"less-bitter": 0.6, "paler": 0.1, "keep-aroma": 0.3}))
    elif made.drink.oak_load > 0.0 and style == "spirit":
        goals.append("less-bitter")
    if random.random() < 0.4:
        goals.append("keep-aroma")
    made.plan.goals = tuple(goals)


def _rough_volume(drink: Drink) -> float:
    liquid = drink.acid_amount if drink.acid_kind not in _GRAMS else 0.0
    return (
        drink.spirit_ml + drink.tea_ml + drink.wine_ml + drink.water_ml + drink.bitter_ml
        + liquid + 0.62 * drink.sugar_g
    )  # fmt: skip


_GRAMS = frozenset({"citric", "citric-monohydrate", "malic", "tartaric", "lactic", "phosphoric",
                    "none"})  # fmt: skip


def set_acid(made: Making, kind: str, excess: float) -> None:
    """Replace the drink's acid by ``excess`` times what its milk needs at pH 4.6, cold."""
    milk = made.milk
    if milk is None or kind == "none":
        made.drink.acid_kind, made.drink.acid_amount = "none", 0.0
        return
    need = dose_to_ph(milk.kind, kind, 4.6) * milk.ml / 1000.0
    made.drink.acid_kind, made.drink.acid_amount = kind, need * excess


def _spirit(made: Making, random: Random) -> None:
    drink = made.drink
    drink.spirit_kind = pick(random, _SPIRITS)
    drink.spirit_strength = pick(random, {40.0: 0.7, 43.0: 0.1, 45.0: 0.1, 50.0: 0.1})
    drink.oak_load = _OAKED.get(drink.spirit_kind, 0.0) * random.uniform(0.8, 1.2)
    drink.spirit_ml = pick(random, {500.0: 0.25, 700.0: 0.35, 750.0: 0.3, 1000.0: 0.1})
    _remember_spirit(drink)


def _remember_spirit(drink: Drink) -> None:
    drink.said_spirit_ml, drink.said_spirit_strength = drink.spirit_ml, drink.spirit_strength


def _meet(made: Making, random: Random, style: str) -> None:
    meeting = made.meeting
    meeting.order = pick(random, {"drink-into-milk": 0.72, "acid-last": 0.18,
                                  "milk-into-drink": 0.10})  # fmt: skip
    if style == "spirit":
        meeting.order = pick(random, {"drink-into-milk": 0.35, "acid-last": 0.65})
    if meeting.order == "acid-last":
        meeting.minutes_before_acid = random.uniform(8.0, 15.0)
    if made.milk is not None and meeting.order == "milk-into-drink":
        made.milk.temperature = 55.0  # hot milk knits even when it is poured into acid
    meeting.stirring = pick(random, {"gentle": 0.75, "none": 0.25})
    meeting.drink_temperature = random.uniform(16.0, 22.0)
    meeting.rest_h = max(1.0, blurred(random, 2.5, 0.6))
    meeting.rest_temperature = 6.0 if random.random() < 0.8 else 18.0


def _strain(made: Making, random: Random, volume: float) -> None:
    straining = made.straining
    straining.filter_kind = pick(random, {"cloth-then-paper": 0.55, "paper": 0.3, "cloth": 0.15})
    straining.area = 400.0 * (volume * 1.25 / 1000.0) ** 0.8 * random.uniform(0.9, 1.4)
    straining.temperature = random.uniform(14.0, 19.0)
    straining.passes = pick(random, {1: 0.45, 2: 0.55})
    straining.papers = straining.passes
    straining.drain_h = random.uniform(5.0, 14.0)
    straining.paper_rinsed = random.random() < 0.85


def fat_of(kind: str) -> tuple[str, float, float, float]:
    """(name in ``science.fats``, usual rate low and high in % of spirit, loudness)."""
    return _FATS[kind]


def set_fat(made: Making, random: Random, kind: str) -> None:
    """Put another fat into a fat wash, at its usual rate."""
    fat = made.fat
    if fat is None:
        return
    species, low, high, loud = _FATS[kind]
    fat.kind, fat.species, fat.perfume = kind, species, loud
    rate = random.uniform(low, high)
    fat.g = made.drink.spirit_ml * rate / 100.0 * 0.915
    fat.said_amount = fat.g
    fat.water_share = {"plain-butter": 0.16}.get(kind, 0.004)
    fat.solids = {"peanut-butter": 46.0, "nut-paste": 44.0, "plain-butter": 1.5}.get(kind, 0.0)
    fat.salt = {"bacon-fat": 0.25}.get(kind, 0.0)


def _fat(made: Making, random: Random) -> None:
    made.fat = Fat()
    fat = made.fat
    drink = made.drink
    if made.operation == "fat-wash":
        drink.tea_kind = ""
        made.plan.goals = ("clear", "fat-flavour")
    set_fat(made, random, pick(random, _USUAL_FATS))
    fat.flavour = random.uniform(0.85, 1.25)
    fat.temperature = random.uniform(40.0, 50.0)
    fat.room = fat.spirit_temperature = random.uniform(21.0, 26.0)
    if fat.species in _WARMED:
        fat.spirit_temperature = random.uniform(33.0, 40.0)  # warmed, as the better recipes say
        fat.room = fat.spirit_temperature - 2.0
    fat.steep_h = max(2.0, blurred(random, 5.0, 0.35))
    fat.chill_h = random.uniform(12.0, 24.0)
    fat.strain_h = random.uniform(0.2, 0.8)
    fat.papers = pick(random, {1: 0.3, 2: 0.5, 3: 0.2})
    made.straining.filter_kind = pick(random, {"paper": 0.6, "cloth-then-paper": 0.4})
    made.straining.passes = fat.papers
    if made.milk is None:
        made.keeping.hours_warm = fat.steep_h + 1.0


def _sour(made: Making, random: Random) -> None:
    """A sharp drink that is given whey for body: spirit, citrus, syrup."""
    _spirit(made, random)
    drink = made.drink
    drink.spirit_ml = random.uniform(300.0, 600.0)
    size = drink.spirit_ml / 0.5
    drink.acid_kind, drink.acid_amount = pick(random, _JUICES), size * random.uniform(0.16, 0.21)
    drink.sugar_g = size * random.uniform(0.1, 0.16)
    drink.pulp, drink.pectin, drink.oil = 0.0, random.uniform(3.0, 15.0), random.uniform(1.0, 4.0)
    drink.oak_load = 0.0
    drink.spirit_kind = pick(random, {"neutral": 0.3, "white-rum": 0.3, "gin": 0.2, "agave": 0.2})
    drink.said_acid_kind, drink.said_acid_amount = drink.acid_kind, drink.acid_amount
    _remember_spirit(drink)
    made.plan.goals = ("clear", "body")


def _whey(made: Making, random: Random) -> None:
    volume = _rough_volume(made.drink)
    kind = pick(random, {"acid": 0.6, "yoghurt-hung": 0.4})
    made.whey = WheyUse(
        kind=kind,
        said_kind=kind,
        ml=volume * random.uniform(0.2, 0.32),
        age_days=random.uniform(0.5, 3.0),
        ph=random.uniform(4.3, 4.6),
        fat=random.uniform(2.0, 8.0),
        fines=random.uniform(0.0, 4.0),
        foam_wanted=random.random() < 0.6,
    )
    if made.operation == "whey-dose":
        made.straining.filter_kind = "paper"


def _after(made: Making, random: Random) -> None:
    """Keeping, service and what the maker watches; all of it as it should be."""
    keeping, serving, plan = made.keeping, made.serving, made.plan
    keeping.days = pick(random, {0.0: 0.55, 1.0: 0.15, 3.0: 0.15, 6.0: 0.10, 10.0: 0.05})
    if made.whey is not None:
        keeping.days = min(keeping.days, 3.0)
    if made.fat is not None and made.milk is None and random.random() < 0.3:
        keeping.where = "room"
    keeping.hours_warm = min(3.0, keeping.hours_warm) + random.uniform(0.0, 0.8)
    keeping.half_empty = random.random() < 0.2 and keeping.days > 2.0
    keeping.microbes = random.uniform(0.5, 1.5)
    serving.ice = random.uniform(0.1, 0.22)
    serving.serve_ml = pick(random, {60.0: 0.15, 75.0: 0.15, 90.0: 0.5, 120.0: 0.2})
    plan.kept_control = random.random() < 0.6
    # A hydrometer is right only where there is neither sugar nor whey: a fat wash.
    dry = made.milk is None and made.whey is None
    tools = {"arithmetic": 0.7, "hydrometer": 0.25 * dry, "laboratory": 0.06, "copied": 0.2}
    plan.strength_tool = pick(random, tools)
    made.people.country = pick(random, {"uk": 0.3, "us": 0.35, "eu": 0.25, "canada": 0.1})
    made.people.claim = pick(random, {"says-contains-milk": 0.6, "none": 0.4})
    plan.moment = _moment(made, random)
    plan.minutes_since_mixing = random.uniform(40.0, 180.0)


def _moment(made: Making, random: Random) -> str:
    if made.keeping.days >= 1.0:
        return pick(random, {"days": 0.7, "service": 0.3})
    return pick(random, {"straining": 0.25, "fresh": 0.35, "chilled": 0.25, "service": 0.15})
