"""What to ask about a brief: goals, base, limits, then only what could change the choice."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.chain.port import Fact
from advisor.knowledge.conditions import InRange
from advisor.reasoning.answers import Answer
from advisor.reasoning.evidence import holds
from advisor.technique.brief import brief_base, members

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Mapping

    from advisor.knowledge.findings import Finding
    from advisor.knowledge.model import Base
    from advisor.technique.brief import Brief
    from advisor.technique.choose import Chooser

__all__ = ["Flip", "Item", "asked_of_briefs", "discriminating", "opening_items", "told_all"]

# Kinds of lists, with the question that a list answers. Goals come first, the rest after the base.
_ASKED = {
    "goals": "What should the treatment make it? Pick all that you want.",
    "holds": "What else is in it? Pick all that is.",
    "limits": "Which limits hold? Pick all that do, allergies of guests first.",
    "kit": "What have you got to work with? Pick all.",
}
_AFTER_BASE = ("holds", "limits", "kit")
# From this place on an opening question waits until limits and kit are known.
_LATE = 12.0
# What people say unasked when it matters: at its extremes it would always change something.
_ONLY_IF_TOLD = ("hands_on_limit", "cost_limit", "base_cost", "base_volume", "milk_wanted")
_EVEN = 5
_MOST_VALUES = 9


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to ask: a list (``kind`` is a key of ``LISTS``), or a single finding."""

    kind: str  # goals, holds, limits, kit, or finding
    ask: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Flip:
    """A question that could change the first choice: which answers would, and to what."""

    finding: Finding
    share: float  # of its possible answers
    changes: tuple[tuple[str, str], ...]  # answer -> technique that would come first


def asked_of_briefs(base: Base) -> tuple[Finding, ...]:
    """Everything that a brief may answer, in the order in which it is listed."""
    return tuple(f for f in brief_base(base).findings.values() if f.asked)


def opening_items(base: Base, brief: Brief, done: Container[str]) -> Iterator[Item]:
    """What is asked of every brief and not yet done, in order.

    ``done`` holds the findings and lists that have been asked, answered or not.
    """
    seen = brief_base(base)
    if "goals" not in done:
        yield Item("goals", _ASKED["goals"], tuple(members(seen, "goals")))
    singles = sorted((f for f in seen.findings.values() if f.opening), key=lambda f: f.opening)
    yield from _singles([f for f in singles if f.opening < _LATE], brief, done)
    for kind in _AFTER_BASE:
        if kind not in done:
            yield Item(kind, _ASKED[kind], tuple(members(seen, kind)))
    yield from _singles([f for f in singles if f.opening >= _LATE], brief, done)


def _singles(findings: list[Finding], brief: Brief, done: Container[str]) -> Iterator[Item]:
    for finding in findings:
        if finding.id not in done and finding.id not in brief.answers and _applies(finding, brief):
            yield Item("finding", finding.ask, (finding,))


def told_all(kind: str, picked: Container[str], seen: Base) -> dict[str, Answer]:
    """The answers that a list gives: yes to what was picked and no to the rest."""
    return {
        f.id: Answer("yes" if f.id in picked else "no", text="yes" if f.id in picked else "no")
        for f in members(seen, kind)
    }


def _applies(finding: Finding, brief: Brief) -> bool:
    return not finding.ask_when or holds(finding.ask_when, _facts(brief.answers))


def _facts(answers: Mapping[str, Answer]) -> dict[str, list[Fact]]:
    found = {}
    for key, answer in answers.items():
        if isinstance(answer.value, str):
            found[key] = [Fact(key, answer.value)]
        elif answer.value is not None:
            found[key] = [Fact(key, number=answer.value)]
        else:
            found[key] = [Fact(key, answer.status)]
    return found


def discriminating(
    chooser: Chooser, brief: Brief, done: Container[str] = ()
) -> tuple[Flip, ...]:
    """Questions of which an answer would change the first choice, the likeliest to do so first.

    Every unanswered finding is tried with every possible answer on the reference engine; those
    that leave the first choice where it is are not worth anybody's time and are left out.
    """
    quick = chooser.looking_ahead
    order = quick.weigh(brief).order
    now = order[0] if order else ""
    limits = _limits(quick)
    feeding = {k for f in quick.seen.figures.values() for k in f.inputs.values()}
    found = []
    for finding in asked_of_briefs(quick.base):
        if finding.id in brief.answers or finding.id in done or not _applies(finding, brief):
            continue
        if finding.id.startswith("goal_") or finding.id in _ONLY_IF_TOLD:
            continue
        values = list(_values(finding, limits.get(finding.id, set()), finding.id in feeding))
        changes = []
        for said, answer in values:
            then = quick.weigh(brief.with_answer(finding.id, answer)).order
            first = then[0] if then else ""
            if first != now:
                changes.append((said, first))
        if changes:
            found.append(Flip(finding, len(changes) / len(values), tuple(changes)))
    return tuple(sorted(found, key=lambda f: (-_weight(f), f.finding.id)))


def _weight(flip: Flip) -> float:
    """Share of the answers that change the choice, per unit of trouble."""
    measured = flip.finding.kind == "quantity"
    return flip.share / (2.0 if measured else 1.0)


def _limits(chooser: Chooser) -> dict[str, set[float]]:
    found: dict[str, set[float]] = {}
    for line in chooser.lines.values():
        for option in line.when:
            for test in option:
                if isinstance(test, InRange):
                    ends = (x for x in (test.low, test.high) if x is not None)
                    found.setdefault(test.key, set()).update(ends)
    return found


def _values(finding: Finding, limits: set[float], feeds: bool) -> Iterator[tuple[str, Answer]]:
    if finding.choices:
        for choice in finding.choices:
            yield choice.label, Answer(choice.value, text=choice.value)
        return
    from advisor.quantities import say

    low, high = finding.low or 0.0, finding.high or 0.0
    inside = sorted(x for x in limits if low < x < high)
    if feeds:
        step = (high - low) / (_EVEN + 1)
        inside = sorted({*inside, *(low + step * n for n in range(1, _EVEN + 1))})
    ends = [low, *inside, high]
    bands = [(a + b) / 2 for a, b in pairwise(ends)]
    if len(bands) > _MOST_VALUES:
        bands = bands[:: len(bands) // _MOST_VALUES + 1]
    for value in bands:
        # A count is money here, and pH has no unit: neither reads well through `say`.
        plain = finding.unit in ("pH", "count")
        said = f"{value:.3g}" if plain else say(value, finding.unit)
        yield f"about {said}", Answer(value, low=value, high=value, text=f"{value:g}")
