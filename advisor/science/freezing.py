"""Where a spirit begins to freeze, and how much ice it then holds.

Interval +-1.5 degC: the published tables (Melinder 2010, Lange's Table 5.13, the
CRC Handbook) differ by up to 1.3 degC near 36 %vol. Values are Melinder's. Sugar
lowers every freezing point further, so a sweetened drink freezes later than said here.
"""

from __future__ import annotations

from advisor.science._freezing_curve import (
    HIGHEST_FRACTION,
    LOWEST_POINT,
    fraction_freezing_at,
    freezing_at,
)
from advisor.science._guard import within
from advisor.science.estimate import Estimate, spread
from advisor.science.ethanol import mass_percent, strength_of_mass_percent

__all__ = [
    "HIGHEST_STRENGTH",
    "freezing_point",
    "ice_mass_share",
    "lowest_liquid_strength",
]

_TABLES_DIFFER = 1.5  # degC
HIGHEST_STRENGTH = strength_of_mass_percent(100.0 * HIGHEST_FRACTION)  # 67.7 %vol


def freezing_point(strength: float) -> Estimate:
    """Temperature (degC) at which the first ice forms in ``strength`` %vol.

    Valid 0 to 67 %vol (ice begins at -44.9 degC there; no published table is even above that).
    Water has no spread; the +-1.5 degC holds from 5 %vol, narrowing below.
    """
    within("strength", strength, 0.0, 67.0, "%vol")
    return spread(
        freezing_at(mass_percent(strength) / 100.0), _TABLES_DIFFER * min(1.0, strength / 5), "degC"
    )


def lowest_liquid_strength(temperature: float) -> Estimate:
    """The weakest spirit (%vol) without ice at ``temperature`` degC (-43 to 0)."""
    within("temperature", temperature, -43.0, 0.0, "degC")

    def strength(t: float) -> float:
        return strength_of_mass_percent(
            100.0 * fraction_freezing_at(max(LOWEST_POINT, min(0.0, t)))
        )

    if temperature == 0.0:
        return Estimate(0.0, 0.0, strength(-_TABLES_DIFFER), "%vol")
    return Estimate(
        strength(temperature),
        strength(temperature + _TABLES_DIFFER),
        strength(temperature - _TABLES_DIFFER),
        "%vol",
    )


def _ice(strength: float, temperature: float) -> float:
    liquid = fraction_freezing_at(max(LOWEST_POINT, min(0.0, temperature)))
    if liquid <= 0.0:
        return 0.0
    return 100.0 * max(0.0, 1.0 - mass_percent(strength) / 100.0 / liquid)


def ice_mass_share(strength: float, temperature: float) -> Estimate:
    """Ice as % of the mass of ``strength`` %vol held at ``temperature`` degC (-43 to 40).

    Lever rule: all ethanol stays in the liquid, which sits on the freezing curve.
    """
    within("strength", strength, 0.0, 100.0, "%vol")
    within("temperature", temperature, -43.0, 40.0, "degC")
    return Estimate(
        _ice(strength, temperature),
        _ice(strength, temperature + _TABLES_DIFFER),
        _ice(strength, temperature - _TABLES_DIFFER),
        "%",
    )
