"""Slime, grit, crystals, layers, foam, gas, strength, guests and worry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.ethanol import density, strength_from_density
from advisor.simulator.chance import Chance
from advisor.simulator.state import reached
from advisor.simulator.symptoms._scale import free_fat

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.state import State


def _stringy(state: State) -> float:
    amounts = state.fresh.amounts
    slime = amounts.get("gum", 0.0) / 210.0 + amounts.get("starch", 0.0) / 900.0
    jelly = amounts.get("gelatin", 0.0) / 260.0 if reached(state.made, "chilled") else 0.0
    mixed = 1.8 if state.made.drink.clarifier == "swapped" else 0.0
    pectin = amounts.get("pectin", 0.0) / 420.0 * (1.0 + max(0.0, state.strength - 25.0) / 15.0)
    return max(slime, jelly, mixed, pectin)


def _gritty(state: State) -> float:
    if not reached(state.made, "fresh"):
        return 0.0
    amounts = state.fresh.amounts
    grit = (
        amounts.get("nut_solids", 0.0) / 70.0
        + amounts.get("cocoa", 0.0) / 110.0
        + amounts.get("lumps", 0.0) / 110.0
        + amounts.get("grains", 0.0) / 380.0
        + amounts.get("bits", 0.0) / 60.0
        + state.kept.calcium / 130.0
        + state.kept.lactose / 260.0
        + state.kept.tartrate / 400.0
    )
    fat = state.made.fat
    if fat is not None and fat.species == "cocoa-butter" and fat.cooled == "slow-and-large":
        grit += 1.2
    return grit


def _crystals(state: State) -> float:
    if not reached(state.made, "days"):
        return 0.0
    kept = state.kept
    return max(kept.tartrate, kept.lactose, 0.8 * kept.calcium) / 110.0


def _bottle_separates(state: State) -> float:
    if not reached(state.made, "days"):
        return 0.0
    kept = state.kept
    layer = 1.8 if not state.made.serving.bottle_mixed and state.fresh.sugar > 30.0 else 0.0
    cocoa = state.fresh.amounts.get("cocoa", 0.0) / 130.0
    return max(kept.ring / 45.0, kept.floor / 110.0, layer, kept.clumps / 60.0, cocoa)


def foam_capacity(state: State) -> float:
    """How well it foams, 1 for a good whey drink: native protein, less age, fat and detergent."""
    protein = state.fresh.whey_protein / 1.3
    fat = free_fat(state) + 0.3 * state.fresh.amounts.get("fat_emulsion", 0.0)
    kills = 1.0 / (1.0 + (fat / 15.0) ** 2) / (1.0 + 6.0 * state.made.keeping.detergent)
    return min(1.4, protein) * (1.0 - 0.85 * state.kept.foam_lost) * kills


def _foam_wrong(state: State) -> float:
    made = state.made
    if not reached(made, "service"):
        return 0.0
    serving = made.serving
    if serving.carbonated:
        particles = state.fresh.amounts.get("fines", 0.0) + state.fresh.amounts.get("pulp", 0.0)
        egg = state.fresh.amounts.get("egg", 0.0)
        return max(0.0, particles / 14.0, (serving.gas - 4.3) / 0.5, egg / 200.0)
    wanted = made.whey is not None and made.whey.foam_wanted
    if state.fresh.amounts.get("egg", 0.0) > 150.0:
        return 1.1
    return 0.36 / max(0.05, foam_capacity(state)) if wanted else 0.0


def _flat(state: State) -> float:
    serving = state.made.serving
    if not serving.carbonated or not reached(state.made, "service"):
        return 0.0
    held = serving.gas * (0.45 if serving.filled_warm else 1.0)
    return (3.2 - held) / 1.0


def _pressure(state: State) -> float:
    serving = state.made.serving
    gassed = 0.0
    if serving.carbonated:
        gassed = max(0.0, (serving.gas - 4.3) / 0.45)
        particles = state.fresh.amounts.get("fines", 0.0)
        gassed = max(gassed, particles / 120.0)
    if state.made.people.hazard_plan == "cryogen" and serving.carbonated:
        gassed = max(gassed, 1.2)
    return max(gassed, state.kept.gas / 0.4)


def reading_strength(state: State, chance: Chance) -> float | None:
    """%vol the maker's way of reading shows; ``None`` where nobody measured.

    A hydrometer reads the density as if it were spirit and water alone (OIML R 22).
    """
    tool = state.made.plan.strength_tool
    true = state.strength
    if tool == "copied":
        return None
    if tool == "laboratory":
        return true + chance.normal(0.15)
    if tool == "arithmetic":
        return true + chance.normal(0.4)
    extract = state.fresh.sugar + state.fresh.amounts.get("lactose", 0.0) / 1000.0
    rho = density(min(90.0, true), 20.0) + 0.385 * extract + chance.normal(0.6)
    if rho >= 998.15:
        return 0.0
    return strength_from_density(rho, 20.0)


_CALM = Chance(0, "calm", 0, 0.0)


def _gap(state: State) -> float:
    read = reading_strength(state, _CALM)
    if read is None or not reached(state.made, "fresh"):
        return 0.0
    # A laboratory shows a point; arithmetic and a hydrometer are trusted to two or three.
    fine = state.made.plan.strength_tool == "laboratory"
    limit = 0.6 + (0.010 if fine else 0.04) * state.expected_strength
    return (read - state.expected_strength) / limit


def _abv_low(state: State) -> float:
    jug = 0.6 if not state.made.serving.jug_mixed else 0.0
    return max(jug, -_gap(state))


def _abv_high(state: State) -> float:
    return max(0.0, _gap(state))


def _diet(state: State) -> float:
    return 2.5 if state.made.plan.asked_diet else 0.0


def _safety(state: State) -> float:
    made, kept = state.made, state.kept
    worry = 2.0 if made.plan.worried else 0.0
    worry = max(worry, kept.sour_smell / 0.45, kept.film / 0.3, kept.gas / 0.6,
                kept.stale_juice / 0.6)  # fmt: skip
    if state.milky:
        weak = 1.0 if state.strength < 12.0 else 0.55
        if state.strength > 20.0:
            weak = 0.02
        worry = max(worry, weak * (made.keeping.hours_warm - 3.0) / 4.5)
    return max(0.0, worry)


def _fire(state: State) -> float:
    return 2.5 if state.made.people.hazard_plan else 0.0


BOTTLES: Mapping[str, Callable[[State], float]] = {
    "stringy_gel": _stringy,
    "gritty": _gritty,
    "crystals": _crystals,
    "bottle_separates": _bottle_separates,
    "foam_wrong": _foam_wrong,
    "flat_carbonation": _flat,
    "bottle_pressure": _pressure,
    "abv_low": _abv_low,
    "abv_high": _abv_high,
    "diet_allergen": _diet,
    "safety_doubt": _safety,
    "fire_spatter": _fire,
}
