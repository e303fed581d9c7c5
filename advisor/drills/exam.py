"""An exam: the same drills for everybody, answered on paper or in a file, gathered in one go.

The exam file holds the drills with their solutions and stays with the instructor. A learner gets
the paper, the booklet in which each check's result stands under a number of its own, and a sheet.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from advisor.drills.answering import answered
from advisor.drills.names import alike, read_name, tidy
from advisor.drills.replay import expert, whole
from advisor.drills.scenario import scenario_from
from advisor.drills.scoring import score
from advisor.drills.session import EXAM, DrillSession, opening
from advisor.drills.sheet import apply, read_sheet
from advisor.drills.spool import SheetResults
from advisor.errors import AdvisorError, Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from pathlib import Path

    from advisor.drills.replay import Expert
    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario
    from advisor.drills.sheet import Sheet
    from advisor.knowledge.model import Base

    Remake = Callable[[Base, Mapping[str, Any]], Scenario]

__all__ = [
    "BOOKLET",
    "EXAM_FILE",
    "PAPER",
    "Booklet",
    "Exam",
    "Gathered",
    "booklet",
    "first_standing",
    "gather",
    "read_exam",
    "sheets_in",
]

EXAM_FILE = "exam.json"
PAPER = "paper.md"
BOOKLET = "booklet.md"
_SHEETS = (".yaml", ".yml")
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


def sheets_in(folder: Path, exam_file: Path) -> tuple[list[Path], list[Path]]:
    """The sheets of a folder and of those in it, and the files that are neither sheet nor page.

    Raises ``AdvisorError`` when there is no such folder.
    """
    if not folder.is_dir():
        raise AdvisorError("exam-folder", "there is no such folder", where=str(folder))
    sheets: list[Path] = []
    others: list[Path] = []
    exam_file = exam_file.resolve()
    for path in sorted(folder.rglob("*")):
        if path.is_dir() or path.name in (EXAM_FILE, PAPER, BOOKLET) or path.resolve() == exam_file:
            continue
        # A pipe would be waited for.
        fit = path.suffix.lower() in _SHEETS and path.is_file()
        (sheets if fit else others).append(path)
    return sheets, others


@dataclass(frozen=True)
class Gathered:
    """What a class handed in.

    ``results`` of all drills that were answered, which ``sheets`` has by the sheet;
    ``unanswered`` (learner, drill number) of those that were not; ``refused`` of those with a
    fault; ``blank`` sheets; ``problems`` of everything that could not be taken, and ``notes`` of
    what may be a slip.
    """

    exam: Exam
    results: tuple[DrillResult, ...]
    sheets: tuple[SheetResults, ...]
    unanswered: tuple[tuple[str, int], ...]
    refused: tuple[tuple[str, int], ...]
    blank: tuple[Path, ...]
    problems: tuple[Problem, ...]
    notes: tuple[Problem, ...]


def gather(base: Base, exam: Exam, files: Iterable[Path]) -> Gathered:
    """Score every sheet; nothing that is wrong with one keeps another from being scored."""
    done = _Gathering(base, exam)
    for file in files:
        done.take(file)
    return Gathered(
        exam,
        tuple(r for sheet in done.sheets for r in sheet.results),
        tuple(done.sheets),
        tuple(done.unanswered),
        tuple(done.refused),
        tuple(done.blank),
        tuple(sorted(done.problems, key=lambda p: (p.where, p.code))),
        tuple(done.notes()),
    )


class _Gathering:
    """What has come in so far."""

    def __init__(self, base: Base, exam: Exam) -> None:
        self.base, self.exam = base, exam
        self.sheets: list[SheetResults] = []
        self.unanswered: list[tuple[str, int]] = []
        self.refused: list[tuple[str, int]] = []
        self.blank: list[Path] = []
        self.problems: list[Problem] = []
        self._of: dict[str, tuple[Path, str]] = {}  # learner -> sheet, class
        self._paths: dict[str, Expert] = {}

    def take(self, file: Path) -> None:
        """Score one sheet, or say why not."""
        try:
            sheet = read_sheet(file)
            if sheet.empty:
                self.blank.append(file)  # a sheet to hand out
                return
            learner, group = self._whose(sheet, file)
        except ProblemsFound as found:
            self.problems.extend(found.problems)
            return
        except AdvisorError as error:
            self.problems.append(Problem(error.code, error.message, error.where, error.hint))
            return
        self._of[learner] = (file, group)
        self.problems.extend(sheet.problems)
        results = []
        for number, scenario in enumerate(self.exam.scenarios, 1):
            result = self._drill(sheet, learner, group, number, scenario, file)
            if result is not None:
                results.append(result)
        if results:
            place = hashlib.sha256(os.fsencode(file.resolve())).hexdigest()[:16]
            of = f"{self.exam.id} {self.exam.made.astimezone(UTC).isoformat()}"
            self.sheets.append(SheetResults(of, place, tuple(results)))
        extra = set(sheet.drills) - {str(n) for n in range(1, len(self.exam.scenarios) + 1)}
        self.problems.extend(
            Problem(
                "no-such-drill",
                f"there is no drill {number!r} in this exam",
                sheet.document.key_place(("drills", number)),
                f"they are 1 to {len(self.exam.scenarios)}",
            )
            for number in sorted(extra)
        )

    def _whose(self, sheet: Sheet, file: Path) -> tuple[str, str]:
        """Learner and class of a sheet of this exam."""
        if sheet.exam != self.exam.id:
            raise AdvisorError(
                "other-exam",
                f"this sheet belongs to exam {sheet.exam[:40]!r}",
                where=str(file),
                hint=f"this exam is {self.exam.id}: take the sheet of this one",
            )
        if not tidy(sheet.learner):
            raise AdvisorError(
                "no-learner",
                "the sheet does not say whose it is",
                where=str(file),
                hint="fill in learner:",
            )
        place = sheet.document.place
        learner = read_name(sheet.learner, where=place(("learner",)))
        group = read_name(sheet.group, "class", where=place(("group",)), empty=True)
        if learner in self._of:
            raise AdvisorError(
                "learner-twice",
                f"{learner} has handed in another sheet: {self._of[learner][0]}",
                where=str(file),
                hint="keep one of the two, or tell the learners apart by name",
            )
        return learner, group

    def _drill(
        self, sheet: Sheet, learner: str, group: str, number: int, scenario: Scenario, file: Path
    ) -> DrillResult | None:
        key = str(number)
        answers = sheet.drills.get(key, {})
        faults = sheet.faults.get(key, ())
        if not faults and not any(v not in (None, "", []) for v in answers.values()):
            self.unanswered.append((learner, number))
            return None
        session = DrillSession(
            self.base, scenario, self.exam.made, learner, group, EXAM, self.exam.seed
        )
        try:
            if faults:
                raise ProblemsFound("these answers are not right", faults)
            session = apply(session, answers, sheet.document, ("drills", key))
        except ProblemsFound as found:
            self.problems.extend(found.problems)
            self.refused.append((learner, number))
            return None
        if key not in self._paths:
            self._paths[key] = expert(self.base, scenario, self.exam.seed)
        return score(session.finish(_handed_in(file)), self._paths[key])

    def notes(self) -> Iterable[Problem]:
        """Names of one class that may be of one person."""
        classes = {group for _, group in self._of.values()}
        for group in sorted(classes):
            for same in alike(who for who, (_, of) in self._of.items() if of == group):
                yield Problem(
                    "names-alike",
                    f"{' and '.join(same)} count as {len(same)} people",
                    Place(str(self._of[same[-1]][0])),
                    "if they are one, keep one sheet, with the name written one way",
                    "note",
                )


def _handed_in(file: Path) -> datetime:
    """When a sheet was last written: that is when its learner was done."""
    return datetime.fromtimestamp(file.stat().st_mtime, UTC)


def first_standing(base: Base, scenario: Scenario) -> tuple[str, ...]:
    """Causes from best to worst on what is seen at once."""
    return opening(base, scenario).inference.ranked
