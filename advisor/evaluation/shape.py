"""The JSON Schema of an evaluation (``curdwise evaluate --json``), version 1."""

from __future__ import annotations

from typing import Any

from advisor.evaluation.conditions import CONDITIONS, UNDISTURBED
from advisor.evaluation.data import EVALUATION_VERSION, SHARES
from advisor.evaluation.summary import BY
from advisor.jsonshape import CHANCE, COUNT, NUMBER, TEXT, record, rows

__all__ = ["evaluation_schema"]

_UNIT_OR_NULL = {"type": ["number", "null"], "minimum": 0, "maximum": 1}
_NUMBER_OR_NULL = {"type": ["number", "null"], "minimum": 0}
_FLAG_OR_NULL = {"type": ["boolean", "null"]}


def _ref(name: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{name}"}


def _pairs(second: dict[str, Any], text: str) -> dict[str, Any]:
    pair = {"type": "array", "prefixItems": [TEXT, second], "minItems": 2, "maxItems": 2}
    return {"type": "array", "items": pair, "description": text}


def evaluation_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of ``curdwise evaluate --json``. Keys are only added in a version."""
    share = _ref("share")
    shape = record(
        version={"const": EVALUATION_VERSION},
        knowledge=record(
            name=TEXT, version=TEXT, hash=TEXT, house_changes={"type": "array", "items": TEXT}
        ),
        settings=record(
            cases=COUNT,
            simulated=COUNT,
            seed={"type": "integer"},
            simulator={"type": ["string", "null"]},
            most_questions=COUNT,
            disturbed_one_in={"type": ["integer", "null"]},
            engine=TEXT,
        ),
        summary=_ref("summary"),
        conditions=rows(
            name={"enum": [c for c in CONDITIONS if c != UNDISTURBED]},
            means=TEXT,
            summary=_ref("summary"),
            same_cases_undisturbed=_ref("summary"),
            unchanged=share,
        ),
        confusions=rows(true=TEXT, named=TEXT, n=COUNT, stage_right=COUNT),
        by=record(**{what: {"type": "array", "items": _ref("row")} for what in BY}),
        misses=rows(
            case=TEXT,
            seed={"type": ["integer", "null"]},
            true=TEXT,
            named=TEXT,
            verdict=TEXT,
            stage_right=_FLAG_OR_NULL,
            probability=_UNIT_OR_NULL,
            stopped=TEXT,
            symptoms={"type": "array", "items": TEXT},
            true_rank={"type": ["integer", "null"]},
            true_probability=_UNIT_OR_NULL,
            asked=_pairs(TEXT, "finding and answer"),
            for_named=_pairs(NUMBER, "heaviest lines for what was named, decibans"),
            for_true=_pairs(NUMBER, "heaviest lines for and against the truth, decibans"),
        ),
        unread=rows(case=TEXT, message=TEXT),
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise evaluation",
        **shape,
        "$defs": {
            "share": record(right=COUNT, of=COUNT, share=_UNIT_OR_NULL, low=CHANCE, high=CHANCE),
            "row": record(
                name=TEXT,
                n=COUNT,
                top1=share,
                top3=share,
                stage=share,
                questions=_NUMBER_OR_NULL,
                probability=_UNIT_OR_NULL,
                instead={"type": ["string", "null"]},
                instead_n=COUNT,
            ),
            "summary": _summary_schema(share),
        },
    }


def _summary_schema(share: dict[str, Any]) -> dict[str, Any]:
    forecasts = record(
        n=COUNT,
        brier=CHANCE,
        log={"type": "number", "minimum": 0, "description": "nats"},
        brier_all={"type": "number", "minimum": 0, "maximum": 2},
        log_all={"type": "number", "minimum": 0, "description": "nats"},
        reliability=CHANCE,
        resolution=CHANCE,
        uncertainty=CHANCE,
        within=NUMBER,
        calibration_error=CHANCE,
        table=rows(
            low=CHANCE,
            high=CHANCE,
            n=COUNT,
            said=_UNIT_OR_NULL,
            was=_UNIT_OR_NULL,
            off={"type": "boolean", "description": "filled, and more than ten points off"},
        ),
    )
    minutes = record(
        n=COUNT,
        advised={"type": "number", "description": "minutes, waiting discounted"},
        likely_first=NUMBER,
        at_random=NUMBER,
        knowing=NUMBER,
        first_cures=CHANCE,
        uncured=CHANCE,
        no_cure=COUNT,
    )
    return record(
        n=COUNT,
        **dict.fromkeys(SHARES, share),
        questions=record(
            median=_NUMBER_OR_NULL,
            at_most_in_95_percent=_NUMBER_OR_NULL,
            recipe_median=_NUMBER_OR_NULL,
        ),
        stopped={"type": "object", "additionalProperties": COUNT},
        forecasts={"anyOf": [{"type": "null"}, forecasts]},
        minutes={"anyOf": [{"type": "null"}, minutes]},
    )
