"""Which drill a learner should do next, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.drills.pick import pick
from advisor.drills.schedule import plan

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

__all__ = ["NextUp", "exercises", "next_up"]


@dataclass(frozen=True, slots=True)
class NextUp:
    """A scenario, and the skill for whose sake it comes next (empty for a first drill)."""

    scenario: Scenario
    skill: str = ""
    new: bool = False  # the skill was never practised


def exercises(base: Base, scenario: Scenario) -> tuple[str, ...]:
    """The skills that a scenario will exercise for certain, the main one first."""
    skills = []
    if scenario.cause:
        skills.append(f"find:{base.causes[scenario.cause].stage}")
    if scenario.verdict != "cause":
        skills.append(f"verdict:{scenario.verdict}")
    if scenario.remedies:
        skills.append(f"mend:{base.remedies[scenario.remedies[0]].stage}")
    if scenario.doses:
        skills.append("dose")
    skills += [f"say:{caution}" for caution in scenario.say]
    return tuple(skills)


def next_up(
    base: Base, scenarios: Sequence[Scenario], done: Iterable[DrillResult], now: datetime
) -> NextUp | None:
    """The drill that one learner (``done``: their results) needs most; ``None`` without scenarios.

    A skill that is due comes first, the one most likely forgotten before others; then a skill
    never practised; then whatever is easiest and not done. Within a skill, a scenario that was
    not done comes before one that was.
    """
    results = list(done)
    if not results:
        first = pick(scenarios, results)
        return None if first is None else NextUp(first)
    trained = {scenario.name: exercises(base, scenario) for scenario in scenarios}
    for row in plan(results, now):
        if row.due > now:
            break
        having = [s for s in scenarios if row.skill in trained[s.name]]
        found = pick(having, results)
        if found is not None:
            return NextUp(found, row.skill)
    practised = {skill for result in results for skill in result.skills}
    fresh = [s for s in scenarios if set(trained[s.name][:1]) - practised]
    found = pick(fresh, results)
    if found is not None:
        return NextUp(found, trained[found.name][0], new=True)
    found = pick(scenarios, results)
    return None if found is None else NextUp(found)
