"""Rank tests for three or more samples: Friedman (any difference) and Page (a stated order).

Both follow ISO 8587. Small panels get exact probabilities by counting every way
the judges could have ranked; large ones the usual approximations.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from functools import lru_cache
from itertools import permutations
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = [
    "RankResult",
    "friedman",
    "friedman_critical",
    "page",
    "page_critical",
    "rank_sums",
]

_EXACT_SAMPLES = 5
# (judges, samples) up to which counting stays below about a second.
_EXACT_JUDGES = {2: 60, 3: 30, 4: 10, 5: 4}
_PAGE_JUDGES = 60
_CLOSE = 1e-9

_Value = TypeVar("_Value", int, float)


@dataclass(frozen=True, slots=True)
class RankResult:
    """A rank statistic, its p-value, and whether that was counted exactly."""

    statistic: float
    p_value: float
    exact: bool
    rank_sums: tuple[float, ...]


def _size(judges: int, samples: int) -> None:
    if isinstance(judges, bool) or not isinstance(judges, int) or judges < 2:
        raise ValueError(f"judges must be a whole number of at least 2, got {judges!r}")
    if isinstance(samples, bool) or not isinstance(samples, int) or not 2 <= samples <= 12:
        raise ValueError(f"samples must be a whole number from 2 to 12, got {samples!r}")


def rank_sums(ranks: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Sum of ranks for each sample; every judge must have ranked all samples 1, 2, 3 ...

    Tied samples share the mean of their ranks, so each row adds up to p (p + 1)/2.
    """
    if not ranks:
        raise ValueError("ranks must hold at least two judges, got none")
    samples = len(ranks[0])
    _size(len(ranks), samples)
    for number, row in enumerate(ranks, start=1):
        if sorted(row) != sorted(_mean_ranks(row)):
            raise ValueError(
                f"judge {number} must rank {samples} samples 1 to {samples} "
                f"(ties share the mean rank), got {list(row)}"
            )
        if len(row) != samples:
            raise ValueError(f"judge {number} ranked {len(row)} samples, not {samples}")
    return tuple(math.fsum(row[i] for row in ranks) for i in range(samples))


def _mean_ranks(row: Sequence[float]) -> list[float]:
    ordered = sorted(row)
    first = {v: ordered.index(v) + 1 for v in ordered}
    many = Counter(ordered)
    return [first[v] + (many[v] - 1) / 2 for v in row]


def _statistic(sums: Sequence[float], judges: int) -> float:
    p = len(sums)
    squares = math.fsum((s - judges * (p + 1) / 2) ** 2 for s in sums)
    return 12 * squares / (judges * p * (p + 1))


@lru_cache(maxsize=32)
def _friedman_counts(judges: int, samples: int) -> tuple[tuple[float, int], ...]:
    """Every attainable statistic with the number of rankings that give it, highest first.

    Samples are interchangeable, so states are kept sorted: this shrinks the walk
    by up to p! without changing any count.
    """
    rows = list(permutations(range(1, samples + 1)))
    states: dict[tuple[int, ...], int] = {tuple(range(1, samples + 1)): math.factorial(samples)}
    for _ in range(judges - 1):
        following: dict[tuple[int, ...], int] = {}
        for sums, count in states.items():
            for row in rows:
                key = tuple(sorted(a + b for a, b in zip(sums, row, strict=True)))
                following[key] = following.get(key, 0) + count
        states = following
    totals: Counter[int] = Counter()
    middle = judges * (samples + 1)
    for sums, count in states.items():
        totals[sum((2 * s - middle) ** 2 for s in sums)] += count
    scale = 3 / (judges * samples * (samples + 1))
    return tuple((square * scale, totals[square]) for square in sorted(totals, reverse=True))


def _has_exact(judges: int, samples: int) -> bool:
    return judges <= _EXACT_JUDGES.get(samples, 0)


def _chi_square_tail(x: float, degrees: int) -> float:
    """P(chi-square > x); closed form for whole degrees of freedom (Abramowitz & Stegun 26.4)."""
    if x <= 0:
        return 1.0
    half = x / 2
    if degrees % 2 == 0:
        term = total = math.exp(-half)
        for i in range(1, degrees // 2):
            term *= half / i
            total += term
        return min(1.0, total)
    total = math.erfc(math.sqrt(half))
    term = math.exp(-half) * math.sqrt(half) / (math.sqrt(math.pi) / 2)
    for i in range((degrees - 1) // 2):
        total += term
        term *= half / (i + 1.5)
    return min(1.0, total)


def friedman(ranks: Sequence[Sequence[float]]) -> RankResult:
    """Do the judges' rankings differ more than by chance?

    Exact for small panels without ties; otherwise chi-square with p - 1 degrees
    of freedom, corrected for ties. Source: ISO 8587; Friedman 1937.
    """
    sums = rank_sums(ranks)
    judges, samples = len(ranks), len(sums)
    tied = sum(t**3 - t for row in ranks for t in Counter(row).values())
    value = _statistic(sums, judges)
    if tied:
        rest = 1 - tied / (judges * (samples**3 - samples))
        if rest <= 0:
            return RankResult(0.0, 1.0, exact=False, rank_sums=sums)
        value /= rest
    elif _has_exact(judges, samples):
        counts = _friedman_counts(judges, samples)
        reached = sum(c for v, c in counts if v >= value - _CLOSE)
        return RankResult(value, reached / math.factorial(samples) ** judges, True, sums)
    return RankResult(value, _chi_square_tail(value, samples - 1), exact=False, rank_sums=sums)


def _least_significant(
    counts: Iterable[tuple[_Value, int]], judges: int, samples: int, alpha: float
) -> _Value:
    """Smallest value whose upper tail, counted from the largest down, is within ``alpha``."""
    allowed = alpha * math.factorial(samples) ** judges
    found: _Value | None = None
    reached = 0
    for value, count in counts:
        reached += count
        if reached > allowed:
            break
        found = value
    if found is None:
        raise ValueError(f"no ranking of {judges} judges can be significant at {alpha}")
    return found


def friedman_critical(judges: int, samples: int, alpha: float = 0.05) -> float:
    """Smallest Friedman statistic that is significant at ``alpha``.

    Exact where counting is feasible, else the chi-square limit. Raises
    ``ValueError`` when no ranking of a panel this small can be significant.
    """
    _size(judges, samples)
    if not 0 < alpha < 1:
        raise ValueError(f"alpha must lie between 0 and 1, got {alpha}")
    if _has_exact(judges, samples):
        return _least_significant(_friedman_counts(judges, samples), judges, samples, alpha)
    low, high = 0.0, 500.0
    while high - low > 1e-10:
        middle = (low + high) / 2
        if _chi_square_tail(middle, samples - 1) > alpha:
            low = middle
        else:
            high = middle
    return high


@lru_cache(maxsize=32)
def _page_counts(judges: int, samples: int) -> tuple[tuple[int, int], ...]:
    one: Counter[int] = Counter(
        sum(place * rank for place, rank in enumerate(row, start=1))
        for row in permutations(range(1, samples + 1))
    )
    total: dict[int, int] = {0: 1}
    for _ in range(judges):
        following: dict[int, int] = {}
        for value, count in total.items():
            for step, ways in one.items():
                following[value + step] = following.get(value + step, 0) + count * ways
        total = following
    return tuple(sorted(total.items(), reverse=True))


def _page_exact(judges: int, samples: int) -> bool:
    return samples <= _EXACT_SAMPLES + 1 and judges <= _PAGE_JUDGES


def _page_moments(judges: int, samples: int) -> tuple[float, float]:
    mean = judges * samples * (samples + 1) ** 2 / 4
    variance = judges * samples**2 * (samples + 1) ** 2 * (samples - 1) / 144
    return mean, math.sqrt(variance)


def page(ranks: Sequence[Sequence[float]]) -> RankResult:
    """Do the judges rank the samples in the order in which they are listed?

    L = sum of place x rank sum. Exact without ties up to 6 samples and 60
    judges, else the normal approximation. Source: ISO 8587; Page, J. Am. Stat.
    Assoc. 58 (1963) 216.
    """
    sums = rank_sums(ranks)
    judges, samples = len(ranks), len(sums)
    value = math.fsum(place * s for place, s in enumerate(sums, start=1))
    tied = any(len(set(row)) < samples for row in ranks)
    if not tied and _page_exact(judges, samples):
        reached = sum(c for v, c in _page_counts(judges, samples) if v >= value - _CLOSE)
        return RankResult(value, reached / math.factorial(samples) ** judges, True, sums)
    mean, deviation = _page_moments(judges, samples)
    tail = 0.5 * math.erfc((value - mean) / deviation / math.sqrt(2))
    return RankResult(value, tail, exact=False, rank_sums=sums)


def page_critical(judges: int, samples: int, alpha: float = 0.05) -> int:
    """Smallest Page L that is significant at ``alpha`` for a stated order."""
    _size(judges, samples)
    if not 0 < alpha < 1:
        raise ValueError(f"alpha must lie between 0 and 1, got {alpha}")
    if _page_exact(judges, samples):
        return _least_significant(_page_counts(judges, samples), judges, samples, alpha)
    from statistics import NormalDist

    mean, deviation = _page_moments(judges, samples)
    return math.ceil(mean + NormalDist().inv_cdf(1 - alpha) * deviation + 0.5)
