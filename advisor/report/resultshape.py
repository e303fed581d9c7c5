"""The JSON Schema of a result (``curdwise diagnose --json``), version 1."""

from __future__ import annotations

from typing import Any

from advisor.jsonshape import (
    CHANCE,
    NUMBER,
    NUMBER_OR_NULL,
    TEXT,
    TEXT_OR_NULL,
    TEXTS,
    record,
    rows,
)
from advisor.knowledge.words import FULL_STAGES
from advisor.report.explanationshape import explanation_definitions, explanations_schema
from advisor.report.result import RESULT_VERSION

__all__ = ["result_schema"]

_STAGE = {"enum": [*FULL_STAGES, None]}


_SOURCES = {
    "type": "array",
    "items": {
        "type": "object",
        "properties": {
            "ref": TEXT,
            "text": TEXT,
            "at": TEXT,
            "derived": {"const": True},
            "says": TEXT,
        },
        "required": ["ref", "text"],
        "additionalProperties": False,
    },
}
_LEDGER = rows(
    line=TEXT,
    title=TEXT,
    weight={**NUMBER, "description": "decibans that count"},
    full_weight={**NUMBER, "description": "decibans before uncertainty"},
    word={"enum": ["none", "slight", "moderate", "strong", "decisive"]},
    counted={"type": "boolean", "description": "false: a stronger one of its group speaks"},
    because=TEXT,
    sources=_SOURCES,
)
_TREES = {"type": "array", "items": {"$ref": "#/$defs/rule"}}


def result_schema() -> dict[str, Any]:
    """JSON Schema (2020-12). Keys are only ever added within a version."""
    shape = record(
        version={"const": RESULT_VERSION},
        title=TEXT,
        invented={"type": "boolean"},
        verdict=record(
            kind={"enum": ["cause", "discard", "stop", "nothing-wrong", "open"]},
            text=TEXT,
            cause=TEXT_OR_NULL,
            stage=_STAGE,
            probability=CHANCE,
            words=TEXT,
            because=_TREES,
        ),
        causes=rows(
            id=TEXT, title=TEXT, stage=_STAGE, probability=CHANCE, words=TEXT, ledger=_LEDGER
        ),
        explains={"type": "object", "additionalProperties": TEXTS},
        together={"type": "array", "items": TEXTS},
        unexplained=TEXTS,
        remedies=rows(
            id=TEXT,
            **{"for": {"enum": ["this-batch", "next-batch"]}},
            title=TEXT,
            stage={"enum": list(FULL_STAGES)},
            do=TEXT,
            dose=rows(
                figure=TEXT,
                value={"type": ["number", "string"]},
                low=NUMBER_OR_NULL,
                high=NUMBER_OR_NULL,
                unit=TEXT,
                text=TEXT,
            ),
            effort_minutes=NUMBER,
            wait_minutes=NUMBER,
            chance=CHANCE,
            treats=TEXT_OR_NULL,
            loses_batch={"type": "boolean"},
            trial=TEXT,
            expect=TEXT,
            risks=rows(to=TEXT, text=TEXT),
            sources=_SOURCES,
        ),
        hold_for=rows(cause=TEXT, title=TEXT, probability=CHANCE),
        fault=TEXT,
        otherwise=rows(
            cause=TEXT,
            title=TEXT,
            probability=CHANCE,
            finding=TEXT_OR_NULL,
            check=TEXT_OR_NULL,
            tell=TEXT,
        ),
        cautions=rows(
            id=TEXT,
            level={"enum": ["stop", "warn", "note"]},
            text=TEXT,
            jurisdiction=TEXT,
            sources=_SOURCES,
        ),
        figures=rows(
            id=TEXT,
            label=TEXT,
            value={"type": ["number", "string"]},
            low=NUMBER_OR_NULL,
            high=NUMBER_OR_NULL,
            unit=TEXT,
            basis={"enum": ["measured", "calculated", "assumed"]},
            formula=TEXT,
            inputs={"type": "object", "additionalProperties": TEXT},
            source=TEXT,
        ),
        figures_refused={"type": "object", "additionalProperties": TEXT},
        next_question={
            "anyOf": [
                {"type": "null"},
                record(
                    finding=TEXT,
                    ask=TEXT,
                    kind={"enum": ["symptoms", "choice", "yes-no", "quantity"]},
                    values=TEXTS,
                    unit=TEXT_OR_NULL,
                    check=TEXT_OR_NULL,
                    how=TEXT,
                    minutes=NUMBER,
                    wait_minutes=NUMBER,
                    why={"type": ["object", "null"]},
                ),
            ]
        },
        asked=TEXTS,
        answers={
            "type": "object",
            "additionalProperties": record(
                value={"type": ["string", "number", "null"]},
                status={"enum": ["given", "unknown", "not-now"]},
                basis={"enum": ["measured", "told", "assumed"]},
                text=TEXT,
            ),
        },
        tried=TEXTS,
        rests_on={"type": "object", "additionalProperties": TEXTS},
        practice_share=CHANCE,
        knowledge=record(name=TEXT, version=TEXT, hash=TEXT, house_changes=TEXTS),
        engine=TEXT,
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
                    "line": TEXT,
                    "title": TEXT,
                    "origin": TEXT,
                    "at": TEXT,
                    "because": TEXT,
                    "reliance": CHANCE,
                    "sources": _SOURCES,
                    "rests_on": {"type": "array", "items": {"type": "object"}},
                },
                "required": ["line", "title", "rests_on", "sources"],
                "additionalProperties": False,
            }
        },
    }
