"""Trials on 50 mL, and strength worked out or measured again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.fat import solid_share
from advisor.science.polyphenols import CLASSES
from advisor.science.strip import bound_shares
from advisor.simulator.base import base_of, sense
from advisor.simulator.checks._sample import sample
from advisor.simulator.fatwash import FIRM, film, layer_of
from advisor.simulator.liquid import haze, total
from advisor.simulator.state import reached
from advisor.simulator.symptoms.bottles import reading_strength

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State


def _second_wash(state: State, chance: Chance) -> str | None:
    """50 mL with 10 mL of fresh milk: 4.3 g/L casein on what is left."""
    if state.made.milk is None or not reached(state.made, "straining"):
        return None
    before = {k: v / 1.2 for k, v in state.wash.polyphenols.items()}
    taste = state.taste
    ratio_bite = ratio_colour = 1.0
    if before and state.fresh.ph < state.fresh.full + 0.15:
        weaker = 10.0 ** (-0.6 * state.strength / 120.0)
        taken = bound_shares(before, {k: CLASSES[k].k.value * weaker for k in before}, 4.3, 0.15)
        after = {k: v * (1.0 - taken[k]) for k, v in before.items()}
        bite = 0.6 * sense(before, "tannin") + 0.4 * sense(before, "bitterness")
        left = 0.6 * sense(after, "tannin") + 0.4 * sense(after, "bitterness")
        other = 0.5 * taste.burn
        ratio_bite = (left + other) / max(0.02, bite + other)
        colour = sense(before, "colour") + taste.unbound
        ratio_colour = (sense(after, "colour") + taste.unbound) / max(0.02, colour)
    softer = taste.bite > 0.07 and ratio_bite + chance.normal(0.05) < 0.72
    paler = taste.colour > 0.07 and ratio_colour + chance.normal(0.05) < 0.7
    if softer and paler:
        return "both"
    return "less-bitter" if softer else "paler" if paler else "no-change"


def _refreeze(state: State, chance: Chance) -> str | None:
    fat = state.made.fat
    if fat is None or state.fat is None or not reached(state.made, "fresh"):
        return None
    # A full night at -18 degC and one paper more: what is hard then comes off, a film thins.
    solid = min(1.0, 1.25 * solid_share(fat.species, -18.0).value * FIRM[layer_of(fat.species)])
    free = film(state.fat.usual) + max(0.0, 1.0 - solid - 0.14) * state.fat.rate * 75.0
    after = min(state.fat.carried, free * 0.62**fat.papers) * 0.62 + 0.6 * state.fat.fine
    before = state.fat.carried + state.fat.fine
    better = after < 0.45 * before and before > 12.0
    if chance.slips(0.08):
        better = not better
    return "clears" if better else "same"


def _enzyme(state: State, chance: Chance) -> str | None:
    """Pectic enzyme overnight takes pectin apart, and nothing else."""
    liquid = sample(state)
    # Pulp sinks once the pectin that holds it up is cut.
    pectin = liquid.amounts.get("pectin", 0.0) * 0.13 + 0.04 * liquid.amounts.get("pulp", 0.0)
    rest = total(haze(liquid, 16.0)) - pectin
    return "clears" if chance.seen(pectin / (rest + 2.0), 1.0) else "unchanged"


def _iodine(state: State, chance: Chance) -> str | None:
    starch = sample(state).amounts.get("starch", 0.0)
    return "blue-black" if chance.seen(starch, 55.0) else "stays-brown"


def _wine_alone(state: State, chance: Chance) -> str | None:
    if state.made.drink.wine_ml <= 0.0:
        return None
    return "hazes" if chance.seen(state.made.drink.spoilt_wine_protein, 40.0) else "stays-clear"


def _whey_alone(state: State, chance: Chance) -> str | None:
    whey = state.made.whey
    if whey is None:
        return None
    cloud = 0.4 * whey.fines + 230.0 * whey.casein + 0.25 * whey.fat
    if whey.heated == "alone-not-filtered":
        cloud += 60.0
    return "hazy" if chance.seen(cloud, 14.0) else "clear"


def _whey_strip(state: State, chance: Chance) -> str | None:
    whey = state.made.whey
    if whey is None:
        return None
    return "sour" if whey.ph + chance.normal(0.22) < 5.0 else "mild"


def _strength(state: State, chance: Chance) -> str | None:
    if state.made.plan.strength_tool not in ("hydrometer", "laboratory"):
        return None
    read = reading_strength(state, chance)
    return None if read is None else f"{max(0.0, read):.1f} %vol"


def _gap(state: State, chance: Chance) -> str | None:
    read = reading_strength(state, chance)
    if read is None or not reached(state.made, "fresh"):
        return None
    gap = round(max(-60.0, min(60.0, read - state.expected_strength)), 1) + 0.0  # no minus nought
    return f"{gap:.1f} %vol"


def _calculated(state: State, chance: Chance) -> str | None:
    """The number that worries, read or copied, against the sum of weights and labels."""
    read = reading_strength(state, chance)
    number = state.expected_strength if read is None else read
    gap = number - _arithmetic(state) + chance.normal(0.4)
    limit = 0.8 + 0.03 * state.expected_strength
    return "lower" if gap < -limit else "higher" if gap > limit else "agrees"


def _arithmetic(state: State) -> float:
    """Strength by mixing alone: what nobody lost to the air, the pan or the ice."""
    made, drink = state.made, state.made.drink
    whole = base_of(drink).ml
    whole += made.milk.ml if made.milk is not None else 0.0
    whole += made.whey.ml if made.whey is not None else 0.0
    whole *= 1.22 ** (made.meeting.washes - 1)
    ethanol = (
        drink.spirit_ml * drink.spirit_strength + drink.wine_ml * 15.0 + drink.bitter_ml * 24.0
    )
    return ethanol / max(1.0, whole)


TRIALS: Mapping[str, Callable[[State, Chance], str | None]] = {
    "second_wash_trial": _second_wash,
    "refreeze_trial": _refreeze,
    "enzyme_trial": _enzyme,
    "iodine_drop": _iodine,
    "wine_alone_test": _wine_alone,
    "whey_clear_alone": _whey_alone,
    "whey_strip": _whey_strip,
    "strength_measured": _strength,
    "strength_gap": _gap,
    "calculated_again": _calculated,
}
