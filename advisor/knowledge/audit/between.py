"""Rules against each other: the same twice, one inside another, one against another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.audit.logic import Implications, implies

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Effect, Rule

__all__ = ["between_problems"]


def between_problems(book: Book, places: Places, only: str = "") -> Iterable[Problem]:
    """Duplicate, subsumed, doubly counted and contradicting rules; of ``only`` one if named."""
    rules = list(book.rules.values())
    for rule in rules:
        if only in ("", rule.id):
            yield from _within(book, rule, places)
    for stricter, wider, same in sorted(_pairs_of(rules, only) if only else _pairs(rules)):
        yield from _pair(book, rules[stricter], rules[wider], same, places)


def _pairs(rules: Sequence[Rule]) -> Iterator[tuple[int, int, bool]]:
    """(stricter, wider, whether equivalent) for rules that speak of a common target.

    Equivalent ones come once, the later as the stricter. Worked out on different conditions
    rather than on rules, so that many rules on one condition cost little.
    """
    members: dict[frozenset[tuple[Test, ...]], list[int]] = {}
    for number, rule in enumerate(rules):
        members.setdefault(frozenset(rule.when), []).append(number)
    groups = list(members.values())
    implied = set(Implications([rules[group[0]].when for group in groups]).pairs())
    speaking: dict[tuple[int, str], list[int]] = {}
    for at, group in enumerate(groups):
        for number in group:
            for target in dict.fromkeys(e.target for e in rules[number].effects):
                speaking.setdefault((at, target), []).append(number)
    for one, two in (*implied, *((at, at) for at in range(len(groups)))):
        same = one == two or (two, one) in implied
        for stricter in groups[one]:
            targets = dict.fromkeys(e.target for e in rules[stricter].effects)
            others = {n for target in targets for n in speaking.get((two, target), ())}
            for wider in others:
                if wider < stricter or (not same and wider != stricter):
                    yield stricter, wider, same


def _pairs_of(rules: Sequence[Rule], only: str) -> Iterator[tuple[int, int, bool]]:
    """The same for the pairs that one rule is part of."""
    at = next(number for number, rule in enumerate(rules) if rule.id == only)
    for number, rule in enumerate(rules):
        if number == at:
            continue
        to, back = implies(rules[at].when, rule.when), implies(rule.when, rules[at].when)
        if to and back:
            yield max(number, at), min(number, at), True
        elif to or back:
            yield (at, number, False) if to else (number, at, False)


def _within(book: Book, rule: Rule, places: Places) -> Iterator[Problem]:
    speaks_for = {e.target: e for e in rule.effects if e.weight > 0}
    for effect in rule.effects:
        if effect.weight >= 0 or effect.target not in speaks_for:
            continue
        other = speaks_for[effect.target]
        yield Problem(
            "rule-contradicts-itself",
            f"{rule.id} both {other.kind}s and {effect.kind}s {effect.target}",
            places.key(book.section, rule.id, "then", effect.kind, effect.target),
            "keep one of them",
        )


def _pair(
    book: Book, stricter: Rule, wider: Rule, same: bool, places: Places
) -> Iterator[Problem]:
    grouped = bool(stricter.group) and stricter.group == wider.group
    matches = [(e, _match(e, wider)) for e in stricter.effects]
    known = [(e, other) for e, other in matches if other is not None]
    whole = len(known) == len(matches)
    where = places.at(book.section, stricter.id)
    if same and whole and _alike(stricter, wider):
        yield Problem(
            "rule-duplicate", f"{stricter.id} says the same as {wider.id}", where, "keep one"
        )
    elif whole and all(_idle(e, other, grouped) for e, other in known):
        yield Problem(
            "rule-subsumed",
            f"{stricter.id} adds nothing: whenever it fires, {wider.id} fires too and says as much",
            where,
            "take it out, weigh it higher, or widen its condition",
        )
    elif whole and not grouped and all(abs(e.weight) == abs(o.weight) for e, o in known):
        yield Problem(
            "rule-counts-twice",
            f"whenever {stricter.id} fires, {wider.id} fires too, and the same weight counts twice",
            where,
            "give both one group, then only the stronger counts",
            severity="note",
        )
    yield from _contradictions(book, stricter, wider, same, places)


def _match(effect: Effect, rule: Rule) -> Effect | None:
    return next(
        (
            e
            for e in rule.effects
            if (e.kind, e.target, e.word) == (effect.kind, effect.target, effect.word)
        ),
        None,
    )


def _alike(one: Rule, two: Rule) -> bool:
    return set(one.effects) == set(two.effects)


def _idle(effect: Effect, other: Effect, grouped: bool) -> bool:
    """Whether an effect changes nothing once the other has had its say."""
    return not effect.weight or (grouped and abs(effect.weight) <= abs(other.weight))


def _contradictions(
    book: Book, stricter: Rule, wider: Rule, same: bool, places: Places
) -> Iterator[Problem]:
    theirs = {e.target: e for e in wider.effects if e.weight}
    for effect in stricter.effects:
        other = theirs.get(effect.target)
        if effect.weight and other is not None and effect.weight == -other.weight:
            fires = "they fire together" if same else f"whenever it fires, {wider.id} fires too"
            yield Problem(
                "rules-contradict",
                f"{stricter.id} {effect.kind}s {effect.target} exactly as much as {wider.id} says "
                f"the opposite, and {fires}",
                places.key(book.section, stricter.id, "then", effect.kind, effect.target),
                "correct one of them"
                if same
                else "write the exception into the condition of the wider rule",
                severity="error" if same else "note",
            )
