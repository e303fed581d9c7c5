"""Warm, spirit, paper, torch, stand, glass: what kind of cloud it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.milks import milk
from advisor.simulator.bottle import juice_floor
from advisor.simulator.checks._sample import EYE, sample, split_by, whole_casein
from advisor.simulator.curdling import casein_free_share
from advisor.simulator.liquid import COLLOIDS, FATS, PARTICLES, haze, total
from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.liquid import Liquid
    from advisor.simulator.state import State


def _warm_test(state: State, chance: Chance) -> str | None:
    liquid = sample(state)
    cold = reached(state.made, "chilled") and total(haze(liquid, 4.0)) > 1.4 * total(
        haze(liquid, 18.0)
    )
    before = total(haze(liquid, 4.0 if cold else 18.0))
    after = total(haze(liquid, 40.0))
    beads = liquid.amounts.get("wash_fat", 0.0) + 0.7 * liquid.amounts.get("milk_fat", 0.0)
    if state.kept.lactose > 60.0 and reached(state.made, "days"):
        return "crystals-dissolve" if not chance.slips(0.06) else "unchanged"
    if _thickens(state, liquid):
        return "thicker" if not chance.slips(0.1) else "unchanged"
    if chance.seen(beads, 75.0):
        return "fat-beads"
    if before > 5.0 and chance.seen(before / max(0.5, after), 2.0, 0.2):
        return "clears-and-returns"
    if state.kept.tartrate > 80.0 and chance.slips(0.15):
        return "crystals-dissolve"
    return "unchanged"


def _thickens(state: State, liquid: Liquid) -> bool:
    """Warm milk protein clots at a higher pH: what was held at 20 degC lets go at 40."""
    casein = whole_casein(state, liquid)
    if state.made.milk is None or casein < 0.25:
        return False
    if state.wash.formed < 0.8 * state.wash.formed_later:
        return True
    before = casein_free_share(liquid.ph, liquid.full, liquid.onset)
    after = casein_free_share(liquid.ph, liquid.full + 0.28, liquid.onset + 0.28)
    return casein * max(0.0, 1.0 - after / max(before, 0.02)) > 0.5


def _spirit_test(state: State, chance: Chance) -> str | None:
    liquid = sample(state)
    stronger, weaker = liquid.thinned(0.5, 50.0), liquid.thinned(0.5)
    amounts = stronger.amounts
    jelly = amounts.get("pectin", 0.0) + 1.3 * amounts.get("gum", 0.0)
    jelly += 0.5 * amounts.get("starch", 0.0) + 0.6 * amounts.get("egg", 0.0)
    jelly += 0.7 * amounts.get("gelatin", 0.0)
    if chance.seen(jelly * min(1.5, stronger.strength / 25.0), 75.0):
        return "threads"
    with_spirit = total(haze(stronger, 16.0))
    with_water = total(haze(weaker, 16.0))
    gain = with_water - with_spirit
    if chance.seen(gain, 5.5) and with_spirit < 0.75 * with_water:
        return "spirit-clears"
    if with_water < 6.0 and with_spirit < 6.0:
        return "both-clear" if not chance.slips(0.25) else "no-difference"
    return "no-difference"


def _paper_test(state: State, chance: Chance) -> str | None:
    liquid = sample(state)
    parts = haze(liquid, 17.0)
    colloid = split_by(parts, COLLOIDS) + parts.get("flakes", 0.0)
    fat = liquid.amounts.get("wash_fat", 0.0) + liquid.amounts.get("milk_fat", 0.0)
    fines = liquid.amounts.get("fines", 0.0) + liquid.amounts.get("whey_fines", 0.0)
    jelly = liquid.amounts.get("pectin", 0.0) / 170.0 + liquid.amounts.get("starch", 0.0) / 300.0
    jelly += liquid.amounts.get("gum", 0.0) / 170.0 + state.base.sugar / 520.0
    if chance.seen(jelly, 1.35) or (not reached(state.made, "straining") and fines > 3500.0):
        return "blocks"
    if chance.seen(colloid, 9.0, EYE):
        return "cloudy-throughout"
    if chance.seen(fat, 85.0):
        return "oily-spot"
    # Homogenised drops are of a thousandth of a millimetre: no paper holds them.
    used = state.made.milk
    fine = parts.get("milk_fat", 0.0) if used is not None and milk(used.kind).homogenised else 0.0
    if chance.seen(fine, 9.0, EYE):
        return "cloudy-throughout"
    if chance.seen(fines, 500.0) and state.wash.grain < 1.9:
        return "clears-later"
    if total(parts) > 6.0 and chance.slips(0.12):
        return "clears-later"
    return "clear-at-once"


def _torch(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining"):
        return None
    liquid = state.glass if state.made.plan.moment == "service" else sample(state)
    cold = reached(state.made, "chilled")
    parts = haze(liquid, 5.0 if cold else 18.0)
    if parts.get("air", 0.0) > 0.5 * total(parts) and liquid.air > 0.0:
        return "rising-bubbles"
    fat = liquid.amounts.get("wash_fat", 0.0) + liquid.amounts.get("milk_fat", 0.0)
    colloid = split_by(parts, COLLOIDS) + 0.5 * split_by(parts, FATS)
    colloid += parts.get("fat_from_solution", 0.0) * 0.5
    points = split_by(parts, PARTICLES) + 0.02 * liquid.amounts.get("bits", 0.0) + _hairs(liquid)
    if state.made.plan.moment == "days":
        points += 0.12 * (state.kept.floor + state.kept.clumps + state.kept.flakes)
    if chance.seen(fat, 48.0) and fat * 0.2 > points:
        return "round-eyes"
    if chance.seen(points, max(3.0, 0.7 * colloid)):
        return "moving-points"
    return "even-glow" if chance.seen(colloid, 5.0, EYE) else "no-beam"


def _hairs(liquid: Liquid) -> float:
    """Fibres are coarse: little haze for their weight, but each is seen by itself (judgement)."""
    return 0.6 * liquid.amounts.get("lint", 0.0)


def _stand_test(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining"):
        return None
    kept, liquid = state.kept, state.fresh
    if kept.gas > 0.25 or kept.film > 0.25:
        return "gas-or-film"
    if max(kept.tartrate, kept.lactose, kept.calcium) > 70.0 and reached(state.made, "days"):
        return "crystals"
    if not state.made.serving.bottle_mixed and liquid.sugar > 30.0:
        return "two-layers"
    feathers = max(kept.clumps, kept.flakes, 0.5 * (liquid.amounts.get("pectin", 0.0) - 45.0))
    floor = sum(liquid.amounts.get(k, 0.0) for k in ("fines", "whey_fines", "cocoa", "nut_solids",
                "pulp", "grains", "lumps"))  # fmt: skip
    if reached(state.made, "days"):
        floor += juice_floor(state.made)
    fat = liquid.amounts.get("wash_fat", 0.0) + liquid.amounts.get("milk_fat", 0.0)
    found = {"white-floor": floor / 12.0, "ring-on-top": fat / 38.0,
             "feathery-clumps": feathers / 34.0}  # fmt: skip
    name = max(found, key=lambda key: found[key])
    return name if chance.seen(found[name], 1.0) else "no-change"


def _bottle_shows(state: State, chance: Chance) -> str | None:
    """A bottle that has stood for days shows by itself what a night in a tall glass would."""
    return _stand_test(state, chance) if reached(state.made, "days") else None


def _glass_swap(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "service"):
        return None
    serving = state.made.serving
    thin = state.bottle.thinned(serving.with_water)
    cloud = total(haze(thin, 8.0)) + _hairs(thin)
    if serving.juice_ml_per_100:
        cloud = state.cloud("glass", 8.0)
    return "still-cloudy" if chance.seen(cloud, 11.0) else "clear-in-it"


def _after_wait(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "straining"):
        return None
    air = 60.0 * max(state.glass.air, state.fresh.air)
    rest = state.cloud("glass", 8.0) - 60.0 * state.glass.air
    if air <= 0.0 and rest < 8.0:
        return None
    clears = air > rest
    if chance.slips(0.06):
        clears = not clears
    return "clears-from-below" if clears else "stays"


def _floor_colour(state: State, chance: Chance) -> str | None:
    amounts = state.fresh.amounts
    pulp = juice_floor(state.made)
    found = {"brown": amounts.get("cocoa", 0.0) + amounts.get("bits", 0.0),
             "beige": amounts.get("nut_solids", 0.0) + 0.3 * amounts.get("pulp", 0.0) + pulp,
             "white": amounts.get("fines", 0.0) + amounts.get("whey_fines", 0.0)
             + state.kept.floor - pulp + state.kept.calcium + state.kept.flakes}  # fmt: skip
    name = max(found, key=lambda key: found[key])
    if found[name] < 25.0:
        return None
    return name if not chance.slips(0.06) else "beige"


CLARITY: Mapping[str, Callable[[State, Chance], str | None]] = {
    "warm_test": _warm_test,
    "spirit_test": _spirit_test,
    "paper_test": _paper_test,
    "torch": _torch,
    "stand_test": _stand_test,
    "bottle_shows": _bottle_shows,
    "glass_swap": _glass_swap,
    "haze_after_wait": _after_wait,
    "floor_colour": _floor_colour,
}
