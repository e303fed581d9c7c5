"""One wording for a number outside its range."""

from __future__ import annotations

import math

from advisor.science.estimate import Estimate

__all__ = ["bounded", "within"]


def within(name: str, value: float, low: float, high: float, unit: str) -> float:
    """``value``, or ``ValueError`` naming the argument, the value, the range and the unit."""
    if not (math.isfinite(value) and low <= value <= high):
        raise ValueError(
            f"{name} is {value:g} {unit}; it must lie between {low:g} and {high:g} {unit}".replace(
                "  ", " "
            )
        )
    return value


def bounded(
    name: str, given: Estimate | float, low: float, high: float, unit: str
) -> Estimate | float:
    """As ``within`` for the value; the ends of an interval are cut to the range instead."""
    if isinstance(given, Estimate):
        within(name, given.value, low, high, unit)
        if given.low >= low and given.high <= high:
            return given
        return Estimate(given.value, max(low, given.low), min(high, given.high), given.unit)
    return within(name, float(given), low, high, unit)
