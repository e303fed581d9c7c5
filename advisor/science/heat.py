"""How long warming and cooling take, and why a bigger pot takes longer than its share.

A vessel's warmth goes with its volume, its surface only with the volume to the two
thirds. Cooling and warming through the wall follow Newton's law with the liquid taken as
one temperature (gently stirred, or slow enough). Volumes in mL, temperatures in degC,
strengths in %vol, times in minutes, power in W.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.estimate import Estimate, propagate
from advisor.science.ethanol import density_of_mass_percent, mass_percent

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "FILMS",
    "SHAPES",
    "heat_capacity",
    "heating_minutes",
    "mixed_temperature",
    "newton_time",
    "through_wall_minutes",
    "vessel_surface",
]

# J/(g K) at 20 degC by mass share of ethanol: Melinder 2010 (International Institute of
# Refrigeration) to 0.60; pure ethanol 2.43 from handbooks, a straight line between.
_CAPACITY = (
    (0.00, 4.18),
    (0.05, 4.24),
    (0.10, 4.30),
    (0.15, 4.335),
    (0.20, 4.33),
    (0.25, 4.29),
    (0.30, 4.22),
    (0.35, 4.13),
    (0.40, 4.03),
    (0.45, 3.93),
    (0.50, 3.82),
    (0.55, 3.71),
    (0.60, 3.55),
    (1.00, 2.43),
)

FILMS: Mapping[str, Estimate] = {
    "fridge": Estimate(9.0, 6.0, 14.0, "W/m2/K"),
    "freezer": Estimate(9.0, 6.0, 14.0, "W/m2/K"),
    "room": Estimate(9.0, 6.0, 14.0, "W/m2/K"),
    "cold-water": Estimate(250.0, 120.0, 450.0, "W/m2/K"),
    "warm-water": Estimate(250.0, 120.0, 450.0, "W/m2/K"),
}
"""Heat passed by a wall, W per m2 and K: still air with radiation 6-14, still to moving water
120-450 (ranges of heat-transfer texts, recalled: free convection in gases 2-25, in liquids 50-1000;
what lies between them is judgement). Measure your own."""

SHAPES: Mapping[str, float] = {"jar": 1.5, "bottle": 3.0, "tray": 0.15}
"""Height over width of the liquid: a jar, a bottle, a wide shallow tray."""


def heat_capacity(strength: float) -> float:
    """J/(g K) of ethanol and water at 20 degC, ``strength`` in %vol; sugar lowers it a little."""
    within("strength", strength, 0.0, 100.0, "%vol")
    share = mass_percent(strength) / 100.0
    for (x0, y0), (x1, y1) in pairwise(_CAPACITY):
        if share <= x1:
            return y0 + (share - x0) * (y1 - y0) / (x1 - x0)
    return _CAPACITY[-1][1]


def mixed_temperature(parts: tuple[tuple[float, float, float], ...]) -> float:
    """degC after (mL, %vol, degC) are poured together; heat of mixing and the vessel left out."""
    heat = warmth = 0.0
    for volume, strength, temperature in parts:
        within("volume", volume, 0.0, 1e9, "mL")
        within("temperature", temperature, -30.0, 100.0, "degC")
        mass = volume * density_of_mass_percent(mass_percent(strength)) / 1000.0
        heat += mass * heat_capacity(strength)
        warmth += mass * heat_capacity(strength) * temperature
    if heat <= 0.0:
        raise ValueError("volume is 0 mL; at least one part must have some")
    return warmth / heat


def vessel_surface(volume: float, shape: str = "jar") -> float:
    """Surface (cm2, all round) of a cylinder of ``volume`` mL whose height follows ``shape``."""
    within("volume", volume, 0.1, 1e7, "mL")
    if shape not in SHAPES:
        raise ValueError(f"shape must be one of {', '.join(SHAPES)}; got {shape!r}")
    tall = SHAPES[shape]
    width = float((4.0 * volume / (math.pi * tall)) ** (1.0 / 3.0))
    return math.pi * width * width * (0.5 + tall)


def newton_time(constant: float, start: float, end: float, around: float) -> float:
    """Time from ``start`` to ``end`` in surroundings at ``around``; in the unit of ``constant``.

    t = constant x ln((start - around) / (end - around)), the law of cooling with the time
    constant m c / (h A). ``ValueError`` when ``end`` does not lie between the other two.
    """
    within("time constant", constant, 0.0, 1e12, "")
    if start == end:
        return 0.0
    if not (around < end < start or start < end < around):
        raise ValueError(
            f"end is {end:g} degC; it must lie between the start ({start:g}) and the surroundings "
            f"({around:g} degC), and is never quite reached"
        )
    return constant * math.log((start - around) / (end - around))


def through_wall_minutes(
    volume: float,
    strength: float,
    start: float,
    end: float,
    around: float,
    *,
    place: str = "fridge",
    shape: str = "jar",
) -> Estimate:
    """Minutes for a closed vessel to pass from ``start`` to ``end`` in a ``place`` of ``FILMS``.

    Setting fat and forming ice give off heat and take longer than this.
    """
    if place not in FILMS:
        raise ValueError(f"place must be one of {', '.join(FILMS)}; got {place!r}")
    surface = vessel_surface(volume, shape) / 1e4
    mass = volume * density_of_mass_percent(mass_percent(strength)) / 1000.0
    warmth = mass * heat_capacity(strength)
    return propagate(
        lambda film: newton_time(warmth / (film * surface), start, end, around) / 60.0,
        {"film": FILMS[place]},
        unit="min",
    )


def heating_minutes(
    volume: float,
    start: float,
    end: float,
    *,
    power: float = 1500.0,
    share: Estimate | float = Estimate(0.5, 0.3, 0.75),  # noqa: B008  frozen
    strength: float = 0.0,
) -> Estimate:
    """Minutes on a ring of ``power`` W of which ``share`` reaches the liquid (0.3 to 0.75).

    m c dT over power and share; what evaporates and the pot itself are inside the share.
    """
    within("volume", volume, 0.0, 1e7, "mL")
    within("start", start, -20.0, 100.0, "degC")
    within("end", end, start, 100.0, "degC")
    within("power", power, 10.0, 1e5, "W")
    mass = volume * density_of_mass_percent(mass_percent(strength)) / 1000.0
    joule = mass * heat_capacity(strength) * (end - start)
    return propagate(
        lambda share: joule / (power * within("share", share, 0.05, 1.0, "")) / 60.0,
        {"share": share},
        unit="min",
    )
