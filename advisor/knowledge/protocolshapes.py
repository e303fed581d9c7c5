"""The shape of protocol parts and protocols, for ``shapes``."""

from __future__ import annotations

from typing import Any

from advisor.knowledge.protocols import CIRCUMSTANCES, WORKS

__all__ = ["PROTOCOL_RECORDS"]

_SNAKE = "^[a-z][a-z0-9_]*$"
_KEBAB = "^[a-z][a-z0-9-]*$"
_TEXT: dict[str, Any] = {"type": "string", "minLength": 1}
_CITATIONS = {"$ref": "#/$defs/citations"}
_MINUTES = {"type": "number", "minimum": 0, "maximum": 100_000}


def _record(required: str, **fields: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": fields,
        "required": required.split(),
        "additionalProperties": False,
    }


def _ids(about: str = "") -> dict[str, Any]:
    return {
        "type": "array",
        "items": {"type": "string", "pattern": _KEBAB},
        "minItems": 1,
        **({"description": about} if about else {}),
    }


_PAIR = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
_WHEN = {
    "type": "array",
    "minItems": 1,
    "items": {"enum": list(CIRCUMSTANCES)},
    "description": "all of these must hold",
}
_UNLESS = {**_WHEN, "description": "none of these may hold"}

_DIAL = _record(
    "label unit value usual allowed source",
    label={**_TEXT, "description": "what is set"},
    unit={"type": "string"},
    value={"type": "number"},
    usual={**_PAIR, "description": "the span of practice"},
    allowed={**_PAIR, "description": "what can be asked for at all"},
    choose={
        "type": "array",
        "minItems": 1,
        "items": _record("when value", when=_WHEN, value={"type": "number"}, because=_TEXT),
    },
    because=_TEXT,
    source=_CITATIONS,
)

_POINT = _record(
    "finding should bad cause remedy do",
    finding={**_TEXT, "pattern": _SNAKE, "description": "what is looked at"},
    should={**_TEXT, "description": "what it should show, in words"},
    bad={
        "type": "object",
        "minProperties": 1,
        "propertyNames": {"pattern": _SNAKE},
        "additionalProperties": {"type": ["string", "number"]},
        "description": "what to tell the diagnosis when it does not",
    },
    cause={**_TEXT, "pattern": _KEBAB},
    remedy={**_TEXT, "pattern": _KEBAB},
    do={**_TEXT, "description": "what to do at once, in a sentence"},
)

_STEP = _record(
    "id title do source",
    id={**_TEXT, "pattern": _KEBAB, "description": "used once in its part"},
    title=_TEXT,
    do={**_TEXT, "description": "may name quantities in braces"},
    hands_on={**_MINUTES, "description": "minutes of work, whatever the size"},
    per_litre={**_MINUTES, "description": "minutes of work more for each litre"},
    wait={
        "anyOf": [_MINUTES, {"type": "string", "pattern": _SNAKE}],
        "description": "minutes, or the name of a quantity that is a time",
    },
    attended={"const": True, "description": "somebody has to stand by while it waits"},
    after=_ids("steps of this part; left out: the one before; [start]: nothing of this part"),
    when=_WHEN,
    unless=_UNLESS,
    kit={"type": "array", "items": _TEXT, "minItems": 1},
    point=_POINT,
    cautions=_ids(),
    source=_CITATIONS,
)

PROTOCOL_RECORDS: dict[str, dict[str, Any]] = {
    "parts": _record(
        "id title work steps",
        id={**_TEXT, "pattern": _KEBAB, "description": "used once in the whole base"},
        title=_TEXT,
        work={"enum": list(WORKS), "description": "which calculation gives its amounts"},
        dials={
            "type": "object",
            "propertyNames": {"pattern": _SNAKE},
            "additionalProperties": _DIAL,
        },
        item=_record(
            "id name unit",
            id={**_TEXT, "pattern": _KEBAB, "description": "what is bought"},
            name={**_TEXT, "description": "as it stands in a sentence"},
            unit={"enum": ["g", "mL"]},
            contains={**_TEXT, "description": "its ingredient word on the label"},
            aid={"const": True, "description": "taken out again"},
        ),
        steps={"type": "array", "items": _STEP, "minItems": 1},
    ),
    "protocols": _record(
        "id technique title parts source",
        id={**_TEXT, "pattern": _KEBAB, "description": "used once in the whole base"},
        technique={**_TEXT, "pattern": _KEBAB},
        title=_TEXT,
        parts={
            "type": "array",
            "minItems": 1,
            "items": _record(
                "part",
                part={**_TEXT, "pattern": _KEBAB},
                name={**_TEXT, "pattern": _SNAKE, "description": "when a part is used twice"},
                dials={
                    "type": "object",
                    "propertyNames": {"pattern": _SNAKE},
                    "additionalProperties": {"type": "number"},
                },
                words={
                    "type": "object",
                    "propertyNames": {"enum": ["milk_kind", "fat_kind"]},
                    "additionalProperties": _TEXT,
                },
                beside={"const": True, "description": "begins at once, beside what is before it"},
                when=_WHEN,
                unless=_UNLESS,
            ),
        },
        because=_TEXT,
        source=_CITATIONS,
    ),
}
