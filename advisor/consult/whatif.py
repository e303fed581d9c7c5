"""A consultation with other answers, for *what if*: told together, or refused together."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound, shortened, shortened_in
from advisor.reasoning.answers import finding_name
from advisor.reasoning.contrast import ruled_out

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.consult.consultation import Consultation

__all__ = ["supposing"]


def supposing(
    consultation: Consultation, changes: Mapping[str, object]
) -> tuple[Consultation, tuple[str, ...]]:
    """The consultation after these changes, and the answers that they rule out.

    Those are left out of it: nobody who asks "what if it were a fat wash?" wants to take back
    the milk by hand. Raises ``ProblemsFound`` with every fault, among them a change that the
    answers which stay rule out.
    """
    after = consultation
    problems: list[Problem] = []
    for name, raw in changes.items():
        try:
            if finding_name(name) == "symptoms":
                after = after.tell_symptoms(_several(raw))
            else:
                after = after.tell(name, raw)
        except AdvisorError as error:
            where = Place(shortened(f"what if {name}={raw}"))
            message = shortened_in(error.message, name, str(raw))
            problems.append(Problem(error.code, message, where, error.hint))
    if problems:
        raise ProblemsFound("these answers are not right", problems)
    changed = {finding_name(name) for name in changes}
    before = set(_pointless(consultation)) - changed
    aside: list[str] = []
    while out := [key for key in _pointless(after) if key not in changed | before]:
        aside += out
        left = {key: answer for key, answer in after.answers.items() if key not in out}
        after = replace(after, answers=left)
    if changed & set(after.impossible):
        faults = after.contradictions(name="what if")
        raise ProblemsFound("these answers are not right", faults)
    return after, tuple(aside)


def _pointless(consultation: Consultation) -> list[str]:
    """Answers to questions that the others leave no reason to ask; what was seen stays seen."""
    base = consultation.base
    out = ruled_out(base, consultation.answers)
    return [key for key in out if not base.findings[key].symptom]


def _several(raw: object) -> list[str]:
    """A list of names, also from text with commas or spaces between them."""
    if isinstance(raw, list | tuple):
        return [str(name) for name in raw]
    return str(raw).replace(",", " ").split()
