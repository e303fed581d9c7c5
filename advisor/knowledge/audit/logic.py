"""What follows from what between conditions, without running anything.

``implies`` is sound and not complete: when it says yes, whatever meets the first
condition meets the second; when it says no, it may only have failed to see it (an
alternative that several others cover together is not recognised).
"""

from __future__ import annotations

from collections import Counter
from math import inf
from typing import TYPE_CHECKING

from advisor.knowledge.conditions import (
    NOT_NOW,
    UNKNOWN,
    All,
    InRange,
    Is,
    Known,
    Missing,
    alternatives,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from advisor.knowledge.conditions import Alternatives, Test

__all__ = ["Implications", "each_bit", "implies", "overlap", "possible", "test_implies", "within"]

_NO_VALUE = {UNKNOWN, NOT_NOW}


def test_implies(one: Test, two: Test) -> bool:
    """Whether every answer that meets the first test meets the second."""
    if one.key != two.key:
        return False
    if isinstance(two, Known):
        if isinstance(one, Is):
            return _NO_VALUE.isdisjoint(one.words)
        return not isinstance(one, Missing)
    if isinstance(one, Is) and isinstance(two, Is):
        return set(one.words) <= set(two.words)
    if isinstance(one, InRange) and isinstance(two, InRange):
        return within(one, two)
    return isinstance(one, Missing) and isinstance(two, Missing)


def within(one: InRange, two: InRange) -> bool:
    """Whether the first range lies inside the second."""
    low = two.low is None or (
        one.low is not None
        and (one.low > two.low or (one.low == two.low and (two.low_in or not one.low_in)))
    )
    high = two.high is None or (
        one.high is not None
        and (one.high < two.high or (one.high == two.high and (two.high_in or not one.high_in)))
    )
    return low and high


def overlap(one: InRange, two: InRange) -> bool:
    """Whether some number lies in both ranges."""
    return _ends_after(one, two) and _ends_after(two, one)


def _ends_after(one: InRange, two: InRange) -> bool:
    """Whether the first range reaches at least to where the second begins."""
    if one.high is None or two.low is None:
        return True
    return one.high > two.low or (one.high == two.low and one.high_in and two.low_in)


def possible(tests: Iterable[Test]) -> bool:
    """Whether tests on whatever keys could all hold of one set of answers."""
    return bool(alternatives(All(tuple(tests)), {}))


def implies(one: Alternatives, two: Alternatives) -> bool:
    """Whether each alternative of the first condition contains one of the second's."""
    return bool(one) and all(any(_stricter(a, b) for b in two) for a in one)


def _stricter(one: Sequence[Test], two: Sequence[Test]) -> bool:
    return all(any(test_implies(a, b) for a in one) for b in two)


class Implications:
    """Which of many conditions imply which others.

    Every different test is one bit of a number. What an alternative wants is one number and
    what follows from it another, so whether one is stricter than another is one operation on
    two numbers. To find pairs, each alternative is filed under the one of its tests that the
    fewest others share; a stricter alternative has that test among what follows from it.
    """

    def __init__(self, conditions: Sequence[Alternatives]) -> None:
        self.conditions = conditions
        tests = [t for condition in conditions for option in condition for t in option]
        uses = Counter(tests)
        bits, follows = _bits(uses)
        self._wanted = [[_joined(bits, option) for option in c] for c in conditions]
        self._given = [[_joined(follows, option) for option in c] for c in conditions]
        # An implied condition is met through some alternative: file every one of them.
        self._filed = [
            list({bits[min(option, key=uses.__getitem__)]: None for option in c if option})
            for c in conditions
        ]

    def implies(self, one: int, two: int) -> bool:
        """Whether the first condition implies the second, as ``implies`` would say."""
        wanted, given = self._wanted[two], self._given[one]
        for at, has in enumerate(given):
            # Conditions of one make have their alternatives in one order: look there first.
            if at < len(wanted) and not wanted[at] & ~has:
                continue
            if not any(not want & ~has for want in wanted):
                return False
        return bool(given)

    def shortest(self, number: int) -> frozenset[int]:
        """A condition without what its own alternatives cover; equal for conditions that imply
        each other."""
        given = self._given[number]
        if len(given) == 1:
            return frozenset(given)
        return frozenset(
            has
            for has in given
            if not any(other != has and not other & ~has for other in given)
        )

    def filed_under(self, number: int) -> Sequence[int]:
        """The bits under which a condition is filed."""
        return self._filed[number]

    def reached(self, number: int) -> int:
        """All bits under which a condition may be filed that this one implies."""
        condition, given = self.conditions[number], self._given[number]
        if not condition or not all(condition):
            return 0
        # All alternatives must imply the other, so those of the shortest are enough to find it.
        return given[min(range(len(given)), key=lambda at: len(condition[at]))]

    def pairs(self) -> Iterator[tuple[int, int]]:
        """Every (stricter, wider) pair of different conditions, by position."""
        filed: dict[int, list[int]] = {}
        for number, bits in enumerate(self._filed):
            for bit in bits:
                filed.setdefault(bit, []).append(number)
        for number in range(len(self.conditions)):
            found = {o for bit in each_bit(self.reached(number)) for o in filed.get(bit, ())}
            for other in sorted(found - {number}):
                if self.implies(number, other):
                    yield number, other


def each_bit(bits: int) -> Iterator[int]:
    """The bits of a number one by one, the lowest first."""
    while bits:
        lowest = bits & -bits
        yield lowest
        bits ^= lowest


def _joined(of: Mapping[Test, int], option: Sequence[Test]) -> int:
    whole = 0
    for test in option:
        whole |= of[test]
    return whole


def _bits(tests: Iterable[Test]) -> tuple[dict[Test, int], dict[Test, int]]:
    """A bit for each test, and the bits of all tests that follow from it.

    As ``test_implies`` says it, but with work that grows with the tests, not with their pairs.
    """
    bits = {test: 1 << number for number, test in enumerate(sorted(tests, key=_in_order))}
    by_key: dict[str, list[Test]] = {}
    for test in bits:
        by_key.setdefault(test.key, []).append(test)
    follows: dict[Test, int] = {}
    for of_key in by_key.values():
        known = _joined(bits, [t for t in of_key if isinstance(t, Known)])
        with_word: dict[str, int] = {}
        for test in of_key:
            for word in test.words if isinstance(test, Is) else ():
                with_word[word] = with_word.get(word, 0) | bits[test]
        ranges = [t for t in of_key if isinstance(t, InRange)]
        from_below = _reaching(ranges, bits, _low_end)
        from_above = _reaching(ranges, bits, _high_end)
        for test in of_key:
            if isinstance(test, Is):
                both = with_word[test.words[0]] if test.words else 0
                for word in test.words:
                    both &= with_word[word]
                follows[test] = both | (known if _NO_VALUE.isdisjoint(test.words) else 0)
            elif isinstance(test, InRange):
                follows[test] = from_below[_low_end(test)] & from_above[_high_end(test)] | known
            else:
                follows[test] = bits[test]
    return bits, follows


def _in_order(test: Test) -> tuple[str, str]:
    return test.key, repr(test)


def _low_end(test: InRange) -> tuple[float, bool]:
    """Where a range begins: the smaller, the wider."""
    return (-inf, False) if test.low is None else (test.low, not test.low_in)


def _high_end(test: InRange) -> tuple[float, bool]:
    """Where a range ends, turned round: the smaller, the wider."""
    return (-inf, False) if test.high is None else (-test.high, not test.high_in)


def _reaching(
    ranges: Iterable[InRange],
    bits: Mapping[Test, int],
    end: Callable[[InRange], tuple[float, bool]],
) -> dict[tuple[float, bool], int]:
    """For each end the bits of all ranges that reach at least as far."""
    at: dict[tuple[float, bool], int] = {}
    for test in ranges:
        at[end(test)] = at.get(end(test), 0) | bits[test]
    sofar = 0
    for where in sorted(at):
        sofar |= at[where]
        at[where] = sofar
    return at
