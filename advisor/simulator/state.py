"""The whole batch worked out, step by step, from what was really done.

``work_out`` is the physics; what people and checks make of it is in ``observe`` and ``checks``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.science.equilibrium import protons_released
from advisor.science.ethanol import volume_at
from advisor.simulator.base import Base, acids_of, base_of
from advisor.simulator.bottle import Kept, keep
from advisor.simulator.clear import aged, between, poured, through, with_whey
from advisor.simulator.dosing import Dosed, dose
from advisor.simulator.fatwash import FatWash, fat_wash
from advisor.simulator.liquid import Liquid, haze, total
from advisor.simulator.straining import Run, strain
from advisor.simulator.taste import Taste, taste
from advisor.simulator.wash import Wash, milk_wash, no_wash

if TYPE_CHECKING:
    from advisor.science.equilibrium import WeakAcid
    from advisor.simulator.making import Drink, Making

__all__ = ["ORDER", "State", "reached", "work_out"]

ORDER = ("mixing", "straining", "fresh", "chilled", "service", "days")


@dataclass(frozen=True, slots=True)
class State:
    """One batch, worked out. ``unfiltered`` is the liquid between the curds, ``fresh`` what ran
    out, ``bottle`` the same after its days, ``glass`` as it is served."""

    made: Making
    base: Base
    wash: Wash
    run: Run
    fat: FatWash | None
    dosed: Dosed | None
    unfiltered: Liquid
    fresh: Liquid
    bottle: Liquid
    glass: Liquid
    kept: Kept
    taste: Taste
    strength: float
    expected_strength: float
    out_ml: float
    juice_flakes: float
    filtered: Liquid  # before any whey went in

    @property
    def milky(self) -> bool:
        """Whether anything from milk took part."""
        made = self.made
        return made.milk is not None or made.whey is not None

    def cloud(self, which: str, temperature: float) -> float:
        """NTU of ``unfiltered``, ``fresh``, ``bottle`` or ``glass`` at ``temperature`` degC."""
        return total(haze(getattr(self, which), temperature))

    def parts(self, which: str, temperature: float) -> dict[str, float]:
        """NTU by component."""
        return haze(getattr(self, which), temperature)


def reached(made: Making, moment: str) -> bool:
    """Whether the batch has come as far as ``moment``."""
    return ORDER.index(made.plan.moment) >= ORDER.index(moment)


def work_out(made: Making) -> State:
    """Physics from spirit to glass."""
    drink, washed = made.drink, None
    if made.fat is not None:
        washed = fat_wash(drink, made.fat)
        drink = _after_fat(drink, washed)
    drink = _warm_measure(drink)
    base = base_of(drink)
    if made.milk is not None:
        base = _boiled_off(made, base)
        wash = milk_wash(made, base, _minutes(made))
    else:
        wash = no_wash(base)
    run = strain(made, base, wash)
    unfiltered = between(made, base, wash, washed)
    fresh = through(made, unfiltered, run)
    filtered = fresh
    dosed = None
    out_ml, strength = run.out_ml, wash.strength * (1.0 - 1.6 * run.evaporated)
    if made.milk is None and washed is not None:
        out_ml *= washed.volume / max(1.0, wash.mix_ml)
    strength = _washes(made, strength)
    if made.whey is not None:
        acids, cation = acids_of(drink, base.ml)
        left = 1.0 - wash.milk_share
        acids = [(acid, amount * left) for acid, amount in acids]
        if wash.milk_share:
            cation = _cation_for(acids, wash.ph)
        dosed = dose(out_ml if made.milk else base.ml, strength, acids, cation * (
            1.0 if wash.milk_share else left), made.whey)  # fmt: skip
        fresh = with_whey(fresh, dosed)
        out_ml, strength = dosed.ml, dosed.strength
    fresh = replace(fresh, strength=strength)
    kept = keep(made, wash, fresh)
    bottle = aged(fresh, kept, made)
    glass, flakes = poured(made, bottle)
    expected = made.plan.expected_strength
    if expected is None:
        expected = _expected(made, base)
    return State(
        made=made, base=base, wash=wash, run=run, fat=washed, dosed=dosed, unfiltered=unfiltered,
        fresh=fresh, bottle=bottle, glass=glass, kept=kept,
        taste=taste(made, base, wash, run, washed, dosed, fresh, kept), strength=strength,
        expected_strength=expected, out_ml=out_ml, juice_flakes=flakes, filtered=filtered,
    )  # fmt: skip


def _minutes(made: Making) -> float:
    if made.plan.moment == "mixing":
        return made.plan.minutes_since_mixing
    return 60.0 * made.meeting.rest_h


def _after_fat(drink: Drink, washed: FatWash) -> Drink:
    return replace(drink, spirit_ml=washed.volume, spirit_strength=washed.strength)


def _warm_measure(drink: Drink) -> Drink:
    """Spirit measured ice cold is more spirit: its volume at 20 degC counts."""
    cold = {"freezer": -18.0, "fridge": 4.0, "room": 20.0}[drink.measured_at]
    if cold == 20.0 or drink.spirit_strength < 36.0:
        return drink
    grown = volume_at(drink.spirit_ml, min(90.0, drink.spirit_strength), 20.0, cold)
    return replace(drink, spirit_ml=grown)


def _boiled_off(made: Making, base: Base) -> Base:
    """Alcohol lost when spirit meets milk near the boil in an open pan (judgement)."""
    milk_used = made.milk
    if milk_used is None or not made.meeting.open_hot_pan or milk_used.temperature < 70.0:
        return base
    lost = 0.06 + 0.006 * (milk_used.temperature - 75.0)
    return replace(base, strength=base.strength * (1.0 - max(0.03, lost)))


def _washes(made: Making, strength: float) -> float:
    """Each further wash with fresh milk thins it again."""
    for _ in range(made.meeting.washes - 1):
        strength *= 1.0 / (1.0 + 0.22)
    return strength


def _cation_for(acids: list[tuple[WeakAcid, float]], ph: float) -> float:
    """Strong cation that leaves these acids at that pH: what the milk's salts gave the drink."""
    return sum(protons_released(acid, ph) * amount for acid, amount in acids)


def _expected(made: Making, base: Base) -> float:
    """What the maker's sum gives: the said strength thinned by milk and whey as they are."""
    volume = base.ml
    ethanol = base.said_strength * volume
    if made.plan.meant_undiluted:
        return base.said_strength
    if made.milk is not None:
        volume += made.milk.ml
    if made.whey is not None:
        volume += made.whey.ml
    return ethanol / volume
