"""Ethanol in a serve and what the national yardsticks make of it."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.ethanol import ETHANOL_DENSITY

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["BASES", "GRAMS", "ethanol_grams", "ethanol_ml", "standard_drinks"]

GRAMS: Mapping[str, float] = MappingProxyType(
    {"us": 14.0, "uk": 10.0 * ETHANOL_DENSITY / 1000.0, "au": 10.0}
)
BASES: Mapping[str, str] = MappingProxyType(
    {
        "us": "US standard drink: 14 g ethanol (National Institutes of Health)",
        "uk": "UK unit: 10 mL ethanol, which is 7.89 g (UK definition)",
        "au": "Australian standard drink: 10 g ethanol",
    }
)


def ethanol_ml(volume: float, strength: float) -> float:
    """mL of ethanol (at 20 degC) in ``volume`` mL of ``strength`` %vol."""
    within("volume", volume, 0.0, 1e9, "mL")
    within("strength", strength, 0.0, 100.0, "%vol")
    return volume * strength / 100.0


def ethanol_grams(volume: float, strength: float) -> float:
    """Grams of ethanol in ``volume`` mL of ``strength`` %vol; density from OIML R 22."""
    return ethanol_ml(volume, strength) * ETHANOL_DENSITY / 1000.0


def standard_drinks(volume: float, strength: float, basis: str) -> float:
    """Standard drinks in a serve by the ``us``, ``uk`` or ``au`` basis (see ``BASES``)."""
    if basis not in GRAMS:
        raise ValueError(f"basis is {basis!r}; it must be one of {', '.join(sorted(GRAMS))}")
    return ethanol_grams(volume, strength) / GRAMS[basis]
