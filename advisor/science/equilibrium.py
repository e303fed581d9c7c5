"""pH of any mixture of weak acids, weak bases and strong ions, by charge balance.

Activities follow Davies: ``log10 gamma = -A z^2 (sqrt I / (1 + sqrt I) - 0.3 I)``
with A = 0.509 (25 degC); pH is minus the logarithm of the activity of H+. Without that
correction the McIlvaine table is missed by up to 0.74 pH, with it by 0.19. Above an ionic
strength of 0.5 mol/L the correction is held at its value there.

Ethanol raises the pKa of a carboxyl group by 0.014 for each % by volume:
measured for lactic and succinic acid from 0 to 12 %vol (Prenesti et al. 2012,
*The Scientific World Journal*, 249041, Table 4), carried on in a straight line up
to 50 %vol with an interval that widens.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.estimate import Estimate

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "Equilibrium",
    "HillSite",
    "Sites",
    "WeakAcid",
    "davies",
    "ethanol_shift",
    "mean_charge",
    "protons_released",
    "solve_ph",
]

_A = 0.509
_LN10 = math.log(10.0)
_KW = 1.0e-14
_CLOSE = 0.02  # pH
_LOWEST, _HIGHEST = -3.0, 17.0  # pH; beyond what 20 mol/L of strong ions can reach
_SHIFT = 0.17 / 12.0  # pKa per %vol and carboxyl
_MEASURED_TO, _EXTRAPOLATED_TO = 12.0, 50.0


@dataclass(frozen=True, slots=True)
class WeakAcid:
    """An acid by its pKa (25 degC, zero ionic strength), most acid first.

    ``charge`` is that of the fully protonated form (0 for an acid, 1 for ammonium);
    ``carboxyls`` counts the leading steps that are carboxyl groups.
    """

    name: str
    pkas: tuple[float, ...]
    charge: int = 0
    carboxyls: int = 0


@dataclass(frozen=True, slots=True)
class HillSite:
    """Protons taken up together: ``amount`` mol/L, half at ``pk``, ``steepness`` 1 or more."""

    amount: float
    pk: float
    steepness: float


@dataclass(frozen=True, slots=True)
class Sites:
    """A buffer described by conditional pKa, such as milk.

    ``simple`` pairs (mol/L, Ka); ``steep`` the cooperative ones; ``reference`` the mol/L
    of protons already bound when its own ions balance. Contributes no counter-ions of
    its own: give its ionic strength as ``background``.
    """

    simple: tuple[tuple[float, float], ...]
    steep: tuple[HillSite, ...] = ()
    reference: float = 0.0

    def bound(self, ph: float) -> float:
        """Protons (mol/L) bound at ``ph``, beyond the reference."""
        h = 10.0**-ph
        total = -self.reference
        for amount, k in self.simple:
            total += amount * h / (h + k)
        for site in self.steep:
            total += site.amount / (1.0 + 10.0 ** (site.steepness * (ph - site.pk)))
        return total


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """The solved state: pH (activity), ionic strength (mol/L), buffer index (mol/L per pH)."""

    ph: float
    ionic_strength: float
    buffering: float


def davies(ionic_strength: float) -> float:
    """``-log10 gamma`` of a singly charged ion (0 to 0.16); held constant above 0.5 mol/L."""
    i = min(max(ionic_strength, 0.0), 0.5)
    root = math.sqrt(i)
    return _A * (root / (1.0 + root) - 0.3 * i)


def ethanol_shift(strength: float) -> Estimate:
    """How far ethanol (%vol) raises the pKa of one carboxyl group.

    +-0.03 where measured (to 12 %vol), then widening by 0.008 per %vol; above 50 %vol
    nothing is known and the call is refused.
    """
    within("strength", strength, 0.0, _EXTRAPOLATED_TO, "%vol")
    value = _SHIFT * strength
    half = 0.03 * min(1.0, strength / _MEASURED_TO) + 0.008 * max(0.0, strength - _MEASURED_TO)
    return Estimate(value, max(0.0, value - half), value + half, "pH")


def _constants(acid: WeakAcid, shift: float) -> list[float]:
    return [
        10.0 ** -(pk + (shift if step < acid.carboxyls else 0.0))
        for step, pk in enumerate(acid.pkas)
    ]


def _conditional(acid: WeakAcid, ionic_strength: float, shift: float) -> list[float]:
    g = 10.0 ** davies(ionic_strength)
    return [
        k * g ** (1 - 2 * (acid.charge - step)) for step, k in enumerate(_constants(acid, shift))
    ]


def mean_charge(
    acid: WeakAcid, ph: float, ionic_strength: float = 0.0, *, shift: float = 0.0
) -> float:
    """Average charge of the acid's forms at ``ph``; ``shift`` is the ethanol shift of carboxyls."""
    h = 10.0**-ph
    term = weight = 1.0
    released = 0.0
    for step, k in enumerate(_conditional(acid, ionic_strength, shift), start=1):
        term *= k / h
        weight += term
        released += step * term
    return acid.charge - released / weight


def protons_released(
    acid: WeakAcid, ph: float, ionic_strength: float = 0.08, *, shift: float = 0.0
) -> float:
    """Hydrogen ions given up per molecule at ``ph``; 0.08 mol/L is the ionic strength of milk."""
    return acid.charge - mean_charge(acid, ph, ionic_strength, shift=shift)


def solve_ph(
    acids: Sequence[tuple[WeakAcid, float]],
    strong: float = 0.0,
    *,
    strength: float = 0.0,
    sites: Sites | None = None,
    share: float = 1.0,
    background: float = 0.0,
    activity: bool = True,
    guess: float = 5.0,
    tolerance: float = 1e-7,
) -> Equilibrium:
    """Solve the charge balance.

    ``acids`` are (acid, mol/L in the mixture); ``strong`` is strong cations minus strong
    anions (mol/L); ``sites`` is a buffer that makes up ``share`` of the volume;
    ``background`` is ionic strength (mol/L) beyond what acids and strong ions bring;
    ``strength`` %vol of ethanol shifts carboxyl groups (0 to 50). ``activity=False`` leaves
    the Davies correction out, for comparison only; ``tolerance`` is the last step in pH.

    ``ValueError`` for negative concentrations, above 20 mol/L, or when 200 steps do not settle.
    """
    shift = ethanol_shift(strength).value if strength else 0.0
    table = _table(acids, shift)
    within("strong ions", strong, -20.0, 20.0, "mol/L")
    offset = strong - (sites.reference * share if sites is not None else 0.0)
    ph, reach, before = guess, 1.0, 0.0
    ionic = background + 0.5 * abs(strong)
    g = 10.0 ** davies(ionic) if activity else 1.0
    slope = 0.0
    for _ in range(200):
        h = 10.0**-ph
        free, hydroxide = h * g, _KW / h * g
        slope = squares = free + hydroxide
        residual = free - hydroxide + offset
        for amount, charge, steps in table:
            mean, variance = _spread_of_charge(steps, g, h)
            residual += amount * (charge - mean)
            slope += amount * variance
            squares += amount * (variance + (charge - mean) ** 2)
        if sites is not None:
            bound, curve = _taken_up(sites, ph, h)
            residual += share * bound
            slope += share * curve
        moved = 0.0
        if activity:
            moved, ionic = ionic, background + 0.5 * (abs(strong) + squares)
            moved -= ionic
            g = 10.0 ** davies(ionic)
        if residual * before < 0.0 and reach > _CLOSE:
            # Overshot: halving the reach keeps plateaus from trading the point to and fro. Once
            # close, Newton's own steps are safe.
            reach *= 0.5
        before = residual
        step = residual / (_LN10 * slope)
        ph += max(-reach, min(reach, step))
        if -tolerance < step < tolerance and -tolerance < moved < tolerance:
            return Equilibrium(ph, ionic, _LN10 * slope)
        ph = min(_HIGHEST, max(_LOWEST, ph))
    raise ValueError(f"tolerance is {tolerance:g} pH; the charges did not settle to it")


_Steps = tuple[tuple[float, int], ...]


def _table(
    acids: Sequence[tuple[WeakAcid, float]], shift: float
) -> list[tuple[float, int, _Steps]]:
    """Amount, starting charge, and per step (Ka, power of 1/gamma that makes it conditional)."""
    table = []
    for acid, amount in acids:
        within(acid.name, amount, 0.0, 20.0, "mol/L")
        if amount > 0.0:
            constants = enumerate(_constants(acid, shift))
            steps = tuple((k, 1 - 2 * (acid.charge - step)) for step, k in constants)
            table.append((amount, acid.charge, steps))
    return table


def _spread_of_charge(steps: _Steps, g: float, h: float) -> tuple[float, float]:
    """Mean and variance of the hydrogen ions given up by one molecule."""
    term = weight = 1.0
    first = second = 0.0
    for n, (k, power) in enumerate(steps, start=1):
        term *= k * g**power / h
        weight += term
        first += n * term
        second += n * n * term
    mean = first / weight
    return mean, second / weight - mean * mean


def _taken_up(sites: Sites, ph: float, h: float) -> tuple[float, float]:
    """Hydrogen ions on a buffer's sites, and how fast they grow with ln h."""
    bound = curve = 0.0
    for amount, k in sites.simple:
        part = h / (h + k)
        bound += amount * part
        curve += amount * part * (1.0 - part)
    for site in sites.steep:
        part = 1.0 / (1.0 + 10.0 ** (site.steepness * (ph - site.pk)))
        bound += site.amount * part
        curve += site.amount * site.steepness * part * (1.0 - part)
    return bound, curve
