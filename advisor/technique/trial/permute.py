"""Tests on scores that assume no bell curve: signs flipped, or cups exchanged, within a flight.

Where no cup differs, every exchange within a flight was as likely as what was seen, so the share
of exchanges that come out at least as far is the p-value. Counted exactly where that is
feasible, else drawn by a seed with the error of the draw stated. Source: Fisher, The Design of
Experiments (1935), section 21; Edgington & Onghena, Randomization Tests, 2007 (recalled).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import permutations, product
from random import Random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = ["Chance", "holm", "signs", "within_flights"]

_MOST_STATES = 20_000
_MOST_ROWS = 50_000
_FEW = 720
_DRAWS = 10_000
_GRAIN = 10_000  # scores and their sums are kept in ten-thousandths


@dataclass(frozen=True, slots=True)
class Chance:
    """A p-value (0 to 1), whether it was counted exactly, and else the error of the draw.

    ``error`` is one standard error; 0 where ``exact``.
    """

    p: float
    exact: bool
    error: float = 0.0

    @property
    def how(self) -> str:
        """``exact`` or ``drawn``."""
        return "exact" if self.exact else "drawn"


def signs(differences: Sequence[float], *, seed: int = 1, two_sided: bool = False) -> Chance:
    """Chance of a sum of differences at least this high if each could as well be its negative.

    Above 0 is the direction that was foretold; ``two_sided`` counts both. Differences of 0
    decide nothing. Exact unless the scores are so fine that too many sums would have to be
    kept; then 10 000 draws by ``seed``. ``ValueError`` without differences.
    """
    steps = _whole(differences)
    total = abs(sum(steps)) if two_sided else sum(steps)
    sizes = sorted(abs(step) for step in steps if step)  # no answer hangs on who came first
    if not sizes or (two_sided and total == 0):
        return Chance(1.0, exact=True)
    counts = _sums(sizes)
    if counts is not None:
        ways = 2 ** len(sizes)
        reached = sum(n for s, n in counts.items() if (abs(s) if two_sided else s) >= total)
        return Chance(reached / ways, exact=True)
    rng = Random(seed)  # noqa: S311  repeatable draws, no secret
    reached = 0
    for _ in range(_DRAWS):
        drawn = sum(size if rng.random() < 0.5 else -size for size in sizes)
        reached += (abs(drawn) if two_sided else drawn) >= total
    return _drawn(reached)


def _whole(numbers: Sequence[float]) -> list[int]:
    if not numbers:
        raise ValueError("differences must hold at least one number, got none")
    if not all(map(math.isfinite, numbers)):
        raise ValueError(f"differences must be finite, got {list(numbers)}")
    whole = [round(number * _GRAIN) for number in numbers]
    common = math.gcd(*whole) or 1
    return [number // common for number in whole]


def _sums(sizes: Sequence[int]) -> dict[int, int] | None:
    """Every sum of +-sizes with the number of ways to it; ``None`` when there are too many."""
    counts = {0: 1}
    for size in sizes:
        following: dict[int, int] = {}
        for total, ways in counts.items():
            for end in (total + size, total - size):
                following[end] = following.get(end, 0) + ways
        if len(following) > _MOST_STATES:
            return None
        counts = following
    return counts


def _drawn(reached: int) -> Chance:
    # What was seen counts as one draw, so the p-value is never 0 (Davison & Hinkley 1997, 4.2).
    p = (reached + 1) / (_DRAWS + 1)
    return Chance(p, exact=False, error=math.sqrt(p * (1 - p) / _DRAWS))


def within_flights(rows: Sequence[Sequence[float]], *, seed: int = 1) -> Chance:
    """Chance that the mean scores of the columns lie this far apart if no cup differs.

    Each row holds one flight's scores in the order of the samples; the statistic is the sum
    of squares of the column sums about their mean. ``ValueError`` unless there are at least two
    columns and all rows have as many.
    """
    if not rows or len({len(row) for row in rows}) != 1 or len(rows[0]) < 2:
        raise ValueError("rows must be one or more flights of the same two or more cups")
    columns = len(rows[0])
    flat = _whole([score for row in rows for score in row])
    whole = [flat[i : i + columns] for i in range(0, len(flat), columns)]
    # Only differences within a flight count, and they are all that may be exchanged.
    whole = [[columns * s - sum(row) for s in row] for row in whole]
    whole = sorted(row for row in whole if any(row))  # no answer hangs on who came first
    if not whole:
        return Chance(1.0, exact=True)
    seen = _spread(whole)
    arrangements = math.factorial(columns)
    if arrangements ** (len(whole) - 1) <= _MOST_ROWS:
        ways = reached = 0
        for others in _arrangements(whole[1:]):
            ways += 1
            reached += _spread([whole[0], *others]) >= seen
        return Chance(reached / ways, exact=True)
    rng = Random(seed)  # noqa: S311  repeatable draws, no secret
    # All arrangements of a row, where there are few, are picked from faster than made.
    ready = [tuple(permutations(row)) for row in whole] if arrangements <= _FEW else None
    reached = 0
    for _ in range(_DRAWS):
        if ready is None:
            drawn: list[Sequence[int]] = [_shuffled(row, rng) for row in whole]
        else:
            drawn = [some[int(rng.random() * arrangements)] for some in ready]
        reached += _spread(drawn) >= seen
    return _drawn(reached)


def _arrangements(rows: Sequence[Sequence[int]]) -> Iterator[tuple[tuple[int, ...], ...]]:
    return product(*(tuple(permutations(row)) for row in rows))


def _shuffled(row: Sequence[int], rng: Random) -> list[int]:
    return [row[i] for i in sorted(range(len(row)), key=lambda _: rng.random())]


def _spread(rows: Sequence[Sequence[int]]) -> int:
    return sum(total * total for total in map(sum, zip(*rows, strict=True)))


def holm(ps: Sequence[float]) -> tuple[float, ...]:
    """p-values raised for having looked several times (Holm, Scand. J. Stat. 6 (1979) 65).

    Same order as given; none is below its own or above 1.
    """
    if not all(0.0 <= p <= 1.0 for p in ps):
        raise ValueError(f"p-values must lie from 0 to 1, got {list(ps)}")
    raised = [0.0] * len(ps)
    highest = 0.0
    for place, index in enumerate(sorted(range(len(ps)), key=lambda i: ps[i])):
        highest = max(highest, min(1.0, (len(ps) - place) * ps[index]))
        raised[index] = highest
    return tuple(raised)
