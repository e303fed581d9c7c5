"""One known case taken through a consultation, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.consult import Consultation
from advisor.errors import AdvisorError
from advisor.evaluation.effort import Effort, actions_of, effort
from advisor.evaluation.scores import brier_of_all, log_score_of
from advisor.knowledge.conditions import UNKNOWN
from advisor.reasoning import MOST_QUESTIONS

if TYPE_CHECKING:
    from advisor.evaluation.cases import KnownCase
    from advisor.knowledge.model import Base

__all__ = ["Miss", "Outcome", "consult", "outcome"]

_LEDGER = 3


@dataclass(frozen=True, slots=True)
class Miss:
    """What there is to see when the wrong thing came first.

    The ledgers are the heaviest lines of what was named and of what was true, with their
    weights in decibans.
    """

    rank: int | None  # of the truth among the causes, 1 is first
    probability: float  # of the truth
    answers: tuple[tuple[str, str], ...]  # what was asked, and the answer
    for_named: tuple[tuple[str, float], ...]
    for_true: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a case came out. What cannot be said of a case is ``None``."""

    case: str
    seed: int | None
    condition: str
    true: str
    faults: tuple[str, ...]
    true_stages: tuple[str, ...]
    expected_verdict: str
    operation: str
    symptoms: tuple[str, ...]
    named: str  # the first cause, or discard, stop, nothing-wrong
    verdict: str
    stage: str
    right: bool | None
    in_three: bool | None
    cause_first: bool | None  # the true cause stands first, whatever the verdict
    itself: bool | None  # the first cause is what went wrong itself, not a twin of it
    both_in_three: bool | None  # of two faults
    both_together: bool | None  # they make one of the sets that explain what was found
    stage_right: bool | None
    probability: float | None  # of the first cause
    brier_all: float | None
    log_all: float | None  # surprise at the truth, nats
    asked: tuple[str, ...]
    recipe: int  # questions about the recipe, which everybody is asked; told or asked
    stopped: str
    effort: Effort | None
    miss: Miss | None
    unread: tuple[str, ...] = ()  # answers that the base does not understand


def consult(
    base: Base, case: KnownCase, *, limit: int = MOST_QUESTIONS, backend: str = "reference"
) -> tuple[Consultation, tuple[str, ...]]:
    """A consultation in which the case answers what is asked, and knows nothing else.

    Gives it with the answers that could not be understood; those count as *don't know*.
    """
    unread: list[str] = []

    def said(so_far: Consultation, name: str, raw: object, *, asked: bool) -> Consultation:
        give = so_far.answered if asked else so_far.tell
        try:
            after = give(name, raw)
        except AdvisorError as error:
            unread.append(error.message)
            after = give(name, UNKNOWN) if asked else so_far
        # Nobody takes a step back here, so the steps need not be kept.
        return replace(after, _before=None)

    now = Consultation(base, limit=limit, backend=backend)
    if case.symptoms is not None:
        now = now.tell_symptoms(case.symptoms)
    for name, raw in case.told.items():
        now = said(now, name, raw, asked=False)
    for remedy in case.tried:
        now = now.failed(remedy)
    while (question := now.next_question) is not None:
        if question.kind == "symptoms":
            now = now.tell_symptoms(())
            continue
        now = said(now, question.finding, case.answers.get(question.finding, UNKNOWN), asked=True)
    return now, tuple(unread)


def outcome(
    base: Base,
    case: KnownCase,
    *,
    condition: str = "",
    limit: int = MOST_QUESTIONS,
    backend: str = "reference",
) -> Outcome:
    """Consult on a case and hold what comes out against its truth."""
    consultation, unread = consult(base, case, limit=limit, backend=backend)
    inference, advice = consultation.inference, consultation.advice
    expected, verdict = case.expected, advice.verdict
    ranked = inference.ranked
    # Where a verdict comes before any cause, no cause and no probability are told.
    told_cause = verdict.kind in ("cause", "open")
    named = ranked[0] if told_cause else verdict.kind
    three = ranked[:3] if told_cause else ()
    right: bool | None = None
    in_three: bool | None = None
    if expected.by_verdict:
        right = in_three = verdict.kind == expected.verdict
    elif expected.causes:
        right = named in expected.causes
        in_three = any(cause in expected.causes for cause in three)
    scored = bool(expected.causes) and not expected.by_verdict and told_cause
    first_fault = expected.faults[0] if len(expected.faults) == 1 else ""
    return Outcome(
        case=case.name,
        seed=case.seed,
        condition=condition,
        true=expected.true,
        faults=expected.faults,
        true_stages=tuple(sorted(expected.stages)),
        expected_verdict=expected.verdict,
        operation=case.operation,
        symptoms=tuple(
            name
            for name, answer in consultation.answers.items()
            if base.findings[name].symptom and answer.value == "yes"
        ),
        named=named,
        verdict=verdict.kind,
        stage=verdict.stage,
        right=right,
        in_three=in_three,
        cause_first=ranked[0] in expected.causes if expected.causes else None,
        itself=ranked[0] in (expected.faults or expected.causes) if scored else None,
        both_in_three=expected.both_among(three),
        both_together=expected.both_together([s.causes for s in inference.sets]),
        stage_right=(
            verdict.stage in expected.stages or bool(right) if expected.stages else None
        ),
        probability=inference.standing[ranked[0]] if scored else None,
        brier_all=brier_of_all(inference.standing, expected.causes) if scored else None,
        log_all=(
            log_score_of(sum(inference.standing.get(c, 0.0) for c in expected.causes))
            if scored
            else None
        ),
        asked=consultation.asked,
        recipe=sum(bool(base.findings[name].opening) for name in consultation.answers),
        stopped=consultation.stop_reason.code if consultation.stop_reason else "",
        effort=(
            effort(actions_of(advice), inference.standing, first_fault)
            if first_fault and scored
            else None
        ),
        miss=_miss(consultation, case, named) if right is False else None,
        unread=unread,
    )


def _miss(consultation: Consultation, case: KnownCase, named: str) -> Miss:
    inference = consultation.inference
    causes = case.expected.causes
    best = next((c for c in inference.ranked if c in causes), "")
    if named in inference.standing:
        spoke = _heaviest(consultation, named)
    else:
        spoke = tuple((rule, 0.0) for rule in consultation.advice.verdict.because[:_LEDGER])
    return Miss(
        rank=inference.ranked.index(best) + 1 if best else None,
        probability=sum(inference.standing.get(c, 0.0) for c in causes),
        answers=tuple(
            (name, str(answer.text or answer.value or answer.status))
            for name, answer in consultation.answers.items()
            if name in consultation.asked
        ),
        for_named=spoke,
        for_true=_heaviest(consultation, best) if best else (),
    )


def _heaviest(consultation: Consultation, cause: str) -> tuple[tuple[str, float], ...]:
    entries = [e for e in consultation.inference.ledger(cause) if e.counted]
    return tuple((e.line, round(e.weight, 2)) for e in entries[:_LEDGER])


