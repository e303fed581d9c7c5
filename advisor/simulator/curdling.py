"""How casein lets go: how much, how fast, into what grains, and whether they sink.

The pH of the split, its rise with heat and ethanol and the ethanol clot are those of
``science.curd``. Between the pH of a full split and the first flakes the share that lets go
follows a cosine, an interpolation (judgement). Grain sizes are judgement too; their directions are
published.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from advisor.science.curd import ethanol_clot_chance
from advisor.science.ethanol import density
from advisor.science.milks import milk

if TYPE_CHECKING:
    from advisor.simulator.base import Base
    from advisor.simulator.making import Making, MilkUse

__all__ = [
    "GRAIN",
    "casein_free_share",
    "enzymes",
    "grain_size",
    "let_go",
    "lift",
    "moisture",
    "net",
    "settled",
    "soft_by_kind",
    "solids",
]

_ACTIVATION = 17.0 * 4184.0 / 8.314  # K; acid clotting, about 17 kcal/mol (Niki 2000)
_CLOT_MINUTES = (
    7.0  # at 20 degC and a full split: most of it within a quarter of an hour (judgement)
)
_SOFT = {"cream": 0.5, "goat": 0.4, "ultra-filtered": 0.35, "soy": 0.3, "half-and-half": 0.25,
         "sheep": 0.1}  # fmt: skip
GRAIN = 2.85  # log10 um of an ordinary grain, like rice broken small (judgement)


def casein_free_share(ph: float, full: float, onset: float) -> float:
    """Share of the casein that stays dissolved at rest: 0 at a full split, 1 at the onset."""
    if ph <= full:
        return 0.0
    if ph >= onset:
        return 1.0
    return 0.5 * (1.0 - math.cos(math.pi * (ph - full) / (onset - full)))


def _clotting(minutes: float, temperature: float, slowness: float) -> float:
    """Share of what will clot that has clotted after ``minutes``; cold only delays."""
    kelvin = max(268.0, temperature + 273.15)
    slow = _CLOT_MINUTES * slowness * math.exp(_ACTIVATION * (1.0 / kelvin - 1.0 / 293.15))
    # An S curve: nothing is to be seen before the first micelles touch.
    return 1.0 - math.exp(-((minutes / slow) ** 1.5))


def let_go(
    made: Making,
    used: MilkUse,
    strength: float,
    temperature: float,
    limits: tuple[float, float, float],
    minutes: float,
) -> tuple[float, float]:
    """Share of the casein that lets go in the end, and by now."""
    item = milk(used.kind)
    if item.curd == "no":
        return 0.0, 0.0
    ph, full, onset = limits
    held = casein_free_share(ph, full, onset)
    most = 0.9985 - 0.6 * used.stabilised - (0.06 if used.gums else 0.0)
    if item.curd == "soy":
        most = min(most, 0.85)  # soy lets go of most of its globulins, not all (judgement)
    later = most * (1.0 - held)
    if made.meeting.acid_in_one_place:
        later *= 0.72  # lumps where it fell, the rest still milk until it is stirred in (judgement)
    later = max(later, 0.9 * ethanol_clot_chance(used.kind, strength) * (ph > onset - 0.4))
    if item.curd != "yes" and item.curd != "soy":
        later *= 0.9
    hot = min(30.0, minutes)
    slow = 1.0 + 2.5 * min(1.0, max(0.0, (ph - full) / (onset - full)))
    if item.ph <= 5.0:
        return later, later  # cultured milk came clotted
    cold = min(temperature, made.meeting.rest_temperature) if minutes > 30.0 else temperature
    quick = _clotting(hot, temperature, slow)
    rest = _clotting(max(0.0, minutes - hot), cold, slow) if minutes > hot else 0.0
    return later, later * (1.0 - (1.0 - quick) * (1.0 - rest))


def net(used: MilkUse) -> float:
    """Curd strength against whole milk: protein makes the net, heat and acid culture break it."""
    item = milk(used.kind)
    if item.curd == "no":
        return 0.0
    net = min(1.1, item.casein / 2.57) if item.casein else 0.55
    if item.heated or used.preheated:
        net *= 0.78
    # Fat fills the net and weakens it, the more the more there is (judgement).
    net *= 1.0 - 0.3 * min(1.0, max(0.0, (item.fat - 10.0) / 20.0))
    return net * (1.0 - 0.25 * used.frozen - 0.1 * used.gums - 0.35 * used.turned)


def soft_by_kind(used: MilkUse) -> float:
    heated = 0.25 if used.preheated else 0.12 if milk(used.kind).heated else 0.0
    return heated + _SOFT.get(used.kind, 0.0)


def grain_size(
    made: Making, used: MilkUse, base: Base, excess: float, temperature: float, formed: float
) -> float:
    """log10 um of the middle grain: sudden, cold and sharp makes dust; heat knits.

    Directions: particle size of acid casein grows with temperature (Mulvihill, in Fox & McSweeney
    1998, p. 212); fine dry curd of ultra-heated milk (dairy science). Sizes are judgement.
    """
    meeting = made.meeting
    abrupt = {"drink-into-milk": 0.12, "milk-into-drink": 0.72, "acid-last": 0.15,
              "all-together": 0.65}[meeting.order]  # fmt: skip
    if meeting.pour == "dumped":
        abrupt = max(abrupt, 0.7) + 0.2
    if meeting.acid_in_one_place:
        abrupt = max(abrupt, 0.6)
    warm = 1.0 if used.temperature < 12.0 else 0.8 if used.temperature < 30.0 else 0.12
    sharp = min(1.2, max(0.15, (excess - 0.7) / 1.3))
    item = milk(used.kind)
    size = GRAIN - 1.45 * min(1.1, abrupt * warm * sharp)
    size += 0.004 * (temperature - 20.0)
    if meeting.stirring == "whisked":
        size -= 1.15
    if item.heated and item.ph > 5.0:
        size -= 0.65
    if item.ph <= 5.0:
        size -= 1.0
    size -= 0.5 * max(0.0, 1.0 - item.fat / 2.0)  # fat keeps grains together
    size -= 0.75 * used.frozen + 0.3 * used.turned
    if used.kind == "powder":
        size -= 0.35
    if base.strength > 52.0:
        size -= 0.05 * (base.strength - 52.0)  # ethanol throws it down at the point of contact
    return max(0.7, size + 0.1 * (formed - 1.0))


def solids(used: MilkUse, formed: float) -> float:
    item = milk(used.kind)
    grams = used.ml * item.density / 100.0
    protein = item.protein * 0.8 if item.curd == "soy" else item.casein
    fat = item.fat if protein > 0.0 else 0.0
    own = grams * (protein * 1.15 + 0.96 * fat)
    return formed * (own + used.ml / 1000.0 * used.powder_g_per_l * 0.8)


def moisture(temperature: float, softness: float) -> float:
    """%: 78 drained cold, 50 hot (cottage and queso blanco practice); a soft web keeps more."""
    heat = min(1.0, max(0.0, (temperature - 40.0) / 30.0))
    return min(90.0, 78.0 - 28.0 * heat + 9.0 * softness)


def lift(
    made: Making, used: MilkUse, base: Base, strength: float, share: float
) -> tuple[float, float]:
    """Curd less liquid, kg/m3, and the gas in it (share of its volume)."""
    item = milk(used.kind)
    protein = item.casein * 1.15 + 0.3
    solid = (protein + item.fat) / (protein / 1.35 + item.fat / 0.93) * 1000.0
    sugar = base.sugar * (1.0 - share) if made.drink.sugar_before else 0.0
    liquid = density(min(60.0, strength), 20.0) + 0.38 * sugar
    gas = 0.03 * made.drink.sparkling + (0.02 if made.meeting.stirring == "whisked" else 0.0)
    curd = 1.0 / (0.78 / liquid + 0.22 / solid) * (1.0 - gas)
    return curd - liquid, gas


def settled(
    grain: float, softness: float, lift: float, minutes: float, temperature: float
) -> float:
    """Share of the curd that has gone down: grains fast, dust and a web slowly, light curd never.

    Stokes for fine grains over 100 mm; a web sinks only as its net gives way, in hours (judgement).
    """
    if lift < 4.0:
        return max(0.0, 0.25 + 0.06 * lift) if lift > 0.0 else 0.1
    thick = 2.2 if temperature > 12.0 else 3.4  # mPa s of a sugared drink
    size = min(150.0, 10.0**grain)
    speed = 9.81 * (size * 1e-6) ** 2 * max(lift, 20.0) / (18.0 * thick * 1e-3) * 3600.0 * 1000.0
    hours = max(0.35 if temperature > 12.0 else 0.6, 100.0 / speed) + 22.0 * math.pow(softness, 1.5)
    return 1.0 - math.exp(-minutes / 60.0 / hours)


def enzymes(made: Making, minutes: float) -> float:
    """Share of the curd that raw fruit takes apart (its enzymes are quick when warm)."""
    hours = minutes / 60.0
    pace = 2.0 ** ((made.meeting.rest_temperature - 20.0) / 10.0)
    return made.drink.protease * (1.0 - math.exp(-hours * pace / 3.0))
