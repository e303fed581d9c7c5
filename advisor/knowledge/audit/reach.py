"""What can never happen: conditions that no answer meets, conclusions that nobody draws."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.audit.asking import Asking
from advisor.knowledge.audit.logic import overlap, within
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known
from advisor.knowledge.physical import bounds_of
from advisor.science.registry import get

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Base, Figure, Finding, Rule

__all__ = ["Reach", "reach_problems"]


@dataclass(slots=True)
class Reach:
    """Every value that a key can take: by asking, by calculation, or by a rule that can fire."""

    words: dict[str, set[str]] = field(default_factory=dict)
    numbers: dict[str, InRange] = field(default_factory=dict)
    rules: set[str] = field(default_factory=set)  # those that can fire
    told: set[str] = field(default_factory=set)  # what is asked or worked out for some batch

    @classmethod
    def of(cls, book: Book) -> Reach:
        """Work it out: from what is asked of every batch, step by step to the end."""
        reach = cls()
        reach._settle(book)
        return reach

    def _settle(self, book: Book) -> None:
        """Ask, work out and conclude whatever can be, until nothing new comes of it."""
        readings: dict[str, list[str]] = {}
        sources: list[Finding | Figure] = [*book.findings.values(), *book.figures.values()]
        for about in sources:
            if about.measures:
                readings.setdefault(about.measures, []).append(about.id)
        waiting: dict[str, list[str]] = {}  # key -> what may come about once it has more values
        todo = [*book.rules, *book.figures, *(f.id for f in book.findings.values() if f.asked)]
        while todo:
            name = todo.pop()
            if name in self.rules or name in self.told:
                continue
            if name in book.rules:
                awaited = self._fire(book.rules[name])
                changed = {
                    e.target: None for e in book.rules[name].effects if e.kind == "conclude"
                }
            elif name in book.figures:
                awaited = self._work_out(book.figures[name], readings.get(name, ()))
                changed = {name: None}
            else:
                awaited = self._ask(book, book.findings[name])
                changed = {name: None}
            for key in awaited:
                waiting.setdefault(key, []).append(name)
            for key in () if awaited else changed:
                todo.extend(waiting.pop(key, ()))

    def _fire(self, rule: Rule) -> set[str]:
        """Draw a rule's conclusions, or say what it waits for."""
        if not self.holds(rule.when):
            return {test.key for option in rule.when for test in option}
        self.rules.add(rule.id)
        for effect in rule.effects:
            if effect.kind == "conclude":
                self.words.setdefault(effect.target, set()).add(effect.word)
        return set()

    def _work_out(self, figure: Figure, readings: Sequence[str]) -> set[str]:
        """Give a figure its values, or say what it waits for. It rests on answers alone."""
        if not (self.told.issuperset(figure.needs) or any(r in self.told for r in readings)):
            return {*figure.needs, *readings}
        self.told.add(figure.id)
        if figure.words:
            self.words[figure.id] = set(figure.words)
        else:
            low, high = bounds_of(figure.unit, signed=get(figure.calculation).signed)
            self.numbers[figure.id] = InRange(figure.id, low, high, True, True)
        return set()

    def _ask(self, book: Book, finding: Finding) -> set[str]:
        """Give a question its answers, or say what it waits for."""
        waits_for = {test.key for option in finding.ask_when for test in option}
        here = all(key in book.findings or key in book.figures for key in waits_for)
        if here and not self.holds(finding.ask_when):
            return waits_for
        self.told.add(finding.id)
        words = self.words.setdefault(finding.id, set())
        words.update((*finding.words, UNKNOWN, NOT_NOW))
        if finding.kind == "quantity":
            self.numbers[finding.id] = _all_of(finding)
        return set()

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
    asking = Asking(book)
    if only:
        rule = book.rules[only]
        yield from _condition(book, places, reach, book.section, only, "when", rule.when)
        yield from _never_asked(book, asking, places, reach, rule)
        return
    for rule in book.rules.values():
        yield from _condition(book, places, reach, book.section, rule.id, "when", rule.when)
    for finding in book.findings.values():
        if book.section == "rules" or finding.id not in base.findings:
            yield from _condition(
                book, places, reach, "findings", finding.id, "ask_when", finding.ask_when
            )
            yield from _apart(
                asking, places, reach, "findings", finding.id, "ask_when", finding.ask_when
            )
    if book.section == "rules":
        for remedy in base.remedies.values():
            yield from _condition(book, places, reach, "remedies", remedy.id, "when", remedy.when)
            yield from _apart(asking, places, reach, "remedies", remedy.id, "when", remedy.when)
    for rule in book.rules.values():
        yield from _never_asked(book, asking, places, reach, rule)


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
    if finding is not None and finding.id not in reach.told:
        keys = {t.key for option in finding.ask_when for t in option}
        waits = ["itself" if key == finding.id else key for key in sorted(keys)]
        return f"{finding.id} waits for {' and '.join(waits)}, which can never come before it"
    if finding is not None and finding.kind == "quantity":
        return f"{finding.id} lies between {finding.low:g} and {finding.high:g}"
    return "see what could give it this value"


def _says_nothing(book: Book, test: Test) -> bool:
    finding = book.findings.get(test.key)
    if isinstance(test, InRange):
        return finding is not None and finding.low is not None and within(_all_of(finding), test)
    about = finding or book.figures.get(test.key)
    return isinstance(test, Is) and about is not None and set(about.words) == set(test.words)


def _never_asked(
    book: Book, asking: Asking, places: Places, reach: Reach, rule: Rule
) -> Iterator[Problem]:
    """A rule that needs what is never known where the rest of it holds."""
    told: set[str] = set()
    for option in rule.when:
        test = asking.clash(option) if reach.blocking(option) is None else None
        if test is None or test.key in told:
            continue
        told.add(test.key)
        finding = book.findings.get(test.key)
        if finding is None:
            lacks, whose = "cannot be worked out", f"what {test.key} needs"
        elif finding.asked:
            lacks, whose = "is not asked", test.key
        else:
            lacks, whose = "no rule concludes so", "what those rules need"
        yield Problem(
            "rule-not-asked",
            f"{rule.id} needs {test.key}, which {lacks} where the rest of the rule holds"
            if finding is None or finding.asked
            else f"{rule.id} needs that {test}, and {lacks} where the rest of the rule holds",
            places.test(book.section, rule.id, "when", test.key),
            f"widen the ask_when of {whose}, or correct the rule",
        )


def _apart(
    asking: Asking,
    places: Places,
    reach: Reach,
    section: str,
    id: str,
    part: str,
    when: Alternatives,
) -> Iterator[Problem]:
    """A question or remedy whose condition needs what is never known where the rest holds."""
    if not when or not reach.holds(when):
        return
    clashes = [asking.clash(option) for option in when]
    first = clashes[0]
    if first is not None and all(clash is not None for clash in clashes):
        code, said = _NEVER[section]
        yield Problem(
            code,
            f"{id}: {first.key.replace('_', ' ')} is never known where the rest of its condition "
            f"holds; {said}",
            places.test(section, id, part, first.key),
            f"see what {first.key} waits for, and correct one of the two conditions",
        )
