"""Pieces of which the JSON Schemas of what is printed are put together."""

from __future__ import annotations

from typing import Any

__all__ = [
    "CHANCE",
    "COUNT",
    "FLAG",
    "NUMBER",
    "NUMBER_OR_NULL",
    "TEXT",
    "TEXTS",
    "TEXT_OR_NULL",
    "record",
    "rows",
]

TEXT: dict[str, Any] = {"type": "string"}
TEXTS: dict[str, Any] = {"type": "array", "items": TEXT}
TEXT_OR_NULL: dict[str, Any] = {"type": ["string", "null"]}
NUMBER: dict[str, Any] = {"type": "number"}
NUMBER_OR_NULL: dict[str, Any] = {"type": ["number", "null"]}
COUNT: dict[str, Any] = {"type": "integer", "minimum": 0}
CHANCE: dict[str, Any] = {"type": "number", "minimum": 0, "maximum": 1}
FLAG: dict[str, Any] = {"type": "boolean"}


def record(**fields: Any) -> dict[str, Any]:
    """An object with exactly these keys, each of the shape given."""
    return {
        "type": "object",
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
    }


def rows(**fields: Any) -> dict[str, Any]:
    """A list of such objects."""
    return {"type": "array", "items": record(**fields)}
