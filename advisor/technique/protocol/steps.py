"""From the steps as written to the steps of this batch: those that apply, in order, with times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.technique.protocol.model import CheckPoint, Step
from advisor.technique.protocol.timeline import Job, schedule

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.knowledge.model import Base
    from advisor.knowledge.protocols import Part, PartUse, Point, StepText
    from advisor.technique.protocol.model import Quantity, Timeline

__all__ = ["Worked", "applies", "write_steps"]

_MINUTES = {"s": 1 / 60, "min": 1.0, "h": 60.0, "day": 1440.0, "week": 10080.0}


@dataclass(frozen=True, slots=True)
class Worked:
    """A part whose amounts are known, with the circumstances that held for it and what the
    diagnosis would be told of it."""

    part: Part
    use: PartUse
    circumstances: frozenset[str]
    told: Mapping[str, str]
    litres: float


def applies(
    when: Sequence[str], unless: Sequence[str], circumstances: frozenset[str] | set[str]
) -> bool:
    """Whether all of ``when`` and none of ``unless`` hold."""
    return all(c in circumstances for c in when) and not any(c in circumstances for c in unless)


def write_steps(
    base: Base, worked: Sequence[Worked], quantities: Mapping[str, Quantity]
) -> tuple[tuple[Step, ...], Timeline]:
    """The steps with their checks and places in time."""
    rows: list[tuple[Worked, StepText, tuple[int, ...]]] = []
    ends: list[int] = []  # steps that nothing waits for yet
    for one in worked:
        ends = _of_part(one, rows, ends)
    jobs = [
        Job(
            number,
            text.title,
            text.hands_on + text.per_litre * one.litres,
            _wait(text, one.use.name, quantities),
            text.attended,
            after,
        )
        for number, (one, text, after) in enumerate(rows, 1)
    ]
    # Numbered in the order in which they are begun, whatever part they belong to.
    number_of = {bar.number: n for n, bar in enumerate(schedule(jobs).bars, 1)}
    jobs = sorted(
        (
            job._replace(
                number=number_of[job.number],
                after=tuple(sorted(number_of[n] for n in job.after)),
            )
            for job in jobs
        ),
        key=lambda job: job.number,
    )
    row_of = {number_of[n]: row for n, row in enumerate(rows, 1)}
    timeline = schedule(jobs)
    start = {bar.number: bar.start for bar in timeline.bars}
    steps = tuple(
        _step(base, row_of[job.number][0], row_of[job.number][1], job, start[job.number])
        for job in jobs
    )
    return steps, timeline


def _of_part(
    one: Worked, rows: list[tuple[Worked, StepText, tuple[int, ...]]], ends: list[int]
) -> list[int]:
    """Appends the steps of a part; gives the steps that the next part has to wait for."""
    entry = () if one.use.beside else tuple(ends)
    numbers: dict[str, tuple[int, ...]] = {}  # step -> what waiting for it comes to
    previous = entry
    open_ends: list[int] = []
    for text in one.part.steps:
        waits = previous
        if text.after:
            waits = tuple(
                dict.fromkeys(
                    n
                    for name in text.after
                    for n in (entry if name == "start" else numbers.get(name, entry))
                )
            )
        if not applies(text.when, text.unless, one.circumstances):
            numbers[text.id] = waits  # whoever waits for it waits for what it would wait for
            continue
        rows.append((one, text, waits))
        number = len(rows)
        numbers[text.id] = previous = (number,)
        open_ends = [n for n in open_ends if n not in waits] + [number]
    if not open_ends:
        return ends
    if one.use.beside:
        return [*ends, *open_ends]
    return open_ends


def _wait(text: StepText, name: str, quantities: Mapping[str, Quantity]) -> float:
    if not isinstance(text.wait, str):
        return text.wait
    found = quantities.get(f"{name}.{text.wait}") or quantities[text.wait]
    if found.amount is None:
        return 0.0
    return found.amount.value * _MINUTES[found.amount.unit]


def _step(base: Base, one: Worked, text: StepText, job: Job, start: float) -> Step:
    return Step(
        number=job.number,
        id=f"{one.use.name}.{text.id}",
        scope=one.use.name,
        part_title=one.part.title,
        title=text.title,
        template=text.do,
        hands_on=job.hands_on,
        wait=job.wait,
        attended=job.attended,
        after=job.after,
        start=start,
        kit=text.kit,
        check=_check(base, one, text.point) if text.point else None,
        cautions=text.cautions,
        source=text.source,
    )


def _check(base: Base, one: Worked, point: Point) -> CheckPoint:
    cause = base.causes[point.cause]
    tell = {k: v for k, v in one.told.items() if k not in point.bad}
    return CheckPoint(
        finding=point.finding,
        label=base.findings[point.finding].label,
        should=point.should,
        tell={**tell, **point.bad},
        cause=point.cause,
        cause_title=cause.title,
        stage=cause.stage,
        remedy=point.remedy,
        do=point.do,
    )
