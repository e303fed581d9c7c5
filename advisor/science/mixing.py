"""Mixing, diluting and strengthening, with contraction. All volumes are mL at 20 degC.

Ethanol and water are conserved by mass; the volume of the mixture follows from OIML R 22.
What is dissolved or suspended (sugar, milk solids) is carried along as a volume
that neither contracts nor dilutes the alcohol in the water; the error of that is
below 0.2 %vol up to a quarter of the volume (judgement).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.ethanol import (
    ETHANOL_DENSITY,
    WATER_DENSITY,
    density_of_mass_percent,
    mass_percent,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "Mixture",
    "Part",
    "mix",
    "spirit_to_raise",
    "strength_after_water_mass",
    "water_to_dilute",
]


@dataclass(frozen=True, slots=True)
class Part:
    """Something poured in: volume (mL), strength (%vol of the whole part), inert share (0 to 0.6).

    ``inert`` is the share of its volume taken up by solids, so that milk is
    ``Part(volume, 0.0, inert=0.10)`` and water is ``Part(volume)``.
    """

    volume: float
    strength: float = 0.0
    inert: float = 0.0


@dataclass(frozen=True, slots=True)
class Mixture:
    """The result: volume (mL), strength (%vol), ethanol (g), volume lost by contraction (mL)."""

    volume: float
    strength: float
    ethanol: float
    contraction: float


def _masses(part: Part) -> tuple[float, float, float]:
    """Ethanol (g), water (g) and inert volume (mL) of a part."""
    within("volume", part.volume, 0.0, 1e9, "mL")
    within("strength", part.strength, 0.0, 100.0, "%vol")
    within("inert share", part.inert, 0.0, 0.6, "")
    inert = part.volume * part.inert
    liquid = part.volume - inert
    ethanol = part.volume * part.strength / 100.0 * ETHANOL_DENSITY / 1000.0
    of_liquid = part.strength / (1.0 - part.inert)
    within("strength of the liquid share", of_liquid, 0.0, 100.0, "%vol")
    mass = liquid * density_of_mass_percent(mass_percent(of_liquid)) / 1000.0
    return ethanol, max(0.0, mass - ethanol), inert


def mix(parts: Iterable[Part]) -> Mixture:
    """Pour parts together; ethanol is conserved exactly, the volume contracts.

    ``ValueError`` when nothing has any volume.
    """
    ethanol = water = inert = poured = 0.0
    for part in parts:
        e, w, i = _masses(part)
        ethanol, water, inert, poured = ethanol + e, water + w, inert + i, poured + part.volume
    mass = ethanol + water
    if mass <= 0.0:
        raise ValueError("volume is 0 mL; at least one part must have some")
    percent = min(100.0, 100.0 * ethanol / mass)
    volume = 1000.0 * mass / density_of_mass_percent(percent) + inert
    strength = min(100.0, 100.0 * ethanol / (ETHANOL_DENSITY / 1000.0) / volume)
    return Mixture(volume, strength, ethanol, poured - volume)


def water_to_dilute(volume: float, strength: float, target: float) -> float:
    """Water (mL) to bring ``volume`` mL of ``strength`` %vol down to ``target`` %vol.

    More than plain arithmetic says (contraction), except below about 20 %vol.
    ``ValueError`` unless 0.01 <= target <= strength.
    """
    within("volume", volume, 0.0, 1e9, "mL")
    within("strength", strength, 0.0, 100.0, "%vol")
    if not 0.01 <= target <= strength:
        raise ValueError(
            f"target strength is {target:g} %vol; it must lie between 0.01 and {strength:g} %vol"
        )
    ethanol, water, _ = _masses(Part(volume, strength))
    wanted = ethanol * (100.0 / mass_percent(target) - 1.0)
    return max(0.0, (wanted - water) / (WATER_DENSITY / 1000.0))


def spirit_to_raise(volume: float, strength: float, target: float, spirit: float) -> float:
    """mL of ``spirit`` %vol that bring ``volume`` mL up from ``strength`` to ``target`` %vol.

    ``ValueError`` unless strength <= target < spirit.
    """
    within("volume", volume, 0.0, 1e9, "mL")
    within("strength", strength, 0.0, 100.0, "%vol")
    within("spirit strength", spirit, 0.0, 100.0, "%vol")
    if not strength <= target < spirit:
        raise ValueError(
            f"target strength is {target:g} %vol; it must lie between the drink's {strength:g} "
            f"and below the spirit's {spirit:g} %vol"
        )
    if volume == 0.0 or target == strength:
        return 0.0
    have_ethanol, have_water, _ = _masses(Part(volume, strength))
    add_ethanol, add_water, _ = _masses(Part(1.0, spirit))
    wanted = mass_percent(target) / 100.0
    short = wanted * (have_ethanol + have_water) - have_ethanol
    # Where the two strengths are all but equal, rounding may leave a trace below nought.
    return max(0.0, short / (add_ethanol - wanted * (add_ethanol + add_water)))


def strength_after_water_mass(volume: float, strength: float, water: float) -> Mixture:
    """``volume`` mL of ``strength`` %vol after ``water`` grams join it, as from butter."""
    within("water", water, 0.0, 1e9, "g")
    return mix((Part(volume, strength), Part(1000.0 * water / WATER_DENSITY)))
