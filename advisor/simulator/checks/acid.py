"""Strip, acid drop, a spoon of milk, deposit in acid."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.checks._sample import milk_or_whey, sample, whole_casein
from advisor.simulator.curdling import casein_free_share
from advisor.simulator.liquid import haze
from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State


_STRIP_SD, _METER_SD = 0.22, 0.07  # pH; half a step of a common strip, a bar's meter


def _strip_ph(state: State, chance: Chance) -> str | None:
    """The strip reads 0.010 pH higher per %vol (Prenesti et al. 2012) and in coarse steps."""
    if not milk_or_whey(state) and state.made.keeping.lye == 0.0:
        return None
    meter = state.made.plan.strength_tool == "laboratory"
    liquid = sample(state)
    ph = liquid.ph + (3.2 if state.made.keeping.lye else 0.0)
    read = ph + 0.010 * liquid.strength
    read += chance.normal(_METER_SD if meter else _STRIP_SD)
    step = 0.1 if meter else 0.2
    read = round(min(9.5, max(1.8, read)) / step) * step
    return f"{read:.1f} pH"


def flakes_by_acid(state: State) -> float:
    """g/L of casein that 1 mL of lemon juice in 50 mL throws down in five minutes."""
    liquid = sample(state)
    casein = whole_casein(state, liquid)
    if casein <= 0.0:
        return 0.0
    lower = liquid.ph - min(0.9, 0.94 / max(0.9, 0.5 * liquid.acid + 0.35))
    before = casein_free_share(liquid.ph, liquid.full, liquid.onset)
    after = casein_free_share(lower, liquid.full, liquid.onset)
    if before <= 0.0:
        down = casein * 0.5 * max(0.0, 1.0 - casein / 30.0)
    else:
        down = casein * max(0.0, 1.0 - after / before)
    # The juice is pure for a moment where it falls: some casein clots there and stays clotted.
    return max(down, 0.03 * casein if casein > 0.4 else 0.0)


def _acid_drop(state: State, chance: Chance) -> str | None:
    if not milk_or_whey(state):
        return None
    down = flakes_by_acid(state)
    if state.made.plan.moment in ("mixing",) and state.wash.formed < 0.6:
        down = max(down, 0.1 * state.wash.casein)
    if chance.seen(down, 0.055, 0.3):
        return "flakes"
    liquid = sample(state)
    soft = down / 0.02 + liquid.dosed_protein * max(0.0, liquid.ph - 4.0)
    parts = haze(liquid, 15.0)
    soft += parts.get("cold_tannin", 0.0) / 14.0
    if chance.seen(soft, 1.0, 0.3):
        return "fine-haze"
    if state.kept.calcium > 60.0:
        return "clears"
    return "nothing"


def _milk_drop(state: State, chance: Chance) -> str | None:
    if not milk_or_whey(state) or not reached(state.made, "straining"):
        return None
    liquid = sample(state)
    spare = liquid.ph + 0.75 / max(0.6, liquid.acid + 0.3) + chance.normal(0.08)
    return "breaks-at-once" if spare < 5.05 else "turns-milky"


def _deposit(state: State, chance: Chance) -> str | None:
    kept = state.kept
    if kept.floor + kept.clumps + kept.calcium + kept.tartrate + kept.lactose + kept.flakes < 25.0:
        return None
    if kept.calcium > 40.0:
        return "dissolves" if not chance.slips(0.08) else "stays"
    return "stays" if not chance.slips(0.05) else "dissolves"


ACID: Mapping[str, Callable[[State, Chance], str | None]] = {
    "strip_ph": _strip_ph,
    "acid_drop": _acid_drop,
    "milk_drop_in_drink": _milk_drop,
    "deposit_in_acid": _deposit,
}
