"""*What would change the advice*: the single answers nearest to what is known that flip it.

An answer is near when it may well be true. For a question still open that is the chance of the
answer. For one that was answered it is the chance that the answer given is wrong and this one
right, by Bayes' rule from how often an answer of its footing is wrong: what was assumed because
nobody named it is wrong more often than what was told, and that more often than what was
measured. Every flip is a whole answer that was tried, never an extrapolation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from advisor.reasoning.answers import ASSUMED, MEASURED, TOLD
from advisor.reasoning.contrast.gist import Gist, gist_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from advisor.knowledge.model import Finding
    from advisor.reasoning.answers import Answer
    from advisor.reasoning.contrast.supposing import Supposed, Supposing

__all__ = ["Flip", "Pair", "WhatChanges", "what_changes"]

# How often an answer is wrong, by its footing; judgement, only the order is common knowledge.
# What is complained of is why somebody asks: it is hardly ever not there.
_WRONG = {MEASURED: 0.01, TOLD: 0.03, ASSUMED: 0.15}
_COMPLAINT = 0.01
# How far a reading or an amount said off the cuff is off, as a share or in the unit; judgement.
_OFF = {MEASURED: 0.05, TOLD: 0.10}
_OFF_BY = {"pH": 0.1, "degC": 2.0, "%vol": 1.0}
_TWO_SIDED_95 = 1.959964
# An amount is tried at these shares of itself, beside the limits of rules.
_SHARES = (0.8, 1.25, 0.5, 2.0)
_HALVINGS = 5
# Pairs are looked for only where no single answer flips, among the likeliest answers.
_PAIRED = 40
_MOST_TRIED = 60
_MOST_PAIRS = 3


@dataclass(frozen=True, slots=True)
class Flip:
    """One answer that changes the advice.

    ``was`` is the answer given, or ``None`` for an open question; ``chance`` how likely it is
    that this answer is the true one (an amount: that the true one is as far off); ``changes``
    names what differs (verdict, cause, stage, remedy); ``after`` is what the advice would come
    to; ``band`` is the range of amounts that all do the same, where it is known.
    """

    finding: str
    value: str | float
    was: Answer | None
    chance: float
    check: str
    minutes: float
    wait: float
    changes: tuple[str, ...]
    after: Gist
    band: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Pair:
    """Two answers to open questions that change the advice only together."""

    findings: tuple[str, str]
    values: tuple[str | float, str | float]
    chance: float  # taking the two as independent
    changes: tuple[str, ...]
    after: Gist


@dataclass(frozen=True)
class WhatChanges:
    """The advice as it is, and the answers that would change it, nearest first."""

    now: Gist
    flips: tuple[Flip, ...]
    pairs: tuple[Pair, ...]  # only where no single answer flips
    tried: int  # answers that were looked at


def what_changes(supposing: Supposing) -> WhatChanges:
    """What would change the advice: its verdict, first cause, stage or first remedy."""
    flips: list[Flip] = []
    tried = 0
    for finding in supposing.open_findings:
        options = supposing.options(finding)
        tried += len(options)
        flips.extend(_open(supposing, finding, options))
    for key, answer in supposing.inference.answers.items():
        finding = supposing.base.findings[key]
        if not answer.given:
            continue
        looked = (
            _words(supposing, finding, answer)
            if isinstance(answer.value, str)
            else _amounts(supposing, finding, answer)
        )
        for count, flip in looked:
            tried += count
            if flip is not None and supposing.conceivable(key, flip.value):
                flips.append(flip)
    flips.sort(key=lambda f: (-f.chance, f.was is not None, f.minutes, f.finding, str(f.value)))
    return WhatChanges(
        now=supposing.gist,
        flips=tuple(flips),
        pairs=() if flips else _pairs(supposing),
        tried=tried,
    )


def _open(
    supposing: Supposing, finding: Finding, options: Sequence[Supposed]
) -> Iterator[Flip]:
    turning = [
        (place, option, changes, after)
        for place, option in enumerate(options)
        if (changes := supposing.gist.differs(after := _after(supposing, finding, option.value)))
    ]
    if not turning:
        return
    chances = supposing.chances(tuple(options), supposing.inference)
    effort = supposing.effort(finding.id)
    for place, option, changes, after in turning:
        chance, value = chances[place], option.value
        yield Flip(finding.id, value, None, chance, *effort, changes, after, option.band)


def _after(supposing: Supposing, finding: Finding, value: str | float) -> Gist:
    return supposing.gist_after(finding.id, value)


def _words(
    supposing: Supposing, finding: Finding, answer: Answer
) -> Iterator[tuple[int, Flip | None]]:
    """Other choices than the one that was answered."""
    options = supposing.options(finding)
    others = [
        option.value
        for option in options
        if option.value != answer.value and supposing.conceivable(finding.id, option.value)
    ]
    chances: dict[str | float, float] = {}
    for value in others:
        after = _after(supposing, finding, value)
        changes = supposing.gist.differs(after)
        if not changes:
            yield 1, None
            continue
        chances = chances or _mistaken(supposing, finding, answer, options)
        effort = supposing.effort(finding.id)
        yield 1, Flip(finding.id, value, answer, chances[value], *effort, changes, after)


def _mistaken(
    supposing: Supposing, finding: Finding, answer: Answer, options: Sequence[Supposed]
) -> dict[str | float, float]:
    """For each answer the chance that it is the true one, given what was answered."""
    rest = supposing.without(finding.id)
    before = dict(
        zip((o.value for o in options), supposing.chances(tuple(options), rest), strict=True)
    )
    slip = _WRONG.get(answer.basis, _WRONG[TOLD])
    if finding.id in supposing.inference.reported:
        slip = _COMPLAINT
    wrong = slip / max(1, len(options) - 1)
    said = {v: c * (1.0 - slip if v == answer.value else wrong) for v, c in before.items()}
    whole = math.fsum(said.values())
    return {v: c / whole if whole > 0.0 else 0.0 for v, c in said.items()}


def _amounts(
    supposing: Supposing, finding: Finding, answer: Answer
) -> Iterator[tuple[int, Flip | None]]:
    """Other amounts than the one that was answered: the nearest below and above that flips."""
    assert isinstance(answer.value, float)  # noqa: S101  (a given answer is a word or a number)
    for tries in _nearby(supposing, finding, answer.value):
        for count, value in enumerate(tries, 1):
            if supposing.gist.differs(_after(supposing, finding, value)):
                near = _nearest(supposing, finding, answer.value, value)
                after = _after(supposing, finding, near)
                chance = _off_so_far(finding, answer, near)
                effort = supposing.effort(finding.id)
                changes = supposing.gist.differs(after)
                yield count, Flip(finding.id, near, answer, chance, *effort, changes, after)
                break
        else:
            yield len(tries), None


def _nearby(
    supposing: Supposing, finding: Finding, value: float
) -> tuple[list[float], list[float]]:
    """Amounts worth trying below and above one, nearest first."""
    edges = supposing.edges(finding)
    tries = {(low + high) / 2.0 for low, high in pairwise(edges)}
    feeds = finding.id in supposing.feeding
    if feeds and finding.unit not in _OFF_BY:
        tries.update(value * share for share in _SHARES)
    elif feeds:
        tries.update(value + _OFF_BY[finding.unit] * step for step in (-8, -4, -2, -1, 1, 2, 4, 8))
    low = -math.inf if finding.low is None else finding.low
    high = math.inf if finding.high is None else finding.high
    inside = sorted((x for x in tries if low <= x <= high), key=lambda x: abs(x - value))
    return [x for x in inside if x < value], [x for x in inside if x > value]


def _nearest(supposing: Supposing, finding: Finding, value: float, flips: float) -> float:
    """An amount that flips, as near to the one given as a few halvings find, and round."""
    stays = value
    for _ in range(_HALVINGS):
        middle = (stays + flips) / 2.0
        if supposing.gist.differs(_after(supposing, finding, middle)):
            flips = middle
        else:
            stays = middle
    for digits in (2, 3):
        rounded = _rounded(flips, digits)
        between = min(value, flips) < rounded < max(value, flips)
        past = abs(rounded - value) >= abs(flips - value)
        inside = (finding.low is None or rounded >= finding.low) and (
            finding.high is None or rounded <= finding.high
        )
        if (
            (between or past)
            and inside
            and supposing.gist.differs(_after(supposing, finding, rounded))
        ):
            return rounded
    return flips


def _rounded(value: float, digits: int) -> float:
    return float(f"{value:.{digits}g}")


def _off_so_far(finding: Finding, answer: Answer, value: float) -> float:
    """The chance that an amount is off by at least so much, to this side."""
    assert isinstance(answer.value, float)  # noqa: S101
    spread = 0.0
    if answer.low < answer.high:
        spread = (answer.high - answer.low) / (2.0 * _TWO_SIDED_95)
    share = _OFF.get(answer.basis, _OFF[TOLD])
    sigma = math.hypot(spread, _OFF_BY.get(finding.unit, abs(answer.value) * share))
    if sigma == 0.0:
        return 0.0
    return 0.5 * math.erfc(abs(value - answer.value) / (sigma * math.sqrt(2.0)))


def _pairs(supposing: Supposing) -> tuple[Pair, ...]:
    """Two answers to open questions that flip the advice together, likeliest first.

    Weights of separate questions add up, so that the sums after one answer each foretell those
    after both; what is foretold is then tried.
    """
    now = supposing.inference
    singles: list[tuple[float, Supposed, dict[str, float]]] = []
    for finding in supposing.open_findings:
        options = supposing.options(finding)
        chances = supposing.chances(options, now) if options else []
        for option, chance in zip(options, chances, strict=True):
            sums = supposing.after(option.finding, option.value).sums
            shift = {c: w - now.sums.get(c, 0.0) for c, w in sums.items()}
            singles.append((chance, option, {c: w for c, w in shift.items() if abs(w) > 1e-9}))
    singles.sort(key=lambda s: (-s[0], s[1].finding, str(s[1].value)))
    likely = combinations(singles[:_PAIRED], 2)
    both = sorted(
        (pair for pair in likely if pair[0][1].finding != pair[1][1].finding),
        key=lambda pair: -pair[0][0] * pair[1][0],
    )
    found: list[Pair] = []
    tried = 0
    for one, two in both:
        if len(found) == _MOST_PAIRS or tried == _MOST_TRIED:
            break
        if _foretold(supposing, one[2], two[2]) == now.ranked[0]:
            continue
        tried += 1
        options = (one[1], two[1])
        told = {o.finding: supposing.answer(o.finding, o.value) for o in options}
        after = gist_of(supposing.engine, supposing.with_answers(told))
        changes = supposing.gist.differs(after)
        if changes:
            findings = (one[1].finding, two[1].finding)
            values = (one[1].value, two[1].value)
            found.append(Pair(findings, values, one[0] * two[0], changes, after))
    return tuple(found)


def _foretold(supposing: Supposing, *shifts: dict[str, float]) -> str:
    """The cause that would stand first after these shifts."""
    now, priors = supposing.inference, supposing.base.priors
    first = now.ranked[0]
    moved = {first, now.ranked[1]} | {c for shift in shifts for c in shift}
    total = {
        c: priors[c] + now.sums.get(c, 0.0) + sum(shift.get(c, 0.0) for shift in shifts)
        for c in moved
    }
    return max(total, key=lambda c: (total[c], c))
