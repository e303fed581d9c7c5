"""Answers by file: one drill's, or an exam sheet of one learner; every fault at once.

A fault in one drill of a sheet is no fault of the others.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from advisor.drills.asmeant import as_meant, with_spaces, without_tabs
from advisor.drills.shape import VERDICTS
from advisor.errors import AdvisorError, Problem, ProblemsFound
from advisor.files import read_bounded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from advisor.drills.session import DrillSession
    from advisor.knowledge.model import Base
    from advisor.knowledge.yamlread import Document
    from advisor.knowledge.yamlread import Path as At

__all__ = [
    "Sheet",
    "answers_schema",
    "apply",
    "read_answers",
    "read_confidence",
    "read_sheet",
    "sheet_schema",
]

_MOST_BYTES = 200_000
# An exam's number may be all digits, a class is called 2026, and a dose lacks its unit.
_AS_WRITTEN = ("exam", "learner", "group", "dose")
_TEXT = {"type": ["string", "null"]}
_NAMES = {"type": ["array", "null"], "items": {"type": "string", "minLength": 1}}


def _answer_shape() -> dict[str, Any]:
    return {
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "ask": {**_NAMES, "description": "findings or checks, in the order they were taken"},
            "verdict": {"enum": [*VERDICTS, None]},
            "causes": {**_NAMES, "description": "one cause, or two when there are two faults"},
            "stage": _TEXT,
            "confidence": {
                "type": ["string", "number", "null"],
                "description": "how sure of the cause: 80 %, or 0.8",
            },
            "remedy": _TEXT,
            "dose": {"type": ["string", "null"], "description": "with its unit: 12 ml, 0.8 g"},
            "say": _NAMES,
        },
    }


def answers_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the answers to one drill."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise drill answers",
        **_answer_shape(),
    }


def sheet_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the sheet that one learner fills in for an exam."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise exam sheet",
        "type": "object",
        "additionalProperties": False,
        "required": ["exam", "learner", "drills"],
        "properties": {
            "exam": {"type": "string", "minLength": 1},
            "learner": {"type": ["string", "null"]},
            "group": _TEXT,
            "drills": {
                "type": "object",
                "description": "number of the drill: its answers",
                "additionalProperties": {"anyOf": [_answer_shape(), {"type": "null"}]},
            },
        },
    }


@dataclass(frozen=True)
class Sheet:
    """One learner's answers, by the number of the drill, with their places.

    ``faults`` are of the form of single drills, by their number; ``problems`` are what else is
    wrong and keeps no drill from being scored.
    """

    exam: str
    learner: str
    group: str
    drills: Mapping[str, Mapping[str, Any]]
    faults: Mapping[str, tuple[Problem, ...]]
    problems: tuple[Problem, ...]
    document: Document = field(repr=False)

    @property
    def empty(self) -> bool:
        """Whether nothing has been filled in."""
        return not self.faults and not any(_filled(answers) for answers in self.drills.values())


def _filled(answers: Mapping[str, Any]) -> bool:
    return any(value not in (None, "", []) for value in answers.values())


def read_answers(path: Path) -> Document:
    """The answers to one drill. Raises ``AdvisorError``, ``ProblemsFound`` for its form."""
    document = _read(path)
    problems = _shape_problems(document, answers_schema)
    if problems:
        raise ProblemsFound(_WRONG, problems)
    return document


def read_sheet(path: Path) -> Sheet:
    """A learner's sheet. Raises ``AdvisorError``, ``ProblemsFound`` when it is none."""
    document = _read(path)
    data = document.data
    drills = data.get("drills") if isinstance(data, dict) else None
    if not isinstance(drills, dict):
        raise ProblemsFound(_WRONG, _shape_problems(document, sheet_schema))
    problems = _shape_problems(replace(document, data={**data, "drills": {}}), sheet_schema)
    if any(p.code != "shape-unknown-key" for p in problems):
        raise ProblemsFound(_WRONG, problems)
    alone = {
        number: _shape_problems(
            replace(document, data={**_NO_HEAD, "drills": {number: answers}}), sheet_schema
        )
        for number, answers in drills.items()
    }
    return Sheet(
        data["exam"].strip(),
        data["learner"] or "",
        data.get("group") or "",
        {number: a if isinstance(a, dict) else {} for number, a in drills.items()},
        {number: tuple(found) for number, found in alone.items() if found},
        tuple(problems),
        document,
    )


_WRONG = "these answers are not right"
_NO_HEAD = {"exam": "-", "learner": None}


def _shape_problems(document: Document, schema: Callable[[], dict[str, Any]]) -> list[Problem]:
    from advisor.knowledge.shapecheck import shape_problems

    return shape_problems(document, schema)


def _read(path: Path) -> Document:
    from advisor.knowledge.yamlread import read_yaml

    raw = with_spaces(
        read_bounded(
            path,
            _MOST_BYTES,
            code="answers-unreadable",
            saying="the answers cannot be read",
            too_large=("answers-too-large", "answers are never this large"),
        )
    )
    try:
        document = read_yaml(raw, str(path), as_written=_AS_WRITTEN)
    except ProblemsFound as found:
        raise without_tabs(found, raw) from None
    if document.data is None:
        raise AdvisorError("answers-empty", "the file is empty", where=str(path))
    return as_meant(document)


def apply(
    session: DrillSession, answers: Mapping[str, Any], document: Document, at: At = ()
) -> DrillSession:
    """The session with the answers of a file, up to its end but for the time.

    Raises ``ProblemsFound`` with every answer that cannot be taken.
    """
    base = session.base
    problems: list[Problem] = []

    def wrong(error: AdvisorError, *path: str | int) -> None:
        problems.append(
            Problem(error.code, error.message, document.place((*at, *path)), error.hint)
        )

    for index, name in enumerate(answers.get("ask") or ()):
        try:
            session = session.ask(name, anyway=True)
        except AdvisorError as error:
            wrong(error, "ask", index)
    if not _filled(answers) or not answers.get("verdict"):
        problems.append(
            Problem(
                "no-verdict",
                "the verdict is missing",
                document.place(at),
                f"one of {', '.join(VERDICTS)}",
            )
        )
    try:
        session = session.name(
            answers.get("verdict") or "nothing-wrong",
            _named(base, answers.get("causes") or ()),
            (answers.get("stage") or "").strip().lower(),
            read_confidence(answers.get("confidence")),
        )
    except AdvisorError as error:
        wrong(error, "causes" if "cause" in error.message else "verdict")
        session = session.name("nothing-wrong")
    try:
        session = session.treat(
            _by_title(answers.get("remedy") or "", base.remedies), answers.get("dose") or ""
        )
    except AdvisorError as error:
        wrong(error, "dose" if error.code == "quantity" else "remedy")
        session = session.treat()
    try:
        session = session.say(answers.get("say") or ())
    except AdvisorError as error:
        wrong(error, "say")
        session = session.say()
    if problems:
        raise ProblemsFound("these answers are not right", problems)
    return session


def _named(base: Base, names: Iterable[str]) -> list[str]:
    return [_by_title(name, base.causes) for name in names]


def _by_title(name: str, known: Mapping[str, Any]) -> str:
    """An id from itself or from the title as it is printed."""
    wanted = name.strip()
    if wanted in known:
        return wanted
    folded = wanted.casefold().rstrip(".")
    return next((i for i, thing in known.items() if thing.title.casefold() == folded), wanted)


def read_confidence(written: Any) -> float | None:
    """0.8, 80, "80 %" and "80" all mean the same; nothing written is nothing stated."""
    if written is None or (isinstance(written, str) and not written.strip()):
        return None
    text = str(written).replace("%", "").strip().replace(",", ".")
    try:
        number = float(text)
    except ValueError:
        number = -1.0
    share = number / 100.0 if number > 1.0 or "%" in str(written) else number
    if not 0.0 <= share <= 1.0:
        raise AdvisorError(
            "confidence",
            f"{str(written)[:40]!r} does not say how sure",
            hint="a number from 0 to 100 %, for example 80 %",
        )
    return share
