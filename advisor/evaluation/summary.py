"""From outcomes to the numbers of a report."""

from __future__ import annotations

import math
import statistics
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.evaluation.scores import (
    Bin,
    Parts,
    Share,
    brier,
    calibration_error,
    log_score,
    murphy,
    quantile,
    reliability,
    share,
)
from advisor.knowledge.words import NOT_LISTED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from advisor.evaluation.outcome import Outcome

__all__ = [
    "BY",
    "Confusion",
    "Forecasts",
    "Minutes",
    "Row",
    "Summary",
    "confusions",
    "rows_by",
    "summarize",
]

_HAZARDS = ("discard", "stop")


@dataclass(frozen=True, slots=True)
class Forecasts:
    """How far the probabilities can be relied on, over cases that were given one.

    ``brier`` and ``log`` judge the probability of the first cause against whether that itself
    went wrong (not a twin, with which it shares the probability of one fault); ``brier_all`` (0
    to 2) and ``log_all`` judge the whole ranking. ``log`` is in nats.
    """

    n: int
    brier: float
    log: float
    brier_all: float
    log_all: float
    parts: Parts
    calibration_error: float
    table: tuple[Bin, ...]


@dataclass(frozen=True, slots=True)
class Minutes:
    """Mean expected minutes until cured, over the cases where some advised remedy can cure."""

    n: int
    advised: float
    likely_first: float
    at_random: float
    knowing: float
    first_cures: float
    uncured: float
    # Cases with one known fault for which nothing on the list for this batch can cure.
    no_cure: int


@dataclass(frozen=True, slots=True)
class Summary:
    """The numbers of one group of outcomes. A share of no cases has no value."""

    n: int
    top1: Share
    top3: Share
    stage: Share
    cause_first: Share  # the true cause stands first, whatever the verdict says
    both: Share  # of two faults, both in the first three
    together: Share  # of two faults, both in one of the sets that explain what was found
    by_verdict: Share  # cases that a verdict decides
    open: Share  # no cause was named: too little to go on, or something not listed first
    named: Share  # right first, of those where a cause was named as the verdict
    hazards_missed: Share  # of those to be discarded or stopped
    false_alarms: Share  # discard, stop or nothing wrong, of those that have a cause
    questions: float | None  # median
    questions95: float | None
    recipe: float | None  # median
    at_limit: Share
    stopped: tuple[tuple[str, int], ...]
    forecasts: Forecasts | None
    minutes: Minutes | None


@dataclass(frozen=True, slots=True)
class Confusion:
    """What was true, what came first instead, how often, and how often the stage was right."""

    true: str
    named: str
    n: int
    stage_right: int


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table by fault, stage, symptom or operation."""

    name: str
    n: int
    top1: Share
    top3: Share
    stage: Share
    questions: float | None  # median
    probability: float | None  # mean, of the first cause
    instead: str  # what most often came first instead; "" when nothing did
    instead_n: int


BY: dict[str, Callable[[Outcome], Sequence[str]]] = {
    "fault": lambda o: (o.true,),
    "stage": lambda o: o.true_stages,
    "symptom": lambda o: o.symptoms,
    "operation": lambda o: (o.operation,) if o.operation else (),
    "questions": lambda o: (f"{len(o.asked):2d}",),
}


def _share(values: Iterable[bool | None]) -> Share:
    return share([v for v in values if v is not None])


def summarize(outcomes: Sequence[Outcome]) -> Summary:
    """The numbers of these outcomes."""
    asked = [len(o.asked) for o in outcomes]
    caused = [o for o in outcomes if o.expected_verdict == "cause"]
    return Summary(
        n=len(outcomes),
        top1=_share(o.right for o in outcomes),
        top3=_share(o.in_three for o in outcomes),
        stage=_share(o.stage_right for o in outcomes),
        cause_first=_share(o.cause_first for o in outcomes),
        both=_share(o.both_in_three for o in outcomes),
        together=_share(o.both_together for o in outcomes),
        by_verdict=_share(o.right for o in outcomes if o.expected_verdict != "cause"),
        open=_share(o.verdict == "open" or o.named == NOT_LISTED for o in caused),
        named=_share(o.right for o in caused if o.verdict == "cause"),
        hazards_missed=_share(
            o.verdict not in _HAZARDS for o in outcomes if o.expected_verdict in _HAZARDS
        ),
        false_alarms=_share(o.verdict not in ("cause", "open") for o in caused),
        questions=statistics.median(asked) if asked else None,
        questions95=quantile(asked, 0.95),
        recipe=statistics.median(o.recipe for o in outcomes) if outcomes else None,
        at_limit=_share(o.stopped == "limit" for o in outcomes),
        stopped=tuple(sorted(Counter(o.stopped for o in outcomes).items())),
        forecasts=_forecasts(outcomes),
        minutes=_minutes(outcomes),
    )


def _forecasts(outcomes: Sequence[Outcome]) -> Forecasts | None:
    given = [
        (o.probability, o.itself, o.brier_all, o.log_all)
        for o in outcomes
        if o.probability is not None
        and o.itself is not None
        and o.brier_all is not None
        and o.log_all is not None
    ]
    if not given:
        return None
    chances = [p for p, *_ in given]
    right = [r for _, r, *_ in given]
    table = reliability(chances, right)
    return Forecasts(
        n=len(given),
        brier=brier(chances, right),
        log=log_score(chances, right),
        brier_all=math.fsum(b for *_, b, _ in given) / len(given),
        log_all=math.fsum(log for *_, log in given) / len(given),
        parts=murphy(chances, right),
        calibration_error=calibration_error(table) or 0.0,
        table=table,
    )


def _minutes(outcomes: Sequence[Outcome]) -> Minutes | None:
    given = [o.effort for o in outcomes if o.effort is not None]
    if not given:
        return None

    def mean(values: Iterable[float]) -> float:
        return math.fsum(values) / len(given)

    return Minutes(
        n=len(given),
        advised=mean(e.advised for e in given),
        likely_first=mean(e.likely_first for e in given),
        at_random=mean(e.at_random for e in given),
        knowing=mean(e.knowing for e in given),
        first_cures=mean(e.first_cures for e in given),
        uncured=mean(e.uncured for e in given),
        no_cure=sum(
            o.effort is None and len(o.faults) == 1 and o.probability is not None
            for o in outcomes
        ),
    )


def confusions(outcomes: Sequence[Outcome]) -> tuple[Confusion, ...]:
    """What was taken for what, most common first."""
    wrong = [o for o in outcomes if o.right is False]
    pairs = Counter((o.true, o.named) for o in wrong)
    stages = Counter((o.true, o.named) for o in wrong if o.stage_right)
    return tuple(
        Confusion(true, named, n, stages[true, named])
        for (true, named), n in sorted(pairs.items(), key=lambda pair: (-pair[1], pair[0]))
    )


def rows_by(outcomes: Sequence[Outcome], what: str) -> tuple[Row, ...]:
    """A table by one of ``BY``, worst first, and of those alike the one with more cases.

    A case counts in every row that it belongs to.
    """
    groups: dict[str, list[Outcome]] = {}
    for each in outcomes:
        for name in BY[what](each):
            groups.setdefault(name, []).append(each)
    rows = [_row(name, group) for name, group in groups.items()]
    return tuple(sorted(rows, key=lambda r: (_worst(r.top1.share), -r.n, r.name)))


def _worst(value: float | None) -> float:
    return 2.0 if value is None else value


def _row(name: str, group: Sequence[Outcome]) -> Row:
    instead = Counter(o.named for o in group if o.right is False)
    (most, count) = min(instead.items(), key=lambda pair: (-pair[1], pair[0]), default=("", 0))
    chances = [o.probability for o in group if o.probability is not None]
    return Row(
        name=name,
        n=len(group),
        top1=_share(o.right for o in group),
        top3=_share(o.in_three for o in group),
        stage=_share(o.stage_right for o in group),
        questions=statistics.median(len(o.asked) for o in group),
        probability=math.fsum(chances) / len(chances) if chances else None,
        instead=most,
        instead_n=count,
    )
