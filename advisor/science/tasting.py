"""Blind difference tests: what a count of right answers proves, and how many tasters it takes.

All probabilities are exact binomial sums and all difference scales are computed
from their defining integrals, so nothing here needs a statistics library. A
panel of twelve only finds a large difference (d' of about 2): ``minimum_panel``
and ``power`` exist so that this can be said before anybody pours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "METHODS",
    "DPrime",
    "Panel",
    "Similarity",
    "chance",
    "critical_count",
    "d_prime",
    "d_prime_interval",
    "discriminators",
    "minimum_panel",
    "minimum_panel_for_d_prime",
    "p_value",
    "power",
    "share_correct",
    "share_interval",
    "similarity",
]

_CHANCE = {
    "triangle": 1 / 3,
    "duo-trio": 1 / 2,
    "paired": 1 / 2,
    "paired-two-sided": 1 / 2,
    "3-afc": 1 / 3,
    "tetrad": 1 / 3,
}
METHODS: tuple[str, ...] = tuple(_CHANCE)
"""The tests known here; ``paired`` is the directional 2-AFC, ``paired-two-sided`` a preference."""

_LARGEST_PANEL = 20_000
_LARGEST_D = 10.0
_STEPS = 1200


@dataclass(frozen=True, slots=True)
class Panel:
    """How many tasters reach a wanted power.

    ``first`` is the smallest panel that reaches it. Power saws up and down with
    the count, so ``stable`` is the panel from which it is never lost again.
    ``correct_needed`` belongs to ``first``.
    """

    first: int
    stable: int
    correct_needed: int


@dataclass(frozen=True, slots=True)
class Similarity:
    """Share of tasters who truly told the samples apart, with its limits.

    ``confidence`` is that of the interval between them; each limit by itself is held with half
    of what that leaves on its one side.
    """

    share: float
    standard_error: float
    low: float
    high: float
    confidence: float


@dataclass(frozen=True, slots=True)
class DPrime:
    """Size of a difference (d') with a two-sided interval.

    ``None`` for ``value`` or ``high`` stands for "no limit": every answer was right, or so many
    that no difference is too large to fit them.
    """

    value: float | None
    low: float
    high: float | None
    confidence: float


def chance(method: str) -> float:
    """Probability of a right answer by guessing."""
    try:
        return _CHANCE[method]
    except KeyError:
        raise ValueError(f"method must be one of {', '.join(METHODS)}, got {method!r}") from None


def _counts(correct: int, tasters: int) -> None:
    if isinstance(tasters, bool) or not isinstance(tasters, int) or tasters < 1:
        raise ValueError(f"tasters must be a whole number of at least 1, got {tasters!r}")
    if isinstance(correct, bool) or not isinstance(correct, int) or not 0 <= correct <= tasters:
        raise ValueError(f"correct must be a whole number from 0 to {tasters}, got {correct!r}")


def _share(name: str, value: float) -> float:
    if not 0.0 < value < 1.0:
        raise ValueError(f"{name} must lie between 0 and 1 (both excluded), got {value}")
    return float(value)


def _pmf(k: int, n: int, p: float) -> float:
    if p <= 0.0:
        return 1.0 if k == 0 else 0.0
    if p >= 1.0:
        return 1.0 if k == n else 0.0
    log = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    return math.exp(log + k * math.log(p) + (n - k) * math.log1p(-p))


def _upper_tail(k: int, n: int, p: float) -> float:
    """P(X >= k) for X binomial(n, p)."""
    if k <= 0:
        return 1.0
    return min(1.0, math.fsum(_pmf(i, n, p) for i in range(k, n + 1)))


def p_value(method: str, correct: int, tasters: int) -> float:
    """Chance of a count at least this good from guessing alone.

    For ``paired-two-sided`` ``correct`` counts either answer and both tails are
    counted. Source: exact binomial, as in ISO 4120, ISO 5495 and ISO 10399.
    """
    p0 = chance(method)
    _counts(correct, tasters)
    if method == "paired-two-sided":
        return min(1.0, 2 * _upper_tail(max(correct, tasters - correct), tasters, p0))
    return _upper_tail(correct, tasters, p0)


def critical_count(method: str, tasters: int, alpha: float = 0.05) -> int | None:
    """Fewest right answers whose ``p_value`` is at most ``alpha``; ``None`` if no count is."""
    chance(method)
    _counts(0, tasters)
    alpha = _share("alpha", alpha)
    if method == "paired-two-sided":
        alpha /= 2
    p0 = _CHANCE[method]
    tail, best = 0.0, None
    for k in range(tasters, -1, -1):
        tail += _pmf(k, tasters, p0)
        if tail > alpha:
            break
        best = k
    return best


def discriminators(method: str, share: float) -> float:
    """Share of right answers expected when ``share`` of the tasters truly tell them apart."""
    p0 = chance(method)
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"share must lie from 0 to 1, got {share}")
    return p0 + (1 - p0) * share


def power(method: str, tasters: int, correct_share: float, alpha: float = 0.05) -> float:
    """Chance that a panel of this size finds a true share of right answers ``correct_share``."""
    if not chance(method) <= correct_share <= 1.0:
        raise ValueError(
            f"correct_share must lie from {chance(method):.3f} (guessing) to 1, got {correct_share}"
        )
    needed = critical_count(method, tasters, alpha)
    if needed is None:
        return 0.0
    found = _upper_tail(needed, tasters, correct_share)
    if method == "paired-two-sided":
        found += _upper_tail(needed, tasters, 1 - correct_share)
    return min(1.0, found)


def minimum_panel(method: str, share: float, alpha: float = 0.05, beta: float = 0.2) -> Panel:
    """Panel that finds ``share`` true discriminators with a power of ``1 - beta``.

    Raises ``ValueError`` when the panel would exceed 20 000. Source: exact
    binomial; the ``first`` column is that of ISO 4120 and ISO 10399.
    """
    _share("share", share)
    return _panel(method, discriminators(method, share), alpha, beta)


def minimum_panel_for_d_prime(
    method: str, d: float, alpha: float = 0.05, beta: float = 0.2
) -> Panel:
    """Panel that finds a difference of size ``d`` (d') with a power of ``1 - beta``."""
    if d <= 0:
        raise ValueError(f"d must be above 0, got {d}")
    return _panel(method, share_correct(method, d), alpha, beta)


def _panel(method: str, p1: float, alpha: float, beta: float) -> Panel:
    p0 = chance(method)
    _share("alpha", alpha)
    target = 1 - _share("beta", beta)
    two_sided = method == "paired-two-sided"
    limit = alpha / 2 if two_sided else alpha
    first = needed = 0
    last_below = 0
    # One more taster moves every tail by p * P(X = k - 1), so the whole walk costs one pass.
    k = 1
    probabilities = (p0, p1, 1 - p1) if two_sided else (p0, p1)
    tails = list(probabilities)
    n = 1
    while n <= _LARGEST_PANEL:
        while tails[0] > limit:
            tails = [t - _pmf(k, n, p) for t, p in zip(tails, probabilities, strict=True)]
            k += 1
        reached = math.fsum(tails[1:]) if k <= n else 0.0
        if reached >= target:
            if not first:
                first, needed = n, k
        else:
            last_below = n
        # The saw teeth shrink with n: past twice the last miss no later tooth can miss.
        if first and n >= 2 * last_below + 50:
            return Panel(first, last_below + 1, needed)
        tails = [
            t + p * (_pmf(k - 1, n, p) if k - 1 <= n else 0.0)
            for t, p in zip(tails, probabilities, strict=True)
        ]
        n += 1
    raise ValueError(
        f"the difference is too small for a panel: more than {_LARGEST_PANEL // 2} tasters"
    )


def similarity(method: str, correct: int, tasters: int, confidence: float = 0.95) -> Similarity:
    """How many tasters truly told the samples apart; ``confidence`` is that of each limit.

    The share may be negative when fewer were right than by guessing; the limits are cut to 0 to
    1. Source: share and error of ASTM E1885 (similarity); the limits are exact (Clopper &
    Pearson 1934), because its normal approximation has no width when all or none were right.
    """
    if method == "paired-two-sided":
        raise ValueError("similarity is for tests with a right answer, not for a preference")
    p0 = chance(method)
    _counts(correct, tasters)
    between = round(2 * _share("confidence", confidence) - 1, 12)
    if between <= 0.0:
        raise ValueError(f"confidence must lie above 0.5 and below 1, got {confidence}")
    seen = correct / tasters
    share = (seen - p0) / (1 - p0)
    error = math.sqrt(seen * (1 - seen) / tasters) / (1 - p0)
    low, high = (
        (limit - p0) / (1 - p0) for limit in share_interval(correct, tasters, between)
    )
    return Similarity(share, error, max(0.0, low), min(1.0, max(0.0, high)), between)


def _phi(x: float) -> float:
    return math.exp(-x * x / 2) / math.sqrt(2 * math.pi)


def _cdf(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2))


def _integral(f: Callable[[float], float], low: float, high: float) -> float:
    """Simpson's rule; for these smooth bell-shaped integrands exact to about 1e-12."""
    h = (high - low) / _STEPS
    odd = math.fsum(f(low + i * h) for i in range(1, _STEPS, 2))
    even = math.fsum(f(low + i * h) for i in range(2, _STEPS, 2))
    return h / 3 * (f(low) + f(high) + 4 * odd + 2 * even)


def _triangle(d: float) -> float:
    far, root3 = d * math.sqrt(2 / 3), math.sqrt(3)
    return 2 * _integral(
        lambda x: (_cdf(-x * root3 + far) + _cdf(-x * root3 - far)) * _phi(x), 0.0, 9.0
    )


def _duo_trio(d: float) -> float:
    a, b = _cdf(d / math.sqrt(2)), _cdf(d / math.sqrt(6))
    return 1 - a - b + 2 * a * b


def _tetrad(d: float) -> float:
    return 1 - 2 * _integral(
        lambda x: _phi(x) * (2 * _cdf(x) * _cdf(x - d) - _cdf(x - d) ** 2), -9.0, 9.0
    )


def share_correct(method: str, d: float) -> float:
    """Share of right answers for a difference of size ``d`` (d' of 0 to 10).

    Source: Ennis, J. Sens. Stud. 8 (1993) 353 (triangle, duo-trio, 2-AFC, 3-AFC);
    Ennis & Jesionka, J. Sens. Stud. 26 (2011) 371 (tetrad, from memory); Bi,
    Sensory Discrimination Tests and Measurements, 2006.
    """
    p0 = chance(method)
    if not 0.0 <= d <= 10.0:
        raise ValueError(f"d must lie from 0 to 10, got {d}")
    if d == 0.0:
        return p0
    if method == "triangle":
        value = _triangle(d)
    elif method == "duo-trio":
        value = _duo_trio(d)
    elif method == "3-afc":
        value = _integral(lambda x: _phi(x - d) * _cdf(x) ** 2, d - 9.0, d + 9.0)
    elif method == "tetrad":
        value = _tetrad(d)
    else:
        value = _cdf(d / math.sqrt(2))
    return min(1.0, max(p0, value))


def d_prime(method: str, correct_share: float) -> float:
    """Size of the difference (d') behind a share of right answers; 0 at or below guessing.

    Raises ``ValueError`` for a share so near 1 that d' would exceed 10.
    """
    p0 = chance(method)
    if not 0.0 <= correct_share <= 1.0:
        raise ValueError(f"correct_share must lie from 0 to 1, got {correct_share}")
    if correct_share <= p0:
        return 0.0
    top = share_correct(method, _LARGEST_D)
    if correct_share > top or correct_share == 1.0:
        raise ValueError("correct_share of 1 has no finite d'; report it as 'above 3' instead")
    # False position (Illinois): the ends always hold the root, and each step costs an integral.
    low, high = 0.0, _LARGEST_D
    below, above = p0 - correct_share, top - correct_share
    above_kept = below_kept = False
    for _ in range(200):
        middle = (low * above - high * below) / (above - below)
        miss = share_correct(method, middle) - correct_share
        if abs(miss) < 1e-13 or high - low < 1e-9:
            return middle
        if miss < 0:
            low, below, above = middle, miss, above / 2 if above_kept else above
            above_kept, below_kept = True, False
        else:
            high, above, below = middle, miss, below / 2 if below_kept else below
            below_kept, above_kept = True, False
    return (low + high) / 2


def share_interval(correct: int, tasters: int, confidence: float = 0.95) -> tuple[float, float]:
    """Two-sided exact limits of the true share behind ``correct`` of ``tasters``.

    Source: Clopper & Pearson, Biometrika 26 (1934) 404: each limit is the share for which a count
    this far out has half of what ``confidence`` leaves.
    """
    _counts(correct, tasters)
    tail = (1 - _share("confidence", confidence)) / 2
    low = 0.0 if correct == 0 else _share_with_tail(correct, tasters, tail)
    high = 1.0 if correct == tasters else 1.0 - _share_with_tail(tasters - correct, tasters, tail)
    return low, high


def _share_with_tail(k: int, n: int, tail: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if _upper_tail(k, n, middle) < tail:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def d_prime_interval(method: str, correct: int, tasters: int, confidence: float = 0.95) -> DPrime:
    """d' behind a count of right answers, with the exact limits of the share turned into d'.

    ``high`` is the largest difference that the answers still allow: it, and never a missing
    significance, says how far two samples may be called alike. Not for ``paired-two-sided``,
    which has no right answer.
    """
    if method == "paired-two-sided":
        raise ValueError("d' is for tests with a right answer, not for a preference")
    chance(method)
    low, high = share_interval(correct, tasters, confidence)
    least = _d_or_none(method, low)
    return DPrime(
        _d_or_none(method, correct / tasters),
        _LARGEST_D if least is None else least,
        _d_or_none(method, high),
        confidence,
    )


def _d_or_none(method: str, share: float) -> float | None:
    if share >= share_correct(method, _LARGEST_D):
        return None
    return d_prime(method, share)
