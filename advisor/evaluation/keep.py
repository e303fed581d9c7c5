"""A simulated batch as a case file holds it, so that a person can look at it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.consult import Consultation
from advisor.errors import AdvisorError, Place
from advisor.evaluation.outcome import consult
from advisor.reasoning import MOST_QUESTIONS

if TYPE_CHECKING:
    from advisor.consult.case import Case
    from advisor.evaluation.cases import KnownCase
    from advisor.knowledge.model import Base

__all__ = ["as_asked", "whole_case"]


def whole_case(base: Base, case: KnownCase) -> Case:
    """All that is known of a batch, as a case file.

    Left out are symptoms beyond the list of those that were seen, and what nobody would be
    asked: results of checks that make no sense in view of the other answers.
    """
    told = Consultation(base).tell_symptoms(case.symptoms or ())
    for name, raw in {**case.told, **case.answers}.items():
        if name in base.findings and base.findings[name].symptom:
            continue
        try:
            told = told.tell(name, raw)
        except AdvisorError:
            continue  # an evaluation reports it
    places = {name: Place(name) for name in told.answers}
    while problems := told.contradictions(places):
        senseless = {problem.where.name for problem in problems}
        told = replace(
            told, answers={k: a for k, a in told.answers.items() if k not in senseless}
        )
    return _dressed(told, case)


def as_asked(base: Base, case: KnownCase, *, limit: int = MOST_QUESTIONS) -> Case:
    """What was told and asked in the consultation on a batch, and no more.

    ``curdwise diagnose --case`` then concludes what the evaluation scored.
    """
    told, _ = consult(base, case, limit=limit)
    return _dressed(told, case)


def _dressed(told: Consultation, case: KnownCase) -> Case:
    expected = case.expected
    expect: dict[str, object] = {"verdict": expected.verdict}
    if not expected.by_verdict:
        named = sorted(expected.causes)
        expect |= {"cause": named[0]} if len(named) == 1 else {"among": named}
        if len(expected.stages) == 1:
            expect["stage"] = min(expected.stages)
    return replace(
        told.to_case(),
        title=f"Simulated batch, {case.name}",
        story="Made by the simulator; it never existed.",
        expect=expect,
        invented=True,
    )
