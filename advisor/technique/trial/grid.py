"""Weighing every curve of a grid by how well it fits the answers and what was believed before."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

from advisor.science import tasting

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from advisor.technique.trial.curves import Curve

__all__ = ["TOP", "Candidate", "Task", "by_counts", "by_scores", "spread"]

TOP = 10.0
"""The highest score of the scale."""

_PARTS = tuple(0.5 + 0.05 * i for i in range(11))
_SIZES = tuple(0.1 * 1.1**i for i in range(50))
_NOTHING = 1e-5  # of all weight: too little to move any interval
_FAR = 25.0  # in logs: such a candidate is lost among the others
_STEPS = tuple(0.7 * i for i in range(-3, 4))
_SHIFTS = (-1.8, -0.9, 0.0, 0.9, 1.8)


@dataclass(frozen=True, slots=True)
class Task:
    """What is fitted: a curve at ``levels`` of ``dial``; ``sign`` is the way the sense goes.

    ``unit`` is one unit of d' on the scale that is fitted (the spread of one score, or 1 where d'
    itself is fitted), ``flights`` what every mean rests on.
    """

    dial: str
    curve: Curve
    sign: int
    levels: tuple[float, ...]
    wanted: float
    unit: float
    flights: int

    @property
    def lowers(self) -> bool:
        """Whether more of the dial lowers the sense."""
        return self.sign < 0


@dataclass(frozen=True, slots=True)
class Candidate:
    """One point of the grid: the curve's unknown, where it starts, its whole effect, its weight."""

    unknown: float
    start: float
    whole: float
    weight: float


def by_scores(task: Task, means: Sequence[float], freedom: int) -> list[Candidate]:
    """Candidates for mean scores of the control and of every level, in that order.

    Their spread is ``task.unit`` with ``freedom`` degrees of freedom, so the likelihood is
    Student's. What is linear is solved and moved through its own error. Weights add up to 1.
    """
    return _twice(task, lambda closer: _scored(closer, means, freedom))


def _twice(task: Task, weigh: Callable[[Task], list[Candidate]]) -> list[Candidate]:
    """Weigh the whole grid, then a finer one over the part of it that counts."""
    found = weigh(task)
    grid = task.curve.grid
    if len(grid) < 2:
        return found
    shares = dict.fromkeys(grid, 0.0)
    for candidate in found:
        shares[candidate.unknown] += candidate.weight
    counts = [i for i, unknown in enumerate(grid) if shares[unknown] > _NOTHING]
    first, last = max(0, counts[0] - 1), min(len(grid) - 1, counts[-1] + 1)
    if last - first > len(grid) // 2:
        return found
    low, high = math.log(grid[first]), math.log(grid[last])
    steps = len(grid) - 1
    finer = tuple(math.exp(low + (high - low) * i / steps) for i in range(len(grid)))
    return weigh(replace(task, curve=replace(task.curve, grid=finer)))


def _scored(task: Task, means: Sequence[float], freedom: int) -> list[Candidate]:
    levels = (0.0, *task.levels)
    variance = task.unit**2
    found = []
    for unknown in task.curve.grid:
        shares = [task.curve.share(x, unknown) if x else 0.0 for x in levels]
        prior = task.curve.log_prior(unknown)
        for start, whole in _solved(task, shares, means):
            misfit = math.fsum(
                (y - start - whole * f) ** 2 for y, f in zip(means, shares, strict=True)
            )
            spread = freedom * variance + task.flights * misfit
            log = -0.5 * (freedom + len(means)) * math.log(spread)
            found.append(Candidate(unknown, start, whole, log + prior))
    return _normal(found)


def _solved(
    task: Task, shares: Sequence[float], means: Sequence[float]
) -> Iterator[tuple[float, float]]:
    """Start and whole effect by least squares and around it, as far as the scale allows."""
    if task.lowers:
        # All of the tannin gone need not mean a score of 0: from half to all of it may go.
        for part in _PARTS:
            design = [1.0 - part * f for f in shares]
            below = math.fsum(d * d for d in design)
            middle = math.fsum(d * y for d, y in zip(design, means, strict=True)) / below
            step = task.unit / math.sqrt(task.flights * below)
            for away in _STEPS:
                start = max(0.0, middle + away * step)
                yield start, -part * start
        return
    n = len(means)
    middle_f, middle_y = math.fsum(shares) / n, math.fsum(means) / n
    below = math.fsum((f - middle_f) ** 2 for f in shares)
    if below <= 0.0:  # a curve that is at its top from the first drop
        yield middle_y, 0.0
        return
    slope = (
        math.fsum((f - middle_f) * (y - middle_y) for f, y in zip(shares, means, strict=True))
        / below
    )
    step = task.unit / math.sqrt(task.flights * below)
    shift = task.unit / math.sqrt(task.flights * n)
    for away, aside in product(_STEPS, _SHIFTS):
        whole = max(0.0, slope + away * step)
        start = middle_y + aside * shift - whole * middle_f
        if task.curve.id != "line" and start + whole > TOP:
            # The whole effect cannot pass the top of the scale.
            start = max(0.0, (middle_y - TOP * middle_f) / max(1e-9, 1.0 - middle_f))
            whole = TOP - start
        yield start, whole


def by_counts(task: Task, method: str, counts: Sequence[tuple[int, int]]) -> list[Candidate]:
    """Candidates for (right, of how many) at every level; the whole effect is a d'."""
    return _twice(task, lambda closer: _counted(closer, method, counts))


def _counted(
    task: Task, method: str, counts: Sequence[tuple[int, int]]
) -> list[Candidate]:
    found = []
    for unknown in task.curve.grid:
        shares = [task.curve.share(x, unknown) for x in task.levels]
        for whole in _SIZES:
            log = task.curve.log_prior(unknown)
            for share, (right, flights) in zip(shares, counts, strict=True):
                p = tasting.share_correct(method, min(10.0, whole * share))
                p = min(1.0 - 1e-12, p)
                log += right * math.log(p) + (flights - right) * math.log1p(-p)
            found.append(Candidate(unknown, 0.0, whole, log))
    return _normal(found)


def _normal(found: Sequence[Candidate]) -> list[Candidate]:
    top = max(c.weight for c in found)
    kept = [c for c in found if c.weight > top - _FAR]
    weights = [math.exp(c.weight - top) for c in kept]
    total = math.fsum(weights)
    return [replace(c, weight=w / total) for c, w in zip(kept, weights, strict=True)]


def spread(values: Sequence[float], found: Sequence[Candidate]) -> tuple[float, float, float]:
    """Weighted 2.5 %, 50 % and 97.5 % points of a value of every candidate; may be ``inf``."""
    ordered = sorted(zip(values, (c.weight for c in found), strict=True))
    points: list[float] = []
    passed = 0.0
    for value, weight in ordered:
        passed += weight
        while len(points) < 3 and passed >= (0.025, 0.5, 0.975)[len(points)] - 1e-12:
            points.append(value)
    points += [ordered[-1][0]] * (3 - len(points))
    return points[0], points[1], points[2]
