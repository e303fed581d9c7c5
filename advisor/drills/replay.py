"""A drill seen by the advisor: what each step told, and what it would have asked itself."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.drills.answering import answered
from advisor.drills.costs import cost_of
from advisor.drills.session import opening
from advisor.reasoning.evidence import holds
from advisor.reasoning.ledger import entropy_bits
from advisor.reasoning.questions import stop_reason

if TYPE_CHECKING:
    from advisor.consult import Consultation
    from advisor.drills.scenario import Scenario
    from advisor.drills.session import DrillSession
    from advisor.knowledge.model import Base
    from advisor.reasoning.infer import Inference
    from advisor.reasoning.questions import Candidate, StopReason

__all__ = [
    "MOST_QUESTIONS",
    "Expert",
    "ExpertStep",
    "Review",
    "closed_early",
    "expert",
    "gained",
    "reviews",
    "whole",
]

MOST_QUESTIONS = 12
# A cause named while it stands below this, with a check open that is worth its minutes, was
# named too early; judgement: it should at least be likelier than not with something to spare.
_STANDS = 0.60


@dataclass(frozen=True, slots=True)
class ExpertStep:
    """A question of the advisor: information hoped for and had (bits), what came first after."""

    finding: str
    answer: str | float
    minutes: float
    expected: float
    bits: float
    first: str
    standing: float


@dataclass(frozen=True, slots=True)
class Expert:
    """The advisor's own consultation on the same batch."""

    steps: tuple[ExpertStep, ...]
    minutes: float
    consultation: Consultation
    stop: StopReason | None


@dataclass(frozen=True, slots=True)
class Review:
    """One step of a trainee against the best question that was open.

    ``expected`` and ``best_expected`` are what could be hoped for in advance (bits); ``bits``
    and ``best_bits`` what was and would have been learnt from this batch.
    """

    finding: str
    answer: str | float
    minutes: float
    liquid_ml: float
    expected: float
    bits: float
    best_finding: str
    best_expected: float
    best_bits: float
    best_minutes: float
    first: str
    standing: float
    enough: bool = False  # the advisor would have stopped asking before this step


def gained(scenario: Scenario, before: Inference, after: Inference) -> float:
    """Information that an answer brought about the cause, in bits; negative when it misled.

    The logarithm of how many times likelier the true causes became. When nothing is wrong, or
    the verdict needs no cause, the uncertainty about the cause that was removed.
    """
    right = [c for c in scenario.right if c in before.standing]
    if not right:
        return entropy_bits(before.standing.values()) - entropy_bits(after.standing.values())
    was = math.fsum(before.standing[c] for c in right)
    now = math.fsum(after.standing[c] for c in right)
    return math.log2(now / was) if was > 0.0 and now > 0.0 else 0.0


def expert(base: Base, scenario: Scenario, seed: int = 0, limit: int = MOST_QUESTIONS) -> Expert:
    """The advisor works the scenario: its questions, the minutes, and what it concludes."""
    now = opening(base, scenario)
    steps: list[ExpertStep] = []
    while (stop := _stop(now, len(steps), limit)) is None:
        best = now.candidates[0]
        answer = answered(base, scenario, best.finding, 0, seed)
        after = now.answered(best.finding, answer)
        first = after.inference.ranked[0]
        steps.append(
            ExpertStep(
                best.finding,
                answer,
                cost_of(base, best.finding, known=answer != "unknown").minutes,
                best.gain,
                gained(scenario, now.inference, after.inference),
                first,
                after.inference.standing[first],
            )
        )
        now = after
    return Expert(tuple(steps), math.fsum(s.minutes for s in steps), now, stop)


def _stop(now: Consultation, asked: int, limit: int) -> StopReason | None:
    return stop_reason(now.engine, now.inference, asked, limit, now.candidates)


def reviews(session: DrillSession) -> tuple[Review, ...]:
    """Every step against the best question that was open when it was taken."""
    made = []
    for index, step in enumerate(session.steps):
        before, after = session.consultation(index), session.consultation(index + 1)
        found = before.candidates
        mine = next((c for c in found if c.finding == step.finding), None)
        best = found[0] if found else None
        first = after.inference.ranked[0]
        made.append(
            Review(
                finding=step.finding,
                answer=step.answer,
                minutes=step.minutes,
                liquid_ml=step.liquid_ml,
                expected=mine.gain if mine else 0.0,
                bits=gained(session.scenario, before.inference, after.inference),
                best_finding=best.finding if best else "",
                best_expected=best.gain if best else 0.0,
                best_bits=_would_tell(session, before, best, index) if best else 0.0,
                best_minutes=cost_of(session.base, best.finding).minutes if best else 0.0,
                first=first,
                standing=after.inference.standing[first],
                enough=_stop(before, 0, MOST_QUESTIONS) is not None,
            )
        )
    return tuple(made)


def _would_tell(session: DrillSession, before: Consultation, best: Candidate, index: int) -> float:
    attempt = sum(step.finding == best.finding for step in session.steps[:index])
    answer = answered(session.base, session.scenario, best.finding, attempt, session.seed)
    after = before.answered(best.finding, answer)
    return gained(session.scenario, before.inference, after.inference)


def closed_early(session: DrillSession) -> bool:
    """Whether the answer was named too early.

    A cause is named too early when, on the same answers, it stood below 60 % with the advisor
    while a check was open that was worth its minutes; *nothing wrong* when the advisor would
    not yet have said so. To throw away or to stop serving is never too early.
    """
    named = session.named
    if named is None or named.verdict in ("discard", "stop"):
        return False
    now = session.consultation()
    if _stop(now, 0, MOST_QUESTIONS) is not None:
        return False
    if named.verdict == "nothing-wrong":
        return now.advice.verdict.kind != "nothing-wrong"
    base, standing = session.base, now.inference.standing
    causes = named.causes or [c for c in base.causes.values() if c.stage == named.stage]
    ids = [c if isinstance(c, str) else c.id for c in causes]
    return math.fsum(standing.get(c, 0.0) for c in ids) < _STANDS


def whole(base: Base, scenario: Scenario, seed: int = 0) -> Consultation:
    """What the advisor would know if everything were asked that the batch can answer."""
    now = opening(base, scenario)
    asked: set[str] = set()
    while True:
        facts = now.inference.facts_by_key()
        fresh = [
            f.id
            for f in base.findings.values()
            if f.asked
            and f.id not in asked
            and f.id not in scenario.seen
            and f.id not in scenario.symptoms
            and (not f.ask_when or holds(f.ask_when, facts))
        ]
        told = False
        for finding in fresh:
            asked.add(finding)
            answer = scenario.batch.answer(finding, 0, seed)
            if answer != "unknown":
                now = now.tell(finding, answer)
                told = True
        if not told:
            return now
