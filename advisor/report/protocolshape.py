"""The shape of a protocol as JSON: ``curdwise schema protocol``."""

from __future__ import annotations

from typing import Any

__all__ = ["protocol_schema"]

_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_TEXTS: dict[str, Any] = {"type": "array", "items": _TEXT}
_MAYBE_TEXT: dict[str, Any] = {"type": ["string", "null"]}
_ESTIMATE = {"$ref": "#/$defs/estimate"}
_MAYBE = {"anyOf": [_ESTIMATE, {"type": "null"}]}
_CITATIONS = {"type": "array", "items": {"$ref": "#/$defs/citation"}}


def _object(optional: str = "", **fields: Any) -> dict[str, Any]:
    left_out = optional.split()
    return {
        "type": "object",
        "additionalProperties": False,
        "properties": fields,
        "required": [name for name in fields if name not in left_out],
    }


def _list(of: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": of}


def _map(of: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": of}


_CHECK = _object(
    finding=_TEXT, should=_TEXT, if_not=_TEXT, tell=_map(_TEXT), cause=_TEXT, stage=_TEXT,
    remedy=_TEXT, command=_TEXT,
)  # fmt: skip
_STEP = _object(
    number={"type": "integer", "minimum": 1},
    id=_TEXT, part=_TEXT, title=_TEXT, do=_TEXT,
    hands_on_min=_NUMBER, wait_min=_NUMBER,
    attended={"type": "boolean"},
    start_min=_NUMBER,
    after=_list({"type": "integer"}),
    kit=_TEXTS,
    check={"anyOf": [_CHECK, {"type": "null"}]},
    cautions=_TEXTS,
    source=_CITATIONS,
)  # fmt: skip
_COST = _object(
    total=_NUMBER, per_litre=_NUMBER, per_serve={"type": ["number", "null"]},
    items=_map(_NUMBER), missing=_TEXTS,
)  # fmt: skip


def protocol_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a protocol file."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise protocol",
        **_object(
            version={"const": 1},
            program=_TEXT,
            knowledge={**_TEXT, "description": "version and hash of the base it rests on"},
            technique=_TEXT,
            title=_TEXT,
            brief_title=_TEXT,
            made_from=_object(
                technique=_TEXT,
                title=_TEXT,
                brief=_map({"type": ["string", "number"]}),
                batch_ml={"type": ["number", "null"]},
                set=_map({"type": ["string", "number"]}),
                prices=_map(_NUMBER),
                made=_TEXT,
                invented={"type": "boolean"},
            ),
            batch_ml=_NUMBER,
            drink_ml=_NUMBER,
            assumptions=_TEXTS,
            warnings=_TEXTS,
            settings=_list(
                _object(
                    id=_TEXT, label=_TEXT, value=_NUMBER, low=_NUMBER, high=_NUMBER, unit=_TEXT,
                    footing={"enum": ["practice", "given", "calculated"]},
                    because=_TEXT, source=_CITATIONS,
                )
            ),
            doses=_list(
                _object(
                    id=_TEXT, label=_TEXT, amount=_ESTIMATE, formula=_TEXT, source=_TEXT,
                    footing={"enum": ["calculated", "practice", "given", "assumed"]},
                    linear={"type": "boolean"},
                    notes=_TEXTS,
                )
            ),
            steps=_list(_STEP),
            timeline=_object(
                total_min=_NUMBER, hands_on_min=_NUMBER, critical=_list({"type": "integer"}),
                beside=_list(_list({"type": "integer"})),
            ),
            expected=_object(
                volume=_ESTIMATE, strength=_ESTIMATE, ph=_MAYBE, curd=_MAYBE, acid_excess=_MAYBE,
                sugar=_MAYBE,
                whey_protein=_MAYBE, protein_per_serve=_MAYBE, lactose_per_serve=_MAYBE,
                serve_ml=_NUMBER,
                serves={**_list({"type": "integer"}), "minItems": 3, "maxItems": 3},
                drinks_per_serve=_map(_ESTIMATE),
                keep_days={"type": "integer"},
                keep_band=_TEXT,
                keep_because=_TEXTS,
                cost={"anyOf": [_COST, {"type": "null"}]},
            ),
            balance=_list(
                _object(
                    part=_TEXT, what=_TEXT, direction={"enum": ["in", "out"]}, volume_ml=_NUMBER,
                    ethanol_ml=_NUMBER,
                )
            ),
            shopping=_list(
                _object(
                    group=_TEXT, item=_TEXT, text=_TEXT, needed=_MAYBE,
                    amount={"type": ["number", "null"]}, unit=_MAYBE_TEXT, note=_TEXT,
                )
            ),
            not_linear=_TEXTS,
            cautions=_list(
                _object(id=_TEXT, level={"enum": ["stop", "warn", "note"]}, text=_TEXT)
            ),
            label=_object(
                name=_TEXT, ingredients=_TEXTS, allergens=_map(_TEXT),
                ingredient_list_exempt=_map({"type": "boolean"}),
                contains_milk={"type": "boolean"},
                strength=_ESTIMATE, storage=_TEXTS, made=_MAYBE_TEXT, use_by=_MAYBE_TEXT,
                deferral=_TEXT,
            ),
        ),
        "$defs": {
            "estimate": _object(value=_NUMBER, low=_NUMBER, high=_NUMBER, unit=_TEXT),
            "citation": _object(
                "at derived says", ref=_TEXT, text=_TEXT, at=_TEXT, derived={"const": True},
                says=_TEXT,
            ),
        },
    }  # fmt: skip
