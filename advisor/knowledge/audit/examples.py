"""Rules against their own examples."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, Known, Missing

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Rule

__all__ = ["example_facts", "example_holds", "example_problems", "rule_example_problems"]


def example_holds(when: Alternatives, given: Mapping[str, object]) -> bool:
    """Whether a rule's condition holds when exactly the findings of an example are known."""
    return any(all(_meets(test, given) for test in option) for option in when)


def _meets(test: Test, given: Mapping[str, object]) -> bool:
    value = given.get(test.key)
    if value is None or value == "missing":
        return isinstance(test, Missing)
    if value == "known":
        return isinstance(test, Known)
    if isinstance(value, int | float):
        return test.holds_number(float(value))
    return test.holds_word(str(value))


def example_facts(book: Book, given: Mapping[str, object]) -> dict[str, object]:
    """The findings of an example with every amount as a number in the finding's unit."""
    return {key: _in_unit(book, key, value) for key, value in given.items()}


def _in_unit(book: Book, key: str, value: object) -> object:
    about = book.findings.get(key) or book.figures.get(key)
    if about is None or not about.unit or not isinstance(value, str):
        return value
    if value in ("known", "missing", UNKNOWN, NOT_NOW):
        return value
    from advisor.quantities import parse

    return value if about.unit == "word" else parse(value, about.unit).value


def example_problems(book: Book, places: Places) -> Iterable[Problem]:
    """Examples that do not come out, and rules that have too few of them."""
    for rule in book.rules.values():
        yield from rule_example_problems(book, rule, places)


def rule_example_problems(book: Book, rule: Rule, places: Places) -> Iterable[Problem]:
    """The same for one rule."""
    fires = {e.fires for e in rule.examples if not e.known_gap}
    if fires != {True, False}:
        wanted = "fires" if True not in fires else "does not fire"
        yield Problem(
            "rule-untested",
            f"{rule.id} has no example that {wanted}",
            places.at(book.section, rule.id),
            "add one; best a near miss, that differs from a firing one in a single answer",
        )
    for number, example in enumerate(rule.examples, 1):
        held = example_holds(rule.when, example_facts(book, example.given))
        where = (book.section, rule.id, "examples", number - 1)
        if held != example.fires and not example.known_gap:
            yield Problem(
                "example-fails",
                f"{rule.id}: example {number} "
                + ("should fire and does not" if example.fires else "fires and should not"),
                places.at(*where),
                "correct the rule or the example",
            )
        if held == example.fires and example.known_gap:
            yield Problem(
                "example-gap-closed",
                f"{rule.id}: example {number} is marked as a known gap and holds now",
                places.at(*where),
                "take known_gap away",
            )
