"""An exam: the same drills for everybody, answered on paper or in a file, gathered in one go.

The exam file holds the drills with their solutions and stays with the instructor. A learner gets
the paper, the booklet in which each check's result stands under a number of its own, and a sheet.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from advisor.drills.answering import answered
from advisor.drills.replay import expert, whole
from advisor.drills.scenario import scenario_from
from advisor.drills.scoring import score
from advisor.drills.session import EXAM, DrillSession, opening
from advisor.drills.sheet import apply, read_sheet
from advisor.errors import AdvisorError, Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from pathlib import Path

    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

    Remake = Callable[[Base, Mapping[str, Any]], Scenario]

__all__ = [
    "EXAM_FILE",
    "Booklet",
    "Exam",
    "Gathered",
    "booklet",
    "first_standing",
    "gather",
    "read_exam",
]

EXAM_FILE = "exam.json"
_FORM = 1
_MOST_BYTES = 20_000_000


@dataclass(frozen=True)
class Exam:
    """The drills of an exam, in order; ``made`` is UTC and marks the exam's results."""

    id: str
    made: datetime
    seed: int
    knowledge: str
    scenarios: tuple[Scenario, ...]

    @classmethod
    def of(cls, base: Base, scenarios: Sequence[Scenario], seed: int, made: datetime) -> Exam:
        """An exam of these drills. Raises ``AdvisorError`` when there is none, or one twice."""
        names = [s.name for s in scenarios]
        if not names or len(set(names)) < len(names):
            raise AdvisorError(
                "exam-drills", "an exam needs at least one drill, and each only once"
            )
        told = json.dumps([seed, made.isoformat(), *(s.digest for s in scenarios)])
        short = hashlib.sha256(told.encode()).hexdigest()[:8]
        return cls(short, made, seed, base.hash, tuple(scenarios))

    def data(self) -> dict[str, Any]:
        """All of it, for the exam file."""
        return {
            "curdwise-exam": _FORM,
            "keep": "this file holds the solutions: it is for the instructor alone",
            "id": self.id,
            "made": self.made.astimezone(UTC).isoformat(),
            "seed": self.seed,
            "knowledge": self.knowledge,
            "drills": [
                {"name": s.name, "text": s.text, "made_from": dict(s.made_from)}
                for s in self.scenarios
            ],
        }


def read_exam(path: Path, base: Base, remake: Remake) -> Exam:
    """An exam from its file. Raises ``AdvisorError``."""
    try:
        with path.open("rb") as file:
            raw = file.read(_MOST_BYTES)
        data = json.loads(raw)
        if data["curdwise-exam"] != _FORM:
            raise ValueError("it is of another form")
        made = datetime.fromisoformat(data["made"])
        scenarios = tuple(
            scenario_from(d["text"], f"{d['name']}.yaml")
            if d["text"]
            else remake(base, d["made_from"])
            for d in data["drills"]
        )
        return Exam(
            str(data["id"]),
            made.astimezone(UTC),
            int(data["seed"]),
            str(data["knowledge"]),
            scenarios,
        )
    except OSError as error:
        raise AdvisorError(
            "exam-unreadable",
            f"the exam cannot be read: {error.strerror or error}",
            where=str(path),
            hint="gather the folder that `curdwise drill exam` made",
        ) from None
    except (KeyError, TypeError, ValueError) as error:
        raise AdvisorError(
            "exam-unreadable", f"this is no exam file: {error}", where=str(path)
        ) from None


@dataclass(frozen=True, slots=True)
class Booklet:
    """For each drill what can be asked and its number; for each number what comes out.

    Numbers of one drill are scattered among all, so that looking one up gives no other away.
    """

    numbers: tuple[Mapping[str, int], ...]
    results: Mapping[int, tuple[str, str | float]]  # number -> finding, answer


def booklet(base: Base, exam: Exam) -> Booklet:
    """The booklet of an exam: the same for everybody, from the exam alone."""
    rows: list[tuple[int, str, str | float]] = []
    for index, scenario in enumerate(exam.scenarios):
        rows.extend((index, f, a) for f, a in _answers(base, scenario, exam.seed))
    rows.sort(key=lambda row: hashlib.sha256(f"{exam.id}/{row[0]}/{row[1]}".encode()).digest())
    numbers: list[dict[str, int]] = [{} for _ in exam.scenarios]
    results = {}
    for number, (index, finding, answer) in enumerate(rows, 101):
        numbers[index][finding] = number
        results[number] = (finding, answer)
    return Booklet(tuple(numbers), results)


def _answers(base: Base, scenario: Scenario, seed: int) -> Iterable[tuple[str, str | float]]:
    """What can be asked of a drill from the start on, and whatever its answers open up."""
    first = DrillSession(base, scenario, datetime.now(UTC), seed=seed).open
    known = whole(base, scenario, seed).answers
    told = set(scenario.seen) | set(scenario.symptoms)
    more = [f for f in known if f not in told and f not in first and known[f].basis != "assumed"]
    for finding in (*first, *more):
        yield finding, answered(base, scenario, finding, 0, seed)


@dataclass(frozen=True)
class Gathered:
    """What a class handed in.

    ``results`` of all drills that were answered; ``unanswered`` (learner, drill number) of those
    that were not; ``problems`` of everything that could not be taken.
    """

    exam: Exam
    results: tuple[DrillResult, ...]
    unanswered: tuple[tuple[str, int], ...]
    problems: tuple[Problem, ...]


def gather(base: Base, exam: Exam, files: Iterable[Path]) -> Gathered:
    """Score every sheet; nothing that is wrong with one keeps another from being scored."""
    results: list[DrillResult] = []
    unanswered: list[tuple[str, int]] = []
    problems: list[Problem] = []
    seen: dict[str, Path] = {}
    paths = {s.name: expert(base, s, exam.seed) for s in exam.scenarios}
    for file in files:
        try:
            sheet = read_sheet(file)
        except ProblemsFound as found:
            problems.extend(found.problems)
            continue
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, error.where, error.hint))
            continue
        if sheet.empty:
            continue  # a sheet to hand out
        wrong = _sheet_problem(exam, sheet.exam, sheet.learner, seen)
        if wrong:
            problems.append(Problem(wrong[0], wrong[1], Place(str(file)), wrong[2]))
            continue
        seen[sheet.learner] = file
        for number, scenario in enumerate(exam.scenarios, 1):
            answers = sheet.drills.get(str(number), {})
            if not any(v not in (None, "", []) for v in answers.values()):
                unanswered.append((sheet.learner, number))
                continue
            session = DrillSession(
                base, scenario, exam.made, sheet.learner, sheet.group, EXAM, exam.seed
            )
            try:
                session = apply(session, answers, sheet.document, ("drills", str(number)))
            except ProblemsFound as found:
                problems.extend(found.problems)
                continue
            results.append(score(session.finish(_handed_in(file)), paths[scenario.name]))
        extra = set(sheet.drills) - {str(n) for n in range(1, len(exam.scenarios) + 1)}
        problems.extend(
            Problem(
                "no-such-drill",
                f"there is no drill {number!r} in this exam",
                sheet.document.key_place(("drills", number)),
                f"they are 1 to {len(exam.scenarios)}",
            )
            for number in sorted(extra)
        )
    return Gathered(
        exam,
        tuple(results),
        tuple(unanswered),
        tuple(sorted(problems, key=lambda p: (p.where, p.code))),
    )


def _sheet_problem(
    exam: Exam, of: str, learner: str, seen: Mapping[str, Path]
) -> tuple[str, str, str] | None:
    if of != exam.id:
        return (
            "other-exam",
            f"this sheet belongs to exam {of[:40]!r}",
            f"this exam is {exam.id}: take the sheet of this one",
        )
    if not learner:
        return ("no-learner", "the sheet does not say whose it is", "fill in learner:")
    if learner in seen:
        return (
            "learner-twice",
            f"{learner} has handed in another sheet: {seen[learner]}",
            "keep one of the two, or tell the learners apart by name",
        )
    return None


def _handed_in(file: Path) -> datetime:
    """When a sheet was last written: that is when its learner was done."""
    return datetime.fromtimestamp(file.stat().st_mtime, UTC)


def first_standing(base: Base, scenario: Scenario) -> tuple[str, ...]:
    """Causes from best to worst on what is seen at once."""
    return opening(base, scenario).inference.ranked
