"""Days in the bottle: growth, settling, rising, joining, crystals, oxidation, metal.

Limits of growth follow ``science.keeping`` in direction (cold slows, alcohol stops, acid slows);
the pace, a visible ferment in two to three days at room temperature in a weak sweet drink with a
clean start, is judgement. Nothing here is safety advice: it only says what a person would find.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science.keeping import alcohol_zone

if TYPE_CHECKING:
    from advisor.simulator.liquid import Liquid
    from advisor.simulator.making import Making
    from advisor.simulator.wash import Wash

__all__ = ["Kept", "juice_floor", "juice_pulp", "keep"]

_ROOM_LOGS = 0.10  # log10 of growth per hour at 20 degC, mild, no alcohol
_VISIBLE = 5.0  # log10 steps from a clean start to gas, film or a sour nose


@dataclass(frozen=True, slots=True)
class Kept:
    """What the days did."""

    grown: float  # log10 steps; above 5 a person sees or smells it
    gas: float  # 0 none to 1 a bottle under pressure
    film: float
    sour_smell: float
    vinegar: float
    cheesy: float
    rancid: float
    cardboard: float  # light-struck
    browned: float
    stale: float  # share of the top notes gone by air and light
    stale_juice: float  # flat, cooked smell of old juice; nothing need grow for it
    floor: float  # mg/L settled grains
    clumps: float  # mg/L feathery
    flakes: float  # mg/L protein and tannin joined late
    ring: float  # mg/L risen fat
    tartrate: float
    lactose: float
    calcium: float
    darkened: float  # grey to black
    metal: float
    foam_lost: float
    unsafe: tuple[str, ...]


def keep(made: Making, wash: Wash, liquid: Liquid) -> Kept:
    """The drink after its days of keeping."""
    how = made.keeping
    temperature = {"fridge": 4.0, "room": how.room, "freezer": -18.0}[how.where]
    hours = 24.0 * how.days
    grown = _growth(made, liquid, temperature, hours)
    seen = max(0.0, grown - _VISIBLE)
    sugar = min(1.0, (liquid.sugar + 8.0 * bool(made.milk or made.whey)) / 10.0)
    closed = 1.0 if how.sealed else 0.05
    turned = made.milk.turned if made.milk is not None else 0.0
    fat = liquid.amounts.get("wash_fat", 0.0) + 0.5 * liquid.amounts.get("fat_emulsion", 0.0)
    fat += 0.4 * liquid.amounts.get("milk_fat", 0.0)
    settle = 1.0 - math.exp(-hours / 16.0)
    return Kept(
        grown=grown,
        gas=min(1.0, seen * 0.8 * sugar * closed),
        film=min(1.0, seen * (0.5 if how.half_empty or not how.sealed else 0.2)),
        sour_smell=min(1.3, 0.7 * seen + 0.6 * _soured(made, wash) + _spoilt_whey(made)),
        vinegar=_vinegar(made, liquid, temperature, hours),
        cheesy=min(1.5, 0.9 * turned + _warm_rest(made, liquid)),
        rancid=_rancid(made, fat, temperature, hours),
        cardboard=0.02
        * how.days
        * how.light
        * (made.milk is not None or made.whey is not None)
        * 5,
        browned=_browned(liquid, temperature, how.days),
        stale=_stale(made, how.days, temperature),
        stale_juice=_stale_juice(made),
        floor=liquid.amounts.get("fines", 0.0) * settle
        + liquid.amounts.get("whey_fines", 0.0) * settle
        + juice_floor(made),
        clumps=(1.0 - math.exp(-how.days / 2.5)) * _pectin_floc(liquid),
        flakes=(1.0 - math.exp(-how.days / 2.0)) * _joining(liquid),
        ring=(1.0 - math.exp(-hours / 14.0)) * fat,
        tartrate=_tartrate(made, how.days, temperature),
        lactose=_sugar_crystals(liquid, temperature, how.days),
        calcium=_calcium(made, how.days),
        darkened=_darkened(made, liquid),
        metal=_metal(made, liquid),
        # Those who sell foam from whey put its life at five to seven days.
        foam_lost=1.0 - math.exp(-max(how.days, made.whey.age_days if made.whey else 0.0) / 6.0),
        unsafe=_unsafe(made, liquid, seen, _soured(made, wash)),
    )


def _growth(made: Making, liquid: Liquid, temperature: float, hours: float) -> float:
    how = made.keeping
    alcohol = max(0.0, 1.0 - liquid.strength / 14.0)
    acid = 1.0 if liquid.ph > 4.4 else 0.75 if liquid.ph > 3.4 else 0.5
    pace = _ROOM_LOGS * alcohol * acid
    grown = pace * hours * _pace(temperature)
    grown += pace * max(0.0, how.hours_warm - 2.0) * _pace(how.room)
    start = math.log10(max(0.1, how.microbes)) + (3.0 if how.live_culture else 0.0)
    if made.serving.juice_where == "the-bottle" and made.serving.juice_ml_per_100 > 0.0:
        start += 1.5
    start += 3.0 * (made.milk.turned if made.milk is not None else 0.0)
    if made.whey is not None:
        start += 0.3 * max(0.0, made.whey.age_days - 4.0) * made.whey.ml / 400.0
    return max(0.0, grown + start * (grown > 0.2) * alcohol)


def _pace(temperature: float) -> float:
    if temperature < -1.0:
        return 0.0
    return math.pow(2.0, min(35.0, temperature) / 8.0 - 2.5)


def _soured(made: Making, wash: Wash) -> float:
    """Lactic souring of a mix that stood warm on its milk before straining."""
    meeting = made.meeting
    if made.milk is None or meeting.rest_temperature < 10.0:
        return 0.0
    alcohol = max(0.0, 1.0 - wash.strength / 20.0)
    return max(0.0, (meeting.rest_h - 8.0) / 12.0) * alcohol * _pace(meeting.rest_temperature)


def _warm_rest(made: Making, liquid: Liquid) -> float:
    """Cheesy smell of curd that stood warm: lipase and growth (judgement: plain after a day)."""
    meeting = made.meeting
    if made.milk is None:
        return 0.0
    warm = _pace(meeting.rest_temperature) if meeting.rest_temperature > 10.0 else 0.02
    return 0.045 * max(0.0, meeting.rest_h - 7.0) * warm * max(0.25, 1.0 - liquid.strength / 45.0)


def _stale_juice(made: Making) -> float:
    """Juice in the bottle goes stale within days; its sourness is no new one (judgement)."""
    if made.serving.juice_where != "the-bottle":
        return 0.0
    return 0.10 * made.serving.juice_days * min(1.0, made.serving.juice_ml_per_100 / 12.0)


def juice_pulp(made: Making) -> float:
    """mg/L of pulp that the added juice brings."""
    rough = {"not-strained": 5.0, "sieve": 2.4, "cloth-and-paper": 0.05}
    return rough[made.serving.juice_strained] * made.serving.juice_ml_per_100 * 80.0


def juice_floor(made: Making) -> float:
    """mg/L of pulp that settles from juice put into the bottle."""
    return 0.03 * juice_pulp(made) * (made.serving.juice_where == "the-bottle")


def _spoilt_whey(made: Making) -> float:
    return made.whey.spoilt if made.whey is not None else 0.0


def _vinegar(made: Making, liquid: Liquid, temperature: float, hours: float) -> float:
    """Acetic turn needs air, days and less than some 15 %vol."""
    air = (1.0 if made.keeping.half_empty else 0.1) * max(0.0, 1.0 - liquid.strength / 16.0)
    turn = 0.0035 * hours * _pace(temperature) * air * made.keeping.acetic
    acetic = 0.0
    if made.drink.acid_kind == "vinegar":
        # Noticed in wine from some 0.7 g/L, plain vinegar by 2 (judgement).
        acetic = 0.45 * liquid.acid
    return turn + acetic + made.drink.wine_sulphur


def _turned_sour(made: Making, liquid: Liquid) -> float:
    how = made.keeping
    temperature = {"fridge": 4.0, "room": how.room, "freezer": -18.0}[how.where]
    return _vinegar(made, liquid, temperature, 24.0 * how.days)


def _rancid(made: Making, fat: float, temperature: float, hours: float) -> float:
    """Painty smell: what the fat brought, and what warmth, air and light add in weeks."""
    if made.fat is None:
        return 0.0
    brought = 1.1 * made.fat.rancid
    how = made.keeping
    days = hours / 24.0
    air = 1.0 + 0.8 * how.half_empty + 0.8 * how.light
    grown = days / 21.0 * math.pow(2.0, (temperature - 20.0) / 10.0) * air * min(2.0, fat / 30.0)
    if made.fat.stored_days_with_fat > 3.0:
        grown += 0.014 * made.fat.stored_days_with_fat
    return brought + grown


def _browned(liquid: Liquid, temperature: float, days: float) -> float:
    if temperature < 10.0:
        return 0.0
    return (
        days
        / 45.0
        * math.pow(2.5, (temperature - 22.0) / 10.0)
        * min(2.0, liquid.sugar / 60.0 + 0.4)
    )


def _stale(made: Making, days: float, temperature: float) -> float:
    how = made.keeping
    air = 0.15 + 0.85 * how.half_empty
    pace = air * (1.0 + 0.8 * how.light) * 2.0 ** ((temperature - 20.0) / 12.0)
    scalped = 0.25 * (how.vessel == "thin-plastic") * min(1.0, days / 4.0)
    return min(0.9, 1.0 - math.exp(-days / 12.0 * pace) + scalped)


def _pectin_floc(liquid: Liquid) -> float:
    """Citrus pectin and protein gather into feathers over days."""
    pectin = liquid.amounts.get("pectin", 0.0)
    return max(0.0, pectin - 22.0) * (1.0 if liquid.whey_protein > 0.2 or pectin > 90.0 else 0.4)


def _joining(liquid: Liquid) -> float:
    """Casein left and tannin join slowly; a fluff of both falls in days (judgement)."""
    if liquid.casein < 0.02 or liquid.tannin < 0.08:
        return 0.0
    return 800.0 * min(0.5, liquid.casein) * min(1.0, liquid.tannin / 0.3)


def _tartrate(made: Making, days: float, temperature: float) -> float:
    """Cream of tartar: wine holds more potassium and tartrate than the cold keeps."""
    wine = made.drink.wine_ml / max(1.0, made.drink.wine_ml + made.drink.spirit_ml)
    if temperature > 12.0:
        return 0.0
    return (
        900.0
        * max(0.0, wine - 0.42)
        * (1.0 - math.exp(-days / 4.0))
        * (1.6 if temperature < 0.0 else 1.0)
    )


def _sugar_crystals(liquid: Liquid, temperature: float, days: float) -> float:
    """Sugar or lactose over what the cold, strong drink holds (Weston 2004 for lactose)."""
    holds = 480.0 - 6.2 * liquid.strength + 2.2 * min(20.0, temperature)
    lactose = liquid.amounts.get("lactose", 0.0) / 1000.0
    milk_sugar = 62.0 - 0.75 * liquid.strength + 1.5 * min(20.0, temperature)
    over = max(0.0, liquid.sugar - holds) + max(0.0, lactose - milk_sugar)
    return 40.0 * over * (1.0 - math.exp(-days / 3.0))


def _calcium(made: Making, days: float) -> float:
    """Calcium salts: oxalate of tea or rhubarb, tartrate of wine, with the calcium of whey."""
    source = made.drink.clarifier == "calcium-plant"
    return (180.0 if source else 0.0) * (1.0 - math.exp(-days / 4.0))


def _darkened(made: Making, liquid: Liquid) -> float:
    """Iron or copper with tannin: grey to black within hours."""
    if made.keeping.metal not in ("iron", "copper"):
        return 0.0
    return min(2.0, made.keeping.metal_hours / 3.0) * min(1.5, liquid.tannin / 0.15)


def _metal(made: Making, liquid: Liquid) -> float:
    """Metal taken up: hours of contact with something sour."""
    if not made.keeping.metal:
        return 0.0
    sour = 1.0 if liquid.ph < 4.8 else 0.15
    return min(2.0, made.keeping.metal_hours / 4.0) * sour


def _unsafe(made: Making, liquid: Liquid, seen: float, soured: float) -> tuple[str, ...]:
    """Why a careful person would throw it away, whatever it tastes of."""
    keeping = made.keeping
    soap = max(keeping.detergent, made.straining.cloth_softener)
    turning = _vinegar(made, liquid, 20.0, 0.0) < 0.4 and _turned_sour(made, liquid) > 0.7
    reasons = {
        "spoilt": seen > 0.3 or _spoilt_whey(made) > 0.4,
        # Live souring on the curd: a sour smell that is new ends on nobody's tongue.
        "soured": soured > 0.4,
        # No nose can tell milk enzymes from germs: what plainly smells of cheese is not served.
        "cheesy": _warm_rest(made, liquid) > 0.75,
        "acetic": turning,
        "weak-and-warm": _perishable(made)
        and alcohol_zone(liquid.strength) == "weak"
        and keeping.hours_warm > 4.5,
        "metal": bool(keeping.metal) and _metal(made, liquid) > 0.3,
        "lead": keeping.vessel == "crystal-or-unknown-glaze" and keeping.days >= 1.0,
        "cleaner": keeping.lye > 0.0 or soap > 0.5,
    }
    return (*(why for why, so in reasons.items() if so), *_unsafe_stuff(made, liquid))


def _perishable(made: Making) -> bool:
    return made.milk is not None or made.whey is not None or made.drink.raw_egg


def _unsafe_stuff(made: Making, liquid: Liquid) -> tuple[str, ...]:
    """What went in that makes a drink unfit: meat, spent fat, garlic, raw or turned milk."""
    why = []
    if made.fat is not None:
        if made.fat.meat_left_in and liquid.strength < 20.0:
            why.append("meat")
        if made.fat.spent == "warm-or-reused":
            why.append("spent-fat")
        if made.fat.garlic:
            why.append("garlic-in-fat")
    if made.milk is not None:
        if made.milk.raw:
            why.append("raw-milk")
        if made.milk.turned > 0.7:
            why.append("turned-milk")
    return tuple(why)
