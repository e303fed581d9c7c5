"""The port between our rule language and whatever engine runs it.

A chain is compiled once from lines and run many times on facts. Nothing is ever
retracted. Absence is settled stratum by stratum: a line that asks for a missing key
is tried only once every line that could still conclude that key has had its turn.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Line

__all__ = ["Chain", "ChainRule", "Fact", "Firing", "Run"]


@dataclass(frozen=True, slots=True, order=True)
class Fact:
    """One thing known: a key with a word, or a key with a finite number (never both)."""

    key: str
    word: str | None = None
    number: float | None = None


@dataclass(frozen=True, slots=True)
class ChainRule:
    """What an engine needs of a line: when it fires and which facts it then adds."""

    id: str
    when: Alternatives
    concludes: tuple[Fact, ...] = ()

    @classmethod
    def of(cls, line: Line) -> ChainRule:
        """The chain's part of a compiled line; its weights are the ledger's business."""
        concludes = tuple(Fact(e.target, e.word) for e in line.effects if e.kind == "conclude")
        return cls(line.id, line.when, concludes)


@dataclass(frozen=True, slots=True)
class Firing:
    """A rule that fired, by its first alternative that holds, with the facts behind each test.

    ``supports`` pairs each test of that alternative with the fact that met it, in the
    order of the tests; a test for a missing key has ``None``.
    """

    rule: str
    alternative: int
    supports: tuple[tuple[Test, Fact | None], ...]


@dataclass(frozen=True, slots=True)
class Run:
    """The outcome of one run: firings in the order of the rules, and every fact at the end."""

    firings: tuple[Firing, ...]
    facts: frozenset[Fact]


class Chain(Protocol):
    """A compiled set of rules."""

    @property
    def name(self) -> str:
        """The backend's name as the report shows it."""
        ...

    def run(self, facts: Iterable[Fact]) -> Run:
        """Chain forward to the fixpoint. The same facts always give the same run."""
        ...
