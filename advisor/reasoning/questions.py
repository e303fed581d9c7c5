"""What to ask next: the most information about the cause per minute of somebody's work.

For every finding that could be asked now, each possible answer is tried on the
finished run (nothing is asked of the engine twice). The weights it would add give the
chance of each answer under each cause, and so the expected gain in bits. What could end in
*discard it* or *stop* goes before all of it (see ``gates``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from advisor.chain.lookahead import LookAhead
from advisor.chain.port import Fact
from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.answers import ASSUMED
from advisor.reasoning.evidence import holds
from advisor.reasoning.foretold import resting_on_assumptions, shift_of, told_now
from advisor.reasoning.gates import gates
from advisor.reasoning.repair import WAITING, chance_of_cure, usable_actions

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Check, Finding
    from advisor.reasoning.infer import Engine, Inference
    from advisor.reasoning.ledger import Entry
    from advisor.reasoning.repair import Action

__all__ = ["Candidate", "Possible", "StopReason", "candidates", "information", "stop_reason"]

# What any question costs on top of its minutes: to read it, and to remember. A few that tell much
# tire less than many that tell little. Judgement.
_ASKING = 1.0
# What a kind of effort costs on top of that: looks before tastes before measurements.
_LEVEL_MINUTES = {"look": 0.5, "taste": 1.0, "measure": 1.5, "new-batch": 30.0}
# How often a person cannot answer; judgement.
_NO_ANSWER = {"look": 0.05, "taste": 0.10, "measure": 0.15, "new-batch": 0.5}
_MOST_BANDS = 8
_SURE = 0.90  # a cause this likely may end the questions ...
_LEADS = 0.85  # ... or one that leads, when the same remedy would
_CURES = 0.60  # probably cure whatever it is
_LIKELY = 0.05  # answers rarer than this are not waited for
_WORTH_A_LOOK = 0.01  # remedies less likely to help than this do not come first
_LOOKED_AT = 12  # of the best questions
_SPELT_OUT = 12  # of the best questions, with the standing after each answer
_LEAST_BITS_PER_MINUTE = 0.004
_NEVER = 1e-7  # causes below this are passed over: all together they hold no thousandth of a bit
# A symptom that was not named out of the whole list is there far less often than its usual share.
_UNNAMED = 0.02
# Such a symptom is asked for only where it moves the two leading causes this far apart.
_PARTS = 8.0

_SPOKEN_OF: WeakKeyDictionary[Engine, dict[str, set[str]]] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class Possible:
    """One possible answer: its chance, and how the causes would then stand."""

    answer: str
    value: str | float
    chance: float
    standing: Mapping[str, float]

    @property
    def first(self) -> str:
        return max(self.standing, key=lambda c: (self.standing[c], c))


@dataclass(frozen=True, slots=True)
class Candidate:
    """A question that could be asked now, with what it would tell and cost."""

    finding: str
    check: str
    gain: float  # bits
    minutes: float  # of work
    wait: float
    score: float  # bits per minute, all counted
    possible: tuple[Possible, ...]  # empty for questions far from the best
    gate: float = 0.0  # chance that a verdict comes of it; above nought it goes before the others


@dataclass(frozen=True, slots=True)
class StopReason:
    """Why no further question is worth asking."""

    code: str  # settled, sure, nothing-left, limit, verdict
    text: str


def candidates(engine: Engine, inference: Inference) -> tuple[Candidate, ...]:
    """Every question that could be asked now, best first.

    Those that could end in a verdict come first where a hazard is plausible. A symptom that
    was only taken to be absent may be asked for; so may nothing else that was answered.
    """
    base = engine.base
    facts = inference.facts_by_key()
    given = inference.facts.facts
    look = LookAhead(engine.reference, given)
    without: dict[str, LookAhead] = {}
    resting = resting_on_assumptions(inference)
    spoken_of = _spoken_of(engine)
    leading = {key for cause in inference.ranked[:2] for key in spoken_of.get(cause, ())}
    found: dict[str, _Prospect] = {}
    for finding in base.findings.values():
        if not _can_ask(finding, inference, facts):
            continue
        if finding.id in inference.answers and finding.id not in leading:
            continue  # not named, and neither of the leading causes has anything to do with it
        options = _options(engine, finding)
        if not options:
            continue
        ahead = look
        if finding.measures and finding.measures in inference.facts.figures:
            # The reading would stand in place of the calculation.
            ahead = without.setdefault(
                finding.measures,
                LookAhead(engine.reference, [f for f in given if f.key != finding.measures]),
            )
        prospect = _prospect(engine, inference, finding, options, ahead, resting)
        if prospect is not None:
            found[finding.id] = prospect
    first = _gates(engine, inference, facts, found)
    ordered = sorted(
        found.values(),
        key=lambda c: (
            -first.get(c.finding.id, 0.0) / _cost(c.finding, c.check),
            -c.score,
            c.finding.id,
        ),
    )
    return tuple(
        _spelt_out(inference, each, first.get(each.finding.id, 0.0), whole=rank < _SPELT_OUT)
        for rank, each in enumerate(ordered)
    )


def _gates(
    engine: Engine,
    inference: Inference,
    facts: Mapping[str, list[Fact]],
    found: dict[str, _Prospect],
) -> dict[str, float]:
    """What is asked before any cause; questions that tell nothing of a cause are added to found."""
    base = engine.base
    askable: dict[str, bool] = {}

    def can_ask(key: str) -> bool:
        if key not in askable:
            finding = base.findings.get(key)
            askable[key] = (
                finding is not None
                and key not in inference.answers
                and _can_ask(finding, inference, facts)
            )
        return askable[key]

    def chance_of(test: Test) -> float:
        finding = base.findings[test.key]
        prospect = found.get(finding.id)
        options = prospect.options if prospect else _options(engine, finding)
        chances = prospect.chances if prospect else [share for _, _, share, _ in options]
        return math.fsum(
            chance
            for (_, value, _, _), chance in zip(options, chances, strict=True)
            if (test.holds_word(value) if isinstance(value, str) else test.holds_number(value))
        )

    first = gates(engine, inference, facts, can_ask, chance_of)
    for key in first:
        if key not in found:
            finding = base.findings[key]
            found[key] = _Prospect(
                finding, engine.check_of.get(key), (), (), (), gain=0.0, score=0.0
            )
    return first


def stop_reason(
    engine: Engine, inference: Inference, asked: int, limit: int, found: Sequence[Candidate]
) -> StopReason | None:
    """Why to stop asking, or ``None`` to go on.

    Asking ends when no likely answer to any of the best questions would change the
    advice: the stage to change and the remedy to try first. A discard ends it at once; a stop
    does unless the drink may have to be thrown away, which putting right would hide.
    """
    open_discard = asked < limit and bool(found) and found[0].gate > 0.0
    if "discard" in inference.verdicts or ("stop" in inference.verdicts and not open_discard):
        return StopReason("verdict", "what is known already decides: this comes before any cause")
    if asked >= limit:
        return StopReason("limit", f"you asked for at most {limit} questions")
    if not found:
        return StopReason("nothing-left", "there is nothing left to ask that would tell more")
    if found[0].gate:
        return None
    if found[0].score < _LEAST_BITS_PER_MINUTE:
        return StopReason("settled", "no check is worth the minutes it would cost")
    actions = [
        action
        for action in usable_actions(engine.base, inference, "this-batch")
        if chance_of_cure(action, inference.standing) >= _WORTH_A_LOOK
    ]
    now = _what_to_do(engine, actions, inference.standing)
    first, chance = inference.ranked[0], inference.standing[inference.ranked[0]]
    sure = chance >= _SURE or (chance >= _LEADS and now[2] >= _CURES)
    if not sure or first == NOT_LISTED:
        return None
    if any(
        _what_to_do(engine, actions, p.standing)[:2] != now[:2]
        for candidate in found[:_LOOKED_AT]
        for p in candidate.possible
        if p.chance >= _LIKELY
    ):
        return None
    return StopReason("sure", "no further answer is likely to change the advice")


def _what_to_do(
    engine: Engine, actions: Sequence[Action], standing: Mapping[str, float]
) -> tuple[str, str, float]:
    """The stage of the first cause, the remedy to try first, and its chance of a cure."""
    first = max(standing, key=lambda c: (standing[c], c))
    stage = engine.base.causes[first].stage if first in engine.base.causes else ""
    if not actions:
        return stage, "", 0.0
    best = max(actions, key=lambda a: chance_of_cure(a, standing) / a.cost)
    return stage, best.id, chance_of_cure(best, standing)


def _can_ask(finding: Finding, inference: Inference, facts: Mapping[str, list[Fact]]) -> bool:
    answer = inference.answers.get(finding.id)
    unnamed = answer is not None and answer.basis == ASSUMED and finding.symptom
    if not unnamed and (not finding.asked or answer is not None or finding.id in facts):
        return False  # answered, or concluded from other answers
    if not finding.ask_when:
        return True
    return holds(finding.ask_when, facts)


def _options(engine: Engine, finding: Finding) -> list[tuple[str, str | float, float, list[Fact]]]:
    """Each possible answer: its label, value, usual share, and the facts it would bring."""
    if finding.choices:
        rates = engine.base.base_rates[finding.id]
        return [
            (c.label, c.value, rates[c.value], [Fact(finding.id, c.value)]) for c in finding.choices
        ]
    key = finding.measures or finding.id
    edges = _edges(engine, key, finding)
    if len(edges) < 3:
        return []
    share = 1.0 / (len(edges) - 1)
    options: list[tuple[str, str | float, float, list[Fact]]] = []
    for low, high in pairwise(edges):
        middle = (low + high) / 2
        label = f"{low:g} to {high:g} {finding.unit}"
        options.append((label, middle, share, [Fact(finding.id, number=middle)]))
        if key != finding.id:
            options[-1][3].append(Fact(key, number=middle))
    return options


def _edges(engine: Engine, key: str, finding: Finding) -> list[float]:
    """The bands of a number that rules tell apart."""
    if finding.low is None or finding.high is None:
        return []
    inside = sorted(
        {limit for limit in engine.limits.get(key, ()) if finding.low < limit < finding.high}
    )
    if len(inside) > _MOST_BANDS - 1:
        step = len(inside) / (_MOST_BANDS - 1)
        inside = [inside[int(i * step)] for i in range(_MOST_BANDS - 1)]
    return [finding.low, *inside, finding.high] if inside else []


@dataclass(frozen=True, slots=True)
class _Prospect:
    """What a question would tell and cost, before its answers are spelt out."""

    finding: Finding
    check: Check | None
    options: Sequence[tuple[str, str | float, float, list[Fact]]]
    shifts: Sequence[Mapping[str, float]]
    chances: Sequence[float]
    gain: float
    score: float


def _prospect(
    engine: Engine,
    inference: Inference,
    finding: Finding,
    options: Sequence[tuple[str, str | float, float, list[Fact]]],
    ahead: LookAhead,
    resting: Mapping[Fact, Sequence[Entry]],
) -> _Prospect | None:
    replaced = bool(finding.measures) and finding.measures in inference.facts.figures
    shares = [share for _, _, share, _ in options]
    if finding.id in inference.answers:
        shifts = [told_now(engine, inference, ahead, facts[0], resting) for *_, facts in options]
        if not _parts(inference, shifts):
            return None
        absent = inference.answers[finding.id].value
        shares = [s if value == absent else s * _UNNAMED for (_, value, s, _) in options]
    else:
        shifts = [shift_of(engine, inference, ahead, facts, replaced) for *_, facts in options]
    if not any(shifts):
        return None
    check = engine.check_of.get(finding.id)
    bits, chances = information(inference.standing, shares, shifts)
    gain = bits * (1.0 - _NO_ANSWER[check.level if check else "look"])
    return _Prospect(
        finding, check, options, shifts, chances, gain, gain / _cost(finding, check)
    )


def _spoken_of(engine: Engine) -> dict[str, set[str]]:
    """For each cause what its rules and its table speak of; worked out once for an engine."""
    known = _SPOKEN_OF.get(engine)
    if known is None:
        known = _SPOKEN_OF[engine] = {}
        for line in engine.base.lines:
            keys = {test.key for option in line.when for test in option}
            for effect in line.effects:
                if effect.kind in ("suspect", "doubt"):
                    known.setdefault(effect.target, set()).update(keys)
    return known


def _parts(inference: Inference, shifts: Sequence[Mapping[str, float]]) -> bool:
    """Whether some answer moves the two leading causes well apart."""
    first, second = inference.ranked[0], inference.ranked[1]
    return any(abs(s.get(first, 0.0) - s.get(second, 0.0)) >= _PARTS for s in shifts)


def _cost(finding: Finding, check: Check | None) -> float:
    minutes, wait = _effort(finding, check)
    return _ASKING + minutes + WAITING * wait + _LEVEL_MINUTES[check.level if check else "look"]


def information(
    standing: Mapping[str, float],
    shares: Sequence[float],
    shifts: Sequence[Mapping[str, float]],
) -> tuple[float, list[float]]:
    """Expected information of a question about the cause in bits, and each answer's chance.

    ``shares`` are the usual shares of the answers, ``shifts`` how many decibans each
    answer moves a cause. The same as ``expected_gain`` on the likelihoods that the shifts
    imply, but it looks only at the causes that some answer moves: for all others every
    answer keeps its usual share.
    """
    moved = [c for c in {c for shift in shifts for c in shift} if standing.get(c, 0.0) > _NEVER]
    rows = []
    for cause in moved:
        raw = [
            share * 10.0 ** (shift.get(cause, 0.0) / 10.0)
            for share, shift in zip(shares, shifts, strict=True)
        ]
        whole = sum(raw)
        rows.append((standing[cause], [value / whole for value in raw]))
    unmoved = max(0.0, 1.0 - sum(chance for chance, _ in rows))
    chances = [
        unmoved * share + sum(chance * row[a] for chance, row in rows)
        for a, share in enumerate(shares)
    ]
    bits = 0.0
    for a, (share, whole) in enumerate(zip(shares, chances, strict=True)):
        if whole <= 0.0:
            continue
        if unmoved > 0.0 and share > 0.0:
            bits += unmoved * share * math.log2(share / whole)
        for chance, row in rows:
            if row[a] > 0.0:
                bits += chance * row[a] * math.log2(row[a] / whole)
    return max(0.0, bits), chances


def _spelt_out(
    inference: Inference, prospect: _Prospect, gate: float, *, whole: bool
) -> Candidate:
    """A candidate; ``whole`` adds how the causes would stand after each answer."""
    minutes, wait = _effort(prospect.finding, prospect.check)
    possible = (
        tuple(
            Possible(label, value, chance, _after(inference.standing, shift))
            for (label, value, _, _), shift, chance in zip(
                prospect.options, prospect.shifts, prospect.chances, strict=True
            )
        )
        if whole
        else ()
    )
    check = prospect.check.id if prospect.check else ""
    return Candidate(
        prospect.finding.id, check, prospect.gain, minutes, wait, prospect.score, possible, gate
    )


def _after(standing: Mapping[str, float], shift: Mapping[str, float]) -> dict[str, float]:
    """How the causes stand once some have moved by so many decibans."""
    after = dict(standing)
    for cause, weight in shift.items():
        after[cause] = standing.get(cause, 0.0) * 10.0 ** (weight / 10.0)
    whole = math.fsum(after.values())
    return {cause: chance / whole for cause, chance in after.items()}


def _effort(finding: Finding, check: Check | None) -> tuple[float, float]:
    return (check.minutes, check.wait) if check else (finding.minutes, 0.0)
