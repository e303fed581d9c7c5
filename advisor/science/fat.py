"""Fat washing: does the fat float, does it set, what does it bring and what does it cost.

Volumes in mL, masses in g, temperatures in degC, strengths in %vol at 20 degC,
densities in kg/m3. Fats are named by the words of ``fats.FATS``.
"""

from __future__ import annotations

import math

from advisor.science._guard import bounded, within
from advisor.science._interval import cut
from advisor.science.estimate import Category, Estimate, propagate
from advisor.science.ethanol import density, strength_from_density
from advisor.science.fats import fat
from advisor.science.mixing import strength_after_water_mass

__all__ = [
    "FRESHNESS_LIMITS",
    "density_of_fat",
    "fat_volume",
    "float_margin",
    "floats",
    "freshness",
    "rate",
    "rate_word",
    "sets_at",
    "solid_share",
    "stops_floating_at",
    "strength_after",
    "strength_with_water",
    "water_brought",
    "yield_of",
]

_EXPANSION = Estimate(0.68, 0.64, 0.72, "kg/m3/degC")  # liquid oils, recalled
# A fat packs closer as it sets: solid butter and lard near room temperature say 17 to 38, and
# caps are seen to float on 40 %vol spirit in the freezer, so less (judgement).
_PACKING = Estimate(20.0, 0.0, 50.0, "kg/m3")
_SOLID_SPREAD = 0.15
_HANGING = 3.0  # kg/m3: below this, bubbles and solids decide which way it goes

FRESHNESS_LIMITS = {
    "refined": {"peroxide": 10.0, "acid": 0.6},
    "virgin": {"peroxide": 15.0, "acid": 4.0},
    "ghee": {"peroxide": 0.6, "acid": 0.8},
}
"""Peroxide value (meq O2/kg) and acid value (mg KOH/g): Codex CXS 210 for oils.

For ghee and butteroil CXS 280 gives the peroxide value and 0.4 % free fatty acids,
which is an acid value of 0.8.
"""


def solid_share(kind: str, temperature: float) -> Estimate:
    """Share of the fat that is solid after a long rest at ``temperature`` (-25 to 60 degC).

    A straight line over the melting range, +-0.15: quick chilling gives more solid
    fat than slow cooling, so the truth depends on how it was cooled.
    """
    within("temperature", temperature, -25.0, 60.0, "degC")
    low, high = fat(kind).melts
    if temperature >= high:
        return Estimate(0.0, 0.0, 0.0)
    if temperature <= low:
        return Estimate(1.0, 1.0 - _SOLID_SPREAD, 1.0)
    share = (high - temperature) / (high - low)
    return Estimate(share, max(0.0, share - _SOLID_SPREAD), min(1.0, share + _SOLID_SPREAD))


def sets_at(kind: str) -> Category:
    """Where this fat lifts off: ``fridge`` (4 degC), ``freezer`` (-18 degC) or ``never``."""
    data = fat(kind)
    return Category(data.sets, data.sure)


def density_of_fat(kind: str, temperature: float = 20.0) -> Estimate:
    """Density of the fat itself (without its water) at ``temperature``, -25 to 60 degC."""
    low, usual, high = fat(kind).density
    solid = solid_share(kind, temperature)
    return propagate(
        lambda liquid, expansion, solid, packing: (
            liquid - expansion * (temperature - 20.0) + solid * packing
        ),
        {
            "liquid": Estimate(usual, low, high),
            "expansion": _EXPANSION,
            "solid": solid,
            "packing": _PACKING,
        },
        unit="kg/m3",
    )


def float_margin(kind: str, strength: float, temperature: float = 20.0) -> Estimate:
    """Spirit density less fat density (kg/m3): above 0 the fat floats.

    ``ValueError`` when the spirit would be slush at that temperature (-20 to 40 degC).
    """
    spirit = density(strength, temperature)
    own = density_of_fat(kind, temperature)
    return Estimate(spirit - own.value, spirit - own.high, spirit - own.low, "kg/m3")


def floats(kind: str, strength: float, temperature: float = 20.0) -> Category:
    """``floats``, ``hangs`` or ``sinks``, from the two densities.

    Certainty is the share of the interval on the named side, at least 0.5.
    """
    margin = float_margin(kind, strength, temperature)
    width = max(margin.high - margin.low, 1e-9)
    if margin.value > _HANGING:
        return Category("floats", _half((margin.high - max(0.0, margin.low)) / width))
    if margin.value < -_HANGING:
        return Category("sinks", _half((min(0.0, margin.high) - margin.low) / width))
    return Category("hangs", 0.6)


def _half(certainty: float) -> float:
    return min(1.0, max(0.5, certainty))


def stops_floating_at(fat_density: float, temperature: float = 20.0) -> float:
    """Strength (%vol) above which a fat of this density (kg/m3) no longer floats.

    ``temperature`` 0 to 40 degC, and ``fat_density`` at that temperature. There is no
    one number for "oil": 920 kg/m3 stops at 55 %vol, 900 only at 64.
    """
    return strength_from_density(fat_density, temperature)


def fat_volume(kind: str, fat_g: float) -> float:
    """Volume (mL, melted, at 20 degC) of ``fat_g`` grams, its water and solids included.

    Solids other than water count as 1.4 g/mL (protein and starch, judgement).
    """
    within("fat_g", fat_g, 0.0, 1e7, "g")
    data = fat(kind)
    rest = max(0.0, 100.0 - data.fat - data.water)
    per_gram = data.fat / 100 * 1000 / data.density[1] + data.water / 100 + rest / 100 / 1.4
    return fat_g * per_gram


def rate(
    kind: str,
    spirit_ml: float,
    *,
    fat_ml: float | None = None,
    fat_g: float | None = None,
) -> float:
    """Fat as % of the spirit by volume; give either ``fat_ml`` or ``fat_g``."""
    within("spirit_ml", spirit_ml, 1e-9, 1e9, "mL")
    if (fat_ml is None) == (fat_g is None):
        raise ValueError("give either fat_ml or fat_g, not both and not neither")
    volume = fat_volume(kind, fat_g) if fat_g is not None else fat_ml
    return 100.0 * within("fat_ml", float(volume or 0.0), 0.0, 1e9, "mL") / spirit_ml


def rate_word(kind: str, percent: float) -> str:
    """How a rate (% of the spirit) compares with practice: ``low``, ``usual`` or ``high``.

    Practice sprawls (3 to 44 %), so only rates outside the published span for that
    fat are called low or high. Common practice, no single source.
    """
    within("rate", percent, 0.0, 1e6, "%")
    least, _, most = fat(kind).rate
    return "low" if percent < least else "high" if percent > most else "usual"


def water_brought(kind: str, fat_g: Estimate | float) -> Estimate:
    """Most water (g) that this much fat brings, from the limit of its food standard.

    The lower end is half of it for fats that hold water by design and zero for dry fats.
    """
    share = fat(kind).water / 100
    least = share * 0.85 if share > 0.1 else 0.0
    return cut(
        propagate(
            lambda g, share: g * share,
            {"g": bounded("fat_g", fat_g, 0.0, 1e7, "g"), "share": Estimate(share, least, share)},
            unit="g",
        )
    )


def strength_after(
    kind: str, fat_g: Estimate | float, spirit_ml: float, strength: float
) -> Estimate:
    """Strength (%vol) once the fat's water has joined the spirit, contraction included.

    The fat itself takes up a little ethanol, which is not counted.
    """
    within("spirit_ml", spirit_ml, 1e-9, 1e9, "mL")
    water = water_brought(kind, fat_g)
    return cut(
        propagate(
            lambda water: strength_with_water(spirit_ml, strength, water),
            {"water": water},
            unit="%vol",
        ),
        0.0,
        100.0,
    )


def strength_with_water(spirit_ml: float, strength: float, water_g: float) -> float:
    """Strength (%vol) after ``water_g`` grams of water; below zero counts as none."""
    return strength_after_water_mass(spirit_ml, strength, max(0.0, water_g)).strength


def yield_of(kind: str, spirit_ml: float) -> Estimate:
    """Spirit that comes back (mL): 85-95 % from oils and butters, 65-85 % from nut pastes.

    Common practice, recalled; measure your own.
    """
    within("spirit_ml", spirit_ml, 0.0, 1e9, "mL")
    low, high = fat(kind).kept
    return Estimate(spirit_ml * (low + high) / 2, spirit_ml * low, spirit_ml * high, "mL")


def freshness(grade: str, *, peroxide: float | None = None, acid: float | None = None) -> str:
    """``fresh`` at or below the limits of the grade, ``rancid`` above, ``unknown`` unmeasured.

    ``peroxide`` in meq O2/kg, ``acid`` in mg KOH/g, ``grade`` refined, virgin or ghee.
    A missing value cannot make a fat fresh, only a measured one can make it rancid.
    """
    if grade not in FRESHNESS_LIMITS:
        raise ValueError(f"grade must be one of {', '.join(FRESHNESS_LIMITS)}, got {grade!r}")
    limits = FRESHNESS_LIMITS[grade]
    given = {"peroxide": peroxide, "acid": acid}
    for name, value in given.items():
        if value is not None and (not math.isfinite(value) or value < 0):
            raise ValueError(f"{name} must be 0 or more, got {value}")
    if any(v is not None and v > limits[n] for n, v in given.items()):
        return "rancid"
    return "unknown" if None in given.values() else "fresh"
