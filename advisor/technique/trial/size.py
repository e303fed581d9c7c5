"""Which test, how many tasters: the power of each test for a difference that matters.

Exact binomial for picking tests, the exact law of Page's L for rankings (the law of one
taster's ranking is drawn by a seed), Student's noncentral t for scores. Where several samples are
held against the control, each is counted at alpha over their number, as Holm's first step is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from random import Random
from typing import TYPE_CHECKING

from advisor.science import ranking, tasting
from advisor.technique.trial.methods import TESTS
from advisor.technique.trial.student import paired_power

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["POWER", "Size", "found_by", "least_flights", "power_of", "sizes", "tasters_needed"]

POWER = 0.8
"""The power that a panel is sized for: 8 panels in 10 find the difference (convention)."""

_DRAWS = 8_000
_MOST_TASTERS = 400
_LARGEST_D = 6.0


@dataclass(frozen=True, slots=True)
class Size:
    """What one test asks of a panel.

    ``tasters`` reach ``POWER`` for the wanted difference, ``None`` beyond 400. ``power`` is what
    the panel at hand has, ``finds`` the smallest d' that it finds with ``POWER`` (``None`` above
    6). ``cups`` and ``ml`` are for one taster, in all repeats.
    """

    test: str
    tasters: int | None
    power: float
    finds: float | None
    cups: int
    ml: float


def _method(test: str) -> str:
    return TESTS[test].method


def least_flights(test: str, treated: int, alpha: float = 0.05) -> int:
    """Fewest flights for one sample with which any answers at all could be significant."""
    limit = alpha / treated
    for flights in range(1, 200):
        if TESTS[test].kind == "rate":
            if 0.5**flights <= limit:
                return flights
        elif tasting.critical_count(_method(test), flights, limit) is not None:
            return max(2, flights) if TESTS[test].kind == "rank" else flights
    raise ValueError(f"alpha is {alpha:g}; no panel of 200 could reach it")


@lru_cache(maxsize=1024)
def power_of(test: str, flights: int, d: float, *, treated: int = 1, alpha: float = 0.05) -> float:
    """Chance that ``flights`` of each sample find a difference of ``d`` from the control.

    For ``rank`` that of the trend over all samples, the last of them ``d`` from the control and
    the others evenly between, or of a plain pair where there is one sample.
    """
    kind = TESTS[test].kind
    if kind == "rate":
        return paired_power(d, flights, alpha / treated)
    if kind == "rank" and treated > 1:
        return _trend_power(flights, treated + 1, round(d, 3), alpha)
    limit = alpha / treated
    return tasting.power(_method(test), flights, tasting.share_correct(_method(test), d), limit)


def _trend_power(flights: int, samples: int, d: float, alpha: float) -> float:
    if flights < 2:
        return 0.0
    try:
        needed = ranking.page_critical(flights, samples, alpha)
    except ValueError:
        return 0.0
    one = _one_ranking(samples, d)
    law = {0: 1.0}
    for _ in range(flights):
        following: dict[int, float] = {}
        for total, chance in law.items():
            for value, share in one:
                following[total + value] = following.get(total + value, 0.0) + chance * share
        law = following
    return min(1.0, math.fsum(chance for total, chance in law.items() if total >= needed))


@lru_cache(maxsize=128)
def _one_ranking(samples: int, d: float) -> tuple[tuple[int, float], ...]:
    """The law of one taster's part of Page's L where the samples rise evenly from 0 to ``d``."""
    rng = Random(20_04)  # noqa: S311  repeatable draws, no secret
    means = [d * place / (samples - 1) for place in range(samples)]
    counts: dict[int, int] = {}
    for _ in range(_DRAWS):
        felt = [mean + rng.gauss(0.0, 1.0) for mean in means]
        order = sorted(range(samples), key=felt.__getitem__)
        value = sum((place + 1) * (rank + 1) for rank, place in enumerate(order))
        counts[value] = counts.get(value, 0) + 1
    return tuple((value, n / _DRAWS) for value, n in sorted(counts.items()))


def tasters_needed(
    test: str, d: float, *, treated: int = 1, repeats: int = 1, alpha: float = 0.05
) -> int | None:
    """Fewest tasters whose power for ``d`` reaches ``POWER``; ``None`` beyond 400.

    Power saws a little with the count; for a ranking an earlier tooth may lie a taster lower.
    Flights count alike whoever tastes them; more flights of fewer tasters prove it for those
    tasters alone.
    """
    if not 0.0 < d <= _LARGEST_D:
        raise ValueError(f"d must lie above 0 and up to {_LARGEST_D:g}, got {d}")
    if TESTS[test].kind == "pick":
        # Power saws, so a near miss at the largest panel is not yet hopeless.
        if power_of(test, _MOST_TASTERS * repeats, d, treated=treated, alpha=alpha) < 0.7:
            return None
        try:
            flights = tasting.minimum_panel_for_d_prime(
                _method(test), d, alpha / treated, 1 - POWER
            ).first
        except ValueError:
            return None
        tasters = math.ceil(flights / repeats)
        return tasters if tasters <= _MOST_TASTERS else None
    return _first(
        lambda n: power_of(test, n * repeats, d, treated=treated, alpha=alpha) >= POWER,
        1,
        60 if TESTS[test].kind == "rank" else _MOST_TASTERS,
    )


def _first(reached: Callable[[int], bool], low: int, high: int) -> int | None:
    """Smallest whole number for which a rising condition holds; ``None`` if none does."""
    if not reached(high):
        return None
    while low < high:
        middle = (low + high) // 2
        if reached(middle):
            high = middle
        else:
            low = middle + 1
    return low


@lru_cache(maxsize=256)
def found_by(test: str, flights: int, *, treated: int = 1, alpha: float = 0.05) -> float | None:
    """The smallest difference (d') that this panel finds with ``POWER``; ``None`` above 6."""
    # A rank trend is drawn anew for every d', so its answer is kept to a coarser grid.
    grain = 0.1 if TESTS[test].kind == "rank" and treated > 1 else 0.01
    steps = _first(
        lambda n: power_of(test, flights, n * grain, treated=treated, alpha=alpha) >= POWER,
        1,
        round(_LARGEST_D / grain),
    )
    return None if steps is None else round(steps * grain, 2)


def sizes(
    d: float,
    *,
    tasters: int,
    treated: int = 1,
    repeats: int = 1,
    cup_ml: float = 15.0,
    alpha: float = 0.05,
    direction: bool = True,
) -> tuple[Size, ...]:
    """Every test side by side for a difference of ``d``, the smallest panel first.

    ``direction``: the sense is named and which way it should go is foretold; without that only
    the tests that ask for any difference at all are listed.
    """
    listed = []
    for test, about in TESTS.items():
        if about.named and not direction:
            continue
        flights = tasters * repeats
        everything = about.kind != "pick"
        cups = (treated + 1 if everything else treated * about.cups) * repeats
        cups += (1 if everything else treated) * repeats * about.reference
        listed.append(
            Size(
                test,
                tasters_needed(test, d, treated=treated, repeats=repeats, alpha=alpha),
                power_of(test, flights, d, treated=treated, alpha=alpha),
                found_by(test, flights, treated=treated, alpha=alpha),
                cups,
                cups * cup_ml,
            )
        )
    return tuple(sorted(listed, key=lambda s: (s.tasters is None, s.tasters or 0, s.cups)))
