"""Build a base out of what was gathered, and tell every fault there is in one go.

A record with a fault is left out, and so is a change of a house that the rest cannot do with;
then the rest is built without it. So one run tells all faults, and none that only comes from what
was left out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.advice import with_advice
from advisor.knowledge.build import Builder

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from advisor.knowledge.gather import Change, Gathered, Record
    from advisor.science.registry import Calculation

__all__ = ["Assembly", "assemble", "at_the_house", "without_what_is_missed"]

# Rounds of leaving out; a fault may hang on a fault, but hardly so deep.
_MOST_ROUNDS = 30
_SHOWN = 3
_QUOTED = re.compile(r"'([^']+)'")
_NAME = re.compile(r"[A-Za-z][\w-]*")
# What may only be found because something is not there.
_OF_ABSENCE = frozenset(
    {
        "alternative-unreachable",
        "branch-never",
        "caution-unused",
        "cause-never-first",
        "cause-no-next",
        "cause-no-remedy",
        "cause-unreachable",
        "conclusion-dead-end",
        "figure-unused",
        "finding-never-asked",
        "finding-unasked",
        "finding-unused",
        "group-alone",
        "look-alike-check",
        "look-alike-no-check",
        "look-alike-one-way",
        "ranges-gap",
        "ranges-hole",
        "remedy-unreachable",
        "rule-not-asked",
        "rule-unreachable",
        "source-unused",
    }
)


@dataclass(slots=True)
class Assembly:
    """What could be built, and what is wrong with the rest."""

    built: Builder | None  # nothing in it refers to what is not there
    problems: list[Problem] = field(default_factory=list)


def assemble(gathered: Gathered, calculations: Mapping[str, Calculation]) -> Assembly:
    """Build round after round, each without what had a fault in the one before."""
    found = list(gathered.problems)
    needed: dict[tuple[str, int], tuple[Change, list[Problem]]] = {}
    built: Builder | None = None
    for _ in range(_MOST_ROUNDS):
        gathered.problems = []
        builder = Builder(gathered, calculations)
        if not builder.problems:
            built = builder
            break
        faulty: dict[str, Record] = {}
        unfit: dict[str, Change] = {}
        for problem in dict.fromkeys(builder.problems):
            record = gathered.holder(problem.where)
            change = _needed_as_it_was(problem, record, gathered)
            if change is not None:
                unfit[change.id] = change
                key = (change.id, len(gathered.steps[change.id]))
                needed.setdefault(key, (change, []))[1].append(problem)
                continue
            if not _follows(problem, gathered):
                found.append(problem)
            if record is not None:
                faulty[record.id] = record
        if not (faulty or unfit):
            break  # nothing to leave out: the fault is of the base as a whole
        for change in unfit.values():
            gathered.take_back(change)
        for record in faulty.values():
            if gathered.find(record.id) is record:
                gathered.leave_out(record)
    found += [_told_once(change, problems) for change, problems in needed.values()]
    gathered.problems = [with_advice(p) for p in dict.fromkeys(found)]
    return Assembly(built, gathered.problems)


def _follows(problem: Problem, gathered: Gathered) -> bool:
    """Whether it only comes from something that was left out."""
    if problem.code == "technique-no-protocol":
        return bool(gathered.gone)
    return problem.code.startswith("unknown-") and not gathered.gone.isdisjoint(
        _QUOTED.findall(problem.message)
    )


# Faults of shipped records that a house brought about.


def _needed_as_it_was(problem: Problem, record: Record | None, gathered: Gathered) -> Change | None:
    """The change of a house that makes another record faulty."""
    if record is None or not gathered.steps:
        return None
    changes = [
        c for c in map(gathered.change, gathered.steps) if c is not None and c.before is not None
    ]
    own = gathered.change(record.id)
    if own is not None and own.after is record:
        # A house's own record: its own fault, unless it needs what the house switched off.
        named = _QUOTED.findall(problem.message)
        off = [c for c in changes if c.after is None and c.id in named]
        return off[0] if off and problem.code.startswith("unknown-") else None
    return _cause(problem, record, changes)


def _cause(problem: Problem, record: Record, changes: Collection[Change]) -> Change | None:
    """Which change is behind a fault of a record that no house wrote."""
    others = [c for c in changes if c.after is not record]
    if problem.code in _OF_ABSENCE:  # what takes something away is behind it, if anything is
        others.sort(key=lambda c: c.before is None)
    for names in (frozenset(_NAME.findall(problem.message)) - {record.id}, record.names()):
        for change in others:
            if change.id in names:
                return change
    for change in others:
        if record.id in _spoken_of(change):
            return change
    # Something between the two: a finding that both speak of.
    said = {n for n in _NAME.findall(f"{problem.message} {problem.hint}") if "_" in n or "-" in n}
    return next((c for c in others if not said.isdisjoint(_spoken_of(c))), None)


def _spoken_of(change: Change) -> frozenset[str]:
    """Every name in what a change takes away or brings."""
    return frozenset().union(*(r.names() for r in (change.before, change.after) if r is not None))


def _told_once(change: Change, problems: list[Problem]) -> Problem:
    """All that a change makes faulty, at the line of the change."""
    places = _places(problems)
    if change.after is None:
        message = f"{change.id!r} is switched off, and {places}"
        hint = "replace it instead, or replace or switch off what needs it as well"
    else:
        message = f"{change.id!r} as it is written here does not fit what speaks of it: {places}"
        hint = (
            f"the first says: {problems[0].message}; keep what the others speak of (kind, unit, "
            "answers, dials), or replace them as well"
        )
    return Problem("needed-as-it-was", message, change.place, hint)


def _places(problems: Collection[Problem]) -> str:
    places = list(dict.fromkeys(str(p.where) for p in problems))
    shown = ", ".join(places[:_SHOWN])
    more = f" and {len(places) - _SHOWN} more" if len(places) > _SHOWN else ""
    needs = "1 place needs it" if len(places) == 1 else f"{len(places)} places need it"
    return f"{needs}: {shown}{more}"


def at_the_house(
    problems: Iterable[Problem], gathered: Gathered, shipped: Collection[str]
) -> list[Problem]:
    """Problems of a base with houses: what a house causes in shipped files stands at its own line.

    ``shipped`` are the names of the shipped files.
    """
    changes = [c for c in map(gathered.change, gathered.steps) if c is not None]
    moved: dict[tuple[str, str], tuple[Change, list[Problem]]] = {}
    kept = []
    for problem in problems:
        record = gathered.holder(problem.where) if problem.where.name in shipped else None
        change = _cause(problem, record, changes) if record is not None else None
        if change is None:
            kept.append(problem)
        else:
            moved.setdefault((problem.code, change.id), (change, []))[1].append(problem)
    for change, same in moved.values():
        first = same[0]
        more = f", and so at {_others(same)}" if len(same) > 1 else ""
        message = f"{first.message} ({first.where}){more}"
        kept.append(Problem(first.code, message, change.place, first.hint, first.severity))
    return kept


def _others(problems: Collection[Problem]) -> str:
    count = len(problems) - 1
    return "1 more place" if count == 1 else f"{count} more places"


def without_what_is_missed(problems: Iterable[Problem], gathered: Gathered) -> list[Problem]:
    """Without what may only be found because records were left out."""
    if not gathered.gone:
        return list(problems)
    return [p for p in problems if p.code not in _OF_ABSENCE]
