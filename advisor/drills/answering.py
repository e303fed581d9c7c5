"""What comes out when something is asked: the batch answers, and nobody lists what is not wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

__all__ = ["answered"]


def answered(
    base: Base, scenario: Scenario, finding: str, attempt: int, seed: int
) -> str | float:
    """The answer to a finding, ``unknown`` when nobody can tell.

    A symptom that the batch does not speak of is not there. The same arguments always give
    the same answer.
    """
    answer = scenario.batch.answer(finding, attempt, seed)
    if answer == "unknown" and base.findings[finding].symptom:
        return "no"
    return answer
