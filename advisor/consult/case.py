"""Case files: the answers that drive a consultation without a terminal, and its saved form.

The same file is a test, a drill and a report of what happened.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.yamlread import Document

__all__ = ["Case", "case_from", "case_schema", "read_case", "unknown_symptom", "write_case"]

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
    try:
        with path.open("rb") as file:
            raw = file.read(_MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        raise AdvisorError(
            "case-unreadable",
            f"the case file cannot be read: {_reason(error)}",
            where=str(path),
            hint="check the name and the folder",
        ) from None
    if len(raw) > _MOST_BYTES:
        raise AdvisorError("case-too-large", "a case file is never this large", where=str(path))
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


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else "") or str(error)


def _written(data: Mapping[str, Any]) -> bytes:
    """YAML that ``read_yaml`` reads back as the same data."""
    import yaml

    from advisor.knowledge.yamlread import plain_value

    class Dumper(yaml.SafeDumper):
        pass

    def text(dumper: Any, value: str) -> Any:
        # The writer knows YAML 1.1, our reader 1.2: what reads as something else is quoted.
        style = None if isinstance(plain_value(value), str) else "'"
        return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)

    Dumper.add_representer(str, text)
    written = yaml.dump(dict(data), Dumper=Dumper, sort_keys=False, allow_unicode=True, width=100)
    return _HEADER.encode() + written.encode()


def write_case(path: Path | str, case: Case) -> None:
    """Write a case file in one step: the old file stays whole until the new one is complete."""
    import tempfile

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
    written = _written(data)
    path = Path(path)
    partial = ""
    try:
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f".{path.name}.", delete=False
        ) as out:
            partial = out.name
            out.write(written)
            out.flush()
            os.fsync(out.fileno())
        Path(partial).replace(path)
    except (OSError, ValueError) as error:
        if partial:
            with suppress(OSError):
                Path(partial).unlink()
        raise AdvisorError(
            "case-unwritable",
            f"the case cannot be saved: {_reason(error)}",
            where=str(path),
            hint="choose a folder that exists and that you may write to",
        ) from None


def unknown_symptom(name: str, known: list[str], where: Place) -> Problem:
    """The problem of a symptom that is none."""
    return Problem(
        "unknown-symptom",
        f"there is no symptom {name!r}",
        where,
        did_you_mean(name.replace("-", "_"), known) or "curdwise questions lists the symptoms",
    )
