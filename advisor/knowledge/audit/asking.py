"""What must have been asked, worked out or concluded before a condition can hold.

A question with ``ask_when`` is only there where that holds; a figure only where what it needs was
answered, or where a reading stands in its place; a conclusion only where some rule draws it. So
behind each test stand others, and behind those others again. ``Asking`` follows them as far as
they go and says whether all of it can hold of one batch.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from advisor.knowledge.audit.logic import overlap
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known, Missing

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Figure, Finding, Rule

__all__ = ["Asking"]

# Steps after which a condition is taken as possible: no condition is followed without end.
_MOST_STEPS = 300


class Asking:
    """Which tests can hold together, once what stands behind each is looked at as well."""

    def __init__(self, book: Book) -> None:
        self._findings = book.findings
        self._figures = book.figures
        self._drawn: dict[str, list[tuple[str, Rule]]] = defaultdict(list)
        for rule in book.rules.values():
            for effect in rule.effects:
                if effect.kind == "conclude":
                    self._drawn[effect.target].append((effect.word, rule))
        self._read: dict[str, list[str]] = defaultdict(list)
        sources: list[Finding | Figure] = [*book.findings.values(), *book.figures.values()]
        for about in sources:
            if about.measures:
                self._read[about.measures].append(about.id)
        self._plain: dict[str, bool] = {}

    def clash(self, tests: Iterable[Test]) -> Test | None:
        """The test that cannot hold with the rest; ``None`` when all may hold of one batch."""
        told = [test for test in tests if not isinstance(test, Missing)]
        behind = [test for test in told if not self._leads_nowhere(test.key)]
        if not behind or self._fits(told, behind):
            return None
        return next((test for test in behind if not self._fits(told, [test])), behind[0])

    def _fits(self, told: Sequence[Test], behind: Sequence[Test]) -> bool:
        known: dict[str, list[Test]] = {}
        for test in told:
            known.setdefault(test.key, []).append(test)
        self._steps = 0
        return self._follow(known, list(behind), frozenset())

    def _follow(
        self, known: dict[str, list[Test]], todo: list[Test], done: frozenset[str]
    ) -> bool:
        """Whether what stands behind each of ``todo`` fits what is known."""
        self._steps += 1
        if self._steps > _MOST_STEPS:
            return True
        while todo and todo[-1].key in done:
            todo = todo[:-1]
        if not todo:
            return True
        test, rest = todo[-1], todo[:-1]
        done |= {test.key}
        for way in self._ways(test):
            more = self._with(known, way)
            if more is None:
                continue
            # What must not be known waits for nothing.
            told = [t for t in way if not isinstance(t, Missing)]
            further = [t for t in told if not self._leads_nowhere(t.key)]
            if self._follow(more, [*rest, *further], done):
                return True
        return False

    def _with(
        self, known: dict[str, list[Test]], way: Sequence[Test]
    ) -> dict[str, list[Test]] | None:
        """What is known with the tests of one way as well; ``None`` when they contradict it."""
        more = dict(known)
        for test in way:
            if isinstance(test, Missing):
                continue
            before = more.get(test.key, [])
            if test.key not in self._drawn and any(_excludes(test, each) for each in before):
                return None
            more[test.key] = [*before, test]
        return more

    def _leads_nowhere(self, key: str) -> bool:
        """Whether nothing need be known before a key can be."""
        plain = self._plain.get(key)
        if plain is None:
            finding = self._findings.get(key)
            plain = finding is not None and finding.asked and not self._waits_for(key)
            plain = plain or (finding is None and key not in self._figures)
            self._plain[key] = plain
        return plain

    def _waits_for(self, key: str) -> Alternatives:
        """When a question is asked, as far as this book knows what it waits for."""
        when = self._findings[key].ask_when
        here = all(t.key in self._findings or t.key in self._figures for o in when for t in o)
        return when if here else ()

    def _ways(self, test: Test) -> Alternatives:
        """Each way in which a key can come to have a value that meets the test."""
        figure = self._figures.get(test.key)
        if figure is not None:
            readings = tuple((Known(name),) for name in self._read[test.key])
            return (tuple(Known(name) for name in figure.needs), *readings)
        drawn = tuple(
            option
            for word, rule in self._drawn.get(test.key, ())
            if not isinstance(test, Is) or word in test.words
            for option in rule.when
        )
        finding = self._findings[test.key]
        if not finding.asked:
            return drawn
        return (*(self._waits_for(test.key) or ((),)), *drawn)


def _excludes(one: Test, two: Test) -> bool:
    """Whether no single answer meets both tests of one key."""
    if isinstance(one, InRange) and isinstance(two, InRange):
        return not overlap(one, two)
    if isinstance(one, Is) and isinstance(two, Is):
        return set(one.words).isdisjoint(two.words)
    if isinstance(one, Known) or isinstance(two, Known):
        word = two if isinstance(one, Known) else one
        return isinstance(word, Is) and {UNKNOWN, NOT_NOW}.issuperset(word.words)
    return True
