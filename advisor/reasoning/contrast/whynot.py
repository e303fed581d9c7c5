"""*Why not this cause?* The rules for it that did not fire, and on which condition each failed.

For each such line the alternative that came nearest is looked at, test by test: a test holds,
fails (something else was found) or is open (nothing is known of it). What is open may still
raise the cause, and is said with the check that would tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, Missing
from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.ledger import probability_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.chain.port import Fact
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Line
    from advisor.reasoning.contrast.supposing import Supposing
    from advisor.reasoning.ledger import Entry

__all__ = ["FAILS", "HOLDS", "OPEN", "Missed", "Raise", "TestState", "WhyNot", "why_not"]

HOLDS, FAILS, OPEN = "holds", "fails", "open"
_LEAST_RISE = 1.0  # decibans of odds: less is not worth a check
_HEARD = 0.005  # answers rarer than this are not waited for


@dataclass(frozen=True, slots=True)
class TestState:
    """One test of a condition: ``holds``, ``fails`` or ``open``, and the fact that decides it."""

    __test__ = False  # not something for pytest to collect

    test: Test
    state: str
    fact: Fact | None = None


@dataclass(frozen=True, slots=True)
class Missed:
    """A line that would speak for the cause and did not fire: its nearest alternative."""

    line: str
    weight: float  # decibans it would have added at most
    tests: tuple[TestState, ...]

    @property
    def failed(self) -> int:
        return sum(t.state == FAILS for t in self.tests)

    @property
    def open(self) -> int:
        return sum(t.state == OPEN for t in self.tests)


@dataclass(frozen=True, slots=True)
class Raise:
    """An answer that would raise the cause, and what it takes to get it."""

    finding: str
    value: str | float
    chance: float
    check: str
    minutes: float
    wait: float
    probability: float  # of the cause, after this answer
    words: str
    first: bool  # whether the cause would then stand first
    band: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class WhyNot:
    """Why a cause does not stand first; or that it does."""

    cause: str
    place: int  # 1 for what stands first
    of: int
    probability: float
    words: str
    first: str
    first_probability: float
    behind: float  # decibans that it stands behind the first; 0 for the first
    weighs_for: tuple[Entry, ...]
    weighs_against: tuple[Entry, ...]
    missed: tuple[Missed, ...]  # something was found that the rule does not ask for
    waiting: tuple[Missed, ...]  # nothing speaks against the rule: some test is open
    could_raise: tuple[Raise, ...]


def why_not(supposing: Supposing, cause: str) -> WhyNot:
    """Why ``cause`` (an id of the base, or ``not-listed``) stands where it does."""
    inference, base = supposing.inference, supposing.base
    first, chance = inference.ranked[0], inference.standing[cause]
    counted = [e for e in inference.ledger(cause) if e.counted and e.weight != 0.0]
    missed = _missed(supposing, cause)
    total = {
        c: base.priors[c] + inference.sums.get(c, 0.0)
        for c in {first, cause}
    }
    return WhyNot(
        cause=cause,
        place=inference.ranked.index(cause) + 1,
        of=len(inference.ranked),
        probability=chance,
        words=probability_words(chance),
        first=first,
        first_probability=inference.standing[first],
        behind=total[first] - total[cause],
        weighs_for=tuple(e for e in counted if e.weight > 0.0),
        weighs_against=tuple(e for e in counted if e.weight < 0.0),
        missed=tuple(m for m in missed if m.failed),
        waiting=tuple(m for m in missed if not m.failed),
        could_raise=_could_raise(supposing, cause),
    )


def _missed(supposing: Supposing, cause: str) -> list[Missed]:
    """The lines for a cause that did not fire: those that miss least first, then the weightiest."""
    inference = supposing.inference
    facts = inference.facts_by_key()
    fired = {firing.rule for firing in inference.run.firings}
    spoken = _spoken(supposing, cause)
    found = []
    for line in supposing.engine.lines.values():
        weight = sum(e.weight for e in line.effects if e.kind == "suspect" and e.target == cause)
        if weight <= 0.0 or line.id in fired or not line.when:
            continue
        if _key_alone(line) in spoken:
            continue  # the same table has spoken for it by another answer
        found.append(Missed(line.id, weight, _nearest(line, facts)))
    found.sort(key=lambda m: (m.failed + m.open, m.failed, -m.weight, m.line))
    return found


def _spoken(supposing: Supposing, cause: str) -> set[str]:
    """Findings whose table already speaks for the cause."""
    lines = supposing.engine.lines
    return {
        _key_alone(lines[e.line])
        for e in supposing.inference.entries
        if e.cause == cause and e.weight > 0.0 and e.line in lines
    } - {""}


def _key_alone(line: Line) -> str:
    """The finding of a line of a table; empty for a rule."""
    return line.when[0][0].key if line.origin in ("shows", "outcome") else ""


def _nearest(line: Line, facts: Mapping[str, Sequence[Fact]]) -> tuple[TestState, ...]:
    """The alternative that misses least, as it stands."""
    states = [
        tuple(_state(test, facts.get(test.key, ())) for test in option) for option in line.when
    ]
    return min(
        states,
        key=lambda tests: (
            sum(t.state != HOLDS for t in tests),
            sum(t.state == FAILS for t in tests),
        ),
    )


def _state(test: Test, facts: Sequence[Fact]) -> TestState:
    if isinstance(test, Missing):
        return TestState(test, FAILS, min(facts)) if facts else TestState(test, HOLDS)
    for fact in facts:
        word, number = fact.word, fact.number
        if test.holds_word(word) if word is not None else test.holds_number(number or 0.0):
            return TestState(test, HOLDS, fact)
    given = [f for f in facts if f.word not in (UNKNOWN, NOT_NOW)]
    if given:
        return TestState(test, FAILS, given[0])
    return TestState(test, OPEN, facts[0] if facts else None)


def _could_raise(supposing: Supposing, cause: str) -> tuple[Raise, ...]:
    """The best answer of each open finding that would speak for a cause, most worth first."""
    now = supposing.inference
    before = _odds(now.standing[cause])
    found = []
    for finding in supposing.open_findings:
        options = supposing.options(finding)
        best, standing = None, -math.inf
        for place, option in enumerate(options):
            after = supposing.after(finding.id, option.value)
            rise = after.sums.get(cause, 0.0) - now.sums.get(cause, 0.0)
            if rise < _LEAST_RISE and cause != NOT_LISTED:
                continue
            if _odds(after.standing[cause]) - before < _LEAST_RISE:
                continue
            if after.standing[cause] > standing:
                best, standing = place, after.standing[cause]
        if best is None:
            continue
        chance = supposing.chances(options, now)[best]
        if chance < _HEARD:
            continue
        value = options[best].value
        check, minutes, wait = supposing.effort(finding.id)
        found.append(
            Raise(
                finding.id,
                value,
                chance,
                check,
                minutes,
                wait,
                standing,
                probability_words(standing),
                supposing.after(finding.id, value).ranked[0] == cause,
                options[best].band,
            )
        )
    rise = now.standing[cause]
    found.sort(key=lambda r: (-r.chance * (r.probability - rise), r.minutes, r.finding))
    return tuple(found)


def _odds(probability: float) -> float:
    """The odds of a probability in decibans; finite at its ends."""
    inside = min(max(probability, 1e-12), 1.0 - 1e-12)
    return 10.0 * math.log10(inside / (1.0 - inside))
