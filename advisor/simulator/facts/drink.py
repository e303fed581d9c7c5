"""The drink and the milk, as their maker tells it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.acids import ACIDULANTS
from advisor.simulator.draw import loudness
from advisor.simulator.facts._say import amount, made, of_strip, small, washed, yes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

    _Facts = Mapping[str, Callable[[State, Chance], str | None]]


def _drink_volume(state: State, chance: Chance) -> str | None:
    if state.made.operation == "fat-wash":
        return None
    gap = state.made.drink.said_spirit_ml - state.made.drink.spirit_ml
    return amount(state.base.ml + gap, "ml", chance)


def _drink_strength(state: State, chance: Chance) -> str | None:
    if state.made.operation == "fat-wash":
        return None
    told = state.base.said_strength * (1.0 + chance.normal(0.02))
    return f"{round(max(0.0, min(96.0, told))):g} %vol"


def _milk(name: str) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        used = state.made.milk
        return None if used is None else yes(bool(getattr(used, name)))

    return fact


def _milk_kind(state: State, chance: Chance) -> str | None:
    return state.made.milk.said_kind if state.made.milk else None


def _milk_volume(state: State, chance: Chance) -> str | None:
    return amount(state.made.milk.ml, "ml", chance) if state.made.milk else None


def _raw(state: State, chance: Chance) -> str | None:
    used = state.made.milk
    if used is None and state.made.whey is not None:
        return "no"  # whey is drawn from shop milk
    if used is None or used.kind not in (
        "whole",
        "whole-unhomogenised",
        "goat",
        "sheep",
        "buffalo",
    ):
        return None
    return yes(used.raw)


def _gums(state: State, chance: Chance) -> str | None:
    used = state.made.milk
    if used is None or used.kind not in ("cream", "half-and-half", "soy", "oat", "almond",
                                         "coconut", "rice", "ultra-filtered"):  # fmt: skip
        return None
    return yes(used.gums or used.stabilised > 0.0)


def _powder(state: State, chance: Chance) -> str | None:
    if not state.milky:
        return None
    milk_powder = state.made.milk is not None and state.made.milk.powder_g_per_l > 0.0
    return yes(milk_powder or (state.made.whey is not None and state.made.whey.kind == "powder"))


def _acid_kind(state: State, chance: Chance) -> str | None:
    return state.made.drink.said_acid_kind if washed(state) else None


def _acid_amount(form: str, unit: str) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        drink = state.made.drink
        if not washed(state) or drink.said_acid_kind == "none":
            return None
        if ACIDULANTS[drink.said_acid_kind].form != form:
            return None
        if form == "powder":
            return small(drink.said_acid_amount * (1.0 + chance.normal(0.03)), unit)
        return amount(drink.said_acid_amount, unit, chance, 0.03)

    return fact


def _strong_or_none(name: str, limit: float = 0.0) -> Callable[[State, Chance], str]:
    def fact(state: State, chance: Chance) -> str:
        return yes(getattr(state.made.drink, name) > limit)

    return fact


def _oily(state: State) -> str:
    drink = state.made.drink
    return yes(drink.oil > 18.0 or drink.nut_milk > 0.0)


def _citrus(state: State) -> str:
    kind = state.made.drink.said_acid_kind
    juices = ("lemon-juice", "lime-juice", "bottled-lemon-juice", "bottled-lime-juice",
              "grapefruit-juice", "orange-juice")  # fmt: skip
    return yes(kind in juices)


DRINK: _Facts = {
    "has_citrus": made(_citrus),
    "has_tea_or_coffee": made(lambda s: yes(s.made.drink.tea_kind in (
        "black-tea", "green-tea", "coffee"))),
    "has_pulp": _strong_or_none("pulp", 1.55),
    "has_oily_parts": made(_oily),
    "has_raw_tenderising_fruit": _strong_or_none("protease"),
    # Agar that was taken for gelatin is a clarifier, not a syrup of the recipe.
    "has_gum_syrup": made(lambda s: yes(s.made.drink.gum > 0.0
                                        and s.made.drink.clarifier != "swapped")),
    "has_cocoa_or_starch": made(lambda s: yes(s.made.drink.cocoa + s.made.drink.starch > 0.0)),
    "has_wine": _strong_or_none("wine_ml"),
    "has_egg": _strong_or_none("egg"),
    "has_alkali": made(lambda s: yes(s.made.drink.alkali_said)),
    "sweet_before_wash": of_strip(
        lambda s: yes(s.made.drink.sugar_before and s.base.sugar > 190.0)
    ),
    "has_sparkling": made(lambda s: yes(s.made.drink.sparkling)),
    "nut_syrup_in_drink": _strong_or_none("nut_milk"),
    "honey_in_drink": _strong_or_none("honey"),
    "clarifier": made(lambda s: {"swapped": "agar", "calcium-plant": "none"}.get(
        s.made.drink.clarifier, s.made.drink.clarifier)),
    "loud_spirit": made(lambda s: yes(loudness(s.made.drink.spirit_kind) > 0.7)),
    "spirit_measured_at": made(lambda s: s.made.drink.measured_at),
    "botanicals_left_long": made(lambda s: yes(s.made.drink.tea_load > 2.0)),
    "proofed_by_volume": made(lambda s: yes(s.made.drink.water_by_volume)),
    "acid_by_taste": of_strip(lambda s: yes(s.made.drink.acid_by_taste)),
    "operation": made(lambda s: s.made.operation),
    "drink_volume": _drink_volume,
    "drink_strength": _drink_strength,
    "acid_kind": _acid_kind,
    "acid_volume": _acid_amount("liquid", "ml"),
    "acid_mass": _acid_amount("powder", "g"),
}  # fmt: skip

MILK: _Facts = {
    "milk_kind": _milk_kind,
    "milk_volume": _milk_volume,
    "raw_milk": _raw,
    "milk_gums": _gums,
    "milk_was_frozen": _milk("frozen"),
    "milk_powder_added": _powder,
}
