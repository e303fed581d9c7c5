"""The JSON Schema of the explanations on demand, a part of a result's."""

from __future__ import annotations

from typing import Any

from advisor.knowledge.words import FULL_STAGES

__all__ = ["explanation_definitions", "explanations_schema"]

_TEXT = {"type": "string"}
_TEXTS = {"type": "array", "items": _TEXT}
_TEXT_OR_NULL = {"type": ["string", "null"]}
_NUMBER = {"type": "number"}
_NUMBER_OR_NULL = {"type": ["number", "null"]}
_COUNT = {"type": "integer", "minimum": 0}
_CHANCE = {"type": "number", "minimum": 0, "maximum": 1}
_FLAG = {"type": "boolean"}
_WORD = {"enum": ["none", "slight", "moderate", "strong", "decisive"]}
_VALUE = {"type": ["string", "number"]}
_CHANGES = {"type": "array", "items": {"enum": ["verdict", "cause", "stage", "remedy"]}}
_STANDING = {"cause": _TEXT, "title": _TEXT, "probability": _CHANCE, "words": _TEXT}
_ASKED = {
    "finding": _TEXT,
    "label": _TEXT,
    "check": _TEXT_OR_NULL,
    "check_title": _TEXT_OR_NULL,
    "value": _VALUE,
    "answer": _TEXT,
    "low": {**_NUMBER_OR_NULL, "description": "of the band of amounts that all do the same"},
    "high": _NUMBER_OR_NULL,
    "chance": {**_CHANCE, "description": "how likely it is that this answer is the true one"},
    "minutes": _NUMBER,
    "wait_minutes": _NUMBER,
}


def _record(**fields: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
    }


def _rows(**fields: Any) -> dict[str, Any]:
    return {"type": "array", "items": _record(**fields)}


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
    test = _rows(
        test=_TEXT, key=_TEXT, state={"enum": ["holds", "fails", "open"]}, found=_TEXT
    )
    missed = _rows(
        line=_TEXT,
        title=_TEXT,
        weight={**_NUMBER, "description": "decibans that it would have added at most"},
        word=_WORD,
        tests=test,
        sources=_SOURCES,
    )
    return _record(
        **_STANDING,
        place={**_COUNT, "description": "1 for what stands first"},
        of=_COUNT,
        first=_record(**_STANDING),
        behind_decibans=_NUMBER,
        ledger=_LEDGER,
        missed={**missed, "description": "something else was found than the rule asks for"},
        waiting={**missed, "description": "nothing is known of what the rule asks for"},
        could_raise=_rows(**_ASKED, probability=_CHANCE, words=_TEXT, first=_FLAG),
    )


def _rather() -> dict[str, Any]:
    return _record(
        one=_record(**_STANDING),
        other=_record(**_STANDING),
        apart_decibans={**_NUMBER, "description": "the sum of the rows; negative: it is not so"},
        rows=_rows(
            line=_TEXT,
            title=_TEXT,
            one=_NUMBER,
            other=_NUMBER,
            apart=_NUMBER,
            word=_WORD,
            sources=_SOURCES,
        ),
        turns=_rows(
            **_ASKED, was=_TEXT_OR_NULL, one_probability=_CHANCE, other_probability=_CHANCE
        ),
    )


def _advice() -> dict[str, Any]:
    return _record(
        verdict={"enum": ["cause", "discard", "stop", "nothing-wrong", "open"]},
        text=_TEXT,
        cause=_TEXT_OR_NULL,
        title=_TEXT,
        stage={"enum": [*FULL_STAGES, None]},
        probability=_CHANCE,
        words=_TEXT,
        remedy=_TEXT_OR_NULL,
        remedy_title=_TEXT_OR_NULL,
    )


def _what_changes() -> dict[str, Any]:
    return _record(
        now=_ADVICE,
        flips=_rows(
            **_ASKED,
            was={**_TEXT_OR_NULL, "description": "the answer given; null for an open question"},
            basis={"enum": ["measured", "told", "assumed", None]},
            changes=_CHANGES,
            advice=_ADVICE,
        ),
        flips_in_all=_COUNT,
        pairs=_rows(
            answers=_rows(finding=_TEXT, label=_TEXT, value=_VALUE, answer=_TEXT),
            chance=_CHANCE,
            changes=_CHANGES,
            advice=_ADVICE,
        ),
        tried=_COUNT,
    )


def _moved() -> dict[str, Any]:
    return _rows(cause=_TEXT, title=_TEXT, before=_CHANCE, after=_CHANCE, words=_TEXT)


def _what_if() -> dict[str, Any]:
    remedies = _rows(id=_TEXT, title=_TEXT, **{"for": {"enum": ["this-batch", "next-batch"]}})
    cautions = _rows(id=_TEXT, level={"enum": ["stop", "warn", "note"]}, text=_TEXT)
    figure = {
        "anyOf": [
            {"type": "null"},
            _record(value=_VALUE, low=_NUMBER_OR_NULL, high=_NUMBER_OR_NULL, text=_TEXT),
        ]
    }
    return _record(
        answers=_rows(finding=_TEXT, label=_TEXT, before=_TEXT_OR_NULL, after=_TEXT_OR_NULL),
        set_aside=_rows(finding=_TEXT, label=_TEXT),
        changes=_CHANGES,
        nothing_changes=_FLAG,
        before=_ADVICE,
        after=_ADVICE,
        moved=_MOVED,
        remedies_before=remedies,
        remedies_after=remedies,
        figures=_rows(
            id=_TEXT,
            dose={**_FLAG, "description": "whether a remedy that is advised names it"},
            label=_TEXT,
            unit=_TEXT,
            before=figure,
            after=figure,
        ),
        cautions_gained=cautions,
        cautions_lost=cautions,
    )


def _without_practice() -> dict[str, Any]:
    return _record(
        share={**_CHANCE, "description": "of the weight behind the first cause"},
        stands=_FLAG,
        changes=_CHANGES,
        before=_ADVICE,
        after=_ADVICE,
        fired=_COUNT,
        fired_left_out=_COUNT,
        fired_cut=_COUNT,
        left_out=_rows(line=_TEXT, title=_TEXT, cause=_TEXT, weight=_NUMBER, word=_WORD),
        moved=_MOVED,
        remedies=_rows(
            id=_TEXT,
            title=_TEXT,
            **{"for": {"enum": ["this-batch", "next-batch"]}},
            published=_FLAG,
        ),
        cautions_unsourced={**_TEXTS, "description": "still said: cautions are never left out"},
    )
