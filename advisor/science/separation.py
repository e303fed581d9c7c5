"""Settling, spinning and filtering: how fast, how long, through what, and how clear it is.

Particle sizes in micrometres, densities in kg/m3, viscosity in mPa s, lengths in
mm or cm as named. Spirits are flammable liquids: read ``hazards.centrifuge`` before
recommending a spin.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from advisor.science._guard import within

__all__ = [
    "FILTERS",
    "NTU_PER_EBC",
    "RCF_CONSTANT",
    "Filter",
    "asbc_from_ebc",
    "clarity",
    "ebc_from_ntu",
    "filter_for",
    "filter_time",
    "ntu_from_ebc",
    "passes",
    "rcf",
    "rise_time",
    "rpm_for",
    "settling_speed",
    "spin_time",
]

_G = 9.80665
RCF_CONSTANT = (2 * math.pi / 60) ** 2 * 0.01 / _G
"""1.1182e-5 per cm and rpm squared; usually printed as 1.118e-5 (Rickwood 1978)."""

_LARGEST_PARTICLE = 100.0
_LARGEST_REYNOLDS = 0.5
NTU_PER_EBC = 4.0
"""1 EBC = 4 NTU = 69 ASBC FTU; from memory, check before relying on it. 0.25 is an inversion."""
_ASBC_PER_EBC = 69.0


class Filter(NamedTuple):
    """A filter and the sizes it is rated to hold back, micrometres (small to large)."""

    id: str
    name: str
    low: float
    high: float
    mark: str


FILTERS: tuple[Filter, ...] = (
    Filter("cheesecloth", "cheesecloth", 300, 2000, "memory"),
    Filter("nut-bag", "nut-milk bag or straining cloth", 75, 200, "memory"),
    Filter("lab-fast", "fast laboratory paper", 20, 25, "memory"),
    Filter("coffee-paper", "coffee paper", 10, 20, "memory"),
    Filter("lab-medium", "medium laboratory paper", 6, 11, "memory"),
    Filter("lab-slow", "slow laboratory paper", 2.5, 2.5, "memory"),
)
"""Coarse to fine. Papers sold on the Chinese scale (80-120, 30-50, 1-3) use another basis."""


def settling_speed(
    diameter: float, density_difference: float, viscosity: float, fluid_density: float = 1000.0
) -> float:
    """Speed in micrometres per second by Stokes' law; above 0 sinks, below 0 rises.

    ``density_difference`` is particle less liquid. ``ValueError`` for a particle over
    100 micrometres or a Reynolds number over 0.5, where Stokes' law no longer holds.
    """
    within("diameter", diameter, 0.0, _LARGEST_PARTICLE, "um")
    within("density_difference", density_difference, -2000.0, 20_000.0, "kg/m3")
    within("viscosity", viscosity, 0.05, 1e6, "mPa s")
    within("fluid_density", fluid_density, 500.0, 2000.0, "kg/m3")
    speed = _stokes(diameter, density_difference, viscosity)
    reynolds = fluid_density * abs(speed) * 1e-6 * diameter * 1e-6 / (viscosity * 1e-3)
    if reynolds > _LARGEST_REYNOLDS:
        raise ValueError(
            f"diameter is {diameter:g} um, too fast for Stokes' law here "
            f"(Reynolds number {reynolds:.2g}; it must stay below {_LARGEST_REYNOLDS:g})"
        )
    return speed


def _stokes(diameter: float, density_difference: float, viscosity: float) -> float:
    return _G * (diameter * 1e-6) ** 2 * density_difference / (18 * viscosity * 1e-3) * 1e6


def rise_time(
    diameter: float, density_difference: float, viscosity: float, height_mm: float
) -> float:
    """Hours for a particle to cross ``height_mm``, up or down; never moving is an error.

    Real bottles take longer: warmth stirs them. Above about 1 um only.
    """
    within("height_mm", height_mm, 0.0, 1e5, "mm")
    speed = abs(settling_speed(diameter, density_difference, viscosity))
    if speed == 0:
        raise ValueError("the particle does not move: its size or the density difference is 0")
    return height_mm * 1000 / speed / 3600


def rcf(radius_cm: float, rpm: float) -> float:
    """Pull of a spin in multiples of gravity."""
    within("radius_cm", radius_cm, 0.0, 200.0, "cm")
    within("rpm", rpm, 0.0, 2e5, "rpm")
    return RCF_CONSTANT * radius_cm * rpm * rpm


def rpm_for(pull: float, radius_cm: float) -> float:
    """Speed (rpm) for a pull in multiples of gravity."""
    within("pull", pull, 0.0, 1e6, "g")
    within("radius_cm", radius_cm, 1e-6, 200.0, "cm")
    return math.sqrt(pull / (RCF_CONSTANT * radius_cm))


def spin_time(
    diameter: float,
    density_difference: float,
    viscosity: float,
    inner_cm: float,
    outer_cm: float,
    rpm: float,
) -> float:
    """Minutes for a particle to travel from ``inner_cm`` to ``outer_cm`` in a swinging bucket.

    t = 18 mu ln(outer/inner)/(d^2 drho w^2). Stokes' law in a field; sizes up to 100
    micrometres.
    """
    within("diameter", diameter, 1e-4, _LARGEST_PARTICLE, "um")
    within("density_difference", abs(density_difference), 1e-3, 20_000.0, "kg/m3")
    within("viscosity", viscosity, 0.05, 1e6, "mPa s")
    within("rpm", rpm, 1.0, 2e5, "rpm")
    if not 0 < inner_cm < outer_cm <= 200:
        raise ValueError(
            f"inner_cm and outer_cm must rise from above 0 to 200 cm, got {inner_cm} and {outer_cm}"
        )
    turn = rpm * 2 * math.pi / 60
    seconds = (
        18
        * viscosity
        * 1e-3
        * math.log(outer_cm / inner_cm)
        / ((diameter * 1e-6) ** 2 * abs(density_difference) * turn**2)
    )
    return seconds / 60


def passes(filter_id: str, particle: float) -> str:
    """Does a particle (um) go through a bare filter: ``yes``, ``partly`` or ``no``."""
    within("particle", particle, 0.0, 1e5, "um")
    for item in FILTERS:
        if item.id == filter_id:
            if particle < item.low:
                return "yes"
            return "no" if particle >= item.high else "partly"
    known = ", ".join(f.id for f in FILTERS)
    raise ValueError(f"filter must be one of {known}, got {filter_id!r}")


def filter_for(particle: float) -> Filter | None:
    """The coarsest, so the fastest, filter that holds a particle (um) back; ``None`` if none does.

    Micelles (0.15 um) and haze below 1 um pass every paper: only the curd bed holds
    them, so pour the first cloudy run back over it.
    """
    within("particle", particle, 0.0, 1e5, "um")
    return next((f for f in FILTERS if particle >= f.high), None)


def filter_time(
    known_hours: float,
    *,
    volume: float = 1.0,
    area: float = 1.0,
    bed_depth: float = 1.0,
    viscosity: float = 1.0,
) -> float:
    """Hours for a new run, from one that was timed and the ratios new to old.

    Darcy's law for a bed of the same make: time goes with volume, bed depth and
    viscosity and against area. A bed that clogs takes longer than this.
    """
    within("known_hours", known_hours, 0.0, 1e5, "h")
    for name, ratio in (
        ("volume", volume),
        ("area", area),
        ("bed_depth", bed_depth),
        ("viscosity", viscosity),
    ):
        within(f"{name} ratio", ratio, 1e-6, 1e6, "")
    return known_hours * volume * bed_depth * viscosity / area


def ntu_from_ebc(ebc: float) -> float:
    """Turbidity in NTU; both scales are formazin, read at 90 degrees."""
    return within("turbidity", ebc, 0.0, 1e6, "EBC") * NTU_PER_EBC


def ebc_from_ntu(ntu: float) -> float:
    """Turbidity in EBC units."""
    return within("turbidity", ntu, 0.0, 1e6, "NTU") / NTU_PER_EBC


def asbc_from_ebc(ebc: float) -> float:
    """Turbidity in ASBC formazin units."""
    return within("turbidity", ebc, 0.0, 1e6, "EBC") * _ASBC_PER_EBC


def clarity(ntu: float) -> str:
    """A turbidity in words: ``clear``, ``bright``, ``dull``, ``cloudy`` or ``milky``.

    Clear to 1 NTU and bright to 2 (the usual bottling limit for wine), dull to 4,
    cloudy above (oenology texts); milky above 200, as an unsettled must.
    """
    within("turbidity", ntu, 0.0, 1e6, "NTU")
    for limit, word in ((1, "clear"), (2, "bright"), (4, "dull"), (200, "cloudy")):
        if ntu <= limit:
            return word
    return "milky"
