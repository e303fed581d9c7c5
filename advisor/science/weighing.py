"""When a scale is too coarse for a dose, and the stock solution that gets round it.

Masses in g, volumes in mL. A dose is never rounded to nothing: it is dissolved in a
larger, easily weighed stock and measured by volume.
"""

from __future__ import annotations

from typing import NamedTuple

from advisor.science._guard import within

__all__ = ["STOCKS", "WORST_ERROR", "Stock", "relative_error", "stock_for"]

WORST_ERROR = 0.05
"""Half a step of the scale over the dose: judgement; acid doses carry 15 % of their own."""

STOCKS = (10.0, 1.0, 0.1)
"""% w/v: grams in 100 mL of solution, strong to weak."""

_LEAST_ML = 0.5  # what a 1 mL syringe measures to about 5 %
_MADE_ML = 100.0


class Stock(NamedTuple):
    """``grams`` in water made up to ``made_ml``; take ``take_ml`` of it. ``percent`` is w/v."""

    percent: float
    grams: float
    made_ml: float
    take_ml: float


def relative_error(mass: float, step: float) -> float:
    """Half a step of the scale as a share of the dose."""
    within("step", step, 1e-6, 1e4, "g")
    return 0.5 * step / within("mass", mass, 1e-12, 1e9, "g")


def stock_for(mass: float, step: float) -> Stock | None:
    """The stock to make when a scale of ``step`` g is too coarse for ``mass`` g; else ``None``.

    The strongest stock of which at least half a mL is taken and whose own grams this scale
    weighs well enough; a step too coarse for that makes a larger lot. ``ValueError`` for
    doses below a thousandth of a mL of the weakest.
    """
    if relative_error(mass, step) <= WORST_ERROR:
        return None
    for percent in STOCKS:
        take = 100.0 * mass / percent
        if take >= _LEAST_ML or percent == STOCKS[-1]:
            if take < 1e-3:
                raise ValueError(f"mass is {mass:g} g; no stock makes so small a dose measurable")
            made = _MADE_ML
            while relative_error(percent * made / 100.0, step) > WORST_ERROR or made < take:
                made *= 10.0
            return Stock(percent, percent * made / 100.0, made, take)
    return None
