"""How people say amounts, and when a question can be answered at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

__all__ = [
    "amount",
    "hours",
    "made",
    "of_strip",
    "roughly",
    "served",
    "small",
    "strained",
    "washed",
    "yes",
]


def yes(value: bool) -> str:
    return "yes" if value else "no"


def roughly(value: float) -> float:
    """As people say an amount: two figures, halves of the leading step."""
    for limit, step in ((10.0, 0.5), (50.0, 1.0), (200.0, 5.0), (1000.0, 10.0), (5000.0, 50.0)):
        if abs(value) < limit:
            return round(value / step) * step
    return round(value / 100.0) * 100.0


def amount(value: float, unit: str, chance: Chance, spread: float = 0.02) -> str:
    told = roughly(max(0.0, value * (1.0 + chance.normal(spread))))
    return f"{told:g} {unit}"


def small(value: float, unit: str) -> str:
    return f"{round(max(0.0, value), 1):g} {unit}"


def hours(hours: float) -> str:
    if hours < 1.5:
        return f"{max(1, round(hours * 12.0) * 5):g} min"
    return f"{round(hours):g} h"


def washed(state: State) -> bool:
    return state.made.milk is not None


def of_strip(read: Callable[[State], str]) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        return read(state) if washed(state) else None

    return fact


def strained(read: Callable[[State], str | None]) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        return read(state) if reached(state.made, "straining") else None

    return fact


def made(read: Callable[[State], str | None]) -> Callable[[State, Chance], str | None]:
    def fact(state: State, chance: Chance) -> str | None:
        return read(state)

    return fact


def served(read: Callable[[State], str | None]) -> Callable[[State, Chance], str | None]:
    return made(lambda s: read(s) if reached(s.made, "service") else None)
