"""Rank tests for three or more samples: Friedman (any difference) and Page (a stated order).

Both follow ISO 8587. Small panels get exact probabilities by counting every way
the judges could have ranked, ties as they gave them; large ones the usual approximations.
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
    """A rank statistic, its p-value, and how that was come by.

    ``how`` is ``exact`` (every ranking counted), ``chi-square approximation`` or ``normal
    approximation``.
    """

    statistic: float
    p_value: float
    how: str
    rank_sums: tuple[float, ...]

    @property
    def exact(self) -> bool:
        """Whether every ranking was counted."""
        return self.how == "exact"


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


@lru_cache(maxsize=64)
def _spread_counts(rows: tuple[tuple[int, ...], ...]) -> dict[int, int]:
    """Every sum of squares of the column sums about their mean, with the rankings that give it.

    ``rows`` are each judge's doubled ranks, so that shared ranks are whole too; the squares are
    of doubled sums. Samples are interchangeable, so states are kept sorted: this shrinks the walk
    by up to p! without changing any count.
    """
    samples = len(rows[0])
    states: dict[tuple[int, ...], int] = {tuple(sorted(rows[0])): math.factorial(samples)}
    for row in rows[1:]:
        ways = Counter(permutations(row))
        following: dict[tuple[int, ...], int] = {}
        for sums, count in states.items():
            for other, times in ways.items():
                key = tuple(sorted(a + b for a, b in zip(sums, other, strict=True)))
                following[key] = following.get(key, 0) + count * times
        states = following
    totals: Counter[int] = Counter()
    middle = len(rows) * (samples + 1)
    for sums, count in states.items():
        totals[sum((s - middle) ** 2 for s in sums)] += count
    return dict(totals)


def _doubled(row: Sequence[float]) -> tuple[int, ...]:
    return tuple(round(2 * rank) for rank in row)


def _friedman_counts(judges: int, samples: int) -> tuple[tuple[float, int], ...]:
    """Every attainable statistic without ties and the rankings that give it, highest first."""
    totals = _spread_counts((tuple(range(2, 2 * samples + 1, 2)),) * judges)
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

    Exact for small panels, each judge's ties kept; otherwise chi-square with p - 1 degrees
    of freedom, corrected for ties. Source: ISO 8587; Friedman 1937.
    """
    sums = rank_sums(ranks)
    judges, samples = len(ranks), len(sums)
    tied = sum(t**3 - t for row in ranks for t in Counter(row).values())
    value = _statistic(sums, judges)
    if tied:
        rest = 1 - tied / (judges * (samples**3 - samples))
        if rest <= _CLOSE:
            return RankResult(0.0, 1.0, "exact", sums)  # nobody told any two apart
        value /= rest
    if _has_exact(judges, samples):
        # Who ranked first changes nothing: the walk is the shortest with the ties at the end.
        rows = sorted((tuple(sorted(_doubled(row))) for row in ranks), key=lambda r: -len(set(r)))
        seen = sum(round(2 * s - judges * (samples + 1)) ** 2 for s in sums)
        reached = sum(c for square, c in _spread_counts(tuple(rows)).items() if square >= seen)
        return RankResult(value, reached / math.factorial(samples) ** judges, "exact", sums)
    tail = _chi_square_tail(value, samples - 1)
    return RankResult(value, tail, "chi-square approximation", sums)


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


@lru_cache(maxsize=128)
def _page_row(row: tuple[int, ...]) -> dict[int, int]:
    """What one judge may add to doubled L, and in how many ways."""
    return Counter(
        sum(place * rank for place, rank in enumerate(order, start=1))
        for order in permutations(row)
    )


@lru_cache(maxsize=64)
def _page_laws(rows: tuple[tuple[int, ...], ...]) -> dict[int, int]:
    """Every doubled L of judges with these doubled ranks, and the rankings that give it."""
    total: dict[int, int] = {0: 1}
    for row in rows:
        following: dict[int, int] = {}
        for value, count in total.items():
            for step, ways in _page_row(row).items():
                following[value + step] = following.get(value + step, 0) + count * ways
        total = following
    return total


def _page_counts(judges: int, samples: int) -> tuple[tuple[int, int], ...]:
    law = _page_laws((tuple(range(2, 2 * samples + 1, 2)),) * judges)
    return tuple((value // 2, law[value]) for value in sorted(law, reverse=True))


def _page_exact(judges: int, samples: int) -> bool:
    return samples <= _EXACT_SAMPLES + 1 and judges <= _PAGE_JUDGES


def _page_moments(judges: int, samples: int) -> tuple[float, float]:
    mean = judges * samples * (samples + 1) ** 2 / 4
    variance = judges * samples**2 * (samples + 1) ** 2 * (samples - 1) / 144
    return mean, math.sqrt(variance)


def page(ranks: Sequence[Sequence[float]]) -> RankResult:
    """Do the judges rank the samples in the order in which they are listed?

    L = sum of place x rank sum. Exact up to 6 samples and 60 judges, each judge's ties kept;
    else the normal approximation with the variance that these ties leave. Source: ISO 8587;
    Page, J. Am. Stat. Assoc. 58 (1963) 216; the variance is that of a permutation.
    """
    sums = rank_sums(ranks)
    judges, samples = len(ranks), len(sums)
    value = math.fsum(place * s for place, s in enumerate(sums, start=1))
    rows = tuple(sorted(tuple(sorted(_doubled(row))) for row in ranks))
    if all(len(set(row)) == 1 for row in rows):
        return RankResult(value, 1.0, "exact", sums)  # nobody told any two apart
    if _page_exact(judges, samples):
        reached = sum(c for v, c in _page_laws(rows).items() if v >= 2 * value - _CLOSE)
        return RankResult(value, reached / math.factorial(samples) ** judges, "exact", sums)
    mean = _page_moments(judges, samples)[0]
    places = samples * (samples**2 - 1) / 12
    middle = (samples + 1) / 2
    variance = math.fsum(
        places * math.fsum((rank - middle) ** 2 for rank in row) / (samples - 1) for row in ranks
    )
    tail = 0.5 * math.erfc((value - mean) / math.sqrt(2.0 * variance))
    return RankResult(value, tail, "normal approximation", sums)


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
