"""What a trainee can choose from when naming, mending and saying: the same for all of a class."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from advisor.drills.scoring import raised
from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.drills.scenario import Scenario
    from advisor.drills.session import DrillSession
    from advisor.knowledge.model import Base

__all__ = ["causes_at", "plausible", "remedies_for", "statements"]

_LISTED = 12
_STATEMENTS = 7


def causes_at(base: Base, session: DrillSession, stage: str) -> tuple[str, ...]:
    """The causes of a stage that belong to what was made, in the order of their titles."""
    made = session.consultation().answers.get("operation")
    operation = made.value if made is not None else None
    return tuple(
        c.id
        for c in sorted(base.causes.values(), key=lambda c: c.title)
        if c.stage == stage and (operation in (None, "several") or operation in c.operations)
    )


def plausible(base: Base, scenario: Scenario, standing: Iterable[str]) -> tuple[str, ...]:
    """About a dozen causes for a sheet of paper, in the order of their titles.

    The right ones, what they are taken for, and those that stand best on what is seen
    (``standing``, best first).
    """
    chosen = dict.fromkeys(scenario.right)
    for cause in scenario.right:
        chosen.update(dict.fromkeys(a.cause for a in base.causes[cause].looks_like))
    chosen.update(dict.fromkeys(scenario.misconceptions))
    for cause in standing:
        if len(chosen) >= _LISTED:
            break
        if cause in base.causes:
            chosen[cause] = None
    return tuple(sorted(chosen, key=lambda c: base.causes[c].title))


def remedies_for(
    base: Base, session: DrillSession, causes: Iterable[str], stage: str
) -> tuple[str, ...]:
    """The remedies that may be picked once something was named: those for the named causes and
    for the stage, this batch before the next, and those that apply."""
    facts = session.consultation().inference.facts_by_key()
    wanted = set(causes)
    found = [
        r
        for r in base.remedies.values()
        if (r.stage == stage or wanted & set(r.cures)) and (not r.when or holds(r.when, facts))
    ]
    return tuple(
        r.id
        for r in sorted(
            found, key=lambda r: (r.of != "this-batch", not wanted & set(r.cures), r.title)
        )
    )


def statements(base: Base, scenario: Scenario) -> tuple[tuple[str, str], ...]:
    """(name, text) of what may be said: what must be, what must not, and what is beside the point.

    The order hangs on the scenario alone, and gives nothing away.
    """
    options = {caution: base.cautions[caution].text for caution in scenario.say}
    for number, wrong in enumerate(scenario.wrong_to_say, 1):
        options[f"wrong-{number}"] = wrong.text
    given = raised(base, scenario)
    beside = [c for c in base.cautions.values() if c.id not in given and c.level != "note"]
    for caution in sorted(beside, key=lambda c: _shuffled(scenario, c.id)):
        if len(options) >= _STATEMENTS:
            break
        options[caution.id] = caution.text
    return tuple(sorted(options.items(), key=lambda pair: _shuffled(scenario, pair[0])))


def _shuffled(scenario: Scenario, name: str) -> str:
    return hashlib.sha256(f"{scenario.name}/{name}".encode()).hexdigest()
