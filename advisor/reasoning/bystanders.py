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
    from collections.abc import Iterable, Mapping, Sequence

    from advisor.knowledge.model import Base

__all__ = ["ACCOUNTS", "BYSTANDER", "bystander_entries", "bystander_shift", "speaking_of"]

BYSTANDER = "bystander"  # what such an entry has in place of a line

# A finding counts as accounted for by a cause from this many decibans up.
ACCOUNTS = 2.0


def speaking_of(base: Base) -> dict[str, frozenset[str]]:
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


def bystander_entries(
    base: Base, speaking: Mapping[str, frozenset[str]], reported: Sequence[str]
) -> list[Entry]:
    """What counts against each cause that brings on nothing of what was reported."""
    return [
        Entry(cause, BYSTANDER, "", base.bystander, base.bystander)
        for cause in _bystanders(base, speaking, reported)
    ]


def bystander_shift(
    base: Base, speaking: Mapping[str, frozenset[str]], reported: Sequence[str], symptom: str
) -> dict[str, float]:
    """How many decibans causes gain or lose in this once ``symptom`` is reported as well."""
    before = set(_bystanders(base, speaking, reported))
    after = set(_bystanders(base, speaking, (*reported, symptom)))
    return {
        **dict.fromkeys(before - after, -base.bystander),
        **dict.fromkeys(after - before, base.bystander),
    }


def _bystanders(
    base: Base, speaking: Mapping[str, frozenset[str]], reported: Sequence[str]
) -> Iterable[str]:
    if not base.bystander or not reported:
        return ()
    accounted = frozenset[str]().union(*(speaking[key] for key in reported))
    return [cause for cause in base.causes if cause not in accounted]
