"""From the written form of a condition to tests, with a problem for everything that is off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Problem, did_you_mean
from advisor.knowledge.conditions import (
    MISSING,
    NOT_NOW,
    UNKNOWN,
    All,
    Alternatives,
    AnyOf,
    Condition,
    InRange,
    Is,
    Known,
    Missing,
    NoneOf,
    TooManyAlternatives,
    alternatives,
)
from advisor.knowledge.physical import bounds_of
from advisor.science.registry import get

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.findings import Finding
    from advisor.knowledge.model import Figure
    from advisor.knowledge.yamlread import Document, Path

__all__ = ["ConditionReader", "Vocabulary", "vocabulary_of"]

_JOINS: Mapping[str, type[All | AnyOf | NoneOf]] = {"all": All, "any": AnyOf, "none": NoneOf}
_BOUNDS = ("above", "below", "at_least", "at_most")


class Vocabulary:
    """What a condition may speak of: keys with their words, or their unit and range."""

    def __init__(self) -> None:
        self.words: dict[str, tuple[str, ...]] = {}
        self.units: dict[str, tuple[str, float | None, float | None]] = {}

    def __contains__(self, key: str) -> bool:
        return key in self.words or key in self.units

    def keys(self) -> list[str]:
        return [*self.words, *self.units]


def vocabulary_of(findings: Mapping[str, Finding], figures: Mapping[str, Figure]) -> Vocabulary:
    """What conditions on findings and figures that are built may speak of."""
    vocabulary = Vocabulary()
    for finding in findings.values():
        if finding.words:
            vocabulary.words[finding.id] = finding.words
        else:
            vocabulary.units[finding.id] = (finding.unit, finding.low, finding.high)
    for figure in figures.values():
        if figure.words:
            vocabulary.words[figure.id] = figure.words
        else:
            bounds = bounds_of(figure.unit, signed=get(figure.calculation).signed)
            vocabulary.units[figure.id] = (figure.unit, *bounds)
    return vocabulary


class ConditionReader:
    """Reads conditions of one document against a vocabulary, collecting problems."""

    def __init__(self, document: Document, vocabulary: Vocabulary, problems: list[Problem]) -> None:
        self.document = document
        self.vocabulary = vocabulary
        self.problems = problems

    def read(self, written: Any, path: Path) -> Alternatives:
        """The alternatives of a condition; empty when it cannot be read (problems say why)."""
        before = len(self.problems)
        condition = self._condition(written, path)
        if condition is None or len(self.problems) > before:
            return ()
        try:
            flat = alternatives(condition, self.vocabulary.words)
        except TooManyAlternatives as error:
            self._problem(
                "condition-too-wide", f"this condition has {error}", path, "split it into rules"
            )
            return ()
        if not flat:
            self._problem("condition-never", "this condition can never hold", path)
        return flat

    def test(self, key: str, written: Any, path: Path) -> Condition | None:
        """One test on a key."""
        if key not in self.vocabulary:
            self._problem(
                "unknown-finding",
                f"there is no finding or figure {key!r}",
                path,
                did_you_mean(key, self.vocabulary.keys()),
                at_key=True,
            )
            return None
        if written == "known":
            return Known(key)
        if written == MISSING:
            return Missing(key)
        if written in (UNKNOWN, NOT_NOW):
            return Is(key, (str(written),))
        if key in self.vocabulary.units:
            return self._number_test(key, written, path)
        return self._word_test(key, written, path)

    def _condition(self, written: Any, path: Path) -> Condition | None:
        if not isinstance(written, dict) or not written:
            self._problem("condition-form", "a condition is a mapping: finding: test", path)
            return None
        parts: list[Condition | None] = []
        for key, value in written.items():
            here = (*path, key)
            if key in _JOINS:
                parts.append(self._join(key, value, here))
            else:
                parts.append(self.test(key, value, here))
        if len(parts) == 1:
            return parts[0]
        return All(tuple(p for p in parts if p is not None))

    def _join(self, join: str, written: Any, path: Path) -> Condition | None:
        if not isinstance(written, list) or not written:
            self._problem("condition-form", f"{join} needs a list of conditions", path)
            return None
        parts = [self._condition(part, (*path, i)) for i, part in enumerate(written)]
        return _JOINS[join](tuple(p for p in parts if p is not None))

    def _word_test(self, key: str, written: Any, path: Path) -> Condition | None:
        denied = False
        if isinstance(written, dict):
            if set(written) != {"not"}:
                self._problem(
                    "condition-form",
                    f"{key} is answered in words, not in numbers",
                    path,
                    f"its words are {', '.join(self.vocabulary.words[key])}",
                )
                return None
            written, denied, path = written["not"], True, (*path, "not")
        given = written if isinstance(written, list) else [written]
        if not given:
            self._problem("condition-form", "an empty list of words never holds", path)
            return None
        words = tuple(str(w) for w in given)
        known = (*self.vocabulary.words[key], UNKNOWN, NOT_NOW)
        for i, word in enumerate(words):
            if word not in known or isinstance(given[i], bool):
                self._problem(
                    "unknown-word",
                    f"{key} has no answer {_shown(given[i])}",
                    (*path, i) if isinstance(written, list) else path,
                    did_you_mean(word, known) or f"its answers are {', '.join(known[:-2])}",
                )
        test = Is(key, tuple(dict.fromkeys(words)))
        return NoneOf((test,)) if denied else test

    def _number_test(self, key: str, written: Any, path: Path) -> Condition | None:
        if not isinstance(written, dict):
            self._problem(
                "condition-form",
                f"{key} is a number: write a range",
                path,
                f"for example {key}: {{above: 4.8}}",
            )
            return None
        bounds: dict[str, float] = {}
        for name, value in written.items():
            if name not in _BOUNDS:
                self._problem(
                    "condition-form",
                    f"{name!r} is not a bound",
                    (*path, name),
                    did_you_mean(name, _BOUNDS) or f"the bounds are {', '.join(_BOUNDS)}",
                )
                continue
            number = self.number(key, value, (*path, name))
            if number is not None:
                bounds[name] = number
        if not bounds:
            return None
        if {"above", "at_least"} <= bounds.keys() or {"below", "at_most"} <= bounds.keys():
            self._problem("condition-form", "two bounds on one side: keep one", path)
            return None
        low = bounds.get("above", bounds.get("at_least"))
        high = bounds.get("below", bounds.get("at_most"))
        test = InRange(key, low, high, "at_least" in bounds, "at_most" in bounds)
        if (
            low is not None
            and high is not None
            and not (low < high or (low == high and test.low_in and test.high_in))
        ):
            self._problem("condition-never", f"no number is {_plain_range(test)}", path)
            return None
        return test

    def number(self, key: str, written: Any, path: Path) -> float | None:
        """A number in the finding's unit and range; text may carry a unit of its own."""
        unit, low, high = self.vocabulary.units[key]
        if isinstance(written, bool) or not isinstance(written, int | float | str):
            self._problem("condition-form", f"{_shown(written)} is not a number", path)
            return None
        if isinstance(written, str):
            from advisor.quantities import parse

            try:
                value = parse(written, unit).value
            except AdvisorError as error:
                self._problem("unit-mismatch", error.message, path, error.hint)
                return None
        else:
            value = float(written)
        if (low is not None and value < low) or (high is not None and value > high):
            self._problem(
                "threshold-outside-range",
                f"{value:g} lies outside the range of {key}",
                path,
                f"its range is {_from_to(low, high)} {unit}".rstrip(),
            )
        return value

    def _problem(
        self, code: str, message: str, path: Path, hint: str = "", *, at_key: bool = False
    ) -> None:
        place = self.document.key_place(path) if at_key else self.document.place(path)
        self.problems.append(Problem(code, message, place, hint))


def _from_to(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return f"at most {high:g}" if high is not None else f"at least {low:g}"
    return f"{low:g} to {high:g}"


def _plain_range(test: InRange) -> str:
    return str(test).partition(" is ")[2]


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return f"{str(value).lower()} (write yes or no)"
    return repr(value)[:60]


def example_answers(given: Mapping[str, Any]) -> dict[str, str | float]:
    """An example's findings with numbers as numbers and words as text."""
    return {k: float(v) if isinstance(v, int | float) else str(v) for k, v in given.items()}
