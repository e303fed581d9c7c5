"""Case files: the answers that drive a consultation without a terminal, and its saved form.

The same file is a test, a drill and a report of what happened.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound, did_you_mean, shortened
from advisor.files import read_bounded, write_whole

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.yamlread import Document

__all__ = [
    "Case",
    "case_from",
    "case_schema",
    "case_text",
    "read_case",
    "unknown_symptom",
    "write_case",
]

_MOST_BYTES = 2_000_000
_HEADER = "# A curdwise consultation. Answers may be changed by hand.\n"


@dataclass(frozen=True)
class Case:
    """A case as written, with the place of every answer."""

    name: str
    answers: Mapping[str, Any]
    symptoms: tuple[str, ...] | None = None  # None: no list was given
    tried: tuple[str, ...] = ()
    title: str = ""
    story: str = ""
    expect: Mapping[str, Any] = field(default_factory=dict)
    invented: bool = False
    source: str = ""
    places: Mapping[str, Place] = field(default_factory=dict, compare=False, repr=False)


def case_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a case file."""
    from advisor.knowledge.words import FULL_STAGES

    text = {"type": "string", "minLength": 1}
    names = {"type": "array", "items": text}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise case file",
        "type": "object",
        "additionalProperties": False,
        "required": ["answers"],
        "properties": {
            "title": text,
            "story": text,
            "invented": {"type": "boolean", "description": "the batch never existed"},
            "source": {**text, "description": "where the batch was published, if it was"},
            "answers": {
                "type": "object",
                "description": "finding: answer; quantities as people write them",
                "properties": {"symptoms": {**names, "uniqueItems": True}},
                "additionalProperties": {"type": ["string", "number", "boolean"]},
            },
            "tried": {**names, "description": "remedies that were tried and did not help"},
            "expect": {
                "type": "object",
                "additionalProperties": False,
                "minProperties": 1,
                "properties": {
                    "cause": text,
                    "among": {**names, "description": "one of these comes first"},
                    "stage": {"enum": list(FULL_STAGES)},
                    "verdict": {"enum": ["cause", "discard", "stop", "nothing-wrong", "open"]},
                    "figures": {
                        "type": "object",
                        "description": "figure: its word, or [low, high]",
                    },
                },
            },
        },
    }


def read_case(path: Path | str) -> Case:
    """Read a case file.

    Raises ``AdvisorError``; ``ProblemsFound`` lists every fault of its form.
    """
    path = Path(path)
    raw = read_bounded(
        path,
        _MOST_BYTES,
        code="case-unreadable",
        saying="the case file cannot be read",
        too_large=("case-too-large", "a case file is never this large"),
        hint="check the name and the folder",
    )
    return case_from(raw, str(path))


def case_from(raw: bytes | str, name: str) -> Case:
    """A case from its text."""
    from advisor.knowledge.shapecheck import shape_problems
    from advisor.knowledge.yamlread import read_yaml

    document = read_yaml(raw, name)
    if document.data is None:
        raise AdvisorError(
            "case-empty",
            "the case file is empty",
            where=name,
            hint="it needs at least: answers: {finding: answer}",
        )
    problems = shape_problems(document, case_schema)
    if problems:
        raise ProblemsFound("this case file is not right", problems)
    return _case(document)


def _case(document: Document) -> Case:
    data = document.data
    answers = dict(data["answers"])
    symptoms = answers.pop("symptoms", None)
    places = {key: document.key_place(("answers", key)) for key in answers}
    for index, symptom in enumerate(symptoms or ()):
        places.setdefault(symptom, document.place(("answers", "symptoms", index)))
    for index, remedy in enumerate(data.get("tried", ())):
        places[f"tried/{remedy}"] = document.place(("tried", index))
    return Case(
        name=document.name,
        answers=answers,
        symptoms=None if symptoms is None else tuple(symptoms),
        tried=tuple(data.get("tried", ())),
        title=data.get("title", ""),
        story=data.get("story", ""),
        expect=data.get("expect", {}),
        invented=data.get("invented", False),
        source=data.get("source", ""),
        places=places,
    )


def case_text(case: Case) -> str:
    """A case as its file holds it."""
    from advisor.knowledge.yamlwrite import yaml_text

    data: dict[str, Any] = {}
    for key in ("title", "story", "source"):
        if getattr(case, key):
            data[key] = getattr(case, key)
    if case.invented:
        data["invented"] = True
    answers: dict[str, Any] = {}
    if case.symptoms is not None:
        answers["symptoms"] = list(case.symptoms)
    data["answers"] = {**answers, **case.answers}
    if case.tried:
        data["tried"] = list(case.tried)
    if case.expect:
        data["expect"] = dict(case.expect)
    return _HEADER + yaml_text(data)


def write_case(path: Path | str, case: Case) -> None:
    """Write a case file in one step: the old file stays whole until the new one is complete."""
    write_whole(
        path,
        case_text(case).encode(),
        code="case-unwritable",
        saying="the case cannot be saved",
        hint="choose a folder that exists and that you may write to",
    )


def unknown_symptom(name: str, known: list[str], where: Place) -> Problem:
    """The problem of a symptom that is none."""
    return Problem(
        "unknown-symptom",
        f"there is no symptom {shortened(name)!r}",
        where,
        did_you_mean(name.replace("-", "_"), known) or "curdwise questions lists the symptoms",
    )
