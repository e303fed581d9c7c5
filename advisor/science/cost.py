"""Scaling a batch, counting serves and pricing them.

Money is in any one currency. Serves are rounded down, because half a serve cannot
be sold.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from advisor.science._guard import within
from advisor.science.estimate import Estimate

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "DEFAULT_YIELD",
    "SPIRIT_MEASURES",
    "ScaledBatch",
    "cost_per_serve",
    "not_linear",
    "pour_cost",
    "scale",
    "serves",
    "serves_range",
    "surface_ratio",
]

DEFAULT_YIELD = Estimate(0.88, 0.80, 0.95)
"""Share of drink plus milk that comes through a wash: practice 0.80-0.90, arithmetic to 0.94."""

SPIRIT_MEASURES = {"uk": (25.0, 35.0), "us": (44.36,)}
"""mL. UK gin, rum, vodka and whisky in 25 or 35 mL and multiples (SI 1988/2039), not for a
mixture of three or more liquids; US 1.5 fl oz is one standard drink of 40 %."""


class ScaledBatch(NamedTuple):
    """Quantities at the new size, the factor, and what will not simply follow it."""

    quantities: Mapping[str, float]
    factor: float
    notes: tuple[str, ...]


def scale(quantities: Mapping[str, float], factor: float) -> ScaledBatch:
    """All quantities times ``factor`` (0.001 to 10 000), in the units they came in."""
    within("factor", factor, 1e-3, 1e4, "")
    for name, amount in quantities.items():
        within(name, amount, 0.0, 1e12, "")
    return ScaledBatch({n: a * factor for n, a in quantities.items()}, factor, not_linear(factor))


def surface_ratio(factor: float) -> float:
    """How surface grows when a vessel of the same shape holds ``factor`` times as much."""
    return float(within("factor", factor, 1e-9, 1e9, "") ** (2 / 3))


def not_linear(factor: float) -> tuple[str, ...]:
    """What does not scale with the amounts, for this factor. Common practice, no source."""
    within("factor", factor, 1e-3, 1e4, "")
    if factor == 1:
        return ()
    said = [
        "Acid: match the pH of the small batch, because juice strength varies between lots.",
    ]
    if factor > 1:
        said += [
            f"Filtering: with the same filter it takes about {factor:.3g} times as long; "
            "widen the area, not the depth of the curd bed.",
            f"Chilling: in the same shape of vessel allow about {surface_ratio(factor):.2g} times "
            "as long, or split it into several.",
            "Stirring: pour more slowly and stir gently, so that the curd stays in large pieces.",
        ]
    else:
        said += [
            "Losses: cloth, paper and vessel keep a fixed amount, so a small trial yields less.",
            "Weighing: use a scale that reads a hundredth of the smallest amount.",
        ]
    if factor >= 5:
        said.append("Zest, spice and bitters: start at about two thirds of the amount and taste.")
    return tuple(said)


def _count(volume_ml: float, share: float, serve_ml: float) -> int:
    # The tiny addition keeps 900/60 at 15 when 1000 x 0.9 is a hair below 900.
    return math.floor(volume_ml * share / serve_ml + 1e-9)


def serves(volume_ml: float, serve_ml: float, yield_share: float = 1.0) -> int:
    """Whole serves in ``volume_ml`` once ``yield_share`` (0 to 1) of it comes through."""
    within("volume_ml", volume_ml, 0.0, 1e9, "mL")
    within("serve_ml", serve_ml, 1.0, 1e5, "mL")
    within("yield_share", yield_share, 0.0, 1.0, "")
    return _count(volume_ml, yield_share, serve_ml)


def serves_range(
    volume_ml: float, serve_ml: float, yield_share: Estimate = DEFAULT_YIELD
) -> tuple[int, int, int]:
    """Least, usual and most whole serves for a yield that is not yet measured."""
    low, usual, high = (
        serves(volume_ml, serve_ml, y)
        for y in (yield_share.low, yield_share.value, yield_share.high)
    )
    return low, usual, high


def cost_per_serve(costs: Mapping[str, float], whole_serves: int) -> float:
    """Everything that was bought, over the serves that can be poured.

    Curd and spent fat are losses and stay in the sum. ``ValueError`` below one serve.
    """
    if isinstance(whole_serves, bool) or not isinstance(whole_serves, int) or whole_serves < 1:
        raise ValueError(f"whole_serves must be a whole number of at least 1, got {whole_serves!r}")
    for name, amount in costs.items():
        within(f"cost of {name}", amount, 0.0, 1e12, "")
    return math.fsum(costs.values()) / whole_serves


def pour_cost(cost: float, price: float) -> float:
    """Cost as % of the price without tax; 18-24 % is a usual aim (recalled), not a rule."""
    within("cost", cost, 0.0, 1e12, "")
    within("price", price, 1e-9, 1e12, "")
    return 100.0 * cost / price
