"""When each key is settled, and which rules go round in circles.

A rule that asks for a missing key must wait until every rule that could still
conclude that key has had its turn. That gives each key a level. Rules that would
have to wait for themselves have no level and are refused; rules that merely feed
one another are allowed, but explaining them needs care, so they are named here.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from advisor.errors import Place, Problem
from advisor.knowledge.conditions import Missing, keys_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from advisor.chain.port import ChainRule

__all__ = ["Strata", "check_strata", "stratify"]


class _Edge(NamedTuple):
    """One rule's step from a key that it tests to a key that it concludes."""

    source: str
    target: str
    rule: int
    absent: bool


@dataclass(frozen=True, slots=True)
class Strata:
    """Levels and loops of a set of rules.

    ``level`` holds every key that a rule concludes; its facts are complete once the
    rules of that level have run. ``looping`` holds the rules, by position, that
    conclude a key on which they themselves rest, directly or through other rules.
    ``problems`` names the circles that pass through a test for a missing key.
    """

    level: Mapping[str, int]
    looping: frozenset[int]
    problems: tuple[Problem, ...]

    def judged(self, key: str) -> int:
        """The phase before which it is certain whether the key is missing."""
        return self.level.get(key, -1) + 1


def check_strata(rules: Sequence[ChainRule]) -> tuple[Problem, ...]:
    """The circles of rules through a missing key; none of them can be run."""
    return stratify(rules).problems


def stratify(rules: Sequence[ChainRule]) -> Strata:
    """Work out levels, loops and problems; never raises."""
    concluded = {fact.key for rule in rules for fact in rule.concludes}
    out: dict[str, list[_Edge]] = {key: [] for key in sorted(concluded)}
    into: dict[str, list[_Edge]] = {key: [] for key in out}
    for edge in _edges(rules, concluded):
        out[edge.source].append(edge)
        into[edge.target].append(edge)
    level: dict[str, int] = {}
    looping: set[int] = set()
    circles: list[tuple[int, Problem]] = []
    for group in _groups(out):
        members = set(group)
        inside = [edge for key in group for edge in out[key] if edge.target in members]
        looping.update(edge.rule for edge in inside)
        crossed = next((edge for edge in inside if edge.absent), None)
        if crossed is not None:
            circles.append((crossed.rule, _circle(rules, crossed, out, members)))
        height = 0
        for key in group:
            for edge in into[key]:
                if edge.source not in members:
                    height = max(height, level[edge.source] + edge.absent)
        level.update(dict.fromkeys(group, height))
    problems = tuple(problem for _, problem in sorted(circles, key=lambda circle: circle[0]))
    return Strata(level, frozenset(looping), problems)


def _edges(rules: Sequence[ChainRule], concluded: set[str]) -> Iterator[_Edge]:
    # Keys that no rule concludes are settled before the first phase: they cost no level.
    for position, rule in enumerate(rules):
        if not rule.concludes:
            continue
        absent = {t.key for option in rule.when for t in option if isinstance(t, Missing)}
        for source in sorted(keys_of(rule.when) & concluded):
            for target in sorted({fact.key for fact in rule.concludes}):
                yield _Edge(source, target, position, source in absent)


def _groups(out: Mapping[str, list[_Edge]]) -> list[list[str]]:
    """Sets of keys that feed one another, each set after all that it rests on.

    Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1(2), 1972,
    without recursion, because a chain of rules may be longer than Python's stack.
    """
    found: list[list[str]] = []
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    path: list[str] = []
    on_path: set[str] = set()
    for root in out:
        if root in index:
            continue
        work = [(root, iter(out[root]))]
        index[root] = low[root] = len(index)
        path.append(root)
        on_path.add(root)
        while work:
            key, rest = work[-1]
            for edge in rest:
                target = edge.target
                if target not in index:
                    index[target] = low[target] = len(index)
                    path.append(target)
                    on_path.add(target)
                    work.append((target, iter(out[target])))
                    break
                if target in on_path:
                    low[key] = min(low[key], index[target])
            else:
                work.pop()
                if work:
                    parent = work[-1][0]
                    low[parent] = min(low[parent], low[key])
                if low[key] == index[key]:
                    at = path.index(key)
                    found.append(path[at:])
                    on_path.difference_update(path[at:])
                    del path[at:]
    found.reverse()
    return found


def _circle(
    rules: Sequence[ChainRule],
    crossed: _Edge,
    out: Mapping[str, list[_Edge]],
    members: set[str],
) -> Problem:
    """Name the shortest circle of rules that passes through this test for a missing key."""
    came: dict[str, _Edge] = {}
    queue = deque([crossed.target])
    while queue and crossed.source not in came and crossed.source != crossed.target:
        for edge in out[queue.popleft()]:
            if edge.target in members and edge.target not in came:
                came[edge.target] = edge
                queue.append(edge.target)
    names: list[str] = []
    key = crossed.source
    while key != crossed.target:
        edge = came[key]
        names.append(rules[edge.rule].id)
        key = edge.source
    names.append(rules[crossed.rule].id)
    names = list(dict.fromkeys(reversed(names)))
    first = names[0]
    if len(names) == 1:
        said = (
            f"rule {first} fires when {crossed.source} is missing and itself leads to "
            f"{crossed.source}"
        )
    else:
        said = (
            f"rule {first} fires when {crossed.source} is missing, and that leads round to "
            f"{crossed.source} by way of {', '.join(names[1:])}"
        )
    return Problem(
        "circle-through-missing",
        said,
        Place(first),
        hint="conclude another finding, or test for a value instead of for a missing one",
    )
