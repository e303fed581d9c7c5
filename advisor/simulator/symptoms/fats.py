"""Fat: films, louche, caps that will not part, slush, flavour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.fats import fat as fat_data
from advisor.simulator.liquid import haze, total
from advisor.simulator.state import reached
from advisor.simulator.symptoms._scale import free_fat

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.state import State


def louche(state: State) -> float:
    """NTU that come when the fresh drink is thinned one to one, beyond what thinning takes."""
    before = state.cloud("fresh", 18.0)
    return total_of(state, 1.0) - 0.5 * before


def total_of(state: State, share: float) -> float:
    """NTU of the fresh drink with ``share`` parts of cold water."""

    return total(haze(state.fresh.thinned(share), 12.0))


def _greasy(state: State) -> float:
    if not reached(state.made, "fresh"):
        return 0.0
    film = free_fat(state) / 42.0
    if not reached(state.made, "service"):
        return film
    return max(film, louche(state) / 11.0)


def _fat_wont_part(state: State) -> float:
    fat = state.fat
    if fat is None:
        return 0.0
    emulsion = fat.fine / 130.0  # it stays milky

    assert state.made.fat is not None  # noqa: S101 (a fat wash has a fat)
    layer = fat_data(state.made.fat.species).layer
    soft = (0.62 - fat.solid) / 0.3 if layer != "paste" else 0.55
    stuck = 1.5 if state.made.fat.narrow and fat.solid > 0.6 else 0.0
    bits = fat.bits / 150.0
    hang = 1.2 if fat.margin < 4.0 and fat.ice < 3.0 else 0.0
    return max(0.0, emulsion, soft, stuck, bits, hang, fat.solids / 400.0)


def _fat_hangs(state: State) -> float:
    fat = state.fat
    if fat is None or fat.ice > 3.0:
        return 0.0
    return max(0.0, (10.0 - fat.margin) / 8.0)


def _slush(state: State) -> float:
    fat = state.fat
    if fat is None:
        return 0.0
    return max(fat.ice, fat.frozen_water / 3.5) / 6.0


def _fat_too_much(state: State) -> float:
    return state.taste.fat / 1.75 if state.fat and reached(state.made, "fresh") else 0.0


def _fat_too_little(state: State) -> float:
    if state.fat is None or not reached(state.made, "fresh"):
        return 0.0
    return 0.34 / max(0.05, state.taste.fat)


FATS: Mapping[str, Callable[[State], float]] = {
    "greasy_or_louche": _greasy,
    "fat_wont_part": _fat_wont_part,
    "fat_hangs": _fat_hangs,
    "slush": _slush,
    "fat_too_much": _fat_too_much,
    "fat_too_little": _fat_too_little,
}
