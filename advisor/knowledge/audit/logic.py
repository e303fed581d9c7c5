"""What follows from what between conditions, without running anything.

``implies`` is sound and not complete: when it says yes, whatever meets the first
condition meets the second; when it says no, it may only have failed to see it (an
alternative that several others cover together is not recognised).
"""

from __future__ import annotations

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
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.knowledge.conditions import Alternatives, Test

__all__ = ["Implications", "implies", "overlap", "possible", "test_implies", "within"]

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
    """Which of many conditions imply which others, found through an index.

    Each alternative is filed under the one of its tests that the fewest others share; a
    stricter alternative must contain something that implies that test, so only those
    filed under its own words and ranges need to be looked at.
    """

    def __init__(self, conditions: Sequence[Alternatives]) -> None:
        self.conditions = conditions
        uses: dict[tuple[str, str], int] = {}
        for condition in conditions:
            for option in condition:
                for test in option:
                    for mark in _marks(test):
                        uses[mark] = uses.get(mark, 0) + 1
        self._filed: dict[tuple[str, str], list[int]] = {}
        for number, condition in enumerate(conditions):
            # An implied condition is met through some alternative: file every one of them.
            for option in condition:
                for mark in min((_marks(t) for t in option), key=lambda m: _load(m, uses)):
                    held = self._filed.setdefault(mark, [])
                    if not held or held[-1] != number:
                        held.append(number)

    def pairs(self) -> Iterator[tuple[int, int]]:
        """Every (stricter, wider) pair of different conditions, by position."""
        for number, condition in enumerate(self.conditions):
            if not condition or not all(condition):
                continue
            # All alternatives must imply the other, so those of the first are enough to find it.
            found = {
                other
                for test in condition[0]
                for mark in _looked_up(test)
                for other in self._filed.get(mark, ())
                if other != number
            }
            for other in sorted(found):
                if implies(condition, self.conditions[other]):
                    yield number, other


def _load(marks: Sequence[tuple[str, str]], uses: dict[tuple[str, str], int]) -> int:
    return sum(uses[mark] for mark in marks)


def _marks(test: Test) -> list[tuple[str, str]]:
    if isinstance(test, Is):
        return [(test.key, f"={word}") for word in test.words]
    return [(test.key, type(test).__name__)]


def _looked_up(test: Test) -> list[tuple[str, str]]:
    """The marks under which a test that this one implies may be filed."""
    if isinstance(test, Is):
        # A wider test has every word of this one, so any single word finds it.
        return [(test.key, f"={test.words[0]}"), (test.key, "Known")]
    if isinstance(test, InRange):
        return [(test.key, "InRange"), (test.key, "Known")]
    return [(test.key, type(test).__name__)]
