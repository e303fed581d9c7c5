"""Tests on findings, and conditions built from them.

A test looks at one key. A condition joins tests with *all*, *any* and *none*; it is
flattened once, when the base is loaded, into alternatives: a tuple of tuples of
tests, any one of which is enough. Every test prints itself as the sentence that a
person is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TypeAlias

__all__ = [
    "MISSING",
    "NOT_NOW",
    "UNKNOWN",
    "All",
    "Alternatives",
    "AnyOf",
    "Condition",
    "InRange",
    "Is",
    "Known",
    "Missing",
    "NoneOf",
    "Test",
    "TooManyAlternatives",
    "alternatives",
    "keys_of",
]

UNKNOWN = "unknown"  # asked, and the person does not know
NOT_NOW = "not-now"  # asked, and it cannot be done now
MISSING = "missing"  # the word a rule uses for "never asked"

_MOST_ALTERNATIVES = 64


@dataclass(frozen=True)
class Is:
    """The finding has one of these words."""

    key: str
    words: tuple[str, ...]

    def __str__(self) -> str:
        return f"{_plain(self.key)} is {' or '.join(map(_plain, self.words))}"

    def holds_word(self, word: str) -> bool:
        return word in self.words

    def holds_number(self, number: float) -> bool:
        return False


@dataclass(frozen=True)
class InRange:
    """The finding is a number in this range; an open end is ``None``."""

    key: str
    low: float | None = None
    high: float | None = None
    low_in: bool = False
    high_in: bool = False

    def __str__(self) -> str:
        parts = []
        if self.low is not None:
            parts.append(f"{'at least' if self.low_in else 'above'} {self.low:g}")
        if self.high is not None:
            parts.append(f"{'at most' if self.high_in else 'below'} {self.high:g}")
        return f"{_plain(self.key)} is {' and '.join(parts)}"

    def holds_word(self, word: str) -> bool:
        return False

    def holds_number(self, number: float) -> bool:
        if self.low is not None and not (number >= self.low if self.low_in else number > self.low):
            return False
        return self.high is None or (number <= self.high if self.high_in else number < self.high)


@dataclass(frozen=True)
class Known:
    """The finding has a value; "don't know" and "not now" are not values."""

    key: str

    def __str__(self) -> str:
        return f"{_plain(self.key)} is known"

    def holds_word(self, word: str) -> bool:
        return word not in (UNKNOWN, NOT_NOW)

    def holds_number(self, number: float) -> bool:
        return True


@dataclass(frozen=True)
class Missing:
    """Nothing at all has been said or worked out for the key."""

    key: str

    def __str__(self) -> str:
        return f"nothing is known of {_plain(self.key)}"

    def holds_word(self, word: str) -> bool:
        return False

    def holds_number(self, number: float) -> bool:
        return False


Test: TypeAlias = Is | InRange | Known | Missing


@dataclass(frozen=True)
class All:
    """Every part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True)
class AnyOf:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True)
class NoneOf:
    """No part holds, and each finding named is answered: silence proves nothing."""

    parts: tuple[Condition, ...]


Condition: TypeAlias = Test | All | AnyOf | NoneOf
Alternatives: TypeAlias = tuple[tuple[Test, ...], ...]


class TooManyAlternatives(ValueError):  # noqa: N818  it reads as what it is
    """A condition that flattens into more alternatives than a person could check."""


def alternatives(condition: Condition, words: dict[str, tuple[str, ...]]) -> Alternatives:
    """Flatten a condition.

    ``words`` gives the possible words of each finding that has words; it is needed
    to turn *none* into the words that remain. Raises ``TooManyAlternatives``.
    """
    flat = [_tidy(option) for option in _flatten(condition, words, negate=False)]
    unique = tuple(dict.fromkeys(option for option in flat if option is not None))
    if len(unique) > _MOST_ALTERNATIVES:
        raise TooManyAlternatives(f"{len(unique)} alternatives, at most {_MOST_ALTERNATIVES}")
    return unique


def keys_of(options: Alternatives) -> frozenset[str]:
    """Every key that the alternatives test."""
    return frozenset(test.key for option in options for test in option)


def _flatten(
    condition: Condition, words: dict[str, tuple[str, ...]], *, negate: bool
) -> list[tuple[Test, ...]]:
    if isinstance(condition, NoneOf):
        return _flatten(AnyOf(condition.parts), words, negate=not negate)
    if isinstance(condition, All | AnyOf):
        parts = [_flatten(part, words, negate=negate) for part in condition.parts]
        if isinstance(condition, All) is not negate:  # a conjunction, or a denied disjunction
            size = 1
            for part in parts:
                size *= max(1, len(part))
                if size > 4096:
                    raise TooManyAlternatives("more than 4096 alternatives")
            return [tuple(t for option in chosen for t in option) for chosen in product(*parts)]
        return [option for part in parts for option in part]
    if not negate:
        return [(condition,)]
    return [(test,) for test in _denied(condition, words)]


def _denied(test: Test, words: dict[str, tuple[str, ...]]) -> list[Test]:
    if isinstance(test, Is):
        rest = tuple(w for w in words.get(test.key, ()) if w not in test.words)
        return [Is(test.key, rest)] if rest else []
    if isinstance(test, InRange):
        outside: list[Test] = []
        if test.low is not None:
            outside.append(InRange(test.key, high=test.low, high_in=not test.low_in))
        if test.high is not None:
            outside.append(InRange(test.key, low=test.high, low_in=not test.high_in))
        return outside
    if isinstance(test, Known):
        return [Missing(test.key), Is(test.key, (UNKNOWN, NOT_NOW))]
    return [Known(test.key)]


def _tidy(option: tuple[Test, ...]) -> tuple[Test, ...] | None:
    """Merge tests on one key; ``None`` when they can never hold together."""
    merged: dict[tuple[str, type], Test] = {}
    for test in option:
        slot = (test.key, type(test))
        before = merged.get(slot)
        if before is None:
            merged[slot] = test
        elif isinstance(before, Is) and isinstance(test, Is):
            both = tuple(w for w in before.words if w in test.words)
            if not both:
                return None
            merged[slot] = Is(test.key, both)
        elif isinstance(before, InRange) and isinstance(test, InRange):
            narrowed = _narrow(before, test)
            if narrowed is None:
                return None
            merged[slot] = narrowed
    if any(_at_odds(merged, key) for key, _ in merged):
        return None
    return tuple(sorted(merged.values(), key=lambda t: (t.key, type(t).__name__, str(t))))


def _at_odds(merged: dict[tuple[str, type], Test], key: str) -> bool:
    """Whether tests of different kinds on one key can never hold of one answer."""
    kinds = [kind for kind in (Is, InRange, Known, Missing) if (key, kind) in merged]
    if len(kinds) < 2:
        return False
    if Missing in kinds or (Is in kinds and InRange in kinds):
        return True
    word = merged.get((key, Is))
    return isinstance(word, Is) and all(w in (UNKNOWN, NOT_NOW) for w in word.words)


def _narrow(one: InRange, two: InRange) -> InRange | None:
    low, low_in = one.low, one.low_in
    if two.low is not None and (low is None or two.low > low or (two.low == low and low_in)):
        low, low_in = two.low, two.low_in
    high, high_in = one.high, one.high_in
    if two.high is not None and (high is None or two.high < high or (two.high == high and high_in)):
        high, high_in = two.high, two.high_in
    if (
        low is not None
        and high is not None
        and (low > high or (low == high and not (low_in and high_in)))
    ):
        return None
    return InRange(one.key, low, high, low_in, high_in)


def _plain(name: str) -> str:
    return name.replace("_", " ").replace("-", " ")
