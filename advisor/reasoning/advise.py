"""From an inference to advice: the verdict, what to do in which order, and what it rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.knowledge.model import BRACES
from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.answers import ASSUMED, CALCULATED, MEASURED, TOLD
from advisor.reasoning.bystanders import BYSTANDER
from advisor.reasoning.ledger import probability_words
from advisor.reasoning.repair import (
    WAITING,
    chance_of_cure,
    order,
    order_in_turn,
    usable_actions,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.knowledge.model import Base, Remedy
    from advisor.reasoning.infer import Engine, Inference
    from advisor.reasoning.questions import Candidate
    from advisor.reasoning.repair import Action

__all__ = ["Advice", "Alternative", "RemedyAdvice", "Verdict", "advise"]

# Below this the best cause is not called a verdict.
_ENOUGH = 0.30
# From here up a cause is told although a rule says that nothing is wrong.
_OUTWEIGHS = 0.80
# A remedy is worth naming for causes that stand at least this well.
_WORTH = 0.03
# While the verdict is open a remedy needs this chance: it changes the drink, a question does not.
_WORTH_UNKNOWN = 0.10
# A check tells two causes apart from this many decibans up, by an answer that may well be given.
_TELLS_APART = 6.0
_HEARD = 0.05
# A cause that would end the batch is named from here up, so that nobody serves it meanwhile.
_HELD = 0.08
_NO_RESCUE = ("discard", "stop")
# Stages whose remedies are duties towards guests and colleagues.
_DUTIES = ("label", "storage", "service")
_TITLES = {
    "discard": "Discard it: do not serve it, and do not taste it to find out.",
    "stop": "Stop: go no further, and do not serve it as it stands.",
    "nothing-wrong": "By what you told nothing is wrong: leave it be and look again.",
    "open": "Not enough to go on: several causes are still possible.",
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """The one line on top. ``kind`` is cause, discard, stop, nothing-wrong or open."""

    kind: str
    text: str
    cause: str = ""
    stage: str = ""
    probability: float = 0.0
    words: str = ""
    because: tuple[str, ...] = ()  # rules, for verdicts that are not causes


@dataclass(frozen=True, slots=True)
class RemedyAdvice:
    """One remedy with its chance and the reason for its place in the order."""

    remedy: Remedy
    chance: float
    cost: float  # minutes, waiting discounted
    treats: str = ""  # the cause that it is most likely to cure


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another cause that still stands, and the one check that would tell."""

    cause: str
    probability: float
    finding: str
    check: str
    tell: str


@dataclass(frozen=True, slots=True)
class Advice:
    """Everything a report needs, in the order in which it is told."""

    verdict: Verdict
    this_batch: tuple[RemedyAdvice, ...]
    next_batch: tuple[RemedyAdvice, ...]
    alternatives: tuple[Alternative, ...]
    cautions: tuple[str, ...]
    rests_on: Mapping[str, tuple[str, ...]]  # measured, calculated, told, assumed -> keys
    practice_share: float  # share of the weight behind the verdict without a publication
    hold_for: tuple[tuple[str, float], ...] = ()  # causes that would end the batch, and chances
    fault: str = ""  # what is wrong with the batch apart from what stops it


def advise(engine: Engine, inference: Inference, found: Sequence[Candidate] = ()) -> Advice:
    """The advice that an inference gives; ``found`` are the questions still open, if known."""
    base = engine.base
    verdict = _verdict(base, inference)
    rescue = verdict.kind not in _NO_RESCUE
    if verdict.kind == "nothing-wrong":
        this_batch = _suggested(base, inference, verdict, "this-batch")
        next_batch = _suggested(base, inference, verdict, "next-batch")
    else:
        this_batch = (
            _rescues(base, inference, verdict) if rescue else _at_once(base, inference, verdict)
        )
        next_batch = _next(base, inference, verdict) if rescue else ()
    fault = _fault(base, inference, verdict) if verdict.kind == "stop" else ""
    if fault:
        next_batch = _next(base, inference, replace(verdict, cause=fault))
    return Advice(
        verdict=verdict,
        this_batch=this_batch,
        next_batch=next_batch,
        alternatives=_alternatives(base, inference, verdict, found) if rescue else (),
        cautions=_cautions(base, inference),
        rests_on=_rests_on(engine, inference, verdict),
        practice_share=_practice_share(engine, inference, verdict),
        hold_for=_hold_for(base, inference, verdict) if rescue else (),
        fault=fault,
    )


def _fault(base: Base, inference: Inference, verdict: Verdict) -> str:
    """The cause of what was reported where something else stops the batch: it is still wanted
    for the next one. Nothing where it is what stops it, a matter of what is said of the drink, or
    ends the batch itself."""
    top = inference.ranked[0]
    if top == NOT_LISTED or inference.standing[top] < _ENOUGH or not inference.spoken_for(top):
        return ""
    if top in _suspected_by(base, verdict) or base.causes[top].stage == "label":
        return ""
    return "" if _ends_the_batch(base, top) or not inference.explains.get(top) else top


def _ends_the_batch(base: Base, cause: str) -> bool:
    """Whether the one thing that helps against a cause is to give the batch up."""
    its = [r for r in base.remedies.values() if r.of == "this-batch" and cause in r.cures]
    lost = [r.cures[cause] for r in its if r.loses_batch]
    saved = [r.cures[cause] for r in its if not r.loses_batch]
    return bool(lost) and max(lost) > max(saved, default=0.0)


def _hold_for(
    base: Base, inference: Inference, verdict: Verdict
) -> tuple[tuple[str, float], ...]:
    """Causes besides the one that was named which would end the batch, and are not unlikely."""
    if verdict.kind not in ("cause", "open"):
        return ()
    return tuple(
        (cause, inference.standing[cause])
        for cause in inference.ranked
        if inference.standing[cause] >= _HELD
        and cause not in (NOT_LISTED, verdict.cause if verdict.kind == "cause" else "")
        and inference.explains.get(cause)
        and _ends_the_batch(base, cause)
    )


def _verdict(base: Base, inference: Inference) -> Verdict:
    for kind in _NO_RESCUE:
        if kind in inference.verdicts:
            return Verdict(kind, _TITLES[kind], because=inference.verdicts[kind])
    top = inference.ranked[0]
    probability = inference.standing[top]
    if "nothing-wrong" in inference.verdicts:
        rules = inference.verdicts["nothing-wrong"]
        if _clears(base, inference, rules):
            return Verdict("nothing-wrong", _TITLES["nothing-wrong"], because=rules)
    if top == NOT_LISTED or probability < _ENOUGH or not inference.spoken_for(top):
        cause = "" if top == NOT_LISTED else top
        return Verdict(
            "open",
            _TITLES["open"],
            cause,
            base.causes[cause].stage if cause else "",
            probability,
            probability_words(probability),
        )
    cause_ = base.causes[top]
    return Verdict(
        "cause", cause_.title, top, cause_.stage, probability, probability_words(probability)
    )


def _clears(base: Base, inference: Inference, rules: Sequence[str]) -> bool:
    """Whether rules that say nothing is wrong may be believed.

    They must speak of all that was reported: a drink that has not spoilt may still be hazy. A
    cause that they speak against has been heard; any other may outweigh them.
    """
    behind = [base.rules[rule] for rule in rules]
    spoken_of = {test.key for rule in behind for option in rule.when for test in option}
    if not spoken_of.issuperset(inference.reported):
        return False
    heard = {e.target for rule in behind for e in rule.effects if e.kind == "doubt"}
    top = inference.ranked[0]
    return top in heard or inference.standing[top] < _OUTWEIGHS


def _rescues(base: Base, inference: Inference, verdict: Verdict) -> tuple[RemedyAdvice, ...]:
    """What to do with this batch: first what treats the cause that was named.

    A remedy changes the drink, so one that failed was not free: what is quick and treats
    something else comes after what treats the verdict, and only if it treats a cause that
    brings on something of what was reported. Giving the batch up comes after saving it.
    """
    standing = _standing_of_the_reported(inference, verdict.cause)
    least = _WORTH_UNKNOWN if verdict.kind == "open" else _WORTH
    worth = _worth(base, inference, "this-batch", standing, least)
    named = verdict.cause if verdict.kind == "cause" else ""
    groups: dict[tuple[bool, bool], list[Action]] = {}
    for action in worth:
        place = (not action.cures.get(named), base.remedies[action.id].loses_batch)
        groups.setdefault(place, []).append(action)
    in_turn = [groups[place] for place in sorted(groups)]
    return tuple(
        _advised(base, action, standing) for action in order_in_turn(in_turn, standing)
    )


def _standing_of_the_reported(inference: Inference, verdict: str) -> dict[str, float]:
    """How the causes stand that bring on something reported; all, where nothing does."""
    mine = {
        cause: chance
        for cause, chance in inference.standing.items()
        if inference.explains.get(cause) or cause == verdict
    }
    return mine if any(inference.explains.values()) else dict(inference.standing)


def _worth(
    base: Base,
    inference: Inference,
    of: str,
    standing: Mapping[str, float],
    least: float = _WORTH,
) -> list[Action]:
    """Remedies that apply and are worth naming, without those that were tried."""
    return [
        a
        for a in usable_actions(base, inference, of)
        if a.id in inference.suggestions or chance_of_cure(a, standing) >= least
    ]


def _advised(base: Base, action: Action, standing: Mapping[str, float]) -> RemedyAdvice:
    likeliest = max(
        action.cures, key=lambda c: (standing.get(c, 0.0) * action.cures[c], c), default=""
    )
    return RemedyAdvice(
        base.remedies[action.id], chance_of_cure(action, standing), action.cost, likeliest
    )


def _remedies(base: Base, inference: Inference, of: str) -> tuple[RemedyAdvice, ...]:
    """Remedies that apply, best chance over effort first, without those that were tried."""
    standing = dict(inference.standing)
    return tuple(
        _advised(base, action, standing)
        for action in order(_worth(base, inference, of, standing), standing)
    )


def _suggested(
    base: Base, inference: Inference, verdict: Verdict, of: str
) -> tuple[RemedyAdvice, ...]:
    """What the rules behind a verdict suggest, and nothing else."""
    said = {e.target for r in verdict.because for e in base.rules[r].effects if e.kind == "suggest"}
    return tuple(each for each in _remedies(base, inference, of) if each.remedy.id in said)


def _at_once(base: Base, inference: Inference, verdict: Verdict) -> tuple[RemedyAdvice, ...]:
    """What must be done whatever else is true: what the rules behind a verdict suggest, or what
    the causes they suspect call for. Never a rescue of the drink."""
    behind = _suspected_by(base, verdict)
    return tuple(
        each
        for each in _remedies(base, inference, "this-batch")
        if each.remedy.stage in _DUTIES
        and (each.remedy.id in inference.suggestions or behind & set(each.remedy.cures))
    )


def _suspected_by(base: Base, verdict: Verdict) -> set[str]:
    """The causes that the rules behind a verdict speak of."""
    return {
        effect.target
        for rule in verdict.because
        for effect in base.rules[rule].effects
        if effect.kind == "suspect"
    }


def _next(base: Base, inference: Inference, verdict: Verdict) -> tuple[RemedyAdvice, ...]:
    ranked = _remedies(base, inference, "next-batch")
    if verdict.kind == "open":
        return tuple(
            r
            for r in ranked
            if r.chance >= _WORTH_UNKNOWN or r.remedy.id in inference.suggestions
        )[:2]
    own = [r for r in ranked if r.remedy.cures.get(verdict.cause, 0.0) >= 0.4]
    own.sort(
        key=lambda r: (
            -r.remedy.cures[verdict.cause],
            not BRACES.search(r.remedy.do),  # one with a dose says more
            r.cost,
            r.remedy.id,
        )
    )
    return tuple(own) or ranked[:1]


def _alternatives(
    base: Base, inference: Inference, verdict: Verdict, found: Sequence[Candidate]
) -> tuple[Alternative, ...]:
    first = verdict.cause
    others: list[Alternative] = []
    for cause in inference.ranked:
        chance = inference.standing[cause]
        if cause in (first, NOT_LISTED):
            continue
        if chance < 0.04 or len(others) == 3:
            break
        if _beside(inference, first, cause):
            continue
        finding, check, tell = _separating(base, inference, first, cause, found)
        others.append(Alternative(cause, chance, finding, check, tell))
    return tuple(others)


def _beside(inference: Inference, first: str, other: str) -> bool:
    """Whether a cause explains only what the first leaves open: it may hold as well, and is
    no alternative to it."""
    mine = set(inference.explains.get(first, ()))
    theirs = set(inference.explains.get(other, ()))
    return bool(mine and theirs) and not mine & theirs


def _separating(
    base: Base, inference: Inference, first: str, other: str, found: Sequence[Candidate]
) -> tuple[str, str, str]:
    """The check that tells two causes apart: written down, or the best that is still open."""
    for one, two in ((first, other), (other, first)):
        if one not in base.causes:
            continue
        for alike in base.causes[one].looks_like:
            if alike.cause == two:
                finding = base.checks[alike.check].finding if alike.check else ""
                if finding not in inference.answers:
                    # "There ..." in a tell is the look-alike; written the other way round it
                    # would speak of the wrong one.
                    return finding, alike.check, alike.tell if one == first else ""
    if not first or not found:
        return "", "", ""
    pulls = [(_pull(c, first, other, inference.standing), c) for c in found]
    strength, best = max(pulls, key=lambda pair: pair[0])
    if strength <= 0.0:
        return "", "", ""
    return best.finding, best.check, ""


def _pull(candidate: Candidate, first: str, other: str, standing: Mapping[str, float]) -> float:
    """How far a question's answers are expected to pull two causes apart, in decibans a minute.

    Nothing for a question that could at best nudge them, however quick it is.
    """
    before = standing[other] / standing[first] if standing[first] > 0.0 else 0.0
    if before <= 0.0:
        return 0.0
    expected = furthest = 0.0
    for possible in candidate.possible:
        one, two = possible.standing.get(first, 0.0), possible.standing.get(other, 0.0)
        if one <= 0.0 or two <= 0.0 or possible.chance < _HEARD:
            continue
        apart = abs(10.0 * math.log10(two / one / before))
        expected += possible.chance * apart
        furthest = max(furthest, apart)
    if furthest < _TELLS_APART:
        return 0.0
    return expected / (candidate.minutes + WAITING * candidate.wait + 1.0)


def _cautions(base: Base, inference: Inference) -> tuple[str, ...]:
    rank = {"stop": 0, "warn": 1, "note": 2}
    return tuple(sorted(inference.cautions, key=lambda c: (rank[base.cautions[c].level], c)))


def _rests_on(engine: Engine, inference: Inference, verdict: Verdict) -> dict[str, tuple[str, ...]]:
    """The findings and figures behind the verdict, by their footing."""
    firings = {firing.rule: firing for firing in inference.run.firings}
    wanted = list(verdict.because) or [
        e.line for e in inference.ledger(verdict.cause) if e.counted and abs(e.weight) >= 1.0
    ]
    kinds: dict[str, dict[str, None]] = {MEASURED: {}, CALCULATED: {}, TOLD: {}, ASSUMED: {}}
    seen: set[str] = set()
    while wanted:
        line = wanted.pop()
        if line in seen or line not in firings:
            continue
        seen.add(line)
        for _, fact in firings[line].supports:
            footing = inference.footing.get(fact) if fact else None
            if fact is None or footing is None:
                continue
            if footing.basis in kinds:
                kinds[footing.basis][fact.key] = None
            else:  # concluded: go on to the rules that concluded it
                wanted.extend(
                    rule
                    for rule in firings
                    if any(
                        e.kind == "conclude" and e.target == fact.key and e.word == fact.word
                        for e in engine.lines[rule].effects
                    )
                )
    return {kind: tuple(sorted(keys)) for kind, keys in kinds.items()}


def _practice_share(engine: Engine, inference: Inference, verdict: Verdict) -> float:
    if not verdict.cause:
        return 0.0
    own = engine.base.causes[verdict.cause].source
    published = total = 0.0
    for entry in inference.ledger(verdict.cause):
        if not entry.counted:
            continue
        line = engine.lines.get(entry.line)
        cited = line.source if line and line.source else own
        if entry.line == BYSTANDER:
            cited = ()
        total += abs(entry.weight)
        published += abs(entry.weight) if any(c.published for c in cited) else 0.0
    return 1.0 - published / total if total else 0.0
