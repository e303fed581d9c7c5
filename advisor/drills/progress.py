"""Results into the store and out of it again."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

from advisor.drills.session import EXAM
from advisor.drills.spool import data_of_result, result_of
from advisor.store import Attempt

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.drills.result import DrillResult
    from advisor.drills.spool import Spool
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
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


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

    def take(self, spool: Spool) -> int:
        """Move what a spool holds into the store; how many results that were."""
        return spool.drain(self)

    def results(
        self, *, learner: str | None = None, group: str | None = None
    ) -> tuple[DrillResult, ...]:
        """Finished drills, oldest first: of everybody, of a class, of a learner."""
        return tuple(result_of(a.record) for a in self.store.attempts(name=learner, group=group))


def _attempt(result: DrillResult) -> Attempt:
    return Attempt(
        key=key_of(result),
        learner=result.learner,
        group=result.group,
        scenario=result.scenario,
        mode=result.mode,
        finished=result.finished,
        score=result.score,
        record=data_of_result(result),
    )
