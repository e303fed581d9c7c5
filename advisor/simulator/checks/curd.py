"""The curd, the cake and the run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.milks import milk
from advisor.simulator.checks._sample import EYE, has_curd
from advisor.simulator.curdling import casein_free_share
from advisor.simulator.liquid import haze, total
from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State


def _between(state: State, chance: Chance) -> str | None:
    if not has_curd(state, chance):
        return None
    parts = haze(state.unfiltered, 18.0)
    fines = parts.get("fines", 0.0)
    cloud = total(parts) - fines * (0.75 + 0.2 * state.wash.settled)
    if state.wash.formed < 0.3 and state.wash.casein > 1.5:
        cloud = max(cloud, 700.0)
    cloud *= 2.718281828 ** chance.normal(EYE)
    return "white" if cloud > 420.0 else "tinted-cloudy" if cloud > 38.0 else "clear"


def _curd_feel(state: State, chance: Chance) -> str | None:
    if not has_curd(state, chance):
        return None
    wash, used = state.wash, state.made.milk
    assert used is not None  # noqa: S101 (asked just above)
    item = milk(used.kind)
    if item.curd == "no":
        return "paste" if item.fat > 1.5 or chance.slips(0.3) else "none"
    if wash.formed < 0.12:
        return "none"
    if item.fat > 20.0 or (used.stabilised > 0.3 and wash.formed < 0.6):
        return "paste"
    grain = wash.grain + chance.normal(0.12)
    soft = wash.softness + 0.5 * (1.0 - min(1.0, wash.body_of_curd)) + chance.normal(0.08)
    soft += 0.9 * wash.redissolved  # a net that enzymes have cut gives way between the fingers
    if grain < 2.28 and soft < 0.75:
        return "sand"
    return "soft-web" if soft > 0.5 else "firm-grains"


def _curd_press(state: State, chance: Chance) -> str | None:
    if not has_curd(state, chance) or not reached(state.made, "straining"):
        return None
    return "weeps" if chance.seen(state.run.weeps, 0.42) else "dry"


def _cake(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining") or state.made.straining.filter_kind == "centrifuge":
        return None
    amounts = state.unfiltered.amounts
    jelly = amounts.get("pectin", 0.0) / 120.0 + amounts.get("starch", 0.0) / 320.0
    jelly += amounts.get("gum", 0.0) / 160.0
    return "jelly" if chance.seen(jelly, 1.0) else "grainy"


def _first_liquid(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining"):
        return None
    words = {"mash": "slick-after-first-pour", "bed": "slowed-gradually",
             "jelly": "slowed-gradually", "silt": "slowed-gradually"}  # fmt: skip
    word = words.get(state.run.blocked_by, "slow-from-start")
    if state.run.hours < 1.1 * state.run.usual_hours:
        word = "slowed-gradually"  # any bed does: the layer grows, and with it the way through it
    if chance.slips(0.1):
        return chance.other(("slow-from-start", "slick-after-first-pour", "slowed-gradually"))
    return word


def _cloud_pattern(state: State, chance: Chance) -> str | None:
    if state.made.milk is None or not reached(state.made, "straining"):
        return None
    if reached(state.made, "service"):
        return None  # it is all in one bottle by now
    parts = haze(state.fresh, 18.0)
    steady = total(parts) - parts.get("fines", 0.0)
    first, middle, last = (steady + 0.3 * glass for glass in state.run.glasses)
    kept = not state.made.straining.forerun_returned
    if kept and first > 9.0 and middle < 13.0 and chance.seen(first / middle, 2.0, EYE):
        return "first-only"
    if last > 9.0 and chance.seen(last / middle, 1.9, EYE):
        return "clear-then-cloudy"
    return "throughout" if middle > 7.0 else None


def _strain_trial(state: State, chance: Chance) -> str | None:
    if state.made.milk is None or reached(state.made, "service"):
        return None
    wash = state.wash
    gain = (wash.formed_later - wash.formed) / 0.06 + (1.0 - wash.settled - 0.3) / 0.25
    gain += max(0.0, 2.0 - wash.grain) / 0.8
    return "clearer" if chance.seen(gain, 1.0) else "same"


def _warm_sample(state: State, chance: Chance) -> str | None:
    if state.made.milk is None or state.wash.formed > 0.75 or reached(state.made, "chilled"):
        return None
    more = state.wash.formed_later - state.wash.formed
    warmer = casein_free_share(state.wash.ph, state.wash.full_ph, state.wash.onset)
    warmer -= casein_free_share(state.wash.ph, state.wash.full_ph + 0.12, state.wash.onset + 0.12)
    return "grains" if chance.seen(more + 0.6 * warmer, 0.22) else "nothing"


def _spoon(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining") or state.run.hours < 1.1 * state.run.usual_hours:
        return None
    gain = state.run.warm_gain
    if state.run.blocked_by in ("mash", "jelly", "dry"):
        gain = 1.0 + 0.35 * (gain - 1.0)
    return "runs" if chance.seen(gain - 1.0, 0.62) else "same"


def _curd_smell(state: State, chance: Chance) -> str | None:
    if not has_curd(state, chance):
        return None
    kept = 1.0 - state.wash.notes[0]
    return "of-the-drink" if chance.seen(kept, 0.6, 0.15) else "of-milk-only"


CURD: Mapping[str, Callable[[State, Chance], str | None]] = {
    "liquid_between_curds": _between,
    "curd_feel": _curd_feel,
    "curd_press": _curd_press,
    "cake": _cake,
    "paper_first_liquid": _first_liquid,
    "cloud_pattern": _cloud_pattern,
    "strain_trial": _strain_trial,
    "warm_sample_30": _warm_sample,
    "spoon_warmed": _spoon,
    "curd_smell": _curd_smell,
}
