"""What is taken for a test, and shared limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.liquid import Liquid
    from advisor.simulator.state import State

__all__ = ["EYE", "has_curd", "milk_or_whey", "sample", "split_by", "whole_casein"]

EYE = 0.2  # log-normal spread of one person's judgement of a cloud


def sample(state: State) -> Liquid:
    """What would be taken for a test: the liquid between the curds, or what is in the bottle."""
    if not reached(state.made, "straining"):
        return state.unfiltered
    return state.bottle if state.made.keeping.days >= 1.0 else state.fresh


def whole_casein(state: State, liquid: Liquid) -> float:
    """g/L of dissolved casein that acid or warmth can still bring down: not the cut pieces."""
    return liquid.casein * state.wash.whole_share


def split_by(parts: Mapping[str, float], group: frozenset[str]) -> float:
    return sum(value for kind, value in parts.items() if kind in group)


def milk_or_whey(state: State) -> bool:
    return state.made.milk is not None or state.made.whey is not None


def has_curd(state: State, chance: Chance) -> bool:
    """The curd is still there, or was well looked at when it was."""
    if state.made.milk is None:
        return False
    return not reached(state.made, "chilled") or not chance.slips(0.35)
