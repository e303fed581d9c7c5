"""What durable-rules can hold, and how rules are shared out to stay within it.

durable-rules does not check its own bounds: a rule too many with one condition makes
another rule fire, and a key too many hangs the compiler inside C. The numbers here were
measured on version 2.0.28 and leave a margin. A base of any size is cut into *shares*
that each stay within them; only a single alternative with too many tests cannot be cut.
"""

from __future__ import annotations

from collections import Counter
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
    "MOST_MEMBERSHIPS",
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
MOST_VALUES = 500  # different values and ranges of one key, bound like the keys
MOST_SHARED = 250  # conditions ending alike; at 256 the wrong rule fires
MOST_BODIES = 250  # alternatives in a share; all may hang on one condition
# The engine follows at most 64 branches at once.
MOST_RANGES = 30  # ranges of one key, two branches each
MOST_MEMBERSHIPS = 60  # tests of several words that share a word, one branch each


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
    """Cut the alternatives into shares that durable-rules can hold.

    Those of rules with conclusions come first, so that few shares need a second look.
    Those that can never hold are left out.
    """
    share = _Share(program)
    order = sorted(
        range(len(program.bodies)),
        key=lambda body: not program.rules[program.owner[body]].concludes,
    )
    for body in order:
        if any(_never(program, test) for test in program.bodies[body]):
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
        self._values: dict[str, set[object]] = {}
        self._ranges: Counter[str] = Counter()
        self._hanging: Counter[tuple[str, object]] = Counter()
        self._memberships: Counter[tuple[str, object]] = Counter()

    def take(self, body: int) -> bool:
        """Add the alternative unless that would pass a bound; the first always fits."""
        hanging: Counter[tuple[str, object]] = Counter()
        memberships: Counter[tuple[str, object]] = Counter()
        for number in set(self._program.bodies[body]):
            leaves = self._leaves(number)
            hanging.update(leaves)
            if len(leaves) > 1:
                memberships.update(leaves)
        if self.bodies and not self._fits(hanging, memberships):
            return False
        self.bodies.append(body)
        for key, value in hanging:
            values = self._values.setdefault(key, set())
            if isinstance(value, tuple) and value not in values:
                self._ranges[key] += 1
            values.add(value)
        self._hanging.update(hanging)
        self._memberships.update(memberships)
        return True

    def _leaves(self, number: int) -> list[tuple[str, object]]:
        """Where in the engine's network this test hangs, by key and value."""
        test = self._program.tests[number]
        if isinstance(test, Is):
            return [(test.key, word) for word in dict.fromkeys(test.words)]
        if isinstance(test, InRange):
            return [(test.key, self._program.keys[test.key].ranges[number])]
        return [(test.key, isinstance(test, Known))]

    def _fits(
        self,
        hanging: Counter[tuple[str, object]],
        memberships: Counter[tuple[str, object]],
    ) -> bool:
        new: dict[str, set[object]] = {key: set() for key, _ in hanging}
        for key, value in hanging:
            if value not in self._values.get(key, ()):
                new[key].add(value)
        keys = len(self._values) + sum(key not in self._values for key in new)
        return (
            len(self.bodies) < MOST_BODIES
            and keys <= MOST_KEYS
            and all(len(self._values.get(k, ())) + len(v) <= MOST_VALUES for k, v in new.items())
            and all(
                self._ranges[key] + sum(isinstance(value, tuple) for value in values) <= MOST_RANGES
                for key, values in new.items()
            )
            and all(self._hanging[leaf] + n <= MOST_SHARED for leaf, n in hanging.items())
            and all(
                self._memberships[leaf] + n <= MOST_MEMBERSHIPS for leaf, n in memberships.items()
            )
        )
