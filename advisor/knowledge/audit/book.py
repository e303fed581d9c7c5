"""The two sets of rules of a base: those of a diagnosis, and those that choose a technique."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base, Figure, Finding, Rule

__all__ = ["Book", "books"]


@dataclass(frozen=True, slots=True)
class Book:
    """Rules with what they may speak of; the two sets never feed one another."""

    section: str
    rules: Mapping[str, Rule]
    findings: Mapping[str, Finding]
    figures: Mapping[str, Figure]


def books(base: Base) -> tuple[Book, ...]:
    """The sets of rules of a base, each on its own."""
    diagnosis = Book("rules", base.rules, base.findings, base.figures)
    if not base.choosing:
        return (diagnosis,)
    choosing = Book("choosing", base.choosing, base.brief_findings, base.brief_figures)
    return (diagnosis, choosing)
