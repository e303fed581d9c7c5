"""Ranges that split one quantity between several rules or outcomes.

Rules form a *split* when they belong to one ``group``, each tests the same quantity by a
range, and the rest of their conditions is the same. So do rules that conclude a word of
the same finding, rules that speak for and against one cause, whatever their group, and the
outcomes of one check. A split should cover what it covers without a seam:

- a *gap* is a single number at which one range ends and another begins, and which
  neither includes (below 40; above 40).
- a *hole* is a wider space between two ranges. Between rules of a group it may be meant: there
  they have nothing to say, and it is a note. A check gives a result there, so between its
  outcomes it is an error.
- an *overlap* is a number for which the split says two things that exclude each other:
  for and against one cause, two words of one finding, two outcomes of one check. A range
  that lies wholly inside another is a step or an exception and is taken as meant, save
  among the outcomes of a check, of which one is to be picked.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import partial
from itertools import combinations
from math import inf
from typing import TYPE_CHECKING, TypeAlias

from advisor.errors import Problem
from advisor.knowledge.audit.logic import overlap, within
from advisor.knowledge.conditions import InRange, Is

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from advisor.errors import Place
    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Base, Check, Rule

__all__ = ["outcome_problems", "range_problems"]


@dataclass(frozen=True, slots=True)
class _Part:
    """One range of a split, with what it says of each target."""

    name: str
    test: InRange
    says: tuple[tuple[str, float | str], ...]  # cause -> weight, or finding -> word
    at: Callable[[], Place]
    ours: bool = False  # whether a house wrote it


def range_problems(book: Book, places: Places) -> Iterable[Problem]:
    """Gaps, holes and overlaps between rules; each is told once."""
    told: set[tuple[str, str]] = set()
    for (kind, _, _, _), parts in _splits(book, places).items():
        if len({part.name for part in parts}) < 2:
            continue
        if kind == "for" and not _both_ways(parts):
            continue
        found = [*_gaps(parts, _place), *_overlaps(parts)]
        if kind == "group":
            found += _holes(parts, "ranges-hole", _place)
        for problem in found:
            if (problem.code, problem.message) not in told:
                told.add((problem.code, problem.message))
                yield problem


_Split: TypeAlias = tuple[str, str, str, frozenset["Test"]]


def _splits(book: Book, places: Places) -> dict[_Split, list[_Part]]:
    """Parts by what joins them: a group, a finding concluded or a cause spoken for and against."""
    splits: dict[_Split, list[_Part]] = defaultdict(list)
    for rule in book.rules.values():
        owners = [("group", rule.group)] if rule.group else []
        owners += [("conclude", e.target) for e in rule.effects if e.kind == "conclude"]
        owners += [("for", e.target) for e in rule.effects if e.weight]
        for option in rule.when if owners else ():
            for test in option:
                if isinstance(test, InRange):
                    rest = frozenset(t for t in option if t is not test)
                    for owner in dict.fromkeys(owners):
                        part = _part(book, rule, test, owner, places)
                        splits[(*owner, test.key, rest)].append(part)
    return splits


def _part(
    book: Book, rule: Rule, test: InRange, owner: tuple[str, str], places: Places
) -> _Part:
    said: list[tuple[str, float | str]] = []
    for effect in rule.effects:
        if effect.weight and owner in (("group", rule.group), ("for", effect.target)):
            said.append((effect.target, effect.weight))
        elif effect.kind == "conclude" and owner == ("conclude", effect.target):
            said.append((effect.target, effect.word))
    at = partial(places.test, book.section, rule.id, "when", test.key)
    return _Part(rule.id, test, tuple(said), at, places.of_house(rule.id))


def _both_ways(parts: Sequence[_Part]) -> bool:
    """Whether some speak for and some against what all of them speak of."""
    return len({isinstance(w, float) and w > 0 for part in parts for _, w in part.says}) > 1


def _place(one: _Part, two: _Part) -> Place:
    """Where something between two parts is told: with the house's own, else the later one."""
    first, second = (one.ours, one.at(), one.name), (two.ours, two.at(), two.name)
    return max(first, second)[1]


def _gaps(
    parts: Sequence[_Part], place: Callable[[_Part, _Part], Place]
) -> Iterator[Problem]:
    ends: dict[float, _Part] = {}
    starts: dict[float, _Part] = {}
    for part in parts:
        if part.test.high is not None:
            ends.setdefault(part.test.high, part)
        if part.test.low is not None:
            starts.setdefault(part.test.low, part)
    for number in sorted(ends.keys() & starts.keys()):
        one, two = ends[number], starts[number]
        if one.test.high_in or two.test.low_in:
            continue
        if not any(part.test.holds_number(number) for part in parts):
            yield Problem(
                "ranges-gap",
                f"{one.name} ends below {number:g} and {two.name} begins above it: "
                f"at {number:g} neither holds",
                place(one, two),
                "write at_least or at_most in one of them",
            )


def _holes(
    parts: Sequence[_Part], code: str, place: Callable[[_Part, _Part], Place]
) -> Iterator[Problem]:
    """Spaces between where one part ends and the next begins."""
    outcomes = code == "outcome-hole"
    silent = "no outcome holds" if outcomes else "neither speaks"
    ordered = sorted(parts, key=lambda p: -inf if p.test.low is None else p.test.low)
    furthest = ordered[0]
    for part in ordered[1:]:
        end, begin = furthest.test.high, part.test.low
        if end is None:
            return
        if begin is not None and begin > end:
            yield Problem(
                code,
                f"{furthest.name} ends at {end:g} and {part.name} begins at {begin:g}: "
                f"between them {silent}",
                place(furthest, part),
                "let one of them reach to the other, or put an outcome between them"
                if outcomes
                else "let one of them reach to the other, unless nothing is to be said there",
                severity="error" if outcomes else "note",
            )
        if part.test.high is None or part.test.high > end:
            furthest = part


def _overlaps(parts: Sequence[_Part]) -> Iterator[Problem]:
    """One problem for each part that overlaps another which says otherwise."""
    alike: dict[tuple[tuple[str, float | str], ...], list[_Part]] = defaultdict(list)
    for part in parts:
        alike[part.says].append(part)
    told: set[str] = set()
    for (said, ones), (other, twos) in combinations(alike.items(), 2):
        target = _excluded(said, other)
        for one in ones if target else ():
            if one.name in told:
                continue
            two = next((t for t in twos if t.name not in told and _crosses(one, t)), None)
            if two is not None:
                told.update((one.name, two.name))
                yield Problem(
                    "ranges-overlap",
                    f"{one.name} and {two.name} both hold for some "
                    f"{one.test.key.replace('_', ' ')} and say opposite things of {target}",
                    _place(one, two),
                    "let one end where the other begins",
                )


def _crosses(one: _Part, two: _Part) -> bool:
    """Whether two ranges overlap and neither is a step or an exception inside the other."""
    return (
        one.name != two.name
        and overlap(one.test, two.test)
        and not within(one.test, two.test)
        and not within(two.test, one.test)
    )


def _excluded(
    one: tuple[tuple[str, float | str], ...], two: tuple[tuple[str, float | str], ...]
) -> str:
    """What two parts say that cannot both be, or the empty string."""
    theirs = dict(two)
    for target, said in one:
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
    """Gaps, holes and overlaps between the outcomes of a check, and results without one."""
    for check in base.checks.values():
        parts = []
        for number, outcome in enumerate(check.outcomes):
            at = partial(places.at, "checks", check.id, "outcomes", number, "is")
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
                        at(),
                        "one result of a check has one outcome",
                    )
            if isinstance(outcome.test, InRange):
                parts.append(_Part(f"outcome {number + 1}", outcome.test, (), at))
        if parts:
            yield from _gaps(parts, _place)
            yield from _holes(parts, "outcome-hole", _place)
        yield from _left_out(base, check, places)


def _left_out(base: Base, check: Check, places: Places) -> Iterator[Problem]:
    """Answers of a check that no outcome speaks of."""
    finding = base.findings[check.finding]
    left: list[str] = []
    if finding.words:
        given = {w for o in check.outcomes if isinstance(o.test, Is) for w in o.test.words}
        left = [word for word in finding.words if word not in given]
    else:
        tests = [o.test for o in check.outcomes if isinstance(o.test, InRange)]
        low = min((-inf if t.low is None else t.low for t in tests), default=-inf)
        high = max((inf if t.high is None else t.high for t in tests), default=inf)
        if finding.low is not None and low > finding.low:
            left.append(f"below {low:g}")
        if finding.high is not None and high < finding.high:
            left.append(f"above {high:g}")
    if check.outcomes and left:
        yield Problem(
            "outcome-missing",
            f"{check.id}: no outcome says what {' or '.join(left)} means",
            places.key("checks", check.id, "outcomes"),
            "add one, if only to say that it tells nothing",
            severity="note",
        )
