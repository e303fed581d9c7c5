"""The JSON Schema of the explanations on demand, a part of a result's."""

from __future__ import annotations

from typing import Any

from advisor.jsonshape import (
    CHANCE,
    COUNT,
    FLAG,
    NUMBER,
    NUMBER_OR_NULL,
    TEXT,
    TEXT_OR_NULL,
    TEXTS,
    record,
    rows,
)
from advisor.knowledge.words import FULL_STAGES

__all__ = ["explanation_definitions", "explanations_schema"]

_WORD = {"enum": ["none", "slight", "moderate", "strong", "decisive"]}
_VALUE = {"type": ["string", "number"]}
_CHANGES = {"type": "array", "items": {"enum": ["verdict", "cause", "stage", "remedy"]}}
_STANDING = {"cause": TEXT, "title": TEXT, "probability": CHANCE, "words": TEXT}
_ASKED = {
    "finding": TEXT,
    "label": TEXT,
    "check": TEXT_OR_NULL,
    "check_title": TEXT_OR_NULL,
    "value": _VALUE,
    "answer": TEXT,
    "low": {**NUMBER_OR_NULL, "description": "of the band of amounts that all do the same"},
    "high": NUMBER_OR_NULL,
    "chance": {**CHANCE, "description": "how likely it is that this answer is the true one"},
    "minutes": NUMBER,
    "wait_minutes": NUMBER,
}


_ADVICE = {"$ref": "#/$defs/advice"}
_SOURCES = {"$ref": "#/$defs/sources"}
_LEDGER = {"$ref": "#/$defs/ledger"}
_MOVED = {"$ref": "#/$defs/moved"}


def explanation_definitions(
    sources: dict[str, Any], ledger: dict[str, Any]
) -> dict[str, dict[str, Any]]:
    """What ``explanations_schema`` refers to; ``sources`` and ``ledger`` are the result's own."""
    return {"advice": _advice(), "sources": sources, "ledger": ledger, "moved": _moved()}


def explanations_schema() -> dict[str, Any]:
    """The schema of ``explanations``."""
    return {
        "type": "object",
        "description": "what was asked for beside the result; only that is present",
        "properties": {
            "why_not": {"type": "array", "items": _why_not()},
            "rather": {"type": "array", "items": _rather()},
            "what_changes": _what_changes(),
            "what_if": _what_if(),
            "without_practice": _without_practice(),
        },
        "additionalProperties": False,
    }


def _why_not() -> dict[str, Any]:
    test = rows(
        test=TEXT, key=TEXT, state={"enum": ["holds", "fails", "open"]}, found=TEXT
    )
    missed = rows(
        line=TEXT,
        title=TEXT,
        weight={**NUMBER, "description": "decibans that it would have added at most"},
        word=_WORD,
        tests=test,
        sources=_SOURCES,
    )
    return record(
        **_STANDING,
        place={**COUNT, "description": "1 for what stands first"},
        of=COUNT,
        first=record(**_STANDING),
        behind_decibans=NUMBER,
        ledger=_LEDGER,
        missed={**missed, "description": "something else was found than the rule asks for"},
        waiting={**missed, "description": "nothing is known of what the rule asks for"},
        could_raise=rows(**_ASKED, probability=CHANCE, words=TEXT, first=FLAG),
    )


def _rather() -> dict[str, Any]:
    return record(
        one=record(**_STANDING),
        other=record(**_STANDING),
        apart_decibans={**NUMBER, "description": "the sum of the rows; negative: it is not so"},
        rows=rows(
            line=TEXT,
            title=TEXT,
            one=NUMBER,
            other=NUMBER,
            apart=NUMBER,
            word=_WORD,
            sources=_SOURCES,
        ),
        turns=rows(
            **_ASKED, was=TEXT_OR_NULL, one_probability=CHANCE, other_probability=CHANCE
        ),
    )


def _advice() -> dict[str, Any]:
    return record(
        verdict={"enum": ["cause", "discard", "stop", "nothing-wrong", "open"]},
        text=TEXT,
        cause=TEXT_OR_NULL,
        title=TEXT,
        stage={"enum": [*FULL_STAGES, None]},
        probability=CHANCE,
        words=TEXT,
        remedy=TEXT_OR_NULL,
        remedy_title=TEXT_OR_NULL,
    )


def _what_changes() -> dict[str, Any]:
    return record(
        now=_ADVICE,
        flips=rows(
            **_ASKED,
            was={**TEXT_OR_NULL, "description": "the answer given; null for an open question"},
            basis={"enum": ["measured", "told", "assumed", None]},
            changes=_CHANGES,
            advice=_ADVICE,
        ),
        flips_in_all=COUNT,
        pairs=rows(
            answers=rows(finding=TEXT, label=TEXT, value=_VALUE, answer=TEXT),
            chance=CHANCE,
            changes=_CHANGES,
            advice=_ADVICE,
        ),
        tried=COUNT,
    )


def _moved() -> dict[str, Any]:
    return rows(cause=TEXT, title=TEXT, before=CHANCE, after=CHANCE, words=TEXT)


def _what_if() -> dict[str, Any]:
    remedies = rows(id=TEXT, title=TEXT, **{"for": {"enum": ["this-batch", "next-batch"]}})
    cautions = rows(id=TEXT, level={"enum": ["stop", "warn", "note"]}, text=TEXT)
    figure = {
        "anyOf": [
            {"type": "null"},
            record(value=_VALUE, low=NUMBER_OR_NULL, high=NUMBER_OR_NULL, text=TEXT),
        ]
    }
    return record(
        answers=rows(finding=TEXT, label=TEXT, before=TEXT_OR_NULL, after=TEXT_OR_NULL),
        set_aside=rows(finding=TEXT, label=TEXT),
        changes=_CHANGES,
        nothing_changes=FLAG,
        before=_ADVICE,
        after=_ADVICE,
        moved=_MOVED,
        remedies_before=remedies,
        remedies_after=remedies,
        figures=rows(
            id=TEXT,
            dose={**FLAG, "description": "whether a remedy that is advised names it"},
            label=TEXT,
            unit=TEXT,
            before=figure,
            after=figure,
        ),
        cautions_gained=cautions,
        cautions_lost=cautions,
    )


def _without_practice() -> dict[str, Any]:
    return record(
        share={**CHANCE, "description": "of the weight behind the first cause"},
        stands=FLAG,
        changes=_CHANGES,
        before=_ADVICE,
        after=_ADVICE,
        fired=COUNT,
        fired_left_out=COUNT,
        fired_cut=COUNT,
        left_out=rows(line=TEXT, title=TEXT, cause=TEXT, weight=NUMBER, word=_WORD),
        moved=_MOVED,
        remedies=rows(
            id=TEXT,
            title=TEXT,
            **{"for": {"enum": ["this-batch", "next-batch"]}},
            published=FLAG,
        ),
        cautions_unsourced={**TEXTS, "description": "still said: cautions are never left out"},
    )
