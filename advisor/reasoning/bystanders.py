"""Causes that bring on none of what was reported.

Somebody asks because of what they see or taste. A cause whose table and rules never speak of any
of it is not contradicted by anything, and there are very many of those: left alone, together
they would hold a good part of the chances. A base says in one word how much that counts against
each of them (``bystander`` under ``base:``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.conditions import Is
from advisor.reasoning.ledger import Entry

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.knowledge.model import Base

__all__ = ["ACCOUNTS", "BYSTANDER", "Bystanders"]

BYSTANDER = "bystander"  # what such an entry has in place of a line

# A finding counts as accounted for by a cause from this many decibans up.
ACCOUNTS = 2.0
_MOST_KEPT = 256  # sets of reports


class Bystanders:
    """Who brings on nothing of a report, for one base. What was worked out is kept."""

    def __init__(self, base: Base) -> None:
        self._base = base
        self._speaking = _speaking_of(base)
        self._entries: dict[tuple[str, ...], tuple[Entry, ...]] = {}

    def entries(self, reported: tuple[str, ...]) -> tuple[Entry, ...]:
        """What counts against each cause that brings on nothing of what was reported."""
        found = self._entries.get(reported)
        if found is None:
            if len(self._entries) >= _MOST_KEPT:
                self._entries.clear()
            weight = self._base.bystander
            found = self._entries[reported] = tuple(
                Entry(cause, BYSTANDER, "", weight, weight) for cause in self._of(reported)
            )
        return found

    def shift(self, reported: tuple[str, ...], symptom: str) -> dict[str, float]:
        """How many decibans causes gain or lose in this once ``symptom`` is reported as well."""
        weight = self._base.bystander
        before = {e.cause for e in self.entries(reported)}
        after = {e.cause for e in self.entries((*reported, symptom))}
        return {
            **dict.fromkeys(before - after, -weight),
            **dict.fromkeys(after - before, weight),
        }

    def _of(self, reported: tuple[str, ...]) -> Iterable[str]:
        if not self._base.bystander or not reported:
            return ()
        accounted = frozenset[str]().union(*(self._speaking[key] for key in reported))
        return [cause for cause in self._base.causes if cause not in accounted]


def _speaking_of(base: Base) -> dict[str, frozenset[str]]:
    """For each symptom the causes that a row or a rule would suspect because of it."""
    found: dict[str, set[str]] = {f.id: set() for f in base.findings.values() if f.symptom}
    for line in base.lines:
        told = {
            test.key
            for option in line.when
            for test in option
            if test.key in found and isinstance(test, Is) and test.holds_word("yes")
        }
        for key in told:
            found[key].update(
                e.target for e in line.effects if e.kind == "suspect" and e.weight >= ACCOUNTS
            )
    return {key: frozenset(causes) for key, causes in found.items()}
