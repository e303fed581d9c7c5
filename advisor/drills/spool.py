"""Results of finished drills: a port for whatever keeps them, and a file that loses none.

The file holds one result a line, and of an exam all that one sheet gives. It is written by
appending and flushing to the disk, under a lock, so two programs may finish drills at once, and a
result that is saved twice stands once. What nothing can take is set aside, in a file beside it.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Protocol

from advisor.drills.names import tidy
from advisor.drills.places import append_line, locked, spool_file
from advisor.drills.result import DrillResult, StepTaken
from advisor.drills.session import EXAM
from advisor.errors import AdvisorError
from advisor.files import replace_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

__all__ = ["Drained", "ResultSink", "SheetResults", "Spool", "data_of_result", "result_of"]

# What an error is called when no sink will ever take a result, whoever asks and however often.
_NEVER = ("name", "store-name")


@dataclass(frozen=True, slots=True)
class SheetResults:
    """All that one sheet of an exam gives: it stands in place of whatever it gave before.

    ``exam`` names the exam in the whole world, ``file`` the sheet.
    """

    exam: str
    file: str
    results: tuple[DrillResult, ...]


@dataclass(frozen=True, slots=True)
class Drained:
    """How many results were handed on, and sentences on those that were not."""

    taken: int
    notices: tuple[str, ...] = ()


class ResultSink(Protocol):
    """Whatever keeps results: safe once it returns; saving again does no harm.

    A result that it will never take raises ``AdvisorError`` with the code ``name``.
    """

    def save(self, result: DrillResult) -> None:
        """Keep a result."""
        ...

    def save_sheet(self, sheet: SheetResults) -> tuple[DrillResult, ...]:
        """Keep what a sheet gives; gives what it replaced of people of another name."""
        ...


class Spool:
    """Results in a file of JSON lines, until another sink takes them."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or spool_file()
        self.aside = self.path.with_name(self.path.name + ".set-aside")

    def save(self, result: DrillResult) -> None:
        """Keep a result, once. Raises ``AdvisorError``."""
        with locked(self.path) as file:
            if any(_same(result, other) for other in _results(_read(file).entries)):
                return
            append_line(file, json.dumps(data_of_result(result), ensure_ascii=False))

    def save_sheet(self, sheet: SheetResults) -> None:
        """Keep what a sheet gives, in place of what it gave before. Raises ``AdvisorError``."""
        with locked(self.path) as file:
            if any(entry == sheet for _, entry in _read(file).entries):
                return
            append_line(file, json.dumps(_data_of_sheet(sheet), ensure_ascii=False))

    def read(self) -> tuple[tuple[DrillResult, ...], int]:
        """The results, oldest first, and how many lines are none. Raises ``AdvisorError``."""
        if not self.path.exists():
            return (), 0
        with locked(self.path) as file:
            found = _read(file)
        return tuple(_results(found.entries)), len(found.wrong)

    def drain(self, sink: ResultSink) -> Drained:
        """Hand every result to another sink and empty the file.

        A result leaves only once the sink has taken all. What is no result, what the sink will
        never take, and what a sheet gave under another name, stays in a file beside it that ends
        in ``.set-aside``. Raises what else the sink raises.
        """
        if not self.path.exists():
            return Drained(0)
        taken = 0
        with locked(self.path) as file:
            found = _read(file)
            aside, notices = list(found.wrong), []
            if aside:
                notices.append(f"{_count(len(aside), 'line')} of {self.path} could not be read.")
            for line, before, now in found.replaced:
                aside.append(line)
                notices += _replaced_notices(before.results, now)
            for line, entry in found.entries:
                try:
                    replaced = _hand_on(entry, sink)
                except AdvisorError as error:
                    if error.code not in _NEVER:
                        raise
                    aside.append(line)
                    notices.append(
                        f"{_count(len(_of(entry)), 'result')} could not be taken into the progress "
                        f"store: {error.message}. Mend the name in the line and move it back "
                        f"to {self.path.name}."
                    )
                    continue
                taken += len(_of(entry))
                aside += [json.dumps(data_of_result(r), ensure_ascii=False) for r in replaced]
                notices += _replaced_notices(replaced, entry)
            if aside:
                notices.append(f"What was set aside is kept in {self.aside}")
                with locked(self.aside) as other:
                    append_line(other, "\n".join(aside))
            os.ftruncate(file, 0)
            os.fsync(file)
        return Drained(taken, tuple(notices))

    def forget_aside(self, learner: str, group: str) -> int:
        """Take out of what was set aside whatever is of one learner; how many lines went."""
        if not self.aside.exists():
            return 0
        who = (tidy(learner), tidy(group))
        with locked(self.path):  # nobody sets anything aside meanwhile
            text = self.aside.read_text(encoding="utf-8", errors="replace")
            lines = [x for x in text.split("\n") if x.strip()]
            left = [x for x in lines if who not in _people(x)]
            if len(left) < len(lines):
                replace_file(self.aside, "".join(f"{x}\n" for x in left))
        return len(lines) - len(left)


_Entry = DrillResult | SheetResults


def _of(entry: _Entry) -> tuple[DrillResult, ...]:
    return entry.results if isinstance(entry, SheetResults) else (entry,)


def _results(entries: Iterable[tuple[str, _Entry]]) -> list[DrillResult]:
    return [result for _, entry in entries for result in _of(entry)]


def _hand_on(entry: _Entry, sink: ResultSink) -> tuple[DrillResult, ...]:
    if isinstance(entry, SheetResults):
        return sink.save_sheet(entry)
    sink.save(entry)
    return ()


def _replaced_notices(replaced: Sequence[DrillResult], entry: _Entry) -> list[str]:
    now = ", ".join(dict.fromkeys(_who(r) for r in _of(entry)))
    names = dict.fromkeys(map(_who, replaced))
    return [
        f"An exam sheet that was of {name} is now of {now}: "
        f"{_count(sum(_who(r) == name for r in replaced), 'result')} of {name} made way."
        for name in names
    ]


def _who(result: DrillResult) -> str:
    return f"{result.learner} ({result.group})" if result.group else result.learner


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _people(line: str) -> set[tuple[str, str]]:
    """Whom a line that was set aside is about, as far as it can be read."""
    try:
        return {(tidy(r.learner), tidy(r.group)) for r in _of(_entry_of(json.loads(line)))}
    except (ValueError, AdvisorError):
        return set()


def _same(one: DrillResult, two: DrillResult) -> bool:
    if one.mode == EXAM:
        return one == two
    return (one.learner, one.scenario, one.started) == (two.learner, two.scenario, two.started)


def _text(file: int) -> str:
    os.lseek(file, 0, os.SEEK_SET)
    raw = b""
    while chunk := os.read(file, 1 << 20):
        raw += chunk
    return raw.decode("utf-8", "replace")


@dataclass(slots=True)
class _Found:
    """What stands in the file: entries each with its line, and lines that are nothing.

    Of each sheet only the latest is an entry; ``replaced`` has those before it, each with its
    line and what stands in its place, whose learner bore another name.
    """

    entries: list[tuple[str, _Entry]]
    wrong: list[str]
    replaced: list[tuple[str, SheetResults, SheetResults]]


def _read(file: int) -> _Found:
    found = _Found([], [], [])
    for line in _text(file).split("\n"):
        if not line.strip():
            continue
        try:
            entry = _entry_of(json.loads(line))
        except (ValueError, AdvisorError):
            # Cut short by a kill, or not ours. The drill itself is still in its journal.
            found.wrong.append(line)
            continue
        if isinstance(entry, SheetResults):
            _replace(found, entry)
        found.entries.append((line, entry))
    return found


def _replace(found: _Found, now: SheetResults) -> None:
    left: list[tuple[str, _Entry]] = []
    for line, before in found.entries:
        if not isinstance(before, SheetResults) or not _made_again(before, now):
            left.append((line, before))
        elif {_who(r) for r in before.results} != {_who(r) for r in now.results}:
            found.replaced.append((line, before, now))
    found.entries = left


def _made_again(before: SheetResults, now: SheetResults) -> bool:
    return (before.exam, before.file) == (now.exam, now.file)


def _entry_of(data: Any) -> _Entry:
    if not isinstance(data, dict) or "sheet" not in data:
        return result_of(data)
    try:
        if data["version"] != 1:
            raise ValueError(f"version {data['version']!r} is not known here")
        return SheetResults(
            str(data["sheet"]["exam"]),
            str(data["sheet"]["file"]),
            tuple(map(result_of, data["results"])),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise AdvisorError("drill-result", f"this is no sheet of an exam: {error}") from None


def _data_of_sheet(sheet: SheetResults) -> dict[str, Any]:
    return {
        "version": 1,
        "sheet": {"exam": sheet.exam, "file": sheet.file},
        "results": [data_of_result(r) for r in sheet.results],
    }


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
