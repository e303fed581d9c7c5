"""The heart: ``infer`` turns a base and answers into an ``Inference``, and changes nothing.

Nothing is ever retracted. A changed or undone answer runs it again from the answers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from advisor.chain import compile_chain
from advisor.chain.port import ChainRule, Fact
from advisor.knowledge.conditions import InRange
from advisor.knowledge.words import DISTANT, NOT_LISTED, decibans
from advisor.reasoning.bystanders import ACCOUNTS, Bystanders
from advisor.reasoning.covers import minimal_hitting_sets
from advisor.reasoning.evidence import (
    Facts,
    Footing,
    figure_order,
    gather_facts,
    sureness,
)
from advisor.reasoning.ledger import Entry, standings, strongest_of_groups

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.chain.port import Chain, Firing, Run
    from advisor.knowledge.model import Base, Line
    from advisor.reasoning.answers import Answer

__all__ = ["Engine", "Explanation", "Inference", "engine_for", "infer"]

# Causes below this standing are not offered in a set that explains several findings.
_WORTH_A_SET = 0.004
# So many of them where a finding has no other.
_UNLIKELY = 3
_ABNORMAL_GROUPS = ("symptom", "seen", "tasted", "measured")


@dataclass(frozen=True, slots=True)
class Explanation:
    """A small set of causes that together explain what was found, and how it stands."""

    causes: tuple[str, ...]
    weight: float  # sum of the members' standing in decibans


@dataclass(frozen=True)
class Inference:
    """Everything that follows from the answers. Pure data; safe to keep and compare."""

    answers: Mapping[str, Answer]
    tried: tuple[str, ...]
    facts: Facts
    run: Run
    footing: Mapping[Fact, Footing]
    backend: str
    entries: tuple[Entry, ...]
    standing: Mapping[str, float]
    sums: Mapping[str, float]
    verdicts: Mapping[str, tuple[str, ...]]  # verdict -> rules that concluded it
    cautions: Mapping[str, tuple[str, ...]]  # caution -> lines that raised it
    suggestions: Mapping[str, tuple[str, ...]]  # remedy -> rules that suggested it
    explains: Mapping[str, tuple[str, ...]]  # cause -> reported findings it explains
    reported: tuple[str, ...]
    unexplained: tuple[str, ...]
    sets: tuple[Explanation, ...]
    sureness: Mapping[str, float]  # line -> how far its firing may be relied on

    @cached_property
    def ranked(self) -> tuple[str, ...]:
        """Causes from best to worst standing; ties in the order of their names."""
        return tuple(sorted(self.standing, key=lambda c: (-self.standing[c], c)))

    def spoken_for(self, cause: str) -> bool:
        """Whether anything speaks for a cause, and not only against the others."""
        return any(e.cause == cause and e.counted and e.weight >= 1.0 for e in self.entries)

    @cached_property
    def by_group(self) -> dict[tuple[str, str], Entry]:
        """The entry that counts for each cause and group."""
        return {(e.cause, e.group): e for e in self.entries if e.counted and e.group}

    def facts_by_key(self) -> dict[str, list[Fact]]:
        """All facts at the end of the run, by key."""
        found: dict[str, list[Fact]] = {}
        for fact in self.run.facts:
            found.setdefault(fact.key, []).append(fact)
        return found

    def ledger(self, cause: str) -> tuple[Entry, ...]:
        """The signed list behind a cause's standing, heaviest first, counted before not."""
        mine = [e for e in self.entries if e.cause == cause]
        return tuple(sorted(mine, key=lambda e: (not e.counted, -abs(e.weight), e.line)))


class Engine:
    """A base made ready to reason with: compiled once, used for any number of batches."""

    def __init__(self, base: Base, backend: str = "default") -> None:
        self.base = base
        self.lines: dict[str, Line] = {line.id: line for line in base.lines}
        self.rules = tuple(map(ChainRule.of, base.lines))
        self.chain: Chain = compile_chain(self.rules, backend)
        self._figures = figure_order(base)
        self.check_of = {check.finding: check for check in base.checks.values()}

    @cached_property
    def weighing(self) -> dict[str, tuple[tuple[tuple[str, str], float], ...]]:
        """By line, what it adds: ((cause, group), weight)."""
        return {
            key: tuple(
                ((effect.target, line.group), effect.weight)
                for effect in line.effects
                if effect.kind in ("suspect", "doubt")
            )
            for key, line in self.lines.items()
        }

    @cached_property
    def reference(self) -> Any:
        """The reference chain of the same rules, for look-ahead."""
        if self.chain.name == "reference":
            return self.chain
        return compile_chain(self.rules, "reference")

    @cached_property
    def bystanders(self) -> Bystanders:
        """Who brings on nothing of what was reported."""
        return Bystanders(self.base)

    @cached_property
    def limits(self) -> dict[str, set[float]]:
        """For each key the numbers that rules compare it with."""
        found: dict[str, set[float]] = {}
        for line in self.base.lines:
            for option in line.when:
                for test in option:
                    if isinstance(test, InRange):
                        found.setdefault(test.key, set()).update(
                            x for x in (test.low, test.high) if x is not None
                        )
        return found

    def infer(self, answers: Mapping[str, Answer], tried: Sequence[str] = ()) -> Inference:
        """See ``infer``."""
        gathered = gather_facts(self.base, answers, self._figures)
        run = self.chain.run(gathered.facts)
        footing, sure = _footing_of_conclusions(run, gathered.footing, self.lines)
        reported = self._reported(answers)
        entries = [
            *(e for firing in run.firings for e in self._entries(firing, sure[firing.rule])),
            *self._failures(tried),
            *self.bystanders.entries(reported),
        ]
        counted = strongest_of_groups(entries)
        sums: dict[str, float] = {}
        for entry in counted:
            if entry.counted:
                sums[entry.cause] = sums.get(entry.cause, 0.0) + entry.weight
        standing = standings(self.base.priors, sums)
        explains = self.explained(run, counted, reported)
        unexplained = tuple(
            f for f in reported if not any(f in found for found in explains.values())
        )
        return Inference(
            answers=dict(answers),
            tried=tuple(tried),
            facts=gathered,
            run=run,
            footing=footing,
            backend=self.chain.name,
            entries=counted,
            standing=standing,
            sums=sums,
            verdicts=self._effects(run, "conclude", "verdict"),
            cautions=self._effects(run, "caution"),
            suggestions=self._effects(run, "suggest"),
            explains=explains,
            reported=reported,
            unexplained=unexplained,
            sets=self._sets(explains, reported, unexplained, standing, sums),
            sureness=sure,
        )

    def _entries(self, firing: Firing, sure: float) -> list[Entry]:
        line = self.lines[firing.rule]
        return [
            Entry(effect.target, line.id, line.group, effect.weight, effect.weight * sure)
            for effect in line.effects
            if effect.kind in ("suspect", "doubt") and sure > 0.0
        ]

    def _failures(self, tried: Sequence[str]) -> list[Entry]:
        """A remedy that was tried and failed speaks against what it would have cured."""
        return [
            Entry(cause, f"tried/{key}", "", decibans(1.0 - cure), decibans(1.0 - cure))
            for key in dict.fromkeys(tried)
            for cause, cure in self.base.remedies[key].cures.items()
        ]

    def _effects(self, run: Run, kind: str, target: str = "") -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for firing in run.firings:
            for effect in self.lines[firing.rule].effects:
                if effect.kind == kind and (not target or effect.target == target):
                    found.setdefault(effect.word or effect.target, []).append(firing.rule)
        return {key: tuple(lines) for key, lines in found.items()}

    def _reported(self, answers: Mapping[str, Answer]) -> tuple[str, ...]:
        """Findings that call for an explanation: symptoms that are there, and unusual results."""
        reported = []
        for key, answer in answers.items():
            finding = self.base.findings[key]
            if not answer.given or finding.group not in _ABNORMAL_GROUPS:
                continue
            if finding.symptom and answer.value == "yes":
                reported.append(key)
        return tuple(reported)

    def explained(
        self, run: Run, entries: Sequence[Entry], reported: Sequence[str]
    ) -> dict[str, tuple[str, ...]]:
        """By cause, what of the ``reported`` it brings on by the lines that fired."""
        behind = {
            firing.rule: {test.key for test, _ in firing.supports} & set(reported)
            for firing in run.firings
        }
        found: dict[str, set[str]] = {}
        # A cause that belongs to another operation accounts for nothing that was seen.
        elsewhere = {e.cause for e in entries if e.weight <= DISTANT}
        for entry in entries:
            if entry.cause in elsewhere or entry.cause == NOT_LISTED:
                continue
            if entry.weight >= ACCOUNTS:
                found.setdefault(entry.cause, set()).update(behind.get(entry.line, ()))
        return {
            cause: tuple(f for f in reported if f in keys) for cause, keys in found.items() if keys
        }

    def _sets(
        self,
        explains: Mapping[str, tuple[str, ...]],
        reported: Sequence[str],
        unexplained: Sequence[str],
        standing: Mapping[str, float],
        sums: Mapping[str, float],
    ) -> tuple[Explanation, ...]:
        wanted = [f for f in reported if f not in unexplained]
        if not wanted:
            return ()
        groups = []
        for f in wanted:
            mine = sorted((c for c in explains if f in explains[c]), key=lambda c: -standing[c])
            worth = [c for c in mine[:10] if standing[c] >= _WORTH_A_SET]
            # What only unlikely causes bring on is explained by one of them all the same.
            groups.append(worth or mine[:_UNLIKELY])
        made = [
            Explanation(
                tuple(sorted(members, key=lambda c: (-standing[c], c))),
                sum(self.base.priors[c] + sums.get(c, 0.0) for c in members),
            )
            for members in minimal_hitting_sets(groups)
        ]
        return tuple(sorted(made, key=lambda e: (len(e.causes), -e.weight, e.causes))[:8])


def _footing_of_conclusions(
    run: Run, given: Mapping[Fact, Footing], lines: Mapping[str, Line]
) -> tuple[dict[Fact, Footing], dict[str, float]]:
    """Conclusions stand as well as the weakest thing they rest on, by their best rule."""
    footing = dict(given)
    sure: dict[str, float] = {}
    for _ in range(len(run.firings) + 1):
        before = dict(sure)
        for firing in run.firings:
            sure[firing.rule] = min(
                (
                    sureness(test, fact, footing.get(fact) if fact else None)
                    for test, fact in firing.supports
                ),
                default=1.0,
            )
        best: dict[Fact, float] = {}
        for firing in run.firings:
            for effect in lines[firing.rule].effects:
                if effect.kind == "conclude":
                    fact = Fact(effect.target, effect.word)
                    best[fact] = max(best.get(fact, 0.0), sure[firing.rule])
        for fact, value in best.items():
            if fact not in given:
                footing[fact] = Footing("concluded", certainty=0.5 + value / 2.0)
        if sure == before:
            break
    return footing, sure


_KEEP: dict[int, dict[str, Engine]] = {}


def engine_for(base: Base, backend: str = "default") -> Engine:
    """The engine of a base, compiled at its first use."""
    engines = _KEEP.setdefault(id(base), {})
    engine = engines.get(backend)
    if engine is None or engine.base is not base:
        if len(_KEEP) > 8:
            _KEEP.clear()
            engines = _KEEP.setdefault(id(base), {})
        engine = engines[backend] = Engine(base, backend)
    return engine


def infer(
    base: Base,
    answers: Mapping[str, Answer],
    tried: Sequence[str] = (),
    *,
    backend: str = "default",
) -> Inference:
    """What follows from the answers, given the remedies that were tried and did not help.

    Pure: the same arguments always give the same inference. ``backend`` is ``default``,
    ``durable-rules`` or ``reference``.
    """
    return engine_for(base, backend).infer(answers, tried)
