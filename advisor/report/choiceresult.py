"""A choice of technique as data: stable, documented keys with a version."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.report.choice import caution_text, change_text
from advisor.report.cite import citation_data

if TYPE_CHECKING:
    from advisor.knowledge.model import Base
    from advisor.technique.choose import Choice, Conflict, Option, Reason, Refusal
    from advisor.technique.effects import Change

__all__ = ["CHOICE_VERSION", "choice_result", "choice_schema"]

CHOICE_VERSION = 1


def choice_result(base: Base, choice: Choice, *, units: str = "metric") -> dict[str, Any]:
    """Everything that the screen says, for every technique, with weights and sources."""
    brief = choice.brief
    return {
        "version": CHOICE_VERSION,
        "title": brief.title,
        "invented": brief.invented,
        "first": choice.first.technique if choice.first is not None else None,
        "ranked": [_option(base, option, units) for option in choice.ranked],
        "refused": [_refusal(base, refusal) for refusal in choice.refused],
        "conflicts": [_conflict(base, conflict) for conflict in choice.conflicts],
        "left_over": {goal: list(helping) for goal, helping in choice.left_over.items()},
        "brief": {
            key: {"value": answer.value, "status": answer.status, "text": answer.text}
            for key, answer in brief.answers.items()
        },
        "figures": {
            key: {"value": value.value, "unit": base.brief_figures[key].unit}
            for key, value in choice.facts.figures.items()
        },
        "knowledge": {"name": base.name, "version": base.version, "hash": base.hash},
        "house": list(base.overlays),
        "engine": choice.backend,
    }


def _option(base: Base, option: Option, units: str) -> dict[str, Any]:
    return {
        "technique": option.technique,
        "title": option.title,
        "standing": round(option.standing, 2),
        "words": option.word,
        "serves": dict(option.serves),
        "for": [_reason(base, reason) for reason in option.for_],
        "against": [_reason(base, reason) for reason in option.against],
        "effects": [_change(change, units) for change in option.effects],
        "brings": list(option.brings),
        "contains_milk": option.contains_milk,
        "cautions": [{"id": key, "text": caution_text(base, key)} for key in option.cautions],
        "minutes": option.minutes,
        "hours": round(option.hours, 2),
    }


def _reason(base: Base, reason: Reason) -> dict[str, Any]:
    return {
        "line": reason.line,
        "text": reason.text,
        "because": reason.because,
        "weight": round(reason.weight, 2),
        "words": reason.word,
        "rests_on": [{"what": what, "said": said} for what, said in reason.rests_on],
        "source": [citation_data(base, citation) for citation in reason.source],
    }


def _change(change: Change, units: str) -> dict[str, Any]:
    data: dict[str, Any] = {"part": change.part, "text": change_text(change, units)}
    if change.value is not None:
        value = change.value
        data |= {"value": value.value, "low": value.low, "high": value.high, "unit": value.unit}
        data["source"] = change.source
    return data


def _refusal(base: Base, refusal: Refusal) -> dict[str, Any]:
    return {
        "technique": refusal.technique,
        "title": refusal.title,
        "reasons": [_reason(base, reason) for reason in refusal.reasons],
        "way_out": list(refusal.way_out),
    }


def _conflict(base: Base, conflict: Conflict) -> dict[str, Any]:
    return {
        "id": conflict.id,
        "kind": conflict.kind,
        "title": conflict.title,
        "because": conflict.because,
        "trade_off": conflict.trade_off,
        "between": list(conflict.between),
        "source": [citation_data(base, citation) for citation in conflict.source],
    }


def choice_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a choice as data."""
    text, number = {"type": "string"}, {"type": "number"}
    texts = {"type": "array", "items": text}

    def record(required: str, **fields: Any) -> dict[str, Any]:
        return {
            "type": "object",
            "properties": fields,
            "required": required.split(),
            "additionalProperties": False,
        }

    def listed(of: dict[str, Any]) -> dict[str, Any]:
        return {"type": "array", "items": of}

    cited = record(
        "ref text",
        ref=text,
        text=text,
        at=text,
        derived={"type": "boolean"},
        says=text,
    )
    reason = record(
        "line text because weight words rests_on source",
        line=text,
        text=text,
        because=text,
        weight={**number, "description": "decibans; 0 for a refusal"},
        words=text,
        rests_on=listed(record("what said", what=text, said=text)),
        source=listed(cited),
    )
    change = record(
        "part text",
        part={"description": "taste, colour, aroma, strength, body, label or keeping", **text},
        text=text,
        value=number,
        low=number,
        high=number,
        unit=text,
        source=text,
    )
    option = record(
        "technique title standing words serves for against effects brings contains_milk cautions "
        "minutes hours",
        technique=text,
        title=text,
        standing={**number, "description": "decibans, summed; more is better"},
        words=text,
        serves={"type": "object", "additionalProperties": text},
        **{"for": listed(reason)},
        against=listed(reason),
        effects=listed(change),
        brings=texts,
        contains_milk={"type": "boolean"},
        cautions=listed(record("id text", id=text, text=text)),
        minutes=number,
        hours=number,
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "curdwise choice of technique",
        **record(
            "version title invented first ranked refused conflicts left_over brief figures "
            "knowledge house engine",
            version={"const": CHOICE_VERSION},
            title=text,
            invented={"type": "boolean"},
            first={"type": ["string", "null"], "description": "null: nothing can be used"},
            ranked=listed(option),
            refused=listed(
                record(
                    "technique title reasons way_out",
                    technique=text,
                    title=text,
                    reasons=listed(reason),
                    way_out=texts,
                )
            ),
            conflicts=listed(
                record(
                    "id kind title because trade_off between source",
                    id=text,
                    kind={"enum": ["impossible", "trade-off"]},
                    title=text,
                    because=text,
                    trade_off=text,
                    between=texts,
                    source=listed(cited),
                )
            ),
            left_over={"type": "object", "additionalProperties": texts},
            brief={
                "type": "object",
                "additionalProperties": record(
                    "value status text",
                    value={"type": ["string", "number", "null"]},
                    status=text,
                    text=text,
                ),
            },
            figures={
                "type": "object",
                "additionalProperties": record(
                    "value unit", value={"type": ["string", "number"]}, unit=text
                ),
            },
            knowledge=record("name version hash", name=text, version=text, hash=text),
            house=texts,
            engine=text,
        ),
    }
