"""What a class can do, what it confuses, and what to set next: data only."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean
from typing import TYPE_CHECKING

from advisor.drills.items import Item, item_table
from advisor.drills.mastery import Mastery, masteries
from advisor.drills.schedule import Due, plan
from advisor.evaluation.scores import wilson

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import datetime

    from advisor.drills.result import DrillResult
    from advisor.knowledge.model import Base

__all__ = [
    "Accuracy",
    "ClassReport",
    "Confidence",
    "Confusion",
    "LearnerRow",
    "Missed",
    "report_on",
]

_NEXT = 3  # skills named for each learner
# Edges of the bins of stated confidence.
_BINS = (0.0, 0.25, 0.5, 0.7, 0.85, 1.0)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """How often the cause and the stage were right, over the drills of one kind."""

    of: str
    drills: int
    cause: float
    stage: float
    low: float  # 95 % Wilson interval of ``cause``
    high: float


@dataclass(frozen=True, slots=True)
class Confusion:
    """A cause that was taken for another, how often."""

    true: str
    named: str
    times: int
    same_stage: bool


@dataclass(frozen=True, slots=True)
class Missed:
    """A safety statement that was left out, and by whom: never averaged away."""

    statement: str
    times: int
    learners: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Confidence:
    """Stated confidence from ``low`` to ``high``: how often it came true."""

    low: float
    high: float
    answers: int
    stated: float
    right: float


@dataclass(frozen=True, slots=True)
class LearnerRow:
    """One learner over all their drills. Shares are from 0 to 1; ``brier`` is a mean, if any."""

    name: str
    group: str
    drills: int
    exams: int
    score: float
    cause: float
    stage: float
    brier: float | None
    minutes_used: float
    minutes_best: float
    closed_early: int
    safety_missed: tuple[str, ...]
    masteries: Mapping[str, Mastery]
    next: tuple[Due, ...]

    @property
    def mastered(self) -> int:
        return sum(m.mastered for m in self.masteries.values())


@dataclass(frozen=True, slots=True)
class ClassReport:
    """Everything that an instructor is shown. Causes and rules are ids of the base."""

    group: str
    drills: int
    learners: tuple[LearnerRow, ...]
    stages: tuple[Accuracy, ...]
    symptoms: tuple[Accuracy, ...]
    confusions: tuple[Confusion, ...]
    items: tuple[Item, ...]
    missed: tuple[Missed, ...]
    confidence: tuple[Confidence, ...]
    skills: tuple[str, ...]
    unexercised: tuple[str, ...]
    rules: int


def report_on(
    base: Base, results: Iterable[DrillResult], now: datetime, *, group: str = ""
) -> ClassReport:
    """The report on some results. ``now`` (UTC) is when practice is due against."""
    rows = sorted(results, key=lambda r: (r.finished, r.learner))
    by_learner: dict[tuple[str, str], list[DrillResult]] = defaultdict(list)
    for row in rows:
        by_learner[row.group, row.learner].append(row)
    learners = tuple(_learner(name, g, own, now) for (g, name), own in sorted(by_learner.items()))
    fired = {line for row in rows for line in row.lines}
    return ClassReport(
        group=group,
        drills=len(rows),
        learners=learners,
        stages=_accuracies(rows, lambda r: (r.stage or r.verdict,)),
        symptoms=_accuracies(rows, lambda r: r.symptoms),
        confusions=_confusions(base, rows),
        items=item_table(rows),
        missed=_missed(rows),
        confidence=_confidence(rows),
        skills=tuple(sorted({skill for row in rows for skill in row.skills})),
        unexercised=tuple(rule for rule in base.rules if rule not in fired),
        rules=len(base.rules),
    )


def _right(result: DrillResult) -> bool:
    """Whether the cause, or where nothing is to be named the verdict, was right."""
    return result.parts.get("cause", result.parts.get("verdict", 0.0)) >= 1.0


def _stage_right(result: DrillResult) -> bool:
    return result.parts.get("stage", result.parts.get("verdict", 0.0)) >= 1.0


def _learner(name: str, group: str, own: Sequence[DrillResult], now: datetime) -> LearnerRow:
    stated = [(r.confidence, _right(r)) for r in own if r.confidence is not None]
    return LearnerRow(
        name=name,
        group=group,
        drills=len(own),
        exams=sum(r.mode == "exam" for r in own),
        score=fmean(r.score for r in own),
        cause=fmean(_right(r) for r in own),
        stage=fmean(_stage_right(r) for r in own),
        brier=fmean((p - right) ** 2 for p, right in stated) if stated else None,
        minutes_used=sum(r.minutes_used for r in own),
        minutes_best=sum(r.minutes_best for r in own),
        closed_early=sum(r.closed_early for r in own),
        safety_missed=tuple(s for r in own for s in r.safety_missed),
        masteries=masteries(own),
        next=plan(own, now)[:_NEXT],
    )


def _accuracies(
    rows: Sequence[DrillResult], of: Callable[[DrillResult], Iterable[str]]
) -> tuple[Accuracy, ...]:
    grouped: dict[str, list[DrillResult]] = defaultdict(list)
    for row in rows:
        for name in of(row):
            grouped[name].append(row)
    made = []
    for name, own in grouped.items():
        right = sum(map(_right, own))
        low, high = wilson(right, len(own))
        made.append(
            Accuracy(name, len(own), right / len(own), fmean(map(_stage_right, own)), low, high)
        )
    return tuple(sorted(made, key=lambda a: (a.cause, -a.drills, a.of)))


def _confusions(base: Base, rows: Sequence[DrillResult]) -> tuple[Confusion, ...]:
    pairs = Counter((r.cause, r.named_cause) for r in rows if r.cause and not _right(r))

    def stage(cause: str) -> str:
        return base.causes[cause].stage if cause in base.causes else ""

    return tuple(
        Confusion(true, named, times, stage(true) == stage(named) != "")
        for (true, named), times in sorted(pairs.items(), key=lambda p: (-p[1], p[0]))
    )


def _missed(rows: Sequence[DrillResult]) -> tuple[Missed, ...]:
    by: dict[str, list[str]] = defaultdict(list)
    for row in rows:
        for statement in row.safety_missed:
            by[statement].append(row.learner)
    return tuple(
        Missed(statement, len(names), tuple(sorted(set(names))))
        for statement, names in sorted(by.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    )


def _confidence(rows: Sequence[DrillResult]) -> tuple[Confidence, ...]:
    stated = [(r.confidence, _right(r)) for r in rows if r.confidence is not None]
    bins = []
    for low, high in pairwise(_BINS):
        own = [(p, right) for p, right in stated if low < p <= high or (p == 0.0 == low)]
        if own:
            bins.append(
                Confidence(
                    low, high, len(own), fmean(p for p, _ in own), fmean(right for _, right in own)
                )
            )
    return tuple(bins)
