"""Ranges that split one quantity between several rules or outcomes.

Rules form a *split* when they belong to one ``group``, each tests the same quantity by a
range, and the rest of their conditions is the same. So do rules that conclude a word of
the same finding, and the outcomes of one check. A split should cover what it covers
without a seam:

- a *gap* is a single number at which one range ends and another begins, and which
  neither includes (below 40; above 40). A wider space between two ranges is taken as
  meant: there the rules have nothing to say.
- an *overlap* is a number for which the split says two things that exclude each other:
  for and against one cause, two words of one finding, two outcomes of one check. A range
  that lies wholly inside another is a step or an exception and is taken as meant, save
  among the outcomes of a check, of which one is to be picked.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.audit.logic import overlap, within
from advisor.knowledge.conditions import InRange, Is

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.errors import Place
    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.model import Base, Rule

__all__ = ["outcome_problems", "range_problems"]


@dataclass(frozen=True, slots=True)
class _Part:
    """One range of a split, with what it says of each target."""

    name: str
    test: InRange
    says: tuple[tuple[str, float | str], ...]  # cause -> weight, or finding -> word
    where: Place


def range_problems(book: Book, places: Places) -> Iterable[Problem]:
    """Gaps and overlaps between rules."""
    for parts in _splits(book, places).values():
        if len({part.name for part in parts}) > 1:
            yield from _gaps(parts)
            yield from _overlaps(parts)


def _splits(book: Book, places: Places) -> dict[object, list[_Part]]:
    splits: dict[object, list[_Part]] = defaultdict(list)
    for rule in book.rules.values():
        concluded = sorted({e.target for e in rule.effects if e.kind == "conclude"})
        owners = [f"group {rule.group}"] if rule.group else []
        owners += [f"conclude {target}" for target in concluded]
        for option in rule.when if owners else ():
            for test in option:
                if isinstance(test, InRange):
                    rest = frozenset(t for t in option if t is not test)
                    for owner in owners:
                        splits[owner, test.key, rest].append(_part(book, rule, test, owner, places))
    return splits


def _part(book: Book, rule: Rule, test: InRange, owner: str, places: Places) -> _Part:
    said: list[tuple[str, float | str]] = []
    for effect in rule.effects:
        if owner.startswith("group ") and effect.weight:
            said.append((effect.target, effect.weight))
        elif owner == f"conclude {effect.target}" and effect.kind == "conclude":
            said.append((effect.target, effect.word))
    where = places.test(book.section, rule.id, "when", test.key)
    return _Part(rule.id, test, tuple(said), where)


def _gaps(parts: Sequence[_Part]) -> Iterator[Problem]:
    ends: dict[float, _Part] = {}
    starts: dict[float, _Part] = {}
    for part in parts:
        if part.test.high is not None:
            ends.setdefault(part.test.high, part)
        if part.test.low is not None:
            starts.setdefault(part.test.low, part)
    for number in sorted(ends.keys() & starts.keys()):
        if not any(part.test.holds_number(number) for part in parts):
            one, two = ends[number], starts[number]
            later = max(one, two, key=lambda p: (p.where, p.name))
            yield Problem(
                "ranges-gap",
                f"{one.name} ends below {number:g} and {two.name} begins above it: "
                f"at {number:g} neither holds",
                later.where,
                "write at_least or at_most in one of them",
            )


def _overlaps(parts: Sequence[_Part]) -> Iterator[Problem]:
    told: set[tuple[str, str]] = set()
    for one, two in combinations(parts, 2):
        if one.name == two.name or (one.name, two.name) in told:
            continue
        if within(one.test, two.test) or within(two.test, one.test):
            continue
        target = _excluded(one, two)
        if target and overlap(one.test, two.test):
            told.add((one.name, two.name))
            later = max(one, two, key=lambda p: (p.where, p.name))
            yield Problem(
                "ranges-overlap",
                f"{one.name} and {two.name} both hold for some {one.test.key.replace('_', ' ')} "
                f"and say opposite things of {target}",
                later.where,
                "let one end where the other begins",
            )


def _excluded(one: _Part, two: _Part) -> str:
    """What two parts say that cannot both be, or the empty string."""
    theirs = dict(two.says)
    for target, said in one.says:
        other = theirs.get(target)
        if other is None:
            continue
        if isinstance(said, str) or isinstance(other, str):
            if said != other:
                return target
        elif said * other < 0:
            return target
    return ""


def outcome_problems(base: Base, places: Places) -> Iterator[Problem]:
    """Gaps and overlaps between the outcomes of a check."""
    for check in base.checks.values():
        parts = []
        for number, outcome in enumerate(check.outcomes):
            where = places.at("checks", check.id, "outcomes", number, "is")
            for other in check.outcomes[:number]:
                if isinstance(outcome.test, Is) and isinstance(other.test, Is):
                    twice = [w for w in outcome.test.words if w in other.test.words]
                elif isinstance(outcome.test, InRange) and isinstance(other.test, InRange):
                    twice = ["the same numbers"] if overlap(outcome.test, other.test) else []
                else:
                    twice = []
                if twice:
                    yield Problem(
                        "outcome-twice",
                        f"{check.id}: two outcomes stand for {' and '.join(twice)}",
                        where,
                        "one result of a check has one outcome",
                    )
            if isinstance(outcome.test, InRange):
                parts.append(_Part(f"outcome {number + 1}", outcome.test, (), where))
        yield from _gaps(parts)
