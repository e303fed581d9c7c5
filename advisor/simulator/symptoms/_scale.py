"""Limits shared by several symptoms (judgement, unless said otherwise)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.simulator.state import State

__all__ = ["CLOUDY", "STEP", "bench", "free_fat"]

CLOUDY = 11.0  # NTU at which half of all people call a drink cloudy; texts say 4-8 by instrument
STEP = 8.0  # NTU of change that is noticed


def free_fat(state: State, which: str = "fresh") -> float:
    """Free fat, mg/L, as it films lips and makes eyes."""
    amounts = getattr(state, which).amounts
    return float(amounts.get("wash_fat", 0.0) + amounts.get("milk_fat", 0.0))


def bench(state: State) -> float:
    """degC at which the fresh drink is first looked at."""
    return max(18.0, state.made.straining.temperature)
