"""At what temperature a spirit's vapour can catch fire: working values, not a test result.

One widely copied table gives 62 degC at 5 % down to 17 at 96 %, but one copy
says % by volume and another % by mass; nobody has settled which. Both readings
and a group-contribution estimate (UNIFAC activity coefficients with a Liaw-type
closed-cup model, pure ethanol 13 degC) are therefore kept, the middle is the value and the
spread between them the interval. For 40 %vol that is 26-28 degC.
"""

from __future__ import annotations

from bisect import bisect_right

from advisor.science._guard import within
from advisor.science.estimate import Category, Estimate
from advisor.science.ethanol import mass_percent

__all__ = ["BASIS", "fire_category", "flash_point"]

BASIS = (
    "Sources disagree whether the flash-point table counts % by volume or by mass; "
    "the interval holds both readings."
)
_TABLE = (
    (5.0, 62.0),
    (10.0, 49.0),
    (20.0, 36.0),
    (30.0, 29.0),
    (40.0, 26.0),
    (50.0, 24.0),
    (60.0, 22.0),
    (70.0, 21.0),
    (80.0, 20.0),
    (90.0, 17.0),
    (96.0, 15.0),  # copies say 17 and 13
    (100.0, 13.0),
)
_MODEL = (
    (20.0, 33.9),
    (40.0, 27.9),
    (50.0, 26.3),
    (60.0, 24.8),
    (70.0, 23.1),
    (95.0, 15.7),
    (100.0, 13.0),
)


def _line(table: tuple[tuple[float, float], ...], x: float) -> float:
    i = min(len(table) - 1, max(1, bisect_right(table, (x,))))
    (x0, y0), (x1, y1) = table[i - 1], table[i]
    return y0 + (x - x0) * (y1 - y0) / (x1 - x0)


def flash_point(strength: float) -> Estimate:
    """Flash point (degC, closed cup) of ``strength`` %vol; valid 10 to 100 %vol.

    Below 10 %vol the sources are silent or contradict each other: ``ValueError``.
    """
    within("strength", strength, 10.0, 100.0, "%vol")
    by_volume = _line(_TABLE, strength)
    by_mass = _line(_TABLE, mass_percent(strength))
    readings = [by_volume, by_mass]
    if strength >= _MODEL[0][0]:
        readings.append(_line(_MODEL, strength))
    value = sum(readings) / len(readings)
    return Estimate(value, min(readings) - 0.5, max(readings) + 0.5, "degC")


def fire_category(strength: float) -> Category:
    """``category-2`` (flash below 23 degC), ``category-3`` (23 to 60) or ``above-60``.

    Source of the limits: 29 CFR 1910.106(a)(19); ethanol-water boils above 35 degC at
    every strength. Certainty is how much of the interval lies on the named side.
    """
    flash = flash_point(strength)
    width = flash.high - flash.low
    if flash.value < 23.0:
        sure = (23.0 - flash.low) / width
        name = "category-2"
    elif flash.value <= 60.0:
        sure = (min(60.0, flash.high) - max(23.0, flash.low)) / width
        name = "category-3"
    else:
        sure = (flash.high - 60.0) / width
        name = "above-60"
    return Category(name, min(1.0, max(0.5, sure)))
