"""The same rules in CLIPS, for a third opinion from an engine that shares no code.

CLIPS is the production system first written at NASA's Johnson Space Center; clipspy
binds it to Python. Absence becomes ``not``, with the salience of a rule falling with its
level, so that each level is finished before the next one asks what is missing (CLIPS
Basic Programming Guide, sections 5.4.10.1 on salience and 5.4.7 on ``not``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Known, Missing
from tests.chain import naive

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.chain import ChainRule, Fact
    from advisor.knowledge.conditions import Test

__all__ = ["ClipsRules"]


class ClipsRules:
    """Rules translated to CLIPS once and run many times."""

    def __init__(self, rules: Sequence[ChainRule]) -> None:
        import clips  # type: ignore[import-untyped]  # has no stubs

        self._env = clips.Environment()
        level = naive.levels(rules)
        assert level is not None
        self._ids = [rule.id for rule in rules]
        for number, rule in enumerate(rules):
            for option, tests in enumerate(rule.when):
                depth = max(
                    (level.get(t.key, -1) + isinstance(t, Missing) for t in tests), default=0
                )
                patterns = " ".join(_pattern(test) for test in tests)
                actions = " ".join(f"(assert {_fact(fact)})" for fact in rule.concludes)
                self._env.build(
                    f"(defrule r{number}-{option} (declare (salience {-depth})) (begin) {patterns} "
                    f"=> (assert (fired {number})) {actions})"
                )

    def run(self, facts: Iterable[Fact]) -> tuple[set[str], set[tuple[str, str | float]]]:
        """The ids of the rules that fired, and every fact as key and value."""
        self._env.eval("(retract *)")  # a reset leaks what clipspy still holds
        for fact in facts:
            self._env.assert_string(_fact(fact))
        self._env.assert_string("(begin)")
        self._env.run()
        fired: set[str] = set()
        found: set[tuple[str, str | float]] = set()
        for fact in self._env.facts():
            name, values = fact.template.name, list(fact)
            if name == "fired":
                fired.add(self._ids[values[0]])
            elif name == "f":
                found.add((values[0], values[2] if values[1] == "n" else str(values[2])))
        return fired, found


def _text(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _number(number: float) -> str:
    return repr(float(number))


def _fact(fact: Fact) -> str:
    if fact.number is not None:
        return f"(f {_text(fact.key)} n {_number(fact.number)})"
    return f"(f {_text(fact.key)} w {_text(str(fact.word))})"


def _pattern(test: Test) -> str:
    key = _text(test.key)
    if isinstance(test, Is):
        return f"(exists (f {key} w {'|'.join(_text(word) for word in test.words)}))"
    if isinstance(test, InRange):
        ends = []
        if test.low is not None:
            ends.append(f"({'>=' if test.low_in else '>'} ?x {_number(test.low)})")
        if test.high is not None:
            ends.append(f"({'<=' if test.high_in else '<'} ?x {_number(test.high)})")
        within = f"?x&:(and {' '.join(ends)} TRUE)" if ends else "?"
        return f"(exists (f {key} n {within}))"
    if isinstance(test, Known):
        value = f"?v&~{_text(UNKNOWN)}&~{_text(NOT_NOW)}"
        return f"(exists (or (f {key} n ?) (f {key} w {value})))"
    return f"(not (f {key} $?))"
