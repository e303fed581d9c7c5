"""Density, strength and volume of ethanol-water mixtures.

Strength is % by volume at 20 degC (ethanol and mixture both at 20 degC), mass
share is % by mass, density is kg/m3 in vacuo. Source of everything here: OIML R 22
(coefficients in ``oiml``). Frozen and slushy states are refused, because the
formula returns a plausible number for them.
"""

from __future__ import annotations

from functools import lru_cache

from advisor.science import oiml
from advisor.science._freezing_curve import freezing_at
from advisor.science._guard import within

__all__ = [
    "ETHANOL_DENSITY",
    "WATER_DENSITY",
    "density",
    "density_of_mass_percent",
    "mass_percent",
    "mass_percent_at_60f",
    "strength_from_density",
    "strength_of_mass_percent",
    "strength_of_proof",
    "strength_with_sugar",
    "volume_at",
]

_SUGAR_VOLUME = 0.62  # mL taken up by a gram of dissolved sucrose; partial volume near 0.61-0.63
_SIXTY_F = (60.0 - 32.0) / 1.8  # degC
_REVERSED_A = oiml.A[::-1]
_REVERSED_B = oiml.B[::-1]
_REVERSED_C = tuple(row[::-1] for row in oiml.C)


def _rho(p: float, t: float) -> float:
    """The bare formula, without guards."""
    total = 0.0
    for a in _REVERSED_A:
        total = total * p + a
    d = t - 20.0
    if d == 0.0:
        return total
    pure = 0.0
    for b in _REVERSED_B:
        pure = (pure + b) * d
    power = 1.0
    crossed = 0.0
    for row in _REVERSED_C:
        power *= d
        inner = 0.0
        for c in row:
            inner = (inner + c) * p
        crossed += inner * power
    return total + pure + crossed


ETHANOL_DENSITY = _rho(1.0, 20.0)  # 789.239 kg/m3
WATER_DENSITY = _rho(0.0, 20.0)  # 998.201 kg/m3


def density_of_mass_percent(percent: float, temperature: float = 20.0) -> float:
    """Density (kg/m3) of a mixture of ``percent`` % ethanol by mass at ``temperature`` degC.

    Valid -20 to 40 degC and above the freezing curve; ``ValueError`` otherwise.
    """
    within("mass percent", percent, 0.0, 100.0, "%")
    within("temperature", temperature, oiml.LOWEST, oiml.HIGHEST, "degC")
    p = percent / 100.0
    if temperature < 0.0 and temperature < freezing_at(p):
        raise ValueError(
            f"temperature is {temperature:g} degC, but a mixture of {percent:.3g} % by mass begins "
            f"to freeze at {freezing_at(p):.1f} degC: slush has no single density"
        )
    return _rho(p, temperature)


def strength_of_mass_percent(percent: float) -> float:
    """% by volume of a mixture of ``percent`` % by mass (0 to 100). Exact by definition."""
    p = within("mass percent", percent, 0.0, 100.0, "%") / 100.0
    return min(100.0, 100.0 * p * _rho(p, 20.0) / ETHANOL_DENSITY)


@lru_cache(maxsize=4096)
def _mass_fraction(strength: float) -> float:
    target = strength / 100.0 * ETHANOL_DENSITY
    if target >= ETHANOL_DENSITY:
        return 1.0
    p = target / 1000.0
    for _ in range(40):
        rho = _rho(p, 20.0)
        slope = (p + 1e-6) * _rho(p + 1e-6, 20.0) - p * rho
        step = (target - p * rho) / (slope * 1e6)
        p = min(1.0, max(0.0, p + step))
        if abs(step) < 1e-13:
            break
    return p


def mass_percent(strength: float) -> float:
    """% by mass of a mixture of ``strength`` % by volume (0 to 100). Exact by definition."""
    return 100.0 * _mass_fraction(within("strength", strength, 0.0, 100.0, "%vol"))


def density(strength: float, temperature: float = 20.0) -> float:
    """Density (kg/m3) of ``strength`` % by volume at ``temperature`` degC.

    Valid -20 to 40 degC and above the freezing curve; ``ValueError`` otherwise.
    """
    return density_of_mass_percent(mass_percent(strength), temperature)


def strength_from_density(rho: float, temperature: float = 20.0) -> float:
    """% by volume at 20 degC of a mixture without sugar whose density (kg/m3) was read.

    ``ValueError`` when no mixture has that density at that temperature. Sugar makes the
    result too low: see ``strength_with_sugar``.
    """
    within("temperature", temperature, 0.0, oiml.HIGHEST, "degC")
    heavy, light = _rho(0.0, temperature), _rho(1.0, temperature)
    within("density", rho, light - 1e-9, heavy + 1e-9, "kg/m3")
    # Between 0 and 4 degC water's own maximum leaves the curve monotone in p, so halving works.
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if _rho(middle, temperature) > rho:
            low = middle
        else:
            high = middle
    return strength_of_mass_percent(50.0 * (low + high))


def volume_at(
    volume: float, strength: float, temperature: float, measured_at: float = 20.0
) -> float:
    """What ``volume`` (mL) measured at one temperature becomes at another (degC), same mass."""
    within("volume", volume, 0.0, 1e9, "mL")
    return volume * density(strength, measured_at) / density(strength, temperature)


def strength_with_sugar(rho: float, sugar: float, temperature: float = 20.0) -> tuple[float, float]:
    """Strength (% by volume) of a sweetened drink from its density and its sugar (g/L).

    Returns the strength and its half interval. First order: the sugar's mass and
    volume (0.62 mL/g) are taken out and the rest is read as ethanol and water. The half
    interval is 0.3 %vol plus 1 %vol for each 100 g/L of sugar. Valid 0 to 400 g/L.
    Source: mass balance on OIML R 22; the volume of dissolved sugar and the half interval are
    judgement.
    """
    within("sugar", sugar, 0.0, 400.0, "g/L")
    within("density", rho, 600.0, 1400.0, "kg/m3")
    share = 1.0 - sugar * _SUGAR_VOLUME / 1000.0
    solvent = (rho - sugar) / share
    heavy = _rho(0.0, within("temperature", temperature, 0.0, oiml.HIGHEST, "degC"))
    if solvent > heavy and solvent - heavy < 3.0:
        solvent = heavy  # a drink without alcohol, inside the error of the sugar's volume
    strength = strength_from_density(solvent, temperature) * share
    return strength, 0.3 + sugar / 100.0


def mass_percent_at_60f(strength: float) -> float:
    """% by mass of a mixture whose strength was stated at 60 degF, as US law does (27 CFR 30).

    Differs from the 20 degC basis by 0.074 %vol at most.
    """
    target = within("strength", strength, 0.0, 100.0, "%vol") / 100.0 * _rho(1.0, _SIXTY_F)
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if middle * _rho(middle, _SIXTY_F) < target:
            low = middle
        else:
            high = middle
    return 50.0 * (low + high)


def strength_of_proof(proof: float) -> float:
    """% by volume of a US proof (0 to 200): half of it, by definition (27 CFR 30.11)."""
    return within("proof", proof, 0.0, 200.0, "proof") / 2.0
