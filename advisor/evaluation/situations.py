"""Situations in which rules are tried: their own examples, cases and simulated batches.

A situation is what is known of a batch once everything has been worked out and concluded:
by key the words and numbers that hold. An example knows exactly what it gives.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.knowledge.audit.book import Book
from advisor.knowledge.audit.examples import example_facts
from advisor.knowledge.conditions import Missing
from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from advisor.chain.port import Fact
    from advisor.consult import Consultation
    from advisor.evaluation.cases import Expected
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Base, Rule

__all__ = [
    "Situation",
    "case_consultations",
    "case_situations",
    "example_situations",
    "known_from",
    "simulated_consultations",
    "simulated_situations",
]


@dataclass(frozen=True, slots=True)
class Situation:
    """What is known of one batch; ``kind`` is example, case or simulated."""

    name: str
    kind: str
    known: Mapping[str, Sequence[str | float]]
    fired: frozenset[str] = field(default=frozenset())  # the lines that fired; none in an example

    def meets(self, test: Test) -> bool:
        """Whether a test holds here."""
        values = self.known.get(test.key, ())
        if isinstance(test, Missing):
            return not values
        return any(
            test.holds_word(value) if isinstance(value, str) else test.holds_number(value)
            for value in values
        )


def known_from(facts: Iterable[Fact]) -> dict[str, list[str | float]]:
    """Facts by key."""
    known: dict[str, list[str | float]] = {}
    for fact in facts:
        value = fact.word if fact.word is not None else fact.number
        if value is not None:
            known.setdefault(fact.key, []).append(value)
    return known


def example_situations(base: Base, rule: Rule) -> Iterator[Situation]:
    """A rule's own examples. Known gaps are left out: they do not show what the rule does."""
    book = Book("rules", base.rules, base.findings, base.figures)
    for number, example in enumerate(rule.examples, 1):
        if example.known_gap:
            continue
        known: dict[str, list[str | float]] = {}
        for key, value in example_facts(book, example.given).items():
            if value != "missing":
                known[key] = [float(value) if isinstance(value, int | float) else str(value)]
        yield Situation(f"example {number}", "example", known)


def case_consultations(base: Base, places: Iterable[Path]) -> list[tuple[str, Consultation]]:
    """The cases of files and folders, told whole. Raises ``AdvisorError`` for a bad file."""
    from advisor.consult import Consultation
    from advisor.evaluation.cases import case_files

    return [
        (path.stem, Consultation.from_case(base, path, backend="reference"))
        for path in case_files(places)
    ]


def simulated_consultations(base: Base, count: int, seed: int) -> list[tuple[str, Consultation]]:
    """Batches of the simulator with what they expect; the same for the same seed.

    All that is said unasked is told, and every answer to what would be asked then.
    """
    from advisor.consult import Consultation
    from advisor.evaluation.cases import from_simulated
    from advisor.simulator import simulate

    found = []
    for number in range(seed, seed + count):
        batch = from_simulated(base, simulate(number))
        made = Consultation(base, backend="reference", expect=_expect(batch.expected))
        if batch.symptoms is not None:
            made = made.tell_symptoms(batch.symptoms)
        for name, raw in batch.told.items():
            made = made.tell(name, raw)
        known = made.inference.facts_by_key()
        for name, raw in batch.answers.items():
            when = base.findings[name].ask_when if name in base.findings else ()
            if not when or holds(when, known):
                made = made.tell(name, raw)
        found.append((batch.name, made))
    return found


def _expect(truth: Expected) -> dict[str, object]:
    """The truth of a batch as a case file would have it."""
    expect: dict[str, object] = {"verdict": truth.verdict}
    if not truth.by_verdict and truth.causes:
        expect["among"] = sorted(truth.causes)
    return expect


def case_situations(base: Base, places: Iterable[Path]) -> list[Situation]:
    """Where the cases of files and folders come to rest."""
    return [_settled(name, "case", told) for name, told in case_consultations(base, places)]


def simulated_situations(base: Base, count: int, seed: int) -> list[Situation]:
    """Where simulated batches come to rest."""
    return [
        _settled(name, "simulated", told)
        for name, told in simulated_consultations(base, count, seed)
    ]


def _settled(name: str, kind: str, told: Consultation) -> Situation:
    run = told.inference.run
    fired = frozenset(firing.rule for firing in run.firings)
    return Situation(name, kind, known_from(run.facts), fired)
