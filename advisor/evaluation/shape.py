"""The JSON Schema of an evaluation (``curdwise evaluate --json``), version 1."""

from __future__ import annotations

from typing import Any

from advisor.evaluation.conditions import CONDITIONS, UNDISTURBED
from advisor.evaluation.data import EVALUATION_VERSION, SHARES
from advisor.evaluation.summary import BY

__all__ = ["evaluation_schema"]

_TEXT = {"type": "string"}
_COUNT = {"type": "integer", "minimum": 0}
_UNIT = {"type": "number", "minimum": 0, "maximum": 1}
_UNIT_OR_NULL = {"type": ["number", "null"], "minimum": 0, "maximum": 1}
_NUMBER = {"type": "number"}
_NUMBER_OR_NULL = {"type": ["number", "null"], "minimum": 0}
_FLAG_OR_NULL = {"type": ["boolean", "null"]}


def _record(**fields: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
    }


def _rows(**fields: Any) -> dict[str, Any]:
    return {"type": "array", "items": _record(**fields)}


def _ref(name: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{name}"}


def _pairs(second: dict[str, Any], text: str) -> dict[str, Any]:
    pair = {"type": "array", "prefixItems": [_TEXT, second], "minItems": 2, "maxItems": 2}
    return {"type": "array", "items": pair, "description": text}


def evaluation_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of ``curdwise evaluate --json``. Keys are only added in a version."""
    share = _ref("share")
    shape = _record(
        version={"const": EVALUATION_VERSION},
        knowledge=_record(
            name=_TEXT, version=_TEXT, hash=_TEXT, house_changes={"type": "array", "items": _TEXT}
        ),
        settings=_record(
            cases=_COUNT,
            simulated=_COUNT,
            seed={"type": "integer"},
            simulator={"type": ["string", "null"]},
            most_questions=_COUNT,
            disturbed_one_in={"type": ["integer", "null"]},
            engine=_TEXT,
        ),
        summary=_ref("summary"),
        conditions=_rows(
            name={"enum": [c for c in CONDITIONS if c != UNDISTURBED]},
            means=_TEXT,
            summary=_ref("summary"),
            same_cases_undisturbed=_ref("summary"),
            unchanged=share,
        ),
        confusions=_rows(true=_TEXT, named=_TEXT, n=_COUNT, stage_right=_COUNT),
        by=_record(**{what: {"type": "array", "items": _ref("row")} for what in BY}),
        misses=_rows(
            case=_TEXT,
            seed={"type": ["integer", "null"]},
            true=_TEXT,
            named=_TEXT,
            verdict=_TEXT,
            stage_right=_FLAG_OR_NULL,
            probability=_UNIT_OR_NULL,
            stopped=_TEXT,
            symptoms={"type": "array", "items": _TEXT},
            true_rank={"type": ["integer", "null"]},
            true_probability=_UNIT_OR_NULL,
            asked=_pairs(_TEXT, "finding and answer"),
            for_named=_pairs(_NUMBER, "heaviest lines for what was named, decibans"),
            for_true=_pairs(_NUMBER, "heaviest lines for and against the truth, decibans"),
        ),
        unread=_rows(case=_TEXT, message=_TEXT),
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise evaluation",
        **shape,
        "$defs": {
            "share": _record(right=_COUNT, of=_COUNT, share=_UNIT_OR_NULL, low=_UNIT, high=_UNIT),
            "row": _record(
                name=_TEXT,
                n=_COUNT,
                top1=share,
                top3=share,
                stage=share,
                questions=_NUMBER_OR_NULL,
                probability=_UNIT_OR_NULL,
                instead={"type": ["string", "null"]},
                instead_n=_COUNT,
            ),
            "summary": _summary_schema(share),
        },
    }


def _summary_schema(share: dict[str, Any]) -> dict[str, Any]:
    forecasts = _record(
        n=_COUNT,
        brier=_UNIT,
        log={"type": "number", "minimum": 0, "description": "nats"},
        brier_all={"type": "number", "minimum": 0, "maximum": 2},
        log_all={"type": "number", "minimum": 0, "description": "nats"},
        reliability=_UNIT,
        resolution=_UNIT,
        uncertainty=_UNIT,
        within=_NUMBER,
        calibration_error=_UNIT,
        table=_rows(
            low=_UNIT,
            high=_UNIT,
            n=_COUNT,
            said=_UNIT_OR_NULL,
            was=_UNIT_OR_NULL,
            off={"type": "boolean", "description": "filled, and more than ten points off"},
        ),
    )
    minutes = _record(
        n=_COUNT,
        advised={"type": "number", "description": "minutes, waiting discounted"},
        likely_first=_NUMBER,
        at_random=_NUMBER,
        knowing=_NUMBER,
        first_cures=_UNIT,
        uncured=_UNIT,
        no_cure=_COUNT,
    )
    return _record(
        n=_COUNT,
        **dict.fromkeys(SHARES, share),
        questions=_record(
            median=_NUMBER_OR_NULL,
            at_most_in_95_percent=_NUMBER_OR_NULL,
            recipe_median=_NUMBER_OR_NULL,
        ),
        stopped={"type": "object", "additionalProperties": _COUNT},
        forecasts={"anyOf": [{"type": "null"}, forecasts]},
        minutes={"anyOf": [{"type": "null"}, minutes]},
    )
