"""Rules made ready for any engine: every distinct test has a number.

Both backends start from this form, so they agree by construction on what is a word,
what is a number, when absence is judged and how a firing is explained. Only the
matching and the chaining differ.

A number is known to an engine by its *place* among the limits of its key: with the
limits 4.6 and 4.8, a reading of 4.6 has place 1, 4.7 has place 2 and 4.8 place 3. A
range of numbers is then a range of small whole numbers, exactly, whatever the size
or the digits of the reading, and no rounding is needed anywhere.
"""

from __future__ import annotations

import sys
from bisect import bisect_left
from typing import TYPE_CHECKING

from advisor.chain.strata import Strata, stratify
from advisor.errors import AdvisorError, Place, Problem, ProblemsFound
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.chain.port import ChainRule, Fact
    from advisor.knowledge.conditions import Test

__all__ = ["KeyTests", "Program", "precedes"]

_LARGEST = sys.float_info.max
_NO_VALUE = (UNKNOWN, NOT_NOW)


class KeyTests:
    """Every distinct test on one key."""

    __slots__ = ("_at", "known", "limits", "missing", "ranges", "words")

    def __init__(self) -> None:
        self.words: dict[str, tuple[int, ...]] = {}
        self.known: tuple[int, ...] = ()
        self.missing: int | None = None
        self.limits: list[float] = []
        self.ranges: dict[int, tuple[int, int]] = {}  # test -> first and last place
        self._at: dict[int, tuple[int, ...]] = {}

    def place(self, number: float) -> int:
        """Where the number stands: odd on a limit, even between two."""
        at = bisect_left(self.limits, number)
        return 2 * at + (at < len(self.limits) and self.limits[at] == number)

    def met_at(self, place: int) -> tuple[int, ...]:
        """The tests that a number at this place meets."""
        met = self._at.get(place)
        if met is None:
            inside = (t for t, (low, high) in self.ranges.items() if low <= place <= high)
            met = self._at[place] = (*self.known, *inside)
        return met

    def met_by_word(self, word: str) -> tuple[int, ...]:
        """The tests that this word meets."""
        met = self.words.get(word)
        if met is not None:
            return met
        return () if word in _NO_VALUE else self.known


class Program:
    """The common form of a set of rules.

    ``tests`` are the distinct tests. ``bodies`` are the alternatives of all rules in a
    row, each as the numbers of its tests; ``owner`` gives the rule of each body and
    ``bodies_of`` the bodies of each rule. ``phases`` lists, for each phase of a run, the
    tests for a missing key that are judged before it.

    Raises ``ProblemsFound`` for rules that no engine can run: two rules of one name,
    a value that is neither a word nor a finite number, a circle through a missing key.
    """

    __slots__ = (
        "bodies",
        "bodies_of",
        "keys",
        "looping",
        "owner",
        "phases",
        "rules",
        "strata",
        "tests",
        "wording",
    )

    def __init__(self, rules: Sequence[ChainRule]) -> None:
        self.rules = tuple(rules)
        self.strata: Strata = stratify(self.rules)
        numbers: dict[Test, int] = {}
        self.bodies: list[tuple[int, ...]] = []
        self.wording: list[tuple[Test, ...]] = []
        self.owner: list[int] = []
        self.bodies_of: list[range] = []
        for position, rule in enumerate(self.rules):
            start = len(self.bodies)
            for option in rule.when:
                self.bodies.append(tuple([numbers.setdefault(t, len(numbers)) for t in option]))
                self.wording.append(option)
                self.owner.append(position)
            self.bodies_of.append(range(start, len(self.bodies)))
        self.tests = tuple(numbers)
        problems = [*_check(self.rules), *_check_ends(self.tests), *self.strata.problems]
        if problems:
            raise ProblemsFound("these rules cannot be run", problems)
        self.looping = self.strata.looping
        self.keys = _by_key(self.tests)
        self.phases = self._phases()

    def met_by(self, fact: Fact) -> tuple[int, ...]:
        """The tests that the fact meets. Raises ``AdvisorError`` for a malformed fact."""
        number = fact.number
        if number is None:
            if not isinstance(fact.word, str):
                raise _malformed(fact)
            tests = self.keys.get(fact.key)
            return () if tests is None else tests.met_by_word(fact.word)
        if fact.word is not None or not -_LARGEST <= number <= _LARGEST:
            raise _malformed(fact)
        tests = self.keys.get(fact.key)
        return () if tests is None else tests.met_at(tests.place(number))

    def supports_from(
        self, facts: Iterable[Fact], held: list[Fact | None] | None = None
    ) -> list[Fact | None]:
        """The smallest fact behind each test, on top of those already held."""
        support: list[Fact | None] = [None] * len(self.tests) if held is None else held
        for fact in facts:
            for test in self.met_by(fact):
                before = support[test]
                if before is None or precedes(fact, before):
                    support[test] = fact
        return support

    def _phases(self) -> tuple[tuple[int, ...], ...]:
        judged: dict[int, list[int]] = {0: []}
        for key, tests in self.keys.items():
            if tests.missing is not None:
                judged.setdefault(self.strata.judged(key), []).append(tests.missing)
        return tuple(tuple(judged[phase]) for phase in sorted(judged))


def precedes(one: Fact, two: Fact) -> bool:
    """Whether one fact of a key comes before another: words before numbers."""
    if one.number is None:
        return two.number is not None or str(one.word) < str(two.word)
    return two.number is not None and one.number < two.number


def _by_key(tests: Sequence[Test]) -> dict[str, KeyTests]:
    keys: dict[str, KeyTests] = {}
    words: dict[str, dict[str, list[int]]] = {}
    ranges: dict[str, list[tuple[int, InRange]]] = {}
    for number, test in enumerate(tests):
        group = keys.get(test.key)
        if group is None:
            group = keys[test.key] = KeyTests()
        if isinstance(test, Is):
            by_word = words.setdefault(test.key, {})
            for word in dict.fromkeys(test.words):
                by_word.setdefault(word, []).append(number)
        elif isinstance(test, InRange):
            ranges.setdefault(test.key, []).append((number, test))
        elif isinstance(test, Known):
            group.known = (number,)
        else:
            group.missing = number
    for key, by_word in words.items():
        known = keys[key].known
        keys[key].words = {
            word: tuple(met) if word in _NO_VALUE else (*known, *met)
            for word, met in by_word.items()
        }
    for key, several in ranges.items():
        _place(keys[key], several)
    return keys


def _place(group: KeyTests, ranges: list[tuple[int, InRange]]) -> None:
    ends = [end for _, test in ranges for end in (test.low, test.high) if end is not None]
    group.limits = sorted(set(ends))
    at = {limit: 2 * position + 1 for position, limit in enumerate(group.limits)}
    last = 2 * len(group.limits)
    for number, test in ranges:
        low = 0 if test.low is None else at[test.low] + (not test.low_in)
        high = last if test.high is None else at[test.high] - (not test.high_in)
        group.ranges[number] = (low, high)


def _check(rules: Sequence[ChainRule]) -> list[Problem]:
    problems = []
    seen: set[str] = set()
    for rule in rules:
        if rule.id in seen:
            problems.append(
                Problem(
                    "rule-twice",
                    f"two rules are called {rule.id}",
                    Place(rule.id),
                    hint="give each rule an id of its own",
                )
            )
        seen.add(rule.id)
        for fact in rule.concludes:
            if not _well_formed(fact):
                error = _malformed(fact)
                problems.append(Problem(error.code, error.message, Place(rule.id), hint=error.hint))
    return problems


def _check_ends(tests: Sequence[Test]) -> list[Problem]:
    return [
        Problem(
            "limit-not-finite",
            f"a range of {test.key} has the limit {end!r}",
            Place(test.key),
            hint="use a finite number, or leave that end open",
        )
        for test in tests
        if isinstance(test, InRange)
        for end in (test.low, test.high)
        if end is not None and not -_LARGEST <= end <= _LARGEST
    ]


def _well_formed(fact: Fact) -> bool:
    if fact.number is None:
        return isinstance(fact.word, str)
    return fact.word is None and -_LARGEST <= fact.number <= _LARGEST


def _malformed(fact: Fact) -> AdvisorError:
    if fact.word is not None and fact.number is not None:
        said = f"{fact.key} has both the word {fact.word!r} and the number {fact.number!r}"
    elif fact.number is not None:
        said = f"{fact.key} is {fact.number!r}, which is not a finite number"
    elif fact.word is not None:
        said = f"{fact.key} is {fact.word!r}, which is not a word"
    else:
        said = f"{fact.key} has no value"
    return AdvisorError(
        "fact-malformed", said, where=fact.key, hint="give one word, or one finite number"
    )
