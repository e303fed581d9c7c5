"""After a drill: what was right, what each step told, and why it is what it is. Pure data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.drills.replay import Expert, Review, expert, reviews, whole
from advisor.drills.scoring import score

if TYPE_CHECKING:
    from advisor.consult import Consultation
    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario
    from advisor.drills.session import DrillSession
    from advisor.knowledge.model import Base, Citation

__all__ = ["Debrief", "Overlooked", "Reason", "Worked", "debrief", "worked"]

_MOST_REASONS = 5
_WORTH_SAYING = 2.0  # decibans


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for or against a cause: its weight in decibans, and who says so."""

    text: str
    weight: float
    source: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class Overlooked:
    """What somebody who names a wrong cause overlooks."""

    cause: str
    text: str
    check: str  # the check that tells it from the right one, if one is known
    against: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Worked:
    """A scenario as the advisor works it.

    ``truth`` is the consultation in which everything was asked; ``reasons`` what then speaks for
    each true cause; ``rules`` the rules behind a verdict that comes before any cause.
    """

    path: Expert
    truth: Consultation
    reasons: tuple[tuple[str, tuple[Reason, ...]], ...]
    rules: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Debrief:
    """All that is told after a drill. ``herrings`` are those that the trainee met."""

    session: DrillSession
    result: DrillResult
    steps: tuple[Review, ...]
    worked: Worked
    overlooked: tuple[Overlooked, ...]
    herrings: tuple[tuple[str, str], ...]


def worked(base: Base, scenario: Scenario, seed: int = 0) -> Worked:
    """The advisor's own way through a scenario, and what the whole truth says for it."""
    truth = whole(base, scenario, seed)
    return Worked(
        path=expert(base, scenario, seed),
        truth=truth,
        reasons=tuple((c, _reasons(base, truth, c, for_it=True)) for c in scenario.causes),
        rules=tuple(
            Reason(base.rules[rule].because, 0.0, base.rules[rule].source)
            for rule in truth.advice.verdict.because
        ),
    )


def debrief(session: DrillSession) -> Debrief:
    """The debrief of a finished session. Raises ``AdvisorError`` when it is not over."""
    base, scenario = session.base, session.scenario
    shown = worked(base, scenario, session.seed)
    steps = reviews(session)
    named = session.named.causes if session.named else ()
    asked = {s.finding for s in session.steps} | set(scenario.seen) | set(scenario.symptoms)
    return Debrief(
        session=session,
        result=score(session, shown.path, steps),
        steps=steps,
        worked=shown,
        overlooked=tuple(
            _overlooked(session, shown.truth, cause)
            for cause in named
            if cause not in scenario.right
        ),
        herrings=tuple((f, text) for f, text in scenario.red_herrings.items() if f in asked),
    )


def _reasons(base: Base, truth: Consultation, cause: str, *, for_it: bool) -> tuple[Reason, ...]:
    lines = truth.engine.lines
    rows = [
        entry
        for entry in truth.inference.ledger(cause)
        if entry.counted
        and entry.line in lines
        and (entry.weight if for_it else -entry.weight) >= _WORTH_SAYING
    ]
    return tuple(
        Reason(
            lines[e.line].title,
            e.weight,
            lines[e.line].source or base.causes[cause].source,
        )
        for e in rows[:_MOST_REASONS]
    )


def _overlooked(session: DrillSession, truth: Consultation, cause: str) -> Overlooked:
    base, scenario = session.base, session.scenario
    text = scenario.misconceptions.get(cause, "")
    check = ""
    for true in scenario.right:
        for one, two in ((true, cause), (cause, true)):
            for alike in base.causes[one].looks_like:
                if alike.cause == two:
                    text = text or _sentence(alike.tell)
                    check = check or alike.check
    return Overlooked(cause, text, check, _reasons(base, truth, cause, for_it=False))


def _sentence(text: str) -> str:
    text = text.strip()
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else text + "."
