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
    held, weighing = inference.by_group, engine.weighing
    for firing in change.gained:
        for key, weight in weighing[firing.rule]:
            cause, group = key
            if not group:
                shift[cause] = shift.get(cause, 0.0) + weight
                continue
            now = moved.get(key)
            if now is None:
                entry = held.get(key)
                now = entry.weight if entry and not (aside and entry in aside) else 0.0
            if abs(weight) > abs(now):
                shift[cause] = shift.get(cause, 0.0) + weight - now
                moved[key] = weight
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
    weighed = [((e.cause, e.group), e.weight) for e in left]
    for rule in fresh:
        weighed.extend(engine.weighing[rule])
    shift = {cause: -weight for cause, weight in inference.sums.items()}
    strongest: dict[tuple[str, str], float] = {}
    for key, weight in weighed:
        if not key[1]:
            shift[key[0]] = shift.get(key[0], 0.0) + weight
        elif abs(weight) > abs(strongest.get(key, 0.0)):
            strongest[key] = weight
    for (cause, _), weight in strongest.items():
        shift[cause] = shift.get(cause, 0.0) + weight
    return {cause: weight for cause, weight in shift.items() if abs(weight) > 1e-9}
