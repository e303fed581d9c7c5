"""What durable-rules can hold, and how rules are shared out to stay within it.

durable-rules does not check its own bounds: a rule too many with one condition makes
another rule fire, and a key too many hangs the compiler inside C. The numbers here were
measured on version 2.0.28 and leave a margin. A base of any size is cut into *shares*
that each stay within them; only a single alternative with too many tests cannot be cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import Place, Problem
from advisor.knowledge.conditions import InRange, Is, Known

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from advisor.chain.port import ChainRule
    from advisor.chain.program import Program

__all__ = [
    "MOST_BODIES",
    "MOST_KEYS",
    "MOST_RANGES",
    "MOST_SHARED",
    "MOST_TESTS",
    "MOST_VALUES",
    "MOST_WORDS",
    "check_limits",
    "shares",
]

MOST_TESTS = 16  # tests in one alternative; 17 are refused by the engine
MOST_WORDS = 30  # words in one test; each is a value of its key
MOST_KEYS = 500  # 511 work, 512 break at run time
MOST_VALUES = 500  # different tests on one key, bound like the keys
MOST_SHARED = 250  # conditions ending alike; at 256 the wrong rule fires
MOST_RANGES = 30  # ranges of one key: two nodes each, and at most 64 may be true at once
MOST_BODIES = 250  # alternatives in a share; may all hang on one condition


def check_limits(rules: Sequence[ChainRule]) -> tuple[Problem, ...]:
    """The rules that durable-rules cannot hold; the reference backend runs them all."""
    problems = []
    for rule in rules:
        for option in rule.when:
            tests = len(option) if len(option) <= MOST_TESTS else len(set(option))
            if tests > MOST_TESTS:
                problems.append(_too_many(rule, "too-many-tests", f"{tests} tests", MOST_TESTS))
            words = max((len(test.words) for test in option if isinstance(test, Is)), default=0)
            if words > MOST_WORDS:
                problems.append(
                    _too_many(rule, "too-many-words", f"a test with {words} words", MOST_WORDS)
                )
    return tuple(problems)


def _too_many(rule: ChainRule, code: str, what: str, most: int) -> Problem:
    return Problem(
        code,
        f"an alternative of {rule.id} has {what}; durable-rules takes {most}",
        Place(rule.id),
        hint="conclude part of it in a rule of its own, and test that conclusion",
    )


def shares(program: Program) -> Iterator[list[int]]:
    """Cut the alternatives, in their order, into shares that durable-rules can hold."""
    share = _Share(program)
    for body, tests in enumerate(program.bodies):
        if any(_never(program, test) for test in tests):
            continue
        if not share.take(body):
            yield share.bodies
            share = _Share(program)
            share.take(body)
    if share.bodies:
        yield share.bodies


def _never(program: Program, number: int) -> bool:
    """Whether no fact can meet the test; the engine has no way to say so."""
    test = program.tests[number]
    if isinstance(test, InRange):
        low, high = program.keys[test.key].ranges[number]
        return low > high
    return isinstance(test, Is) and not test.words


class _Share:
    def __init__(self, program: Program) -> None:
        self.bodies: list[int] = []
        self._program = program
        self._keys: set[str] = set()
        self._values: dict[str, set[object]] = {}
        self._ranges: dict[str, set[object]] = {}
        self._hanging: dict[tuple[str, object], int] = {}

    def take(self, body: int) -> bool:
        """Add the alternative unless that would pass a bound; the first always fits."""
        tests = set(self._program.bodies[body])
        nodes = [node for test in tests for node in self._nodes(test)]
        if self.bodies and not self._fits(nodes):
            return False
        self.bodies.append(body)
        for key, value in nodes:
            self._keys.add(key)
            self._values.setdefault(key, set()).add(value)
            if isinstance(value, tuple):
                self._ranges.setdefault(key, set()).add(value)
            self._hanging[key, value] = self._hanging.get((key, value), 0) + 1
        return True

    def _nodes(self, number: int) -> Iterator[tuple[str, object]]:
        """The leaves of the engine's network on which this test hangs, by key and value."""
        test = self._program.tests[number]
        if isinstance(test, Is):
            yield from ((test.key, word) for word in dict.fromkeys(test.words))
        elif isinstance(test, InRange):
            yield test.key, self._program.keys[test.key].ranges[number]
        else:
            yield test.key, isinstance(test, Known)

    def _fits(self, nodes: list[tuple[str, object]]) -> bool:
        keys = {key for key, _ in nodes}
        if len(self.bodies) >= MOST_BODIES or len(self._keys | keys) > MOST_KEYS:
            return False
        for key in keys:
            new = {value for at, value in nodes if at == key}
            if len(self._values.get(key, set()) | new) > MOST_VALUES:
                return False
            ranges = {value for value in new if isinstance(value, tuple)}
            if len(self._ranges.get(key, set()) | ranges) > MOST_RANGES:
                return False
        return all(self._hanging.get(node, 0) + nodes.count(node) <= MOST_SHARED for node in nodes)
