"""The chain in plain Python: each alternative counts down the tests it still misses.

This backend is the yardstick for the others, runs where no compiler is at hand, and is
the quickest at a few hundred rules, so it also serves looking ahead and bulk runs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.chain.port import Run
from advisor.chain.program import precedes
from advisor.chain.supports import explain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.chain.port import Fact, Firing
    from advisor.chain.program import Program

__all__ = ["ReferenceChain", "Settled"]


@dataclass(slots=True)
class Settled:
    """Where a run came to rest. To be read, not changed."""

    given: tuple[Fact, ...]
    facts: set[Fact]
    present: set[str]  # keys with at least one fact
    need: list[int]  # tests that each alternative still misses
    support: list[Fact | None]  # the smallest fact behind each test
    absent: set[int]  # tests for a missing key that hold
    fired: bytearray  # by rule
    order: list[int]  # the rules that fired, as they did


class ReferenceChain:
    """Rules compiled for the reference backend.

    Safe to share between threads: a run keeps all its state to itself.
    """

    name = "reference"

    def __init__(self, program: Program, note: str = "") -> None:
        self.program = program
        self.note = note
        self.waiting: list[list[int]] = [[] for _ in self.program.tests]
        self.need: list[int] = []
        for body, tests in enumerate(program.bodies):
            distinct = tests if len(tests) < 2 else set(tests)
            self.need.append(len(distinct))
            for test in distinct:
                self.waiting[test].append(body)
        self.concludes = [rule.concludes for rule in self.program.rules]
        self.always = [
            owner for owner, need in zip(self.program.owner, self.need, strict=True) if not need
        ]

    @property
    def reference(self) -> ReferenceChain:
        """This chain itself; other backends give the same rules on this backend."""
        return self

    def run(self, facts: Iterable[Fact]) -> Run:
        """Chain forward to the fixpoint. Raises ``AdvisorError`` for a malformed fact."""
        settled = self.settle(facts)
        return Run(self.firings(settled), frozenset(settled.facts))

    def firings(self, settled: Settled) -> tuple[Firing, ...]:
        """The firings of a finished run, explained."""
        return explain(self.program, settled.order, settled.support, settled.absent, settled.given)

    def settle(self, facts: Iterable[Fact]) -> Settled:
        """Chain forward to the fixpoint and keep the counts."""
        program = self.program
        given = tuple(facts)
        settled = Settled(
            given=given,
            facts=set(given),
            present=set(),
            need=self.need.copy(),
            support=[None] * len(program.tests),
            absent=set(),
            fired=bytearray(len(program.rules)),
            order=[],
        )
        queue = list(settled.facts)
        for rule in self.always:
            self._fire(rule, settled, queue)
        # What is given counts as present before the first absence is judged.
        settled.present.update([fact.key for fact in queue])
        for phase in program.phases:
            for test in phase:
                if program.tests[test].key not in settled.present:
                    settled.absent.add(test)
                    self._meet(test, settled, queue)
            self._spread(settled, queue)
        return settled

    def _spread(self, settled: Settled, queue: list[Fact]) -> None:
        """Follow every fact in the queue, and what they lead to."""
        need, support = settled.need, settled.support
        fired, order = settled.fired, settled.order
        waiting, owner, concludes = self.waiting, self.program.owner, self.concludes
        met_by = self.program.met_by
        while queue:
            fact = queue.pop()
            for test in met_by(fact):
                held = support[test]
                if held is not None:
                    if precedes(fact, held):
                        support[test] = fact
                    continue
                support[test] = fact
                for body in waiting[test]:
                    left = need[body] - 1
                    need[body] = left
                    if not left:
                        rule = owner[body]
                        if not fired[rule]:
                            fired[rule] = 1
                            order.append(rule)
                            if concludes[rule]:
                                self._conclude(rule, settled, queue)

    def _meet(self, test: int, settled: Settled, queue: list[Fact]) -> None:
        for body in self.waiting[test]:
            settled.need[body] -= 1
            if not settled.need[body]:
                self._fire(self.program.owner[body], settled, queue)

    def _fire(self, rule: int, settled: Settled, queue: list[Fact]) -> None:
        if not settled.fired[rule]:
            settled.fired[rule] = 1
            settled.order.append(rule)
            self._conclude(rule, settled, queue)

    def _conclude(self, rule: int, settled: Settled, queue: list[Fact]) -> None:
        for fact in self.concludes[rule]:
            if fact not in settled.facts:
                settled.facts.add(fact)
                settled.present.add(fact.key)
                queue.append(fact)
