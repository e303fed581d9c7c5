"""Results of finished drills: a port for whatever keeps them, and a file that loses none.

The file holds one result a line. It is written by appending and flushing to the disk, under a
lock, so two programs may finish drills at once, and a result that is saved twice stands once.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING, Any, Protocol

from advisor.drills.places import append_line, locked, spool_file
from advisor.drills.result import DrillResult, StepTaken
from advisor.drills.session import EXAM
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["ResultSink", "Spool", "data_of_result", "result_of"]


class ResultSink(Protocol):
    """Whatever keeps results: safe once ``save`` returns; saving again does no harm."""

    def save(self, result: DrillResult) -> None:
        """Keep a result."""
        ...


class Spool:
    """Results in a file of JSON lines, until another sink takes them."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or spool_file()

    def save(self, result: DrillResult) -> None:
        """Keep a result, once. Raises ``AdvisorError``."""
        with locked(self.path) as file:
            if any(_same(result, other) for other in _read(file)[0]):
                return
            append_line(file, json.dumps(data_of_result(result), ensure_ascii=False))

    def read(self) -> tuple[tuple[DrillResult, ...], int]:
        """The results, oldest first, and how many lines are none. Raises ``AdvisorError``."""
        if not self.path.exists():
            return (), 0
        with locked(self.path) as file:
            results, wrong = _read(file)
        return tuple(results), len(wrong)

    def drain(self, sink: ResultSink) -> int:
        """Hand every result to another sink and empty the file; gives how many.

        A result leaves only once the sink has taken all. Lines that are no results stay in a
        file beside it that ends in ``.set-aside``. Raises what the sink raises.
        """
        if not self.path.exists():
            return 0
        with locked(self.path) as file:
            results, wrong = _read(file)
            for result in results:
                sink.save(result)
            if wrong:
                with locked(self.path.with_name(self.path.name + ".set-aside")) as other:
                    append_line(other, "\n".join(wrong))
            os.ftruncate(file, 0)
            os.fsync(file)
        return len(results)


def _same(one: DrillResult, two: DrillResult) -> bool:
    if one.mode == EXAM:  # a sheet may be corrected and gathered again
        return one == two
    return (one.learner, one.scenario, one.started) == (two.learner, two.scenario, two.started)


def _read(file: int) -> tuple[list[DrillResult], list[str]]:
    os.lseek(file, 0, os.SEEK_SET)
    raw = b""
    while chunk := os.read(file, 1 << 20):
        raw += chunk
    results: list[DrillResult] = []
    wrong: list[str] = []
    for line in raw.splitlines():
        if not line.strip():
            continue
        try:
            results.append(result_of(json.loads(line)))
        except (ValueError, AdvisorError):
            # Cut short by a kill, or not ours. The drill itself is still in its journal.
            wrong.append(line.decode("utf-8", "replace"))
    return results, wrong


def data_of_result(result: DrillResult) -> dict[str, Any]:
    """A result as plain data."""
    data = asdict(result)
    data["started"], data["finished"] = result.started.isoformat(), result.finished.isoformat()
    return {"version": 1, **data}


def result_of(data: Any) -> DrillResult:
    """A result from its data. Raises ``AdvisorError`` (code ``drill-result``)."""
    try:
        if data["version"] != 1:
            raise ValueError(f"version {data['version']!r} is not known here")
        return DrillResult(
            scenario=str(data["scenario"]),
            learner=str(data["learner"]),
            group=str(data["group"]),
            mode=str(data["mode"]),
            knowledge=str(data["knowledge"]),
            cause=str(data["cause"]),
            stage=str(data["stage"]),
            verdict=str(data["verdict"]),
            named_cause=str(data["named_cause"]),
            named_stage=str(data["named_stage"]),
            named_remedy=str(data["named_remedy"]),
            difficulty=str(data["difficulty"]),
            score=_finite(data["score"]),
            minutes_used=_finite(data["minutes_used"]),
            minutes_best=_finite(data["minutes_best"]),
            seed=None if data["seed"] is None else int(data["seed"]),
            started=_time(data["started"]),
            finished=_time(data["finished"]),
            confidence=None if data["confidence"] is None else _finite(data["confidence"]),
            parts={str(k): _finite(v) for k, v in data["parts"].items()},
            symptoms=tuple(map(str, data["symptoms"])),
            safety_missed=tuple(map(str, data["safety_missed"])),
            closed_early=bool(data["closed_early"]),
            skills={str(k): bool(v) for k, v in data["skills"].items()},
            steps=tuple(StepTaken(**step) for step in data["steps"]),
            lines=tuple(map(str, data["lines"])),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise AdvisorError("drill-result", f"this is no result of a drill: {error}") from None


def _finite(value: Any) -> float:
    number = float(value)
    if not -1e12 < number < 1e12:
        raise ValueError(f"{value!r} is no number")
    return number


def _time(text: Any) -> datetime:
    time = datetime.fromisoformat(str(text))
    if time.tzinfo is None:
        raise ValueError(f"{text!r} does not say which time zone it is in")
    return time
