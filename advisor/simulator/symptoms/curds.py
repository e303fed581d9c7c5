"""The curd, the filter and what came out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.state import State


def _curd_weak(state: State) -> float:
    if state.made.milk is None:
        return 0.0
    return (1.0 - min(1.0, state.wash.body_of_curd)) / 0.36


def _curd_dust(state: State) -> float:
    wash = state.wash
    if state.made.milk is None or wash.formed < 0.4 or wash.body_of_curd < 0.1:
        return 0.0
    return max(0.0, 1.0 + 2.2 * (1.95 - wash.grain))


def _curd_floats(state: State) -> float:
    wash = state.wash
    if state.made.milk is None or wash.formed < 0.15 or wash.body_of_curd < 0.1:
        return 0.0
    return max(0.0, (0.5 - wash.settled) / 0.17)


def _filter_slow(state: State) -> float:
    if not reached(state.made, "straining") or state.made.whey is not None is state.made.milk:
        return 0.0
    return state.run.hours / state.run.usual_hours / 2.1


def _low_yield(state: State) -> float:
    if not reached(state.made, "fresh"):
        return 0.0
    if state.made.milk is None and state.fat is not None:
        return (1.0 - state.fat.volume / state.made.drink.spirit_ml) / 0.16
    if state.made.milk is None:
        return 0.0
    return (1.0 - state.run.out_ml / state.run.possible_ml) / 0.14


CURDS: Mapping[str, Callable[[State], float]] = {
    "curd_weak": _curd_weak,
    "curd_dust": _curd_dust,
    "curd_floats": _curd_floats,
    "filter_slow": _filter_slow,
    "low_yield": _low_yield,
}
