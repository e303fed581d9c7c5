"""When each step begins for one person, what decides the length, and what runs beside what."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from advisor.technique.protocol.model import Bar, Timeline

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Job", "schedule"]

_HAIR = 1e-9


class Job(NamedTuple):
    """A step to place: its number, title, minutes of work and of waiting, and what it waits for.

    An ``attended`` wait keeps the person busy as well.
    """

    number: int
    title: str
    hands_on: float
    wait: float
    attended: bool
    after: tuple[int, ...]


def schedule(jobs: Sequence[Job]) -> Timeline:
    """Places every job: not before what it waits for, nor while the one pair of hands is busy.

    Whenever the hands are free they take, of the jobs that are ready, the one with the longest
    way still behind it. Jobs must stand after those they wait for. Bars come in the order of
    their start. Source: list scheduling with one resource (Graham 1969, SIAM J. Appl. Math.
    17:416), by critical path; feasible, if not always the shortest.
    """
    tails = _tails(jobs)
    waiting = {job.number: job for job in jobs}
    order = {job.number: place for place, job in enumerate(jobs)}
    start: dict[int, float] = {}
    end: dict[int, float] = {}
    because: dict[int, int | None] = {}
    free, last = 0.0, None  # when the hands are free, and after which job
    while waiting:
        open_ = [j for j in waiting.values() if all(n in end for n in j.after)]
        ready = {j.number: max((end[n] for n in j.after), default=0.0) for j in open_}
        now = max(free, min(ready.values()))
        at_hand = [j for j in open_ if ready[j.number] <= now + _HAIR]
        job = min(at_hand, key=lambda j: (-tails[j.number], order[j.number]))
        begin = now if _busy(job) > 0.0 else ready[job.number]
        held_by_hands = begin > ready[job.number] + _HAIR
        because[job.number] = (
            last if held_by_hands else max(job.after, key=lambda n: end[n], default=None)
        )
        start[job.number] = begin
        end[job.number] = begin + job.hands_on + job.wait
        if _busy(job) > 0.0:
            free, last = begin + _busy(job), job.number
        del waiting[job.number]
    total = max(end.values(), default=0.0)
    critical = _path(end, because, total)
    bars = tuple(
        Bar(
            job.number,
            job.title,
            start[job.number],
            start[job.number] + _busy(job),
            end[job.number],
            job.number in critical,
        )
        for job in sorted(jobs, key=lambda j: (start[j.number], order[j.number]))
    )
    return Timeline(total, sum(map(_busy, jobs)), bars, critical, _beside(bars))


def _tails(jobs: Sequence[Job]) -> dict[int, float]:
    """Minutes from the start of each job to the end of the longest way that follows from it."""
    tails: dict[int, float] = {}
    for job in reversed(jobs):
        after = max((tails[j.number] for j in jobs if job.number in j.after), default=0.0)
        tails[job.number] = job.hands_on + job.wait + after
    return tails


def _busy(job: Job) -> float:
    return job.hands_on + (job.wait if job.attended else 0.0)


def _path(
    end: dict[int, float], because: dict[int, int | None], total: float
) -> tuple[int, ...]:
    if not end:
        return ()
    at: int | None = next(n for n in reversed(end) if end[n] >= total - _HAIR)
    path: list[int] = []
    while at is not None:
        path.append(at)
        at = because[at]
    return tuple(reversed(path))


def _beside(bars: Sequence[Bar]) -> tuple[tuple[int, int], ...]:
    """Pairs (waiting, worked on meanwhile): work that falls wholly into another step's waiting."""
    pairs = []
    for waiting in bars:
        if waiting.end - waiting.busy_until <= _HAIR:
            continue
        for other in bars:
            inside = (
                other.number != waiting.number
                and other.busy_until > other.start + _HAIR
                and other.start >= waiting.busy_until - _HAIR
                and other.busy_until <= waiting.end + _HAIR
                and other.start < waiting.end - _HAIR
            )
            if inside:
                pairs.append((waiting.number, other.number))
    return tuple(pairs)
