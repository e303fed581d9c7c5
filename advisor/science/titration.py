"""Fit a person's own milk or drink from a few (dose, reading) pairs of a strip or meter.

The model is the charge balance of ``milk_buffer``; what is fitted replaces its table values. The
fit is least squares with a soft loss (one misread strip does not carry it away) and
weak beliefs from the table, so that two points are enough and no point is overrated. Intervals
are 95 %, from the curvature at the best fit, widened when the points scatter more than their
tool should.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.acids import CITRIC, CITRIC_MASS, acidulant
from advisor.science.equilibrium import protons_released, solve_ph
from advisor.science.estimate import Estimate
from advisor.science.milk_buffer import STRIP_BIAS, mix_ph
from advisor.science.milks import milk

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

__all__ = ["DrinkFit", "MilkFit", "fit_drink", "fit_milk"]

_TOOL, _MODEL = 0.03, 0.05  # pH; drift of the tool, shape of the model
_SCALE_BELIEF, _OFFSET_BELIEF = 0.40, 0.10  # sd of ln(scale), and of the reading's offset in pH
_ACID_BELIEF = (math.log(2.0), 1.5)  # ln of g/L citric acid in an unknown drink
_CATION_BELIEF = (0.3, 0.5)  # strong cation per citric acid
_Z95 = 1.96
_MOL_PER_G = 1.0 / CITRIC_MASS


@dataclass(frozen=True, slots=True)
class MilkFit:
    """``buffering`` against the table (feed it to ``milk_buffering``), the offset of the readings
    (pH, tool and natural pH together) and the scatter (pH) left over."""

    buffering: Estimate
    offset: Estimate
    scatter: float


@dataclass(frozen=True, slots=True)
class DrinkFit:
    """``own_acid`` (g/L citric acid worth at pH 4.6, cations taken off; feed it to ``own_acid``),
    the total acid (g/L) behind it, and the scatter (pH) left over."""

    own_acid: Estimate
    total_acid: Estimate
    scatter: float


def _points(
    points: Sequence[tuple[float, float]], step: float, strength: float
) -> tuple[list[tuple[float, float]], float]:
    """Points with the alcohol's push taken off, and the sd of one reading."""
    within("step", step, 0.001, 2.0, "pH")
    within("strength", strength, 0.0, 60.0, "%vol")
    if len(points) < 2 or len({dose for dose, _ in points}) < 2:
        raise ValueError(f"points are {len(points)}; at least two different doses are needed")
    push = STRIP_BIAS.value * strength
    cleaned = []
    for dose, reading in points:
        within("dose", dose, 0.0, 1e5, "g or mL")
        within("reading", reading, 0.5, 13.0, "pH")
        cleaned.append((float(dose), reading - push))
    doubt = (STRIP_BIAS.high - STRIP_BIAS.value) * strength / _Z95
    return cleaned, math.sqrt(step * step / 12.0 + _TOOL**2 + _MODEL**2 + doubt * doubt)


def _fit(
    residuals: Callable[[Sequence[float]], list[float]],
    start: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    readings: int,
) -> tuple[list[float], list[list[float]], float]:
    """Best parameters, their covariance, and the weighted scatter of the readings."""
    from scipy.optimize import least_squares  # late: few sessions fit anything

    found = least_squares(
        residuals, start, bounds=(low, high), loss="soft_l1", f_scale=2.0, diff_step=1e-4
    )
    jacobian = [[float(x) for x in row] for row in found.jac]
    a = sum(row[0] * row[0] for row in jacobian)
    b = sum(row[0] * row[1] for row in jacobian)
    d = sum(row[1] * row[1] for row in jacobian)
    determinant = max(a * d - b * b, 1e-12)
    left = residuals(found.x)[:readings]
    scatter = math.sqrt(sum(r * r for r in left) / readings)
    inflate = max(1.0, scatter) ** 2 / determinant
    covariance = [[d * inflate, -b * inflate], [-b * inflate, a * inflate]]
    return [float(x) for x in found.x], covariance, scatter


def fit_milk(
    points: Sequence[tuple[float, float]],
    *,
    milk_ml: float,
    kind: str = "whole",
    acid: str = "citric",
    drink_ml: float = 0.0,
    step: float = 0.5,
    strength: float = 0.0,
    temperature: float = 20.0,
) -> MilkFit:
    """Fit a milk's buffering from (total dose so far, reading) pairs.

    Doses in g of a powder or mL of a liquid, into ``milk_ml`` mL of milk with ``drink_ml`` mL of
    something without acid. ``step`` is that of the strip or meter. ``ValueError`` for fewer than
    two different doses or readings outside 0.5 to 13.
    """
    within("milk", milk_ml, 0.1, 1e6, "mL")
    milk(kind)
    item = acidulant(acid)
    if not item.acids:
        raise ValueError(f"acid is {acid!r}; a titration needs an acid")
    cleaned, sd = _points(points, step, strength)

    def residuals(x: Sequence[float]) -> list[float]:
        scale, offset = math.exp(x[0]), float(x[1])
        out = []
        for dose, reading in cleaned:
            drink = drink_ml + (dose if item.form == "liquid" else 0.0)
            solved = mix_ph(
                drink, milk_ml, kind, ((acid, dose),), scale=scale, temperature=temperature
            )
            out.append((solved.ph + offset - reading) / sd)
        return [*out, x[0] / _SCALE_BELIEF, x[1] / _OFFSET_BELIEF]

    best, covariance, scatter = _fit(residuals, (0.0, 0.0), (-1.6, -1.0), (1.4, 1.0), len(cleaned))
    half = _Z95 * math.sqrt(covariance[0][0])
    about = _Z95 * math.sqrt(covariance[1][1])
    return MilkFit(
        Estimate(
            math.exp(best[0]), math.exp(best[0] - half), math.exp(min(3.0, best[0] + half)), "ratio"
        ),
        Estimate(best[1], best[1] - about, best[1] + about, "pH"),
        scatter * sd,
    )


def fit_drink(
    points: Sequence[tuple[float, float]],
    *,
    drink_ml: float,
    acid: str = "citric",
    step: float = 0.5,
    strength: float = 0.0,
) -> DrinkFit:
    """Fit a drink's own acid from (total dose so far, reading) pairs; dose 0 is the drink as it is.

    The drink is taken as a citric buffer: an acid and strong cations. ``ValueError`` as for
    ``fit_milk``.
    """
    within("drink", drink_ml, 0.1, 1e6, "mL")
    item = acidulant(acid)
    if not item.acids:
        raise ValueError(f"acid is {acid!r}; a titration needs an acid")
    cleaned, sd = _points(points, step, strength)

    def residuals(x: Sequence[float]) -> list[float]:
        grams, cation = math.exp(x[0]), float(x[1])
        out = []
        for dose, reading in cleaned:
            total = drink_ml + (dose if item.form == "liquid" else 0.0)
            acids = [(CITRIC, grams * _MOL_PER_G * drink_ml / total)]
            acids += [(one, 1000.0 * per * dose / total) for one, per in item.acids]
            strong = cation * grams * _MOL_PER_G * drink_ml / total
            strong += 1000.0 * item.cation * dose / total
            out.append((solve_ph(acids, strong, guess=4.0).ph - reading) / sd)
        return [
            *out,
            (x[0] - _ACID_BELIEF[0]) / _ACID_BELIEF[1],
            (x[1] - _CATION_BELIEF[0]) / _CATION_BELIEF[1],
        ]

    best, covariance, scatter = _fit(
        residuals, (_ACID_BELIEF[0], _CATION_BELIEF[0]), (-5.0, 0.0), (4.6, 2.9), len(cleaned)
    )
    full = protons_released(CITRIC, 4.6)

    def worth(log_grams: float, cation: float) -> float:
        return math.exp(log_grams) * (full - cation) / full

    net = worth(best[0], best[1])
    # d(net)/d(ln g) = net, d(net)/d(cation) = -g/full; the two move together.
    slope = -math.exp(best[0]) / full
    variance = (
        net * net * covariance[0][0]
        + 2.0 * net * slope * covariance[0][1]
        + slope * slope * covariance[1][1]
    )
    half = _Z95 * math.sqrt(max(0.0, variance))
    spread = _Z95 * math.sqrt(covariance[0][0])
    value = max(0.0, net)
    grams = math.exp(best[0])
    return DrinkFit(
        Estimate(value, max(0.0, value - half), value + half, "g/L"),
        Estimate(grams, grams * math.exp(-spread), grams * math.exp(min(3.0, spread)), "g/L"),
        scatter * sd,
    )
