"""The shape of a knowledge file, as a JSON Schema that editors can use too.

The schema that ships (``schemas/knowledge.schema.json``) is written from here, and a
test holds the two together.
"""

from __future__ import annotations

from typing import Any

from advisor.knowledge.protocolshapes import PROTOCOL_RECORDS
from advisor.knowledge.words import (
    BROUGHT,
    DOES,
    EFFECTS,
    FREQUENCIES,
    FULL_STAGES,
    OPERATIONS,
    PRIORS,
    WEIGHTS,
)

__all__ = ["SECTIONS", "knowledge_schema"]

_SNAKE = "^[a-z][a-z0-9_]*$"
_KEBAB = "^[a-z][a-z0-9-]*$"
# A group of one's own, or that of the table rows about a finding.
_GROUP = "^([a-z][a-z0-9-]*|finding/[a-z][a-z0-9_]*)$"

SECTIONS = (
    "sources",
    "findings",
    "figures",
    "checks",
    "causes",
    "rules",
    "remedies",
    "cautions",
    "techniques",
    "choosing",
    "parts",
    "protocols",
)


def _text(about: str = "", **more: Any) -> dict[str, Any]:
    return {"type": "string", "minLength": 1, **({"description": about} if about else {}), **more}


def _word(values: Any, about: str = "") -> dict[str, Any]:
    return {"enum": list(values), **({"description": about} if about else {})}


def _number(about: str = "", **more: Any) -> dict[str, Any]:
    return {"type": "number", **({"description": about} if about else {}), **more}


def _list(of: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"type": "array", "items": of, **more}


def _map(of: dict[str, Any], keys: str = "", **more: Any) -> dict[str, Any]:
    shape: dict[str, Any] = {"type": "object", "additionalProperties": of, **more}
    if keys:
        shape["propertyNames"] = {"pattern": keys}
    return shape


def _record(required: str, **fields: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": fields,
        "required": required.split(),
        "additionalProperties": False,
    }


_SNAKE_ID = _text("under_scores, used once in the whole base", pattern=_SNAKE)
_KEBAB_ID = _text("hyphens-between-words, used once in the whole base", pattern=_KEBAB)
_CITATIONS = {"$ref": "#/$defs/citations"}
_CONDITION = {"$ref": "#/$defs/condition"}
_MINUTES = _number("minutes", minimum=0, maximum=100000)
_WORD_OR_WORDS = {"anyOf": [_text(), _list(_text(), minItems=1)]}

_DEFS: dict[str, Any] = {
    "citation": {
        "anyOf": [
            _word(("practice", "judgement"), "common practice without a source, or our judgement"),
            _record(
                "ref",
                ref=_text("the id of a source", pattern=_KEBAB),
                at=_text("page, table, section, article"),
                derived={"const": True, "description": "worked out from the source"},
                says=_text("what it says, in short"),
            ),
        ]
    },
    "citations": _list({"$ref": "#/$defs/citation"}, minItems=1),
    "condition": {
        "description": "a test, or all / any / none with a list of conditions",
        "type": "object",
        "minProperties": 1,
        "additionalProperties": {"$ref": "#/$defs/test"},
        "properties": {
            "all": _list(_CONDITION, minItems=1),
            "any": _list(_CONDITION, minItems=1),
            "none": _list(_CONDITION, minItems=1),
        },
    },
    "test": {
        "description": "a word, a list of words, a range of numbers, or known / missing / unknown",
        "anyOf": [
            _text(),
            {"type": "number"},
            _list(_text(), minItems=1),
            {
                "type": "object",
                "minProperties": 1,
                "additionalProperties": False,
                "properties": {
                    "above": {"type": ["number", "string"]},
                    "below": {"type": ["number", "string"]},
                    "at_least": {"type": ["number", "string"]},
                    "at_most": {"type": ["number", "string"]},
                    "not": _WORD_OR_WORDS,
                },
            },
        ],
    },
    "weights": _map(_word(WEIGHTS), _KEBAB, minProperties=1),
}

_EFFECTS = {
    "type": "object",
    "minProperties": 1,
    "additionalProperties": False,
    "properties": {
        "suspect": {"$ref": "#/$defs/weights"},
        "doubt": {"$ref": "#/$defs/weights"},
        "conclude": _map(_text(), _SNAKE, minProperties=1),
        "caution": _list(_text(), minItems=1),
        "suggest": _list(_text(), minItems=1),
        "verdict": _word(("discard", "stop", "nothing-wrong")),
    },
}

_CHOICE_EFFECTS = {
    "type": "object",
    "minProperties": 1,
    "additionalProperties": False,
    "properties": {
        "prefer": {"$ref": "#/$defs/weights"},
        "avoid": {"$ref": "#/$defs/weights"},
        "forbid": _list(_text(pattern=_KEBAB), minItems=1, uniqueItems=True),
        "way_out": _text("what to do instead; goes with forbid"),
        "impossible": _text("the trade-off, where goals and limits exclude each other"),
        "trade_off": _text("what one of two goals or limits costs the other"),
        "conclude": _map(_text(), _SNAKE, minProperties=1),
        "caution": _list(_text(), minItems=1),
    },
    "dependentRequired": {"forbid": ["way_out"], "way_out": ["forbid"]},
}

_EXAMPLES = _list(
    _record(
        "given fires",
        given=_map({"type": ["string", "number"]}, _SNAKE),
        fires={"type": "boolean"},
        known_gap={"const": True},
    ),
    minItems=2,
)

_RECORDS: dict[str, dict[str, Any]] = {
    "sources": _record(
        "id title mark",
        id=_KEBAB_ID,
        title=_text(),
        by=_text(),
        year={"type": "integer", "minimum": 1600, "maximum": 2100},
        where=_text("journal, volume, pages, doi, or the number of a standard or regulation"),
        mark=_word(("seen", "derived", "memory")),
        note=_text(),
    ),
    "findings": _record(
        "id label ask kind group",
        id=_SNAKE_ID,
        label=_text("completes a sentence in a report"),
        ask=_text("the question as asked"),
        kind=_word(("yes-no", "choice", "quantity")),
        group=_word(
            [
                "symptom",
                "batch",
                "seen",
                "tasted",
                "measured",
                "process",
                "storage",
                "service",
                "derived",
                "brief",
            ],
        ),
        choices=_list(
            _record(
                "value label",
                value=_text(pattern=_KEBAB),
                label=_text(),
                usual=_number(minimum=0, maximum=1),
            ),
            minItems=2,
        ),
        usual=_number(
            "share of yes among batches in general", exclusiveMinimum=0, exclusiveMaximum=1
        ),
        unit=_text(),
        range=_list({"type": "number"}, minItems=2, maxItems=2),
        help=_text(),
        measures=_text("the figure that this reading replaces", pattern=_SNAKE),
        opening=_number("asked at the start, in this order", minimum=1),
        closing=_number("asked before the advice, in this order, of every batch", minimum=1),
        ratio_of=_text("a ratio written here is that quantity to this one", pattern=_SNAKE),
        ask_when=_CONDITION,
        asked={"const": False, "description": "only rules conclude it"},
        minutes=_MINUTES,
    ),
    "figures": _record(
        "id label calculation inputs needs",
        id=_SNAKE_ID,
        label=_text(),
        calculation=_text(pattern="^[a-z_]+\\.[a-z0-9_]+$"),
        inputs=_map(_text(pattern=_SNAKE), _SNAKE),
        needs=_list(_text(pattern=_SNAKE)),
        constants=_map({"type": ["number", "string"]}, _SNAKE),
        group={"const": "brief", "description": "worked out from a brief, not from a batch"},
        measures=_text("the figure that this one, resting on a reading, replaces", pattern=_SNAKE),
    ),
    "checks": _record(
        "id title finding how minutes level source",
        id=_KEBAB_ID,
        title=_text(),
        finding=_text(pattern=_SNAKE),
        how=_text(),
        minutes=_MINUTES,
        wait=_MINUTES,
        level=_word(("look", "taste", "measure", "new-batch")),
        kit=_list(_text()),
        group=_text(pattern=_GROUP),
        caution=_list(_text()),
        outcomes=_list(
            _record(
                "is says",
                **{"is": {"$ref": "#/$defs/test"}},
                says=_text(),
                raises={"$ref": "#/$defs/weights"},
                lowers={"$ref": "#/$defs/weights"},
            )
        ),
        source=_CITATIONS,
    ),
    "causes": _record(
        "id title stage prior operations because shows source",
        id=_KEBAB_ID,
        title=_text("the verdict in one line"),
        stage=_word(FULL_STAGES),
        prior=_word(PRIORS),
        operations=_list(_word(OPERATIONS), minItems=1, uniqueItems=True),
        because=_text(),
        shows=_map(
            {"anyOf": [_word(FREQUENCIES), _map(_word(FREQUENCIES), minProperties=1)]},
            _SNAKE,
        ),
        looks_like=_list(
            _record("cause tell", cause=_text(pattern=_KEBAB), tell=_text(), check=_text())
        ),
        source=_CITATIONS,
        against=_CITATIONS,
    ),
    "rules": _record(
        "id title stage when then because source examples",
        id=_KEBAB_ID,
        title=_text(),
        stage=_word(FULL_STAGES),
        when=_CONDITION,
        then=_EFFECTS,
        because=_text(),
        source=_CITATIONS,
        against=_CITATIONS,
        group=_text(pattern=_GROUP),
        examples=_EXAMPLES,
    ),
    "remedies": _record(
        "id title for stage cures do minutes source",
        id=_KEBAB_ID,
        title=_text(),
        **{"for": _word(("this-batch", "next-batch"))},
        stage=_word(FULL_STAGES),
        cures=_map(_word(FREQUENCIES), _KEBAB, minProperties=1),
        do=_text(),
        otherwise=_text(),
        minutes=_MINUTES,
        wait=_MINUTES,
        loses_batch={"const": True, "description": "nothing is left to serve: comes last"},
        when=_CONDITION,
        trial=_text(),
        expect=_text(),
        risks=_list(
            _record(
                "to text",
                to=_word(("flavour", "strength", "safety", "allergens", "yield", "colour")),
                text=_text(),
            )
        ),
        source=_CITATIONS,
    ),
    "cautions": _record(
        "id level text source",
        id=_KEBAB_ID,
        level=_word(("stop", "warn", "note")),
        text=_text(),
        jurisdiction=_text(),
        source=_CITATIONS,
    ),
    "techniques": _record(
        "id title operations about needs brings minutes wait shortest does effects because source",
        id=_KEBAB_ID,
        title=_text("what it is called where it is offered"),
        operations=_list(
            _text("strip, fat-wash, whey-dose, or another step, in order", pattern=_KEBAB),
            minItems=1,
        ),
        about=_text("what is done, in a sentence or two"),
        needs=_list(
            {"anyOf": [_text(pattern=_SNAKE), _list(_text(pattern=_SNAKE), minItems=2)]},
        ),
        brings=_list(
            {
                "anyOf": [
                    _word(BROUGHT),
                    _record("what when", what=_word(BROUGHT), when=_CONDITION),
                ]
            },
        ),
        minutes=_MINUTES,
        wait=_MINUTES,
        shortest=_MINUTES,
        amounts=_record(
            "",
            milk=_list(_number("mL per litre of drink, wash by wash", exclusiveMinimum=0)),
            curd=_list(_number("mL of milk curdled apart, per litre of drink", exclusiveMinimum=0)),
            whey=_list(_number("mL per litre of drink", exclusiveMinimum=0)),
        ),
        does=_map(_word(DOES), _SNAKE, minProperties=1),
        effects=_record(
            "taste colour strength body label", **{part: _text() for part in EFFECTS}
        ),
        because=_text(),
        source=_CITATIONS,
        against=_CITATIONS,
    ),
    "choosing": _record(
        "id title when then because source examples",
        id=_KEBAB_ID,
        title=_text("the reason in one line"),
        when=_CONDITION,
        then=_CHOICE_EFFECTS,
        because=_text(),
        source=_CITATIONS,
        against=_CITATIONS,
        group=_text(pattern=_GROUP),
        examples=_EXAMPLES,
    ),
    **PROTOCOL_RECORDS,
}


def knowledge_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of one knowledge file."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise knowledge file",
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "base": _record(
                "name version",
                name=_text("what this base is called in reports"),
                version=_text(pattern="^[0-9]+(\\.[0-9]+)*$"),
                bystander=_word(WEIGHTS),
            ),
            **{section: _list({"$ref": f"#/$defs/{section}"}) for section in SECTIONS},
            "switch_off": _list(
                _record("id why", id=_text("an id of the shipped base"), why=_text())
            ),
        },
        "$defs": {**_DEFS, **_RECORDS},
    }
