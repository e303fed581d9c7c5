"""A protocol and a comparison as plain data with stable keys, and back from its file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError
from advisor.files import read_bounded
from advisor.report.cite import citation_data
from advisor.report.protocol import check_text
from advisor.technique.protocol.wording import fill, step_text
from advisor.version import __version__

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base
    from advisor.science.estimate import Estimate
    from advisor.technique.protocol import Comparison, Protocol
    from advisor.technique.protocol.model import CheckPoint, Dose, Setting, Step

__all__ = ["VERSION", "comparison_data", "protocol_data", "read_protocol"]

VERSION = 1
_MOST_BYTES = 5_000_000


def protocol_data(base: Base, protocol: Protocol, *, units: str = "metric") -> dict[str, Any]:
    """The protocol by ``curdwise schema protocol``; numbers are in the unit named beside them."""
    expected, label = protocol.expected, protocol.label
    return {
        "version": VERSION,
        "program": __version__,
        "knowledge": protocol.knowledge,
        "technique": protocol.technique,
        "title": protocol.title,
        "brief_title": protocol.brief_title,
        "made_from": {
            "technique": protocol.from_.technique,
            "title": protocol.from_.title,
            "brief": dict(protocol.from_.answers),
            "batch_ml": protocol.from_.batch_ml,
            "set": dict(protocol.from_.overrides),
            "prices": dict(protocol.from_.prices),
            "made": protocol.from_.made,
            "invented": protocol.from_.invented,
        },
        "batch_ml": protocol.batch_ml,
        "drink_ml": protocol.drink_ml,
        "assumptions": list(protocol.assumptions),
        "warnings": list(protocol.warnings),
        "settings": [_setting(base, s) for s in protocol.settings],
        "doses": [_dose(d) for d in protocol.doses],
        "steps": [_step(base, protocol, s, units) for s in protocol.steps],
        "timeline": {
            "total_min": protocol.timeline.total,
            "hands_on_min": protocol.timeline.hands_on,
            "critical": list(protocol.timeline.critical),
            "beside": [list(pair) for pair in protocol.timeline.beside],
        },
        "expected": {
            "volume": _estimate(expected.volume),
            "strength": _estimate(expected.strength),
            "ph": _estimate(expected.ph),
            "curd": _estimate(expected.curd),
            "acid_excess": _estimate(expected.acid_excess),
            "sugar": _estimate(expected.sugar),
            "whey_protein": _estimate(expected.whey_protein),
            "protein_per_serve": _estimate(expected.protein_per_serve),
            "lactose_per_serve": _estimate(expected.lactose_per_serve),
            "serve_ml": expected.serve_ml,
            "serves": list(expected.serves),
            "drinks_per_serve": {k: _estimate(v) for k, v in expected.drinks.items()},
            "keep_days": expected.keep_days,
            "keep_band": expected.keep_band,
            "keep_because": list(expected.keep_why),
            "cost": None
            if expected.cost is None
            else {
                "total": expected.cost.total,
                "per_litre": expected.cost.per_litre,
                "per_serve": expected.cost.per_serve,
                "items": dict(expected.cost.items),
                "missing": list(expected.cost.missing),
            },
        },
        "balance": [
            {
                "part": f.part,
                "what": f.what,
                "direction": f.direction,
                "volume_ml": f.volume,
                "ethanol_ml": f.ethanol,
            }
            for f in protocol.flows
        ],
        "shopping": [
            {
                "group": p.group,
                "item": p.item,
                "text": p.text,
                "needed": _estimate(p.needed),
                "amount": p.amount if p.unit else None,
                "unit": p.unit or None,
                "note": p.note,
            }
            for p in protocol.shopping
        ],
        "not_linear": list(protocol.not_linear),
        "cautions": [
            {"id": c, "level": base.cautions[c].level, "text": base.cautions[c].text}
            for c in protocol.cautions
        ],
        "label": {
            "name": label.name,
            "ingredients": list(label.ingredients),
            "allergens": dict(label.statements),
            "ingredient_list_exempt": dict(label.list_exempt),
            "contains_milk": label.contains_milk,
            "strength": _estimate(label.strength),
            "storage": list(label.storage),
            "made": label.made or None,
            "use_by": label.use_by or None,
            "deferral": label.deferral,
        },
    }


def _estimate(given: Estimate | None) -> dict[str, Any] | None:
    if given is None:
        return None
    return {"value": given.value, "low": given.low, "high": given.high, "unit": given.unit}


def _setting(base: Base, setting: Setting) -> dict[str, Any]:
    return {
        "id": setting.id,
        "label": setting.label,
        "value": setting.value,
        "low": setting.low,
        "high": setting.high,
        "unit": setting.unit,
        "footing": setting.footing,
        "because": setting.because,
        "source": [citation_data(base, c) for c in setting.source],
    }


def _dose(dose: Dose) -> dict[str, Any]:
    return {
        "id": dose.id,
        "label": dose.label,
        "amount": _estimate(dose.amount),
        "formula": dose.formula,
        "source": dose.source,
        "footing": dose.footing,
        "linear": dose.linear,
        "notes": list(dose.notes),
    }


def _step(base: Base, protocol: Protocol, step: Step, units: str) -> dict[str, Any]:
    return {
        "number": step.number,
        "id": step.id,
        "part": step.part_title,
        "title": step.title,
        "do": step_text(protocol, step, units),
        "hands_on_min": step.hands_on,
        "wait_min": step.wait,
        "attended": step.attended,
        "start_min": step.start,
        "after": list(step.after),
        "kit": list(step.kit),
        "check": None if step.check is None else _check(protocol, step, step.check, units),
        "cautions": list(step.cautions),
        "source": [citation_data(base, c) for c in step.source],
    }


def _check(protocol: Protocol, step: Step, check: CheckPoint, units: str) -> dict[str, Any]:
    return {
        "finding": check.finding,
        "should": check_text(protocol, step, check, units),
        "if_not": fill(protocol, check.do, step.scope, units),
        "tell": dict(check.tell),
        "cause": check.cause,
        "stage": check.stage,
        "remedy": check.remedy,
        "command": check.command,
    }


def comparison_data(comparison: Comparison) -> dict[str, Any]:
    """All rows of a comparison; those that differ are marked."""
    return {
        "version": VERSION,
        "a": comparison.a,
        "b": comparison.b,
        "changed": list(comparison.changed),
        "rows": [
            {"kind": r.kind, "name": r.name, "a": r.a, "b": r.b, "differs": r.differs}
            for r in comparison.rows
        ],
    }


def read_protocol(base: Base, path: Path | str) -> Protocol:
    """The protocol of a saved file, worked out again with the knowledge at hand.

    Raises ``AdvisorError`` for a file that cannot be read or is no protocol.
    """
    data = _read(Path(path))
    from dataclasses import replace

    from advisor.technique.brief import brief_from
    from advisor.technique.protocol import protocol

    made = data["made_from"]
    answers: Mapping[str, object] = made["brief"]
    brief = brief_from(base, answers, title=str(made.get("title", "")))
    brief = replace(brief, invented=bool(made.get("invented")))
    return protocol(
        base,
        brief,
        made["technique"],
        batch_ml=made["batch_ml"],
        overrides=made["set"],
        prices=made["prices"],
        made=made.get("made", ""),
    )


def _read(path: Path) -> dict[str, Any]:
    raw = read_bounded(
        path,
        _MOST_BYTES,
        code="protocol-unreadable",
        saying="the protocol cannot be read",
        too_large=("protocol-too-large", "a protocol is never this large"),
        hint="check the name and the folder",
    )
    import jsonschema

    from advisor.report.protocolshape import protocol_schema

    try:
        data: dict[str, Any] = json.loads(raw)
        jsonschema.Draft202012Validator(protocol_schema()).validate(data)
    except (ValueError, RecursionError) as error:
        raise AdvisorError(
            "protocol-form",
            f"this is not JSON: {str(error)[:120]}",
            where=str(path),
            hint="a protocol file is written by curdwise protocol --json",
        ) from None
    except jsonschema.ValidationError as error:
        at = ".".join(map(str, error.absolute_path)) or "the whole file"
        raise AdvisorError(
            "protocol-form",
            f"this is not a protocol: {at}: {error.message[:160]}",
            where=str(path),
            hint="a protocol file is written by curdwise protocol --json; "
            "curdwise schema protocol says its form",
        ) from None
    return data
