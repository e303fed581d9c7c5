"""Evidence that is counted twice, or that cannot count at all."""

from __future__ import annotations

from collections import Counter, defaultdict
from difflib import SequenceMatcher
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.errors import Problem, did_you_mean
from advisor.knowledge.conditions import Is
from advisor.knowledge.words import OPERATIONS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.model import Base, Line, Rule

__all__ = ["evidence_problems"]

# A table row below this many decibans is no evidence worth counting once, let alone twice.
_WORTH_COUNTING = 2.0


def evidence_problems(base: Base, places: Places) -> Iterable[Problem]:
    """Rules that repeat a table, suspect a cause of another operation, or stand in a lone group."""
    rows = _rows(base)
    for rule in base.rules.values():
        yield from _twice(rule, rows, places)
        yield from _other_operation(base, rule, places)
    yield from _lone_groups(base, places)


def _rows(base: Base) -> dict[tuple[str, str, str], list[tuple[Line, float]]]:
    """What tables say: finding, word and cause -> lines with their weights."""
    rows: dict[tuple[str, str, str], list[tuple[Line, float]]] = defaultdict(list)
    for line in base.lines:
        if line.origin not in ("shows", "outcome"):
            continue
        for option in line.when:
            test = option[0]
            for word in test.words if isinstance(test, Is) else ():
                for effect in line.effects:
                    if abs(effect.weight) >= _WORTH_COUNTING:
                        rows[test.key, word, effect.target].append((line, effect.weight))
    return rows


def _twice(
    rule: Rule, rows: dict[tuple[str, str, str], list[tuple[Line, float]]], places: Places
) -> Iterator[Problem]:
    alone = [option[0] for option in rule.when if len(option) == 1]
    told: set[str] = set()
    for test in alone:
        if not isinstance(test, Is) or len(test.words) != 1:
            continue
        for effect in rule.effects:
            if not effect.weight or effect.target in told:
                continue
            for line, weight in rows.get((test.key, test.words[0], effect.target), ()):
                if weight * effect.weight > 0 and not (line.group and line.group == rule.group):
                    told.add(effect.target)
                    yield Problem(
                        "evidence-twice",
                        f"{rule.id} says of {effect.target} what {line.id} says already on the "
                        "same answer, and both count",
                        places.key("rules", rule.id, "then", effect.kind, effect.target),
                        "take one of them out: a rule is for two findings together, a number or "
                        "a chain of thought",
                        severity="note",
                    )
                    break


def _other_operation(base: Base, rule: Rule, places: Places) -> Iterator[Problem]:
    made: set[str] = set()
    for option in rule.when:
        words = next((t.words for t in option if isinstance(t, Is) and t.key == "operation"), None)
        if words is None or not set(words) <= set(OPERATIONS):
            return
        made.update(words)
    for effect in rule.effects:
        if effect.kind == "suspect" and made and effect.target in base.causes:
            belongs = base.causes[effect.target].operations
            if made.isdisjoint(belongs):
                yield Problem(
                    "rule-other-operation",
                    f"{rule.id} fires only after {' or '.join(sorted(made))} and suspects "
                    f"{effect.target}, which belongs to {' and '.join(belongs)}",
                    places.key("rules", rule.id, "then", "suspect", effect.target),
                    "correct the condition, the cause, or the operations of the cause",
                )


def _lone_groups(base: Base, places: Places) -> Iterator[Problem]:
    members = Counter(line.group for line in base.lines if line.group)
    shared = [group for group, count in members.items() if count > 1]
    for rule in base.rules.values():
        if members[rule.group] == 1:
            meant = did_you_mean(rule.group, [g for g in shared if _near(g, rule.group)])
            if meant:
                yield Problem(
                    "group-alone",
                    f"{rule.id} is the only one of the group {rule.group!r}",
                    places.at("rules", rule.id, "group"),
                    meant,
                    severity="note",
                )


@lru_cache(maxsize=8192)
def _near(one: str, two: str) -> bool:
    """Whether two names differ so little that one may be a slip for the other."""
    return SequenceMatcher(None, one, two).ratio() > 0.8
