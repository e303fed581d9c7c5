"""The fat wash and the whey, as their maker tells it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.fats import fat as fat_data
from advisor.simulator.facts._say import amount, hours, roughly, yes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

    _Facts = Mapping[str, Callable[[State, Chance], str | None]]


def _fat(read: Callable[[State], str | None]) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        return read(state) if state.made.fat is not None else None

    return fact


def _fat_amount(way: str, unit: str) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        fat = state.made.fat
        if fat is None or fat.said_as != way:
            return None
        return amount(fat.said_amount, unit, chance)

    return fact


def _spirit_volume(state: State, chance: Chance) -> str | None:
    if state.made.fat is None:
        return None
    return amount(state.made.drink.said_spirit_ml, "ml", chance, 0.0)


def _spirit_strength(state: State, chance: Chance) -> str | None:
    if state.made.fat is None:
        return None
    return f"{state.made.drink.said_spirit_strength:g} %vol"


def _steep_time(state: State, chance: Chance) -> str | None:
    fat = state.made.fat
    if fat is None:
        return None
    return hours((fat.steep_h + 24.0 * fat.stored_days_with_fat) * (1.0 + chance.normal(0.05)))


def _degrees(name: str, spread: float) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        fat = state.made.fat
        if fat is None:
            return None
        return f"{round(getattr(fat, name) + chance.normal(spread)):g} C"

    return fact


def _set_seen(state: State, chance: Chance) -> str | None:
    if state.fat is None or state.made.fat is None:
        return None
    layer = fat_data(state.made.fat.species).layer
    seen = state.fat.set_on_contact and layer != "paste"
    return yes(seen != chance.slips(0.06))


def _freeze_time(state: State, chance: Chance) -> str | None:
    if state.made.fat is None:
        return None
    return hours(state.made.fat.chill_h * (1.0 + chance.normal(0.08)))


def _meat(state: State) -> str | None:
    fat = state.made.fat
    assert fat is not None  # noqa: S101 (asked by the caller)
    if fat.kind not in ("bacon-fat", "duck-fat", "other"):
        return None
    return yes(fat.meat_left_in)


def _whey(read: Callable[[State], str]) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        return read(state) if state.made.whey is not None else None

    return fact


FAT: _Facts = {
    "fat_kind": _fat(lambda s: s.made.fat.kind if s.made.fat else None),
    "fat_mass": _fat_amount("mass", "g"),
    "fat_volume": _fat_amount("volume", "ml"),
    "spirit_volume": _spirit_volume,
    "spirit_strength": _spirit_strength,
    "steep_time": _steep_time,
    "steep_temperature": _degrees("room", 1.5),
    "fat_temperature": _degrees("temperature", 4.0),
    "fat_set_on_contact": _set_seen,
    "freeze_time": _freeze_time,
    "freezer_temperature": _degrees("freezer", 1.0),
    "meat_left_in": _fat(_meat),
    "garlic_or_herb_in_fat": _fat(lambda s: yes(bool(s.made.fat and s.made.fat.garlic))),
    "fat_mixed_how": _fat(lambda s: s.made.fat.mixed if s.made.fat else None),
    "narrow_neck": _fat(lambda s: yes(bool(s.made.fat and s.made.fat.narrow))),
    "fat_filtered_first": _fat(lambda s: yes(bool(s.made.fat and s.made.fat.filtered_first))),
    "watery_layer": _fat(lambda s: yes(bool(
        s.fat and s.made.fat and s.made.fat.label == "pure" and s.fat.water > 7.0
        and s.made.fat.kind != "plain-butter"))),
    "fat_label": _fat(lambda s: s.made.fat.label if s.made.fat else None),
    "stored_with_fat": _fat(lambda s: yes(bool(
        s.made.fat and s.made.fat.stored_days_with_fat > 1))),
    "uncured_pork_fat": _fat(lambda s: yes(bool(s.made.fat and s.made.fat.funk > 0.0))),
    "cooled_how": _fat(lambda s: s.made.fat.cooled if s.made.fat else None),
    "slush_strained": _fat(lambda s: yes(bool(s.made.fat and s.made.fat.slush_strained))),
    "spent_fat": _fat(lambda s: s.made.fat.spent if s.made.fat else None),
    "flame_near": _fat(lambda s: yes(bool(s.made.fat and s.made.fat.flame))),
}  # fmt: skip

WHEY: _Facts = {
    "whey_kind": _whey(lambda s: s.made.whey.said_kind if s.made.whey else ""),
    "whey_volume": _whey(lambda s: f"{roughly(s.made.whey.ml):g} ml" if s.made.whey else ""),
    "whey_age": _whey(lambda s: f"{round(s.made.whey.age_days):g} days" if s.made.whey else ""),
    "whey_heated": _whey(lambda s: s.made.whey.heated if s.made.whey else ""),
}
