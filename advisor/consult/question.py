"""One question as a person meets it: wording, possible answers, effort, and why it is asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.knowledge.model import Base
    from advisor.reasoning.questions import Candidate

__all__ = [
    "Option",
    "Question",
    "closing_question",
    "opening_question",
    "question_for",
    "symptom_question",
]


@dataclass(frozen=True)
class Option:
    """One answer that can be picked; ``ask`` is how it would be asked for alone."""

    value: str
    label: str
    help: str = ""
    ask: str = ""


@dataclass(frozen=True)
class Question:
    """What to ask next.

    ``kind`` is symptoms (several may be picked), choice, yes-no or quantity; ``opening``
    says that it belongs to the recipe, which is asked of every batch, and ``closing`` that it is
    asked of every batch before the advice; ``candidate`` holds the numbers
    behind the choice of this question when it was chosen for what it tells.
    """

    finding: str
    kind: str
    ask: str
    options: tuple[Option, ...] = ()
    unit: str = ""
    low: float | None = None
    high: float | None = None
    help: str = ""
    opening: bool = False
    closing: bool = False
    check: str = ""
    title: str = ""
    how: str = ""
    minutes: float = 0.0
    wait: float = 0.0
    kit: tuple[str, ...] = ()
    candidate: Candidate | None = None

    @property
    def because(self) -> str:
        """Why every batch is asked it; empty where it was chosen for what it tells."""
        if self.closing:
            return "Every batch is asked it before a glass goes out, whatever is wrong with it."
        if self.opening:
            return "It is part of the recipe: amounts are worked out from it."
        return ""


def symptom_question(base: Base) -> Question:
    """The first question: what is wrong with it?"""
    return Question(
        "symptoms",
        "symptoms",
        "What is wrong with it? Pick all that fit.",
        tuple(Option(f.id, f.label, f.help, f.ask) for f in base.findings.values() if f.symptom),
        opening=True,
    )


def opening_question(base: Base, finding: str) -> Question:
    """A question that is asked of every batch it applies to."""
    return replace(question_for(base, finding, None), opening=True)


def closing_question(base: Base, finding: str) -> Question:
    """A question that is asked of every batch before the advice."""
    return replace(question_for(base, finding, None), closing=True)


def question_for(base: Base, finding: str, candidate: Candidate | None) -> Question:
    """The question for a finding, with the check that answers it."""
    about = base.findings[finding]
    check = next((c for c in base.checks.values() if c.finding == finding), None)
    return Question(
        finding=finding,
        kind=about.kind,
        ask=about.ask,
        options=tuple(Option(c.value, c.label) for c in about.choices),
        unit=about.unit,
        low=about.low,
        high=about.high,
        help=about.help,
        check=check.id if check else "",
        title=check.title if check else "",
        how=check.how if check else "",
        minutes=check.minutes if check else about.minutes,
        wait=check.wait if check else 0.0,
        kit=check.kit if check else (),
        candidate=candidate,
    )
