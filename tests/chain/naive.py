"""A slow evaluator that follows the meaning of the rules word by word.

It shares nothing with the backends but the tests' own ``holds_word`` and
``holds_number``, and serves as the yardstick for all of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.chain import ChainRule, Fact, Firing, Run
from advisor.knowledge.conditions import Missing

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.knowledge.conditions import Test

__all__ = ["has_loop", "levels", "meets", "run"]


def meets(test: Test, fact: Fact) -> bool:
    """Whether the fact meets the test."""
    if test.key != fact.key:
        return False
    if fact.number is not None:
        return test.holds_number(fact.number)
    return test.holds_word(str(fact.word))


def levels(rules: Sequence[ChainRule]) -> dict[str, int] | None:
    """When each concluded key is settled, by relaxation; ``None`` if never."""
    level = {fact.key: 0 for rule in rules for fact in rule.concludes}
    for _ in range(len(level) + 2):
        changed = False
        for rule in rules:
            need = 0
            for test in (test for option in rule.when for test in option):
                if test.key in level:
                    need = max(need, level[test.key] + isinstance(test, Missing))
            for fact in rule.concludes:
                if level[fact.key] < need:
                    level[fact.key] = need
                    changed = True
        if not changed:
            return level
    return None


def has_loop(rules: Sequence[ChainRule]) -> bool:
    """Whether some key rests on itself."""
    reach: dict[str, set[str]] = {}
    for rule in rules:
        for test in (test for option in rule.when for test in option):
            reach.setdefault(test.key, set()).update(fact.key for fact in rule.concludes)
    for _ in range(len(reach)):
        for targets in reach.values():
            targets.update(*(reach.get(target, set()) for target in tuple(targets)))
    return any(key in targets for key, targets in reach.items())


def run(rules: Sequence[ChainRule], given: Iterable[Fact]) -> Run:
    """Try every rule on every fact, level by level, until nothing is new.

    Supports are the smallest fact for each test, so they are only to be compared for
    rules without loops.
    """
    facts = set(given)
    level = levels(rules)
    assert level is not None
    for phase in range(max(level.values(), default=0) + 2):
        while True:
            new = {
                fact
                for rule in rules
                if any(_holds(option, facts, level, phase) for option in rule.when)
                for fact in rule.concludes
            } - facts
            if not new:
                break
            facts |= new
    firings = []
    for rule in rules:
        for number, option in enumerate(rule.when):
            if _holds(option, facts, level, len(level) + 9):
                firings.append(
                    Firing(rule.id, number, tuple((t, _smallest(t, facts)) for t in option))
                )
                break
    return Run(tuple(firings), frozenset(facts))


def _holds(option: tuple[Test, ...], facts: set[Fact], level: dict[str, int], phase: int) -> bool:
    for test in option:
        if isinstance(test, Missing):
            settled = level.get(test.key, -1) < phase
            if not settled or any(fact.key == test.key for fact in facts):
                return False
        elif not any(meets(test, fact) for fact in facts):
            return False
    return True


def _smallest(test: Test, facts: set[Fact]) -> Fact | None:
    met = [fact for fact in facts if meets(test, fact)]
    words = sorted((fact for fact in met if fact.word is not None), key=lambda f: str(f.word))
    numbers = sorted((fact for fact in met if fact.number is not None), key=lambda f: f.number or 0)
    return (words + numbers)[0] if met else None
