"""Serving orders and codes: balanced, shuffled by a seed, and the same for that seed anywhere.

Only ``Random.random`` is used: its sequence for a seed is promised to stay the same, that of
``shuffle`` and ``sample`` is not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from random import Random

__all__ = ["CODES", "balanced_after", "blocks", "codes", "shuffled", "williams"]

CODES: tuple[str, ...] = tuple(str(n) for n in range(100, 1000) if len(set(str(n))) > 1)
"""Three digits, the first not 0; 111 and its like catch the eye and are left out."""

_T = TypeVar("_T")


def shuffled(items: Sequence[_T], rng: Random) -> list[_T]:
    """The items in an order drawn by ``rng`` (Fisher & Yates)."""
    drawn = list(items)
    for last in range(len(drawn) - 1, 0, -1):
        other = int(rng.random() * (last + 1))
        drawn[last], drawn[other] = drawn[other], drawn[last]
    return drawn


def codes(count: int, rng: Random) -> list[str]:
    """``count`` different codes. ``AdvisorError`` when there are not that many."""
    if count > len(CODES):
        raise AdvisorError(
            "trial-too-many-cups",
            f"{count} cups need a code of their own and there are {len(CODES)} codes",
            hint="fewer tasters or repeats, or the same codes for every taster",
        )
    return shuffled(CODES, rng)[:count]


def williams(samples: int) -> tuple[tuple[int, ...], ...]:
    """Orders in which every sample stands equally often in each place and after each other.

    One square for an even number of samples, two for an odd one. 2 to 12 samples. Source:
    Williams, Aust. J. Sci. Res. A 2 (1949) 149; MacFie et al., J. Sens. Stud. 4 (1989) 129.
    """
    if isinstance(samples, bool) or not isinstance(samples, int) or not 2 <= samples <= 12:
        raise ValueError(f"samples must be a whole number from 2 to 12, got {samples!r}")
    # 0, 1, last, 2, last but one ...: neighbours differ by every step once.
    first = [(i + 1) // 2 if i % 2 else (samples - i // 2) % samples for i in range(samples)]
    rows = [tuple((place + turn) % samples for place in first) for turn in range(samples)]
    if samples % 2 == 1:
        rows += [row[::-1] for row in rows]
    return tuple(rows)


def blocks(patterns: Sequence[_T], count: int, rng: Random) -> list[_T]:
    """``count`` patterns: whole shuffled blocks of all, then a part of one more.

    No pattern is used twice before every other was used once.
    """
    drawn: list[_T] = []
    while len(drawn) < count:
        drawn += shuffled(patterns, rng)
    return drawn[:count]


def balanced_after(samples: int) -> int:
    """How many flights it takes for the orders to balance out; multiples of it do as well."""
    return len(williams(samples))
