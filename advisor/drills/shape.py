"""The shape of a scenario file, as a JSON Schema (2020-12)."""

from __future__ import annotations

from typing import Any

__all__ = ["DIFFICULTIES", "VERDICTS", "scenario_schema"]

DIFFICULTIES = ("easy", "ordinary", "hard")
VERDICTS = ("cause", "discard", "stop", "nothing-wrong")

_TEXT = {"type": "string", "minLength": 1}
_NAMES = {"type": "array", "items": _TEXT, "uniqueItems": True}
_ANSWER = {"type": ["string", "number", "boolean"]}


def scenario_schema() -> dict[str, Any]:
    """The JSON Schema of a scenario: a case with a hidden part, a solution, what to teach."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise drill scenario",
        "type": "object",
        "additionalProperties": False,
        "required": ["title", "story", "difficulty", "topics", "seen", "solution"],
        "properties": {
            "title": _TEXT,
            "story": {**_TEXT, "description": "what the trainee is told; gives nothing away"},
            "invented": {"type": "boolean", "description": "the batch never existed"},
            "source": {**_TEXT, "description": "where the batch was published, if it was"},
            "difficulty": {"enum": list(DIFFICULTIES)},
            "topics": {**_NAMES, "minItems": 1},
            "seen": {
                "type": "object",
                "description": "finding: answer, known before anything is asked",
                "required": ["symptoms"],
                "properties": {"symptoms": {**_NAMES, "minItems": 1}},
                "additionalProperties": _ANSWER,
            },
            "hidden": {
                "type": "object",
                "description": "finding: what the batch answers when it is asked",
                "additionalProperties": {"anyOf": [_ANSWER, _reading()]},
            },
            "solution": _solution(),
            "teaching": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    "red_herrings": _said("finding: why it leads astray"),
                    "misconceptions": _said("wrong cause: what somebody who names it overlooks"),
                    "note": {**_TEXT, "description": "what the drill is there to teach"},
                },
            },
        },
    }


def _said(description: str) -> dict[str, Any]:
    return {"type": "object", "description": description, "additionalProperties": _TEXT}


def _reading() -> dict[str, Any]:
    return {
        "type": "object",
        "description": "an answer; {answer: 5.2, within: 0.3}; {answer: a, or: b, chance: 0.2}",
        "additionalProperties": False,
        "required": ["answer"],
        "properties": {
            "answer": _ANSWER,
            "within": {"type": "number", "exclusiveMinimum": 0},
            "or": _ANSWER,
            "chance": {"type": "number", "exclusiveMinimum": 0, "maximum": 0.5},
        },
    }


def _solution() -> dict[str, Any]:
    votes = {
        "type": "object",
        "minProperties": 1,
        "additionalProperties": {"type": "integer", "minimum": 0},
    }
    return {
        "type": "object",
        "additionalProperties": False,
        "required": ["verdict"],
        "properties": {
            "verdict": {"enum": list(VERDICTS)},
            "causes": {**_NAMES, "maxItems": 2, "description": "the cause; two for two faults"},
            "accept": {**_NAMES, "description": "causes that nothing asked could tell apart"},
            "remedies": {**_NAMES, "description": "each of these is right"},
            "doses": {
                "type": "array",
                "items": {
                    "type": "object",
                    "additionalProperties": False,
                    "required": ["of", "from", "to"],
                    "properties": {"of": _TEXT, "from": _TEXT, "to": _TEXT},
                },
            },
            "say": {**_NAMES, "description": "cautions that must be said"},
            "wrong_to_say": {
                "type": "array",
                "items": {
                    "type": "object",
                    "additionalProperties": False,
                    "required": ["text", "because"],
                    "properties": {"text": _TEXT, "because": _TEXT},
                },
            },
            "panel": {
                "type": "object",
                "description": "how many of a panel of experts chose each answer",
                "additionalProperties": False,
                "properties": {"cause": votes, "remedy": votes},
            },
        },
    }
