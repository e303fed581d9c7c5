"""A number with its honest interval, and how intervals travel through a formula."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["Category", "Estimate", "exact", "propagate", "spread"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with a 95 % interval.

    ``low <= value <= high``; all three are finite and in ``unit`` (the project's
    plain unit text: ``mL``, ``g``, ``degC``, ``%vol``, ``pH``, ``mmol/L`` ...).
    """

    value: float
    low: float
    high: float
    unit: str = ""

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.value, self.low, self.high))):
            raise ValueError(f"an estimate must be finite, got {self}")
        if not self.low <= self.value <= self.high:
            raise ValueError(f"an interval must hold its value, got {self}")


@dataclass(frozen=True, slots=True)
class Category:
    """A calculated word (``full``, ``partial``, ``none`` ...) and how sure it is, 0.5 to 1."""

    value: str
    certainty: float = 1.0


def exact(value: float, unit: str = "") -> Estimate:
    """An estimate without spread."""
    return Estimate(value, value, value, unit)


def spread(value: float, plus_minus: float, unit: str = "") -> Estimate:
    """An estimate with a symmetric interval."""
    return Estimate(value, value - plus_minus, value + plus_minus, unit)


def propagate(
    formula: Callable[..., float],
    inputs: Mapping[str, Estimate | float],
    *,
    unit: str = "",
    model: float = 0.0,
) -> Estimate:
    """Carry the intervals of independent inputs through ``formula``.

    Each input is moved to its low and its high end with the others held at their
    values; the moves up and the moves down are each added in quadrature, so a
    lopsided interval stays lopsided. ``model`` is the formula's own half interval
    in the unit of the result and is added in quadrature to both sides. First
    order; source: JCGM 100:2008 (the "GUM"), 5.1.2, done with finite steps.
    """
    centre = {k: v.value if isinstance(v, Estimate) else float(v) for k, v in inputs.items()}
    value = formula(**centre)
    up = down = model * model
    for name, given in inputs.items():
        if not isinstance(given, Estimate) or given.low == given.high:
            continue
        ends = [formula(**{**centre, name: end}) - value for end in (given.low, given.high)]
        up += max(0.0, *ends) ** 2
        down += min(0.0, *ends) ** 2
    return Estimate(value, value - math.sqrt(down), value + math.sqrt(up), unit)
