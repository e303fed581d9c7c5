"""What would change if one more thing were known.

Choosing the next question asks this of every answer that could be given, hundreds at a
time. The finished run is kept, and each candidate touches only the counts that it moves.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.chain.port import Run
from advisor.chain.program import precedes
from advisor.chain.supports import explain, first_holding

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.chain.port import Fact, Firing
    from advisor.chain.reference import ReferenceChain

__all__ = ["Change", "LookAhead"]


@dataclass(frozen=True, slots=True)
class Change:
    """Rules that would fire and do not yet, and rules that would no longer fire.

    A rule that would fire either way is in neither, even if other facts would then
    stand behind it. Both are in the order of the rules.
    """

    gained: tuple[Firing, ...] = ()
    lost: tuple[Firing, ...] = ()


@dataclass(slots=True)
class _Trial:
    """What one candidate changes of the finished run."""

    need: dict[int, int] = field(default_factory=dict)
    support: dict[int, Fact] = field(default_factory=dict)
    silenced: set[int] = field(default_factory=set)  # tests for a missing key that fail now
    fired: set[int] = field(default_factory=set)
    doubtful: set[int] = field(default_factory=set)  # rules that rested on such a test


_NOTHING = Change()


class LookAhead:
    """A finished run, ready for "what if this were known too?".

    ``facts`` are the facts *given* to the run, as they are passed to ``Chain.run``; what
    the rules conclude from them is worked out here. ``added`` always equals the
    difference between a whole run with and a whole run without the facts added. Safe to
    share between threads.
    """

    def __init__(self, chain: ReferenceChain, facts: Iterable[Fact]) -> None:
        self._chain = chain
        self._settled = chain.settle(facts)
        self.run = Run(chain.firings(self._settled), frozenset(self._settled.facts))
        self._firings = {firing.rule: firing for firing in self.run.firings}
        fired, owner = self._settled.fired, chain.program.owner
        # Only alternatives of rules that have not fired can gain anything.
        self._open = [
            [body for body in bodies if not fired[owner[body]]] for bodies in chain.waiting
        ]

    def added(self, facts: Iterable[Fact]) -> Change:
        """What adding these facts would change. Raises ``AdvisorError`` for a malformed fact."""
        known = self._settled.facts
        # A fact that was worked out may still be given: nothing fires or stops for that.
        told = tuple(facts)
        fresh = [fact for fact in dict.fromkeys(told) if fact not in known]
        if not fresh:
            return _NOTHING
        trial = _Trial()
        if not (self._silence(fresh, trial) and self._spread(fresh, trial)):
            return self._whole(told)
        if not trial.fired and not trial.doubtful:
            return _NOTHING
        program, settled = self._chain.program, self._settled
        support = settled.support.copy()
        for test, fact in trial.support.items():
            support[test] = fact
        absent = settled.absent - trial.silenced
        gained = explain(program, trial.fired, support, absent, ())
        lost = tuple(
            self._firings[program.rules[rule].id]
            for rule in sorted(trial.doubtful)
            if first_holding(program, rule, support, absent) < 0
        )
        return Change(gained, lost)

    def _silence(self, fresh: list[Fact], trial: _Trial) -> bool:
        """Withdraw the tests for a missing key that these facts make fail.

        False if only a whole run can tell what follows: a rule that would stop has
        conclusions, or may seem to hold by what it concluded itself.
        """
        program, settled = self._chain.program, self._settled
        for key in {fact.key for fact in fresh}:
            tests = program.keys.get(key)
            if tests is None or tests.missing is None or tests.missing not in settled.absent:
                continue
            trial.silenced.add(tests.missing)
            for body in self._chain.waiting[tests.missing]:
                rule = program.owner[body]
                if not settled.fired[rule]:
                    trial.need[body] = trial.need.get(body, settled.need[body]) + 1
                elif not settled.need[body]:
                    trial.doubtful.add(rule)
        if not trial.doubtful:
            return True
        absent = settled.absent - trial.silenced
        return not any(
            rule in program.looping or first_holding(program, rule, settled.support, absent) < 0
            for rule in trial.doubtful
            if self._chain.concludes[rule]
        )

    def _spread(self, fresh: list[Fact], trial: _Trial) -> bool:
        """Follow the facts on top of the finished run; false if only a whole run can tell."""
        program, settled = self._chain.program, self._settled
        need, support = trial.need, trial.support
        queue = fresh.copy()
        while queue:
            fact = queue.pop()
            for test in program.met_by(fact):
                held = support.get(test) or settled.support[test]
                if held is not None:
                    if precedes(fact, held):
                        support[test] = fact
                    continue
                support[test] = fact
                for body in self._open[test]:
                    left = need.get(body, settled.need[body]) - 1
                    need[body] = left
                    if not left and not self._fire(program.owner[body], trial, queue):
                        return False
        return True

    def _fire(self, rule: int, trial: _Trial, queue: list[Fact]) -> bool:
        program, settled = self._chain.program, self._settled
        if rule in trial.fired:
            return True
        if rule in program.looping:  # explained by rounds, which only a whole run has
            return False
        trial.fired.add(rule)
        for fact in self._chain.concludes[rule]:
            if fact in settled.facts:
                continue
            tests = program.keys.get(fact.key)
            if tests is not None and tests.missing in settled.absent:
                return False
            queue.append(fact)
        return True

    def _whole(self, told: tuple[Fact, ...]) -> Change:
        """The same, by running everything again."""
        after = self._chain.run([*self._settled.given, *told])
        now = {firing.rule for firing in after.firings}
        return Change(
            tuple(firing for firing in after.firings if firing.rule not in self._firings),
            tuple(firing for firing in self.run.firings if firing.rule not in now),
        )
