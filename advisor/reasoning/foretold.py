"""What each answer to a question would do to the standing of the causes, foretold.

Nothing is asked of the engine twice: the finished run is kept, and an answer is laid on top.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.reasoning.answers import ASSUMED

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.chain.lookahead import Change, LookAhead
    from advisor.chain.port import Fact
    from advisor.reasoning.infer import Engine, Inference
    from advisor.reasoning.ledger import Entry

__all__ = ["resting_on_assumptions", "shift_of", "told_now"]


def resting_on_assumptions(inference: Inference) -> dict[Fact, list[Entry]]:
    """What counts because a symptom was not named, by the fact that was assumed."""
    lines: dict[str, list[Fact]] = {}
    for firing in inference.run.firings:
        for _, fact in firing.supports:
            footing = inference.footing.get(fact) if fact else None
            if fact and footing and footing.basis == ASSUMED:
                lines.setdefault(firing.rule, []).append(fact)
    found: dict[Fact, list[Entry]] = {}
    for entry in inference.entries:
        for fact in lines.get(entry.line, ()) if entry.counted else ():
            found.setdefault(fact, []).append(entry)
    return found


def told_now(
    engine: Engine,
    inference: Inference,
    ahead: LookAhead,
    fact: Fact,
    resting: Mapping[Fact, Sequence[Entry]],
) -> dict[str, float]:
    """How causes move when somebody tells what was assumed until now, or the contrary.

    Told, evidence counts in full. That a rule may rest on several assumptions, or share a
    group, is let pass here: the standing after the answer is worked out anew anyway.
    """
    if fact in inference.footing:
        shift: dict[str, float] = {}
        for entry in resting.get(fact, ()):
            shift[entry.cause] = shift.get(entry.cause, 0.0) + entry.full - entry.weight
        return shift
    aside = [e for assumed, rest in resting.items() if assumed.key == fact.key for e in rest]
    shift = shift_of(engine, inference, ahead, [fact], False, aside)
    for entry in aside:
        shift[entry.cause] = shift.get(entry.cause, 0.0) - entry.weight
    return shift


def shift_of(
    engine: Engine,
    inference: Inference,
    ahead: LookAhead,
    facts: list[Fact],
    replaced: bool,
    aside: Sequence[Entry] = (),
) -> dict[str, float]:
    """How many decibans each cause would gain or lose.

    ``replaced`` says that ``ahead`` lacks a calculation that the answer stands in for; ``aside``
    is what counts now and would no longer hold its group.
    """
    change = ahead.added(facts)
    shift = (
        _whole_shift(engine, inference, ahead, change)
        if change.lost or replaced
        else _gained_shift(engine, inference, change, aside)
    )
    for fact in facts:
        finding = engine.base.findings.get(fact.key)
        if finding is not None and finding.symptom and fact.word == "yes":
            moved = engine.bystanders.shift(inference.reported, fact.key)
            for cause, weight in moved.items():
                shift[cause] = shift.get(cause, 0.0) + weight
    return shift


def _gained_shift(
    engine: Engine, inference: Inference, change: Change, aside: Sequence[Entry]
) -> dict[str, float]:
    """The same where all that held still holds."""
    moved: dict[tuple[str, str], float] = {}
    shift: dict[str, float] = {}
    for firing in change.gained:
        line = engine.lines[firing.rule]
        for effect in line.effects:
            if effect.kind not in ("suspect", "doubt"):
                continue
            if not line.group:
                shift[effect.target] = shift.get(effect.target, 0.0) + effect.weight
                continue
            key = (effect.target, line.group)
            now = moved.get(key, _counting(inference, key, aside))
            if abs(effect.weight) > abs(now):
                shift[effect.target] = shift.get(effect.target, 0.0) + effect.weight - now
                moved[key] = effect.weight
    return shift


def _whole_shift(
    engine: Engine, inference: Inference, ahead: LookAhead, change: Change
) -> dict[str, float]:
    """The same where evidence falls away: a calculation that a reading replaces, or a silence."""
    lines = engine.lines
    kept = {firing.rule for firing in ahead.run.firings} - {f.rule for f in change.lost}
    left = [e for e in inference.entries if e.line in kept or e.line not in lines]
    woken = sorted(kept - {e.line for e in left})
    fresh = [firing.rule for firing in change.gained]
    fresh.extend(rule for rule in woken if inference.sureness.get(rule, 1.0) > 0.0)
    weighed = [(e.cause, e.group, e.weight) for e in left]
    weighed.extend(
        (effect.target, lines[rule].group, effect.weight)
        for rule in fresh
        for effect in lines[rule].effects
        if effect.kind in ("suspect", "doubt")
    )
    shift = {cause: -weight for cause, weight in inference.sums.items()}
    strongest: dict[tuple[str, str], float] = {}
    for cause, group, weight in weighed:
        if not group:
            shift[cause] = shift.get(cause, 0.0) + weight
        elif abs(weight) > abs(strongest.get((cause, group), 0.0)):
            strongest[cause, group] = weight
    for (cause, _), weight in strongest.items():
        shift[cause] = shift.get(cause, 0.0) + weight
    return {cause: weight for cause, weight in shift.items() if abs(weight) > 1e-9}


def _counting(
    inference: Inference, key: tuple[str, str], aside: Sequence[Entry] = ()
) -> float:
    """The weight that already counts for a cause in a group."""
    entry: Entry | None = inference.by_group.get(key)
    return entry.weight if entry and entry not in aside else 0.0
