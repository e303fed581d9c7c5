"""From the answers to the next dose: a curve fitted over a grid, with what was believed before.

For every value of the curve's unknown the rest is solved (scores, least squares) or tried
(picks and ranks, the binomial itself); its weight is likelihood times prior. The next dose is the
one that reaches the aim, read off at every value of the grid, so its interval is honest about all
that the answers leave open.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.science.estimate import Estimate
from advisor.technique.trial.curves import Curve, curve_for
from advisor.technique.trial.dials import DIALS, Dial
from advisor.technique.trial.grid import TOP, Candidate, Task, by_counts, by_scores, spread
from advisor.technique.trial.judge import table
from advisor.technique.trial.model import CONTROL

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from advisor.technique.trial.answers import Answer
    from advisor.technique.trial.judge import Judgement
    from advisor.technique.trial.model import Sample, Trial

__all__ = ["Fit", "NoFit", "Point", "fit"]

_FINEST = 0.5  # nobody scores finer than this, however well a panel agrees (judgement)
_LEARNT = 0.25  # of the width of what was believed, in decades (judgement)
_HALF, _MOST = 0.5, 0.75


@dataclass(frozen=True, slots=True)
class Point:
    """A level with what was observed there and the fitted curve with its 95 % interval.

    Scores as they were given; for picks and ranks the size of the difference, d', with ``None``
    where it has no limit.
    """

    level: float
    observed: float | None
    fitted: Estimate


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted curve and the dose that it proposes.

    ``unknown`` is what was learnt of the curve's unknown, ``prior`` what was believed before;
    ``learnt`` is the share of the prior's width (in decades) that the answers took away, and
    ``settled`` says whether they fix the curve. ``dose`` reaches the ``aim`` (``None`` where it
    is out of the dial's reach); ``outside``: it lies beyond the levels that were tried. ``levels``
    are worth trying next. ``at`` names the fixed level of a second dial.
    """

    dial: str
    at: str
    curve: Curve
    unknown: Estimate
    learnt: float
    settled: bool
    points: tuple[Point, ...]
    aim: str
    dose: Estimate | None
    outside: bool
    levels: tuple[float, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoFit:
    """Why no curve was fitted, and the levels that close in on the best one so far."""

    dial: str
    at: str
    reason: str
    levels: tuple[float, ...]


def fit(
    judgement: Judgement,
    answers: Sequence[Answer],
    *,
    aim: float | None = None,
    aim_score: float | None = None,
) -> tuple[Fit | NoFit, ...]:
    """Fit the dial's curve to the answers, once for every level of a second dial.

    ``aim`` (0 to 1, ends excluded) is how much of the sense should go where the dial lowers it
    (half if not said), or how much of the most that the dial can give should be reached where it
    raises it (three quarters). ``aim_score`` asks for a score instead and needs scores. A line has
    no top: without ``aim_score`` it aims at the difference that matters. Raises ``AdvisorError``
    (``trial-aim``) for an aim that cannot be.
    """
    trial = judgement.trial
    if aim is not None and aim_score is not None:
        raise AdvisorError("trial-aim", "give one aim", where="aim")
    if aim is not None and not 0.0 < aim < 1.0:
        raise AdvisorError(
            "trial-aim", f"an aim must lie between 0 and 100 %, got {100 * aim:g} %", where="aim"
        )
    if aim_score is not None and not (0.0 <= aim_score <= TOP and trial.test == "rate"):
        raise AdvisorError(
            "trial-aim", f"a score to aim at lies from 0 to 10 and needs scores, got {aim_score:g} "
            f"with the {trial.method.title}", where="aim score",
        )
    found: list[Fit | NoFit] = []
    for dial, at, samples in _series(trial):
        found.append(_fit_one(judgement, answers, dial, at, samples, aim, aim_score))
    return tuple(found)


def _series(trial: Trial) -> Iterator[tuple[str, str, tuple[Sample, ...]]]:
    """Each dial alone: its samples at one level of the other dial."""
    from advisor.quantities import say

    for dial in trial.dials:
        others = [d for d in trial.dials if d != dial]
        if not others:
            yield dial, "", trial.treated
            continue
        other = others[0]
        for level in sorted({s.settings[other] for s in trial.treated}):
            at = f"{other.replace('-', ' ')} {say(level, DIALS[other].unit)}"
            yield dial, at, tuple(s for s in trial.treated if s.settings[other] == level)


def _fit_one(
    judgement: Judgement,
    answers: Sequence[Answer],
    dial: str,
    at: str,
    samples: tuple[Sample, ...],
    aim: float | None,
    aim_score: float | None,
) -> Fit | NoFit:
    trial = judgement.trial
    samples = tuple(sorted(samples, key=lambda s: s.settings[dial]))
    curve = curve_for(trial.base, trial.asked, dial)
    reason = curve if isinstance(curve, str) else _unfit(trial, dial, samples)
    if isinstance(curve, str) or reason:
        return NoFit(dial, at, reason, _closing_in(judgement, dial, samples))
    sign = DIALS[dial].moves[trial.sense]
    levels = tuple(s.settings[dial] for s in samples)
    if trial.test == "rate":
        means, variance, freedom, flights = _means(trial, answers, samples)
        task = Task(dial, curve, sign, levels, trial.wanted, math.sqrt(variance), flights)
        found = by_scores(task, means, freedom)
    else:
        counts = {c.sample: (c.right, c.flights - c.ties) for c in judgement.comparisons}
        task = Task(dial, curve, sign, levels, trial.wanted, 1.0, judgement.answered)
        found = by_counts(task, trial.method.method, [counts[s.id] for s in samples])
    return _read_off(judgement, task, found, dial, at, samples, aim, aim_score)


def _unfit(trial: Trial, dial: str, samples: Sequence[Sample]) -> str:
    if len(trial.dials) > 1 and len({DIALS[d].operation for d in trial.dials}) > 1:
        return "the control lacks both operations, so neither dial has a fair zero"
    if trial.sense not in DIALS[dial].moves or (trial.method.named and trial.foretold == 0):
        return f"which way {trial.asked.title} should go with {dial.replace('-', ' ')} is not known"
    if not trial.method.named:
        return (
            f"a {trial.method.title} does not say which way cups differ; scores or a ranking at "
            "three levels would"
        )
    if len(samples) < 2:
        return "one level tells nothing of a curve; it takes two, better three"
    return ""


def _closing_in(judgement: Judgement, dial: str, samples: Sequence[Sample]) -> tuple[float, ...]:
    """Levels between the best one so far and its neighbours, where there is a best one."""
    trial = judgement.trial
    sign = DIALS[dial].moves.get(trial.sense, 0)
    means = dict(judgement.means)
    levels = [s.settings[dial] for s in samples]
    if not sign or not means or len(levels) < 2:
        return ()
    best = max(range(len(levels)), key=lambda i: sign * means[samples[i].id])
    near = [levels[i] for i in (best - 1, best, best + 1) if 0 <= i < len(levels)]
    return tuple(
        sorted({levels[best], *(_tidy(math.sqrt(a * b)) for a, b in pairwise(near))})
    )


def _tidy(value: float) -> float:
    """Two digits: no finer dose can be told apart."""
    if value <= 0.0:
        return value
    place = 1 - math.floor(math.log10(value))
    return round(value, place)


def _means(
    trial: Trial, answers: Sequence[Answer], samples: Sequence[Sample]
) -> tuple[list[float], float, int, int]:
    """Mean scores of control and samples, residual variance, its degrees of freedom, flights."""
    place = {s.id: i for i, s in enumerate(trial.samples)}
    columns = [place[CONTROL], *(place[s.id] for s in samples)]
    rows = [[row[i] for i in columns] for row in table(trial, answers)]
    n, k = len(rows), len(columns)
    means = [math.fsum(c) / n for c in zip(*rows, strict=True)]
    grand = math.fsum(means) / k
    squares = math.fsum(
        (x - math.fsum(row) / k - mean + grand) ** 2
        for row in rows
        for x, mean in zip(row, means, strict=True)
    )
    freedom = max(1, (n - 1) * (k - 1))
    return means, max(_FINEST**2, squares / freedom), freedom, n


def _read_off(
    judgement: Judgement,
    task: Task,
    found: Sequence[Candidate],
    dial: str,
    at: str,
    samples: Sequence[Sample],
    aim: float | None,
    aim_score: float | None,
) -> Fit:
    low, middle, high = spread([c.unknown for c in found], found)
    unknown = Estimate(middle, low, high, task.curve.unit)
    learnt = _learnt(task.curve, unknown)
    trend = any(o.p <= judgement.trial.alpha for o in judgement.overall) or any(
        c.found for c in judgement.comparisons
    )
    settled = trend and (learnt >= _LEARNT or task.curve.id == "line")
    said, doses = _doses(judgement, task, found, aim, aim_score)
    dose, remarks = _dose(DIALS[dial], doses, found)
    outside = dose is not None and not task.levels[0] <= dose.value <= task.levels[-1]
    if not settled:
        remarks.insert(0, _unsettled(trend))
    if outside and dose is not None:
        side = "below the lowest" if dose.value < task.levels[0] else "above the highest"
        remarks.append(f"That is {side} level that anybody has tasted: try it before trusting it.")
    if not task.lowers and task.curve.id != "line":
        remarks.append(_reached(task, found))
    points = _points(judgement, task, found, samples)
    remarks += _misfit(task, points, judgement.trial.test == "rate")
    return Fit(
        dial, at, task.curve, unknown, learnt, settled, points, said, dose, outside,
        _next_levels(dial, dose), tuple(remarks),
    )  # fmt: skip


def _reached(task: Task, found: Sequence[Candidate]) -> str:
    """How near the highest level comes to the top of the curve."""
    top = task.levels[-1]
    low, value, high = spread([100.0 * task.curve.share(top, c.unknown) for c in found], found)
    return (
        f"The highest level tried ({top:g} {DIALS[task.dial].unit}) brings about {value:.0f} % "
        f"({low:.0f} to {high:.0f}) of the most that the dial can give."
    )


def _learnt(curve: Curve, unknown: Estimate) -> float:
    before = math.log(curve.prior.high / curve.prior.low) if curve.prior.low > 0 else 0.0
    if before <= 0.0:
        return 0.0
    return min(1.0, max(0.0, 1.0 - math.log(unknown.high / unknown.low) / before))


def _unsettled(trend: bool) -> str:
    if not trend:
        return (
            "The answers show no difference between the samples, so they cannot fix the curve: "
            "this dose is what was believed before anybody tasted."
        )
    return (
        "The answers cannot fix the curve: several very different ones fit them about as well. The "
        "dose rests mostly on what was believed before; a level further out would tell more."
    )


def _doses(
    judgement: Judgement,
    task: Task,
    found: Sequence[Candidate],
    aim: float | None,
    aim_score: float | None,
) -> tuple[str, list[float]]:
    """What is aimed at, and the dose that reaches it for every candidate (``inf``: none does)."""
    sense = judgement.trial.asked.title
    scores = judgement.trial.test == "rate"
    if aim_score is not None:
        return f"a score of {aim_score:g} for {sense}", [
            _dose_of(task, c, (aim_score - c.start) / c.whole if c.whole else math.inf)
            for c in found
        ]
    if task.curve.id == "line":
        return f"a difference from the control of d' {task.wanted:g}, the one that matters", [
            _dose_of(task, c, task.wanted * task.unit / c.whole if c.whole else math.inf)
            for c in found
        ]
    if task.lowers and scores:
        share = _HALF if aim is None else aim
        said = f"{100 * share:.0f} % less {sense} than the control"
        return said, [
            _dose_of(task, c, share * c.start / -c.whole if c.whole else math.inf) for c in found
        ]
    share = (_MOST if task.sign > 0 else _HALF) if aim is None else aim
    most = "that the dial can take away" if task.lowers else "that the dial can give"
    return f"{100 * share:.0f} % of the most {sense} {most}", [
        _dose_of(task, c, share) for c in found
    ]


def _dose_of(task: Task, candidate: Candidate, share: float) -> float:
    if share <= 0.0:
        return 0.0
    if not math.isfinite(share) or (share >= 1.0 and task.curve.id != "line"):
        return math.inf
    return task.curve.dose(share, candidate.unknown)


def _dose(
    dial: Dial, doses: Sequence[float], found: Sequence[Candidate]
) -> tuple[Estimate | None, list[str]]:
    low, value, high = spread(doses, found)
    least, most = dial.low, dial.high
    if value > most:
        return None, [
            "The aim is out of this dial's reach, or the answers do not show how to reach it: "
            "lower the aim, wash twice or turn another dial."
        ]
    remarks = []
    if high > most:
        remarks.append("The upper end is cut at what the dial allows; the aim may not be reached.")
    if value < least:
        remarks.append("Less than the dial's least amount would do: the control is there already.")
    value = min(max(value, least), most)
    return Estimate(value, min(value, max(low, least)), max(value, min(high, most))), remarks


def _next_levels(dial: str, dose: Estimate | None) -> tuple[float, ...]:
    """The proposed dose between one below and one above, about half its interval away."""
    about = DIALS[dial]
    if dose is None:
        return ()
    ratio = math.sqrt(dose.high / dose.low) if dose.low > 0 else about.step
    factor = min(about.step, max(1.15, math.sqrt(ratio)))
    around = (dose.value / factor, dose.value, dose.value * factor)
    return tuple(sorted({_tidy(min(max(x, about.low), about.high)) for x in around}))


def _points(
    judgement: Judgement, task: Task, found: Sequence[Candidate], samples: Sequence[Sample]
) -> tuple[Point, ...]:
    means = dict(judgement.means)
    sizes = {c.sample: c.d.value for c in judgement.comparisons}
    scores = judgement.trial.test == "rate"
    rows: list[tuple[float, float | None]] = [(0.0, means[CONTROL])] if scores else []
    rows += [(s.settings[task.dial], means[s.id] if scores else sizes[s.id]) for s in samples]
    points = []
    for level, observed in rows:
        fitted = [
            c.start + c.whole * (task.curve.share(level, c.unknown) if level else 0.0)
            for c in found
        ]
        low, middle, high = spread(fitted, found)
        points.append(Point(level, observed, Estimate(middle, low, high)))
    return tuple(points)


def _misfit(task: Task, points: Sequence[Point], scores: bool) -> list[str]:
    """A warning where a level lies far off the fitted curve."""
    noise = 2.6 * task.unit / math.sqrt(task.flights)
    off = [
        f"{p.level:g}"
        for p in points
        if scores and p.observed is not None and abs(p.observed - p.fitted.value) > max(0.5, noise)
    ]
    if not off:
        return []
    return [
        f"The curve misses what was scored at {', '.join(off)}: something else may be at work."
    ]
