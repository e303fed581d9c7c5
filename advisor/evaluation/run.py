"""Many cases, undisturbed and disturbed, on as many processes as wanted.

The outcome of a case depends on nothing but the case, the base and the settings: not on the
other cases, their order or the number of processes.
"""

from __future__ import annotations

import multiprocessing
import signal
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.evaluation.conditions import (
    FEWER_ANSWERS,
    MOVED_PRIORS,
    ONE_WRONG_ANSWER,
    UNDISTURBED,
    drawing,
    fewer_answers,
    moved_priors,
    one_wrong_answer,
)
from advisor.evaluation.outcome import outcome
from advisor.reasoning import MOST_QUESTIONS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.context import BaseContext
    from random import Random

    from advisor.evaluation.cases import KnownCase
    from advisor.evaluation.outcome import Outcome
    from advisor.knowledge.model import Base

__all__ = ["Settings", "run_cases"]

# So many sets of moved priors, dealt out to the cases in turn: each is a base of its own to
# compile, and engines are kept for only a few bases.
_MOVED_BASES = 4
_CHUNK = 4


@dataclass(frozen=True, slots=True)
class Settings:
    """How the cases are run.

    ``disturb`` is one in so many cases; 0 disturbs none. ``simulator`` says in words which
    batches were simulated; it changes nothing.
    """

    seed: int = 1
    limit: int = MOST_QUESTIONS
    backend: str = "reference"
    disturb: int = 0
    simulator: str = ""


class _Runner:
    """A base made ready, in this process."""

    def __init__(self, base: Base, settings: Settings) -> None:
        from advisor.reasoning.infer import engine_for

        self.base, self.settings = base, settings
        moved = _MOVED_BASES if settings.disturb else 0
        self.moved = [
            moved_priors(base, drawing(settings.seed, MOVED_PRIORS, str(i))) for i in range(moved)
        ]
        for each in (base, *self.moved):  # before processes part, so that they share it
            engine_for(each, settings.backend)

    def outcomes(self, index: int, case: KnownCase) -> tuple[Outcome, ...]:
        """What comes of a case: undisturbed, and for some under every other condition."""
        settings = self.settings

        def came_out(base: Base, case: KnownCase, condition: str) -> Outcome:
            return outcome(
                base, case, condition=condition, limit=settings.limit, backend=settings.backend
            )

        def draw(condition: str) -> Random:
            return drawing(settings.seed, condition, case.name)

        first = came_out(self.base, case, UNDISTURBED)
        if not settings.disturb or index % settings.disturb:
            return (first,)
        wrong = one_wrong_answer(self.base, case, first, draw(ONE_WRONG_ANSWER))
        fewer = fewer_answers(self.base, case, draw(FEWER_ANSWERS))
        other = self.moved[draw(MOVED_PRIORS).randrange(_MOVED_BASES)]
        return (
            first,
            came_out(self.base, wrong, ONE_WRONG_ANSWER),
            came_out(self.base, fewer, FEWER_ANSWERS),
            came_out(other, case, MOVED_PRIORS),
        )


def run_cases(
    base: Base,
    cases: Sequence[KnownCase],
    settings: Settings,
    *,
    jobs: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Outcome, ...]:
    """Consult on every case, in ``jobs`` processes; outcomes in the order of the cases.

    ``progress`` is called with how many are done, of how many.
    """
    jobs = max(1, min(jobs, -(-len(cases) // _CHUNK)))
    found: list[Outcome] = []
    for done, outcomes in enumerate(_each(base, cases, settings, jobs), start=1):
        found.extend(outcomes)
        if progress:
            progress(done, len(cases))
    return tuple(found)


def _each(
    base: Base, cases: Sequence[KnownCase], settings: Settings, jobs: int
) -> Iterator[tuple[Outcome, ...]]:
    runner = _Runner(base, settings)
    if jobs == 1:
        for index, case in enumerate(cases):
            yield runner.outcomes(index, case)
        return
    pool = ProcessPoolExecutor(
        jobs, mp_context=_context(), initializer=_begin, initargs=(runner,)
    )
    try:
        yield from pool.map(_outcomes_of, range(len(cases)), cases, chunksize=_CHUNK)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _context() -> BaseContext:
    """Processes that share what is ready, where that is safe; else ones that start afresh."""
    try:
        threads = sum(1 for _ in Path("/proc/self/task").iterdir())
    except OSError:
        threads = 0
    # A process with several threads cannot be copied safely.
    return multiprocessing.get_context("fork" if threads == 1 else "spawn")


_RUNNER: _Runner | None = None


def _begin(runner: _Runner) -> None:
    global _RUNNER
    _RUNNER = runner
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that started this one ends it


def _outcomes_of(index: int, case: KnownCase) -> tuple[Outcome, ...]:
    if _RUNNER is None:
        raise RuntimeError("a process was given a case before it was made ready")
    return _RUNNER.outcomes(index, case)
