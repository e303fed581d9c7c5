"""Student's t for paired scores: the interval of a mean difference, and the power of a panel."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.science.estimate import Estimate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

__all__ = ["mean_interval", "paired_power", "quantile", "upper_tail"]

_STEPS = 400


def upper_tail(t: float, degrees: int) -> float:
    """P(T > t) for ``degrees`` (1 or more) degrees of freedom.

    Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3-26.7.4 (finite sums).
    """
    _degrees(degrees)
    angle = math.atan(t / math.sqrt(degrees))
    cosine = math.cos(angle)
    odd = degrees % 2 == 1
    # Both sums run over every second power of the cosine, up to degrees - 2.
    total = term = (cosine if odd else 1.0) if degrees > 1 else 0.0
    for power in range(3 if odd else 2, degrees - 1, 2):
        term *= (power - 1) / power * cosine * cosine
        total += term
    inside = 2 / math.pi * (angle + math.sin(angle) * total) if odd else math.sin(angle) * total
    return min(1.0, max(0.0, (1 - inside) / 2))


def _degrees(degrees: int) -> None:
    if isinstance(degrees, bool) or not isinstance(degrees, int) or degrees < 1:
        raise ValueError(f"degrees must be a whole number of at least 1, got {degrees!r}")


@lru_cache(maxsize=256)
def quantile(tail: float, degrees: int) -> float:
    """The t above which ``tail`` (0 to 0.5) of the distribution lies."""
    _degrees(degrees)
    if not 0.0 < tail < 0.5:
        raise ValueError(f"tail must lie between 0 and 0.5, got {tail}")
    low, high = 0.0, 1.0
    while upper_tail(high, degrees) > tail and high < 1e9:
        high *= 2
    while high - low > 1e-9 * max(1.0, high):
        middle = (low + high) / 2
        if upper_tail(middle, degrees) > tail:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def mean_interval(numbers: Sequence[float]) -> Estimate | None:
    """Mean with Student's 95 % interval; ``None`` for fewer than two numbers."""
    n = len(numbers)
    if n < 2:
        return None
    mean = math.fsum(numbers) / n
    variance = math.fsum((x - mean) ** 2 for x in numbers) / (n - 1)
    half = quantile(0.025, n - 1) * math.sqrt(variance / n)
    return Estimate(mean, mean - half, mean + half)


def paired_power(d: float, pairs: int, alpha: float = 0.05) -> float:
    """Chance that ``pairs`` scored pairs show a difference of size ``d`` (d'), one-sided.

    One score errs by one unit of d', so a difference of two errs by its root 2. The
    noncentral t integral over the spread that the panel happens to show; source: Johnson &
    Welch, Biometrika 31 (1940) 362.
    """
    if pairs < 2:
        return 0.0
    if not (d >= 0 and math.isfinite(d)):
        raise ValueError(f"d must be 0 or more, got {d}")
    degrees = pairs - 1
    limit = quantile(alpha, degrees)
    shift = d / math.sqrt(2) * math.sqrt(pairs)
    # Density of the spread (chi over the root of its degrees of freedom).
    scale = math.log(2) + degrees / 2 * math.log(degrees / 2) - math.lgamma(degrees / 2)

    def found(spread: float) -> float:
        if spread <= 0.0:
            # Only with one degree of freedom is no spread at all a likely spread.
            return math.exp(scale) * _cdf(shift) if degrees == 1 else 0.0
        log = scale + (degrees - 1) * math.log(spread) - degrees * spread * spread / 2
        return math.exp(log) * _cdf(shift - limit * spread)

    reach = 9 / math.sqrt(2 * degrees)
    return min(1.0, max(0.0, _integral(found, max(0.0, 1 - reach), 1 + reach)))


def _cdf(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2))


def _integral(f: Callable[[float], float], low: float, high: float) -> float:
    h = (high - low) / _STEPS
    odd = math.fsum(f(low + i * h) for i in range(1, _STEPS, 2))
    even = math.fsum(f(low + i * h) for i in range(2, _STEPS, 2))
    return h / 3 * (f(low) + f(high) + 4 * odd + 2 * even)
