"""Keeping an interval inside what is possible."""

from __future__ import annotations

from advisor.science.estimate import Estimate

__all__ = ["cut"]


def cut(estimate: Estimate, low: float = 0.0, high: float = float("inf")) -> Estimate:
    """``estimate`` with its ends cut to ``low`` to ``high``.

    Ends that were added in quadrature may pass a limit that every single input
    respects; the value itself must lie inside.
    """
    value = min(max(estimate.value, low), high)
    return Estimate(
        value,
        min(value, max(estimate.low, low)),
        max(value, min(estimate.high, high)),
        estimate.unit,
    )
