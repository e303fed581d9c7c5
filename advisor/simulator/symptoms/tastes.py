"""Taste, colour and smell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.state import State


def _dairy_taste(state: State) -> float:
    if not reached(state.made, "fresh"):
        return 0.0
    taste = state.taste
    return max(taste.milky, taste.cooked, 1.1 * taste.cheesy if taste.cheesy < 0.9 else 0.7)


def _too_sour(state: State) -> float:
    return state.taste.sour / 5.6 if reached(state.made, "fresh") else 0.0


def _too_sweet(state: State) -> float:
    if not reached(state.made, "fresh"):
        return 0.0
    taste = state.taste
    more = (taste.sweet / max(8.0, taste.sweet_meant) - 1.0) / 0.25 if taste.sweet > 9.0 else 0.0
    fat_sugar = (state.fat.sugar if state.fat else 0.0) / 6.0
    jug = 1.4 if not state.made.serving.jug_mixed and reached(state.made, "service") else 0.0
    return max(more, fat_sugar, jug)


def _thin_body(state: State) -> float:
    made = state.made
    if not reached(made, "fresh"):
        return 0.0
    body = state.taste.body if reached(made, "service") else state.taste.body_neat
    return (1.0 - body) / 0.15


def _bitter_still(state: State) -> float:
    made, taste = state.made, state.taste
    if "less-bitter" not in made.plan.goals or not reached(made, "fresh"):
        return 0.0
    if taste.bite < 0.05 and taste.burn < 0.3:
        return 0.0
    whole = taste.bite_before + 0.5 * taste.burn
    left = (taste.bite + 0.5 * taste.burn) / max(0.02, whole)
    return max(0.0, (left - 0.5) / 0.22) * min(1.3, (taste.bite + 0.5 * taste.burn) / 0.16)


def _colour_stays(state: State) -> float:
    taste = state.taste
    if "paler" not in state.made.plan.goals or not reached(state.made, "fresh"):
        return 0.0
    if taste.colour_before < 0.1:
        return 0.0
    return max(0.0, (taste.colour / taste.colour_before - 0.5) / 0.25)


def _colour_gone(state: State) -> float:
    taste = state.taste
    if "keep-colour" not in state.made.plan.goals or not reached(state.made, "fresh"):
        return 0.0
    return max(0.0, (1.0 - taste.colour / max(0.02, taste.colour_before)) / 0.36)


def colour_shift(state: State) -> float:
    """How far a red or blue pigment's hue moved with the acid between base and glass."""
    red = state.made.drink.red_colour
    if red <= 0.0:
        return 0.0
    moved = abs(state.fresh.ph - state.base.ph)
    return min(2.0, moved / 0.9) * min(1.0, red / 0.06)


def _colour_turned(state: State) -> float:
    kept = state.kept
    late = kept.browned if reached(state.made, "days") else 0.0
    return max(kept.darkened / 0.6, late / 0.7, colour_shift(state) if _keeps(state) else 0.0)


def _keeps(state: State) -> bool:
    return "keep-colour" in state.made.plan.goals or state.made.drink.red_colour > 0.1


def _aroma_muted(state: State) -> float:
    made, taste = state.made, state.taste
    if not reached(made, "fresh"):
        return 0.0
    return max(0.0, (1.0 - taste.notes / taste.notes_meant) / 0.29)


def _off_smell(state: State) -> float:
    taste, kept = state.taste, state.kept
    soap = taste.foreign["soap-or-perfume"]
    return max(taste.cheesy / 0.75, taste.painty / 0.7, taste.vinegar / 0.8,
               kept.sour_smell / 0.5, kept.stale_juice / 0.5, soap / 0.7)  # fmt: skip


def _foreign_odour(state: State) -> float:
    kinds = state.taste.foreign
    return max(kinds[k] for k in kinds if k != "soap-or-perfume") / 0.6


def _burnt(state: State) -> float:
    return state.taste.scorched / 0.65 if reached(state.made, "fresh") else 0.0


def _salty(state: State) -> float:
    return state.taste.salt / 1.2 if reached(state.made, "fresh") else 0.0


TASTES: Mapping[str, Callable[[State], float]] = {
    "dairy_taste": _dairy_taste,
    "too_sour": _too_sour,
    "too_sweet": _too_sweet,
    "thin_body": _thin_body,
    "bitter_still": _bitter_still,
    "colour_stays": _colour_stays,
    "colour_gone": _colour_gone,
    "colour_turned": _colour_turned,
    "aroma_muted": _aroma_muted,
    "off_smell": _off_smell,
    "foreign_odour": _foreign_odour,
    "burnt_taste": _burnt,
    "salty": _salty,
}
