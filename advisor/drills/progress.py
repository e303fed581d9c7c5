"""Results into the store and out of it again."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.drills.names import read_name
from advisor.drills.session import EXAM
from advisor.drills.spool import data_of_result, result_of
from advisor.store import Attempt

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.drills.result import DrillResult
    from advisor.drills.spool import Drained, SheetResults, Spool
    from advisor.store import Store

__all__ = ["Progress", "key_of"]


def key_of(result: DrillResult) -> str:
    """What names a result: who, which drill, when it was begun. A corrected sheet keeps its key."""
    parts = (
        result.mode,
        result.learner,
        result.group,
        result.scenario,
        result.seed,
        result.started.isoformat(),
    )
    return _hash(json.dumps(parts))


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


class Progress:
    """The results of all learners, in a store. It is a sink that a spool can be drained into."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def save(self, result: DrillResult) -> None:
        """Keep a result, once; a corrected exam sheet replaces what it was before."""
        self.save_all([result])

    def save_all(self, results: Iterable[DrillResult]) -> int:
        """Keep results, all or none; how many were new or changed."""
        new = 0
        by_mode: dict[bool, list[Attempt]] = {False: [], True: []}
        for result in results:
            by_mode[result.mode == EXAM].append(_attempt(result))
        for exam, attempts in by_mode.items():
            if attempts:
                new += self.store.save(attempts, replace=exam)
        return new

    def save_sheet(self, sheet: SheetResults) -> tuple[DrillResult, ...]:
        """Keep what a sheet of an exam gives, in place of all it gave before.

        What it gave to people of another name is taken out and handed back.
        """
        exam, file = _hash(sheet.exam)[:16], _hash(sheet.file)[:16]
        attempts = []
        for result in sheet.results:
            made = _attempt(result)
            attempts.append(replace(made, key=exam + file + _hash(result.scenario)[:32]))
        gone = self.store.supersede(
            attempts,
            of_exam=exam,
            of_sheet=exam + file,
            former=[_attempt(r).key for r in sheet.results],
        )
        return tuple(result_of(a.record) for a in gone)

    def take(self, spool: Spool) -> Drained:
        """Move what a spool holds into the store; how many results, and what was set aside."""
        return spool.drain(self)

    def results(
        self, *, learner: str | None = None, group: str | None = None
    ) -> tuple[DrillResult, ...]:
        """Finished drills, oldest first: of everybody, of a class, of a learner."""
        return tuple(result_of(a.record) for a in self.store.attempts(name=learner, group=group))


def _attempt(result: DrillResult) -> Attempt:
    """Raises ``AdvisorError`` (``name``) for a name that cannot be kept."""
    result = replace(
        result,
        learner=read_name(result.learner),
        group=read_name(result.group, "class", empty=True),
    )
    return Attempt(
        key=key_of(result),
        learner=result.learner,
        group=result.group,
        scenario=_short(result.scenario),
        mode=_short(result.mode)[:20],
        finished=result.finished,
        score=result.score,
        record=data_of_result(result),
    )


def _short(name: str) -> str:
    """What a drill is found by; its whole name stands in the record."""
    return "".join(c if c.isprintable() else "-" for c in name)[:200]
