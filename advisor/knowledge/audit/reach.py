"""What can never happen: conditions that no answer meets, conclusions that nobody draws."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.audit.logic import overlap, possible, within
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known, Missing
from advisor.knowledge.physical import bounds_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Base, Finding, Rule

__all__ = ["Reach", "reach_problems"]


@dataclass(slots=True)
class Reach:
    """Every value that a key can take: by asking, by calculation, or by a rule that can fire."""

    words: dict[str, set[str]] = field(default_factory=dict)
    numbers: dict[str, InRange] = field(default_factory=dict)
    rules: set[str] = field(default_factory=set)  # those that can fire

    @classmethod
    def of(cls, book: Book) -> Reach:
        """Work it out; conclusions are followed to the end."""
        reach = cls()
        for finding in book.findings.values():
            if finding.asked:
                reach.words[finding.id] = {*finding.words, UNKNOWN, NOT_NOW}
                if finding.kind == "quantity":
                    reach.numbers[finding.id] = _all_of(finding)
        waiting = list(book.figures.values())
        before = -1
        while len(waiting) != before:  # a figure may rest on figures
            before = len(waiting)
            for figure in list(waiting):
                if all(k in reach.words or k in reach.numbers for k in figure.needs):
                    waiting.remove(figure)
                    if figure.words:
                        reach.words[figure.id] = set(figure.words)
                    else:
                        low, high = bounds_of(figure.unit)
                        reach.numbers[figure.id] = InRange(figure.id, low, high, True, True)
        reach._conclude(book)
        return reach

    def _conclude(self, book: Book) -> None:
        waiting: dict[str, list[str]] = {}  # key -> rules that could fire once it has more words
        todo = list(book.rules)
        while todo:
            rule = book.rules[todo.pop()]
            if rule.id in self.rules:
                continue
            if not self.holds(rule.when):
                for key in {t.key for option in rule.when for t in option}:
                    waiting.setdefault(key, []).append(rule.id)
                continue
            self.rules.add(rule.id)
            for effect in rule.effects:
                if effect.kind == "conclude":
                    words = self.words.setdefault(effect.target, set())
                    if effect.word not in words:
                        words.add(effect.word)
                        todo.extend(waiting.pop(effect.target, ()))

    def holds(self, when: Alternatives) -> bool:
        """Whether some alternative could hold; an empty condition always does."""
        return not when or any(self.blocking(option) is None for option in when)

    def blocking(self, option: Sequence[Test]) -> Test | None:
        """The first test of an alternative that nothing can meet."""
        return next((test for test in option if not self.meets(test)), None)

    def meets(self, test: Test) -> bool:
        """Whether something can meet a test."""
        words = self.words.get(test.key, set())
        if isinstance(test, Is):
            return not words.isdisjoint(test.words)
        if isinstance(test, InRange):
            whole = self.numbers.get(test.key)
            return whole is not None and overlap(test, whole)
        if isinstance(test, Known):
            return test.key in self.numbers or bool(words - {UNKNOWN, NOT_NOW})
        return True


def _all_of(finding: Finding) -> InRange:
    return InRange(finding.id, finding.low, finding.high, True, True)


def reach_problems(
    base: Base, book: Book, places: Places, reach: Reach, only: str = ""
) -> Iterable[Problem]:
    """Conditions that can never hold, and tests that say nothing; of ``only`` one rule if named."""
    if only:
        rule = book.rules[only]
        yield from _condition(book, places, reach, book.section, only, "when", rule.when)
        yield from _never_asked(book, places, rule)
        return
    for rule in book.rules.values():
        yield from _condition(book, places, reach, book.section, rule.id, "when", rule.when)
    for finding in book.findings.values():
        if book.section == "rules" or finding.id not in base.findings:
            yield from _condition(
                book, places, reach, "findings", finding.id, "ask_when", finding.ask_when
            )
    if book.section == "rules":
        for remedy in base.remedies.values():
            yield from _condition(book, places, reach, "remedies", remedy.id, "when", remedy.when)
    for rule in book.rules.values():
        yield from _never_asked(book, places, rule)


_NEVER = {
    "rules": ("rule-unreachable", "no answer can make this rule fire"),
    "choosing": ("rule-unreachable", "no answer can make this rule fire"),
    "findings": ("finding-never-asked", "this question can never come up"),
    "remedies": ("remedy-unreachable", "this remedy can never be offered"),
}


def _condition(
    book: Book,
    places: Places,
    reach: Reach,
    section: str,
    id: str,
    part: str,
    when: Alternatives,
) -> Iterator[Problem]:
    told: set[Test] = set()
    never = not reach.holds(when)
    code, said = _NEVER[section]
    for option in when:
        test = reach.blocking(option)
        if test is not None and test not in told:
            told.add(test)
            yield Problem(
                code if never else "alternative-unreachable",
                f"{id}: nothing can make {str(test)!r} true; "
                + (said if never else "this alternative is idle"),
                places.test(section, id, part, test.key),
                _way_out(book, reach, test),
            )
    tests = dict.fromkeys(t for option in when for t in option)
    for test in tests:
        if _says_nothing(book, test):
            yield Problem(
                "condition-always",
                f"{id}: every possible answer meets {str(test)!r}",
                places.test(section, id, part, test.key),
                f"write `{test.key}: known`, or tighten the test",
                severity="note",
            )


def _way_out(book: Book, reach: Reach, test: Test) -> str:
    finding = book.findings.get(test.key)
    if finding is not None and not finding.asked:
        words = reach.words.get(test.key)
        return (
            f"rules only conclude {', '.join(sorted(words))}"
            if words
            else f"no rule that can fire concludes {test.key}"
        )
    if finding is not None and finding.kind == "quantity":
        return f"{finding.id} lies between {finding.low:g} and {finding.high:g}"
    return "see what could give it this value"


def _says_nothing(book: Book, test: Test) -> bool:
    finding = book.findings.get(test.key)
    if isinstance(test, InRange):
        return finding is not None and finding.low is not None and within(_all_of(finding), test)
    about = finding or book.figures.get(test.key)
    return isinstance(test, Is) and about is not None and set(about.words) == set(test.words)


def _never_asked(book: Book, places: Places, rule: Rule) -> Iterator[Problem]:
    """A rule that needs an answer which is never asked for where the rest of it holds."""
    for option in rule.when:
        rest = [t for t in option if not isinstance(t, Missing)]
        for test in rest:
            finding = book.findings.get(test.key)
            if finding is None or not finding.ask_when:
                continue
            asking = [[t for t in way if not isinstance(t, Missing)] for way in finding.ask_when]
            if not any(possible([*rest, *way]) for way in asking):
                yield Problem(
                    "rule-not-asked",
                    f"{rule.id} needs {test.key}, which is not asked where the rest of the "
                    "rule holds",
                    places.test(book.section, rule.id, "when", test.key),
                    f"widen the ask_when of {test.key}, or correct the rule",
                )
                break
