"""Clouds: at the filter, in the cold, after days, in the glass, with whey."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.state import reached
from advisor.simulator.symptoms._scale import CLOUDY, STEP, bench

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.state import State


def _cloud_at_filter(state: State) -> float:
    if state.made.operation == "fat-wash" or not reached(state.made, "straining"):
        return 0.0
    if state.made.operation == "whey-dose":
        return 0.0  # there it is the whey that people blame
    cloud = state.cloud("filtered", bench(state))
    if state.made.plan.moment == "straining":
        cloud = max(cloud, 0.3 * max(state.run.glasses))  # they look at what runs just now
    return cloud / CLOUDY


def _cloud_on_chill(state: State) -> float:
    if not reached(state.made, "chilled"):
        return 0.0
    room = state.cloud("fresh", max(20.0, bench(state)))
    if room > 1.3 * CLOUDY:
        return 0.0
    return (state.cloud("fresh", 3.0) - room) / STEP


def _cloud_after_days(state: State) -> float:
    made, kept = state.made, state.kept
    if made.keeping.days < 1.0 or not reached(made, "days"):
        return 0.0
    floor = kept.floor / 12.0 if state.cloud("fresh", 18.0) < 2.2 * CLOUDY else 0.0
    late = (kept.clumps + kept.flakes) / 26.0 + kept.calcium / 60.0
    lint = state.fresh.amounts.get("lint", 0.0) / 14.0
    wine = state.made.drink.spoilt_wine_protein * min(1.0, made.keeping.days / 5.0) / 60.0
    return max(floor, late, lint, wine, 1.6 * (kept.grown > 5.4), 0.5 * kept.ring / 50.0)


def _haze_in_glass(state: State) -> float:
    if not reached(state.made, "service"):
        return 0.0
    bottle = state.cloud("bottle", 8.0)
    if bottle > 1.3 * CLOUDY:
        return 0.0
    change = (state.cloud("glass", 6.0) - 0.8 * bottle) / STEP
    lint = state.fresh.amounts.get("lint", 0.0) / 18.0
    return max(change, state.made.serving.glass_film / 0.5, lint)


def _whey_haze(state: State) -> float:
    if state.made.whey is None:
        return 0.0
    before = state.cloud("filtered", 10.0)
    if before > 1.3 * CLOUDY:
        return 0.0  # it was cloudy already
    return (state.cloud("fresh", 10.0) - 0.8 * before) / CLOUDY


def _recurdles(state: State) -> float:
    if not reached(state.made, "service"):
        return 0.0
    flakes = state.juice_flakes
    if state.made.whey is not None and state.made.whey.casein > 0.0:
        flakes += state.fresh.amounts.get("fines", 0.0)
    return flakes / 55.0


CLOUDS: Mapping[str, Callable[[State], float]] = {
    "cloud_at_filter": _cloud_at_filter,
    "cloud_on_chill": _cloud_on_chill,
    "cloud_after_days": _cloud_after_days,
    "haze_in_glass": _haze_in_glass,
    "whey_haze": _whey_haze,
    "recurdles": _recurdles,
}
