"""The result of a consultation as data: stable, documented keys with a version.

The JSON Schema of this form ships beside the package (``schemas/result.schema.json``).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from advisor.report.cite import citation_data
from advisor.report.doses import filled, instruction
from advisor.report.explain import how, ledger, rule_tree, title_of, why

if TYPE_CHECKING:
    from advisor.consult import Consultation
    from advisor.reasoning.advise import RemedyAdvice
    from advisor.report.wanted import Wanted

__all__ = ["RESULT_VERSION", "result"]

RESULT_VERSION = 1
_MOST_CAUSES = 12


def result(
    consultation: Consultation,
    *,
    units: str = "metric",
    explain: bool = True,
    wanted: Wanted | None = None,
) -> dict[str, Any]:
    """Everything that the screen says, and the ledgers behind it.

    ``units`` is ``metric`` or ``us``; ``explain`` adds the derivation of the first cause;
    ``wanted`` adds explanations on demand under ``explanations``. Raises ``AdvisorError`` when
    these name a cause or an answer that does not exist.
    """
    base, engine = consultation.base, consultation.engine
    inference, advice = consultation.inference, consultation.advice
    verdict = advice.verdict
    data: dict[str, Any] = {
        "version": RESULT_VERSION,
        "title": consultation.title,
        "invented": consultation.invented,
        "verdict": {
            "kind": verdict.kind,
            "text": verdict.text,
            "cause": verdict.cause or None,
            "stage": verdict.stage or None,
            "probability": round(verdict.probability, 4),
            "words": verdict.words,
            "because": rule_tree(engine, inference, verdict.because),
        },
        "causes": [
            {
                "id": cause,
                "title": title_of(base, cause),
                "stage": base.causes[cause].stage if cause in base.causes else None,
                "probability": round(inference.standing[cause], 4),
                "words": _words(inference.standing[cause]),
                "ledger": ledger(engine, inference, cause),
            }
            for cause in inference.ranked[:_MOST_CAUSES]
        ],
        "explains": {
            cause: list(found)
            for cause, found in inference.explains.items()
            if inference.standing[cause] >= 0.01
        },
        "together": [list(s.causes) for s in inference.sets],
        "unexplained": list(inference.unexplained),
        "remedies": [
            _remedy(consultation, r, units) for r in (*advice.this_batch, *advice.next_batch)
        ],
        "hold_for": [
            {"cause": cause, "title": title_of(base, cause), "probability": round(chance, 4)}
            for cause, chance in advice.hold_for
        ],
        "fault": advice.fault,
        "otherwise": [
            {
                "cause": a.cause,
                "title": title_of(base, a.cause),
                "probability": round(a.probability, 4),
                "finding": a.finding or None,
                "check": a.check or None,
                "tell": a.tell,
            }
            for a in advice.alternatives
        ],
        "cautions": [
            {
                "id": key,
                "level": base.cautions[key].level,
                "text": base.cautions[key].text,
                "jurisdiction": base.cautions[key].jurisdiction,
                "sources": [citation_data(base, c) for c in base.cautions[key].source],
            }
            for key in advice.cautions
        ],
        "figures": _figures(consultation),
        "figures_refused": dict(inference.facts.failed),
        "next_question": _next(consultation),
        "asked": list(consultation.asked),
        "answers": {
            key: {
                "value": answer.value,
                "status": answer.status,
                "basis": answer.basis,
                "text": answer.text,
            }
            for key, answer in inference.answers.items()
        },
        "tried": list(consultation.tried),
        "rests_on": {kind: list(keys) for kind, keys in advice.rests_on.items()},
        "practice_share": round(advice.practice_share, 3),
        "knowledge": {
            "name": base.name,
            "version": base.version,
            "hash": base.hash,
            "house_changes": list(base.overlays),
        },
        "engine": inference.backend,
    }
    if explain and verdict.cause:
        data["how"] = how(engine, inference, verdict.cause)
    if wanted:
        from advisor.report.explanations import explanations

        data["explanations"] = explanations(consultation, wanted, units=units)
    return data


def _words(probability: float) -> str:
    from advisor.reasoning.ledger import probability_words

    return probability_words(probability)


def _remedy(consultation: Consultation, advised: RemedyAdvice, units: str) -> dict[str, Any]:
    base, remedy = consultation.base, advised.remedy
    told = instruction(base, consultation.inference, remedy, units)
    trial = filled(base, consultation.inference, remedy.trial, units)
    expect = filled(base, consultation.inference, remedy.expect, units)
    return {
        "id": remedy.id,
        "for": remedy.of,
        "title": remedy.title,
        "stage": remedy.stage,
        "do": told.text,
        "dose": [
            {
                "figure": d.figure,
                "value": d.value,
                "low": _number(d.low),
                "high": _number(d.high),
                "unit": d.unit,
                "text": d.text,
            }
            for d in told.doses
        ],
        "effort_minutes": remedy.minutes,
        "wait_minutes": remedy.wait,
        "chance": round(advised.chance, 4),
        "treats": advised.treats or None,
        "loses_batch": remedy.loses_batch,
        "trial": trial.text if trial else "",
        "expect": expect.text if expect else "",
        "risks": [{"to": r.to, "text": r.text} for r in remedy.risks],
        "sources": [citation_data(base, c) for c in remedy.source],
    }


def _figures(consultation: Consultation) -> list[dict[str, Any]]:
    from advisor.science.registry import get

    base = consultation.base
    rows = []
    for key, value in consultation.inference.facts.figures.items():
        figure = base.figures[key]
        calc = get(figure.calculation)
        rows.append(
            {
                "id": key,
                "label": figure.label,
                "value": value.value,
                "low": _number(value.low),
                "high": _number(value.high),
                "unit": figure.unit,
                "basis": value.basis,
                "formula": calc.formula,
                "inputs": dict(value.inputs),
                "source": calc.source,
            }
        )
    return rows


def _next(consultation: Consultation) -> dict[str, Any] | None:
    question = consultation.next_question
    if question is None:
        return None
    data: dict[str, Any] = {
        "finding": question.finding,
        "ask": question.ask,
        "kind": question.kind,
        "values": [o.value for o in question.options],
        "unit": question.unit or None,
        "check": question.check or None,
        "how": question.how,
        "minutes": question.minutes,
        "wait_minutes": question.wait,
        "why": None,
    }
    if question.candidate is not None:
        data["why"] = why(consultation.engine, consultation.inference, question.candidate)
    return data


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
