"""The JSON Schema of a result (``curdwise diagnose --json``), version 1."""

from __future__ import annotations

from typing import Any

from advisor.knowledge.words import FULL_STAGES
from advisor.report.explanationshape import explanation_definitions, explanations_schema
from advisor.report.result import RESULT_VERSION

__all__ = ["result_schema"]

_TEXT = {"type": "string"}
_TEXTS = {"type": "array", "items": _TEXT}
_TEXT_OR_NULL = {"type": ["string", "null"]}
_NUMBER = {"type": "number"}
_NUMBER_OR_NULL = {"type": ["number", "null"]}
_CHANCE = {"type": "number", "minimum": 0, "maximum": 1}
_STAGE = {"enum": [*FULL_STAGES, None]}


def _record(**fields: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
    }


def _rows(**fields: Any) -> dict[str, Any]:
    return {"type": "array", "items": _record(**fields)}


_SOURCES = {
    "type": "array",
    "items": {
        "type": "object",
        "properties": {
            "ref": _TEXT,
            "text": _TEXT,
            "at": _TEXT,
            "derived": {"const": True},
            "says": _TEXT,
        },
        "required": ["ref", "text"],
        "additionalProperties": False,
    },
}
_LEDGER = _rows(
    line=_TEXT,
    title=_TEXT,
    weight={**_NUMBER, "description": "decibans that count"},
    full_weight={**_NUMBER, "description": "decibans before uncertainty"},
    word={"enum": ["none", "slight", "moderate", "strong", "decisive"]},
    counted={"type": "boolean", "description": "false: a stronger one of its group speaks"},
    because=_TEXT,
    sources=_SOURCES,
)
_TREES = {"type": "array", "items": {"$ref": "#/$defs/rule"}}


def result_schema() -> dict[str, Any]:
    """JSON Schema (2020-12). Keys are only ever added within a version."""
    shape = _record(
        version={"const": RESULT_VERSION},
        title=_TEXT,
        invented={"type": "boolean"},
        verdict=_record(
            kind={"enum": ["cause", "discard", "stop", "nothing-wrong", "open"]},
            text=_TEXT,
            cause=_TEXT_OR_NULL,
            stage=_STAGE,
            probability=_CHANCE,
            words=_TEXT,
            because=_TREES,
        ),
        causes=_rows(
            id=_TEXT, title=_TEXT, stage=_STAGE, probability=_CHANCE, words=_TEXT, ledger=_LEDGER
        ),
        explains={"type": "object", "additionalProperties": _TEXTS},
        together={"type": "array", "items": _TEXTS},
        unexplained=_TEXTS,
        remedies=_rows(
            id=_TEXT,
            **{"for": {"enum": ["this-batch", "next-batch"]}},
            title=_TEXT,
            stage={"enum": list(FULL_STAGES)},
            do=_TEXT,
            dose=_rows(
                figure=_TEXT,
                value={"type": ["number", "string"]},
                low=_NUMBER_OR_NULL,
                high=_NUMBER_OR_NULL,
                unit=_TEXT,
                text=_TEXT,
            ),
            effort_minutes=_NUMBER,
            wait_minutes=_NUMBER,
            chance=_CHANCE,
            trial=_TEXT,
            expect=_TEXT,
            risks=_rows(to=_TEXT, text=_TEXT),
            sources=_SOURCES,
        ),
        otherwise=_rows(
            cause=_TEXT,
            title=_TEXT,
            probability=_CHANCE,
            finding=_TEXT_OR_NULL,
            check=_TEXT_OR_NULL,
            tell=_TEXT,
        ),
        cautions=_rows(
            id=_TEXT,
            level={"enum": ["stop", "warn", "note"]},
            text=_TEXT,
            jurisdiction=_TEXT,
            sources=_SOURCES,
        ),
        figures=_rows(
            id=_TEXT,
            label=_TEXT,
            value={"type": ["number", "string"]},
            low=_NUMBER_OR_NULL,
            high=_NUMBER_OR_NULL,
            unit=_TEXT,
            basis={"enum": ["measured", "calculated", "assumed"]},
            formula=_TEXT,
            inputs={"type": "object", "additionalProperties": _TEXT},
            source=_TEXT,
        ),
        figures_refused={"type": "object", "additionalProperties": _TEXT},
        next_question={
            "anyOf": [
                {"type": "null"},
                _record(
                    finding=_TEXT,
                    ask=_TEXT,
                    kind={"enum": ["symptoms", "choice", "yes-no", "quantity"]},
                    values=_TEXTS,
                    unit=_TEXT_OR_NULL,
                    check=_TEXT_OR_NULL,
                    how=_TEXT,
                    minutes=_NUMBER,
                    wait_minutes=_NUMBER,
                    why={"type": ["object", "null"]},
                ),
            ]
        },
        asked=_TEXTS,
        answers={
            "type": "object",
            "additionalProperties": _record(
                value={"type": ["string", "number", "null"]},
                status={"enum": ["given", "unknown", "not-now"]},
                basis={"enum": ["measured", "told", "assumed"]},
                text=_TEXT,
            ),
        },
        tried=_TEXTS,
        rests_on={"type": "object", "additionalProperties": _TEXTS},
        practice_share=_CHANCE,
        knowledge=_record(name=_TEXT, version=_TEXT, hash=_TEXT, house_changes=_TEXTS),
        engine=_TEXT,
    )
    shape["properties"]["how"] = {
        "type": "object",
        "description": "the derivation of the first cause, down to answers and sources",
    }
    shape["properties"]["explanations"] = explanations_schema()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise result",
        **shape,
        "$defs": {
            **explanation_definitions(_SOURCES, _LEDGER),
            "rule": {
                "type": "object",
                "properties": {
                    "line": _TEXT,
                    "title": _TEXT,
                    "origin": _TEXT,
                    "at": _TEXT,
                    "because": _TEXT,
                    "reliance": _CHANCE,
                    "sources": _SOURCES,
                    "rests_on": {"type": "array", "items": {"type": "object"}},
                },
                "required": ["line", "title", "rests_on", "sources"],
                "additionalProperties": False,
            }
        },
    }
