"""Which rule, which alternative and which single test nothing exercises, and why.

A test counts as exercised in the sense of modified condition/decision coverage (Chilenski
JJ, Miller SP 1994, Software Engineering Journal 9(5), 193): in some situation the rule
fires by an alternative in which the test holds, and in some situation the rule does not
fire and this test alone keeps an alternative from holding.

The reasons are worked out from the situations at hand, never canned.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.evaluation.edges import near_miss
from advisor.evaluation.situations import Situation, case_situations, example_situations
from advisor.knowledge.conditions import Is, Missing

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from advisor.errors import Place
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Base, Line, Rule

__all__ = [
    "AlternativeCoverage",
    "Coverage",
    "LineCoverage",
    "RuleCoverage",
    "TestCoverage",
    "coverage",
    "unexercised",
]


@dataclass(frozen=True, slots=True)
class TestCoverage:
    """One test of a rule; ``why`` says what is missing, and is empty when nothing is."""

    __test__ = False  # it is no test of pytest's

    test: Test
    where: Place
    decides_true: bool  # some situation fires with it true
    decides_false: bool  # some situation fails only because of it
    why: str = ""
    near_miss: Mapping[str, str | float] | None = None  # an example that would show the rest
    idle_words: tuple[str, ...] = ()  # words of a list with which nothing fires the rule
    shown_by: tuple[str, ...] = ()  # what decides true and what decides false, one of each

    @property
    def exercised(self) -> bool:
        return self.decides_true and self.decides_false


@dataclass(frozen=True, slots=True)
class AlternativeCoverage:
    """One alternative of a rule."""

    tests: tuple[Test, ...]
    exercised: bool
    why: str = ""


@dataclass(frozen=True, slots=True)
class RuleCoverage:
    """A rule with what exercises it; ``why`` says why no case does."""

    rule: str
    where: Place
    examples: int  # that fire
    cases: tuple[str, ...]  # that fire, simulated ones among them
    why: str
    alternatives: tuple[AlternativeCoverage, ...]
    tests: tuple[TestCoverage, ...]


@dataclass(frozen=True, slots=True)
class LineCoverage:
    """A line of a table that no case fires."""

    line: str
    where: Place
    why: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """The whole."""

    rules: tuple[RuleCoverage, ...]
    lines: tuple[LineCoverage, ...]  # lines of tables that no case fires
    table_lines: int
    cases: int

    @property
    def alternatives(self) -> tuple[int, int]:
        """How many alternatives are exercised, of how many."""
        return _share(a.exercised for r in self.rules for a in r.alternatives)

    @property
    def tests(self) -> tuple[int, int]:
        """How many tests are exercised, of how many."""
        return _share(t.exercised for r in self.rules for t in r.tests)

    @property
    def words(self) -> tuple[int, int]:
        """How many words of lists some situation fires its rule with, of how many."""
        lists = [
            t for r in self.rules for t in r.tests if isinstance(t.test, Is) and t.test.words[1:]
        ]
        whole = sum(len(t.test.words) for t in lists if isinstance(t.test, Is))
        return whole - sum(len(t.idle_words) for t in lists), whole

    @property
    def fired(self) -> tuple[int, int]:
        """How many rules fire in a case, of how many."""
        return _share(bool(r.cases) for r in self.rules)


def _share(flags: Iterable[bool]) -> tuple[int, int]:
    listed = list(flags)
    return sum(listed), len(listed)


def coverage(base: Base, cases: Sequence[Situation], places: Places | None = None) -> Coverage:
    """Hold every rule against its examples and these cases."""
    rules = tuple(_rule(base, rule, cases, places) for rule in base.rules.values())
    tables = [line for line in base.lines if line.origin in ("shows", "outcome")]
    fired = {line for case in cases for line in case.fired}
    idle = tuple(
        LineCoverage(line.id, line.place, _why_not(line, cases))
        for line in tables
        if line.id not in fired
    )
    return Coverage(rules, idle if cases else (), len(tables), len(cases))


def unexercised(base: Base, places: Iterable[Path]) -> list[Problem]:
    """A note for each rule that no case of these files and folders fires."""
    cases = case_situations(base, places)
    return [
        Problem(
            "rule-unexercised",
            f"no case fires {rule.id}: {_why_not(rule, cases)}",
            rule.place,
            "write a case that brings it about",
            severity="note",
        )
        for rule in base.rules.values()
        if not any(rule.id in case.fired for case in cases)
    ]


def _rule(
    base: Base, rule: Rule, cases: Sequence[Situation], places: Places | None
) -> RuleCoverage:
    examples = list(example_situations(base, rule))
    tried = [*examples, *cases]
    holding = [[_holds(option, each) for option in rule.when] for each in tried]
    fired_by = tuple(each.name for each in cases if rule.id in each.fired)
    alternatives = tuple(
        AlternativeCoverage(
            option,
            any(held[number] for held in holding),
            "" if any(held[number] for held in holding) else _why_never(option, tried),
        )
        for number, option in enumerate(rule.when)
    )
    tests = dict.fromkeys(test for option in rule.when for test in option)
    return RuleCoverage(
        rule=rule.id,
        where=rule.place,
        examples=sum(any(held) for held in holding[: len(examples)]),
        cases=fired_by,
        why="" if fired_by or not cases else _why_not(rule, cases),
        alternatives=alternatives,
        tests=tuple(_test(base, rule, test, tried, holding, places) for test in tests),
    )


def _holds(option: Sequence[Test], situation: Situation) -> bool:
    return all(situation.meets(test) for test in option)


def _test(
    base: Base,
    rule: Rule,
    test: Test,
    tried: Sequence[Situation],
    holding: Sequence[Sequence[bool]],
    places: Places | None,
) -> TestCoverage:
    using = [n for n, option in enumerate(rule.when) if test in option]
    firing = [
        each for each, held in zip(tried, holding, strict=True) if any(held[n] for n in using)
    ]
    by_true = firing[0].name if firing else ""
    true, by_false = bool(firing), ""
    closest: tuple[int, str] | None = None
    for each, held in zip(tried, holding, strict=True):
        if any(held) or each.meets(test):
            continue
        failing = min(([t for t in rule.when[n] if not each.meets(t)] for n in using), key=len)
        if failing == [test]:
            by_false = by_false or each.name
        elif test.key in each.known and (closest is None or len(failing) < closest[0]):
            rest = [f"'{t}' ({_there(t, each)})" for t in failing if t != test]
            closest = (len(failing), f"{each.name}, where {' and '.join(rest)} fails too")
    alone = bool(by_false)
    why = ""
    if not true:
        why = _why_never(min((rule.when[n] for n in using), key=len), tried)
    elif not alone:
        why = _why_always(test, tried, "" if closest is None else closest[1])
    where = places.test("rules", rule.id, "when", test.key) if places else rule.place
    miss = _near_miss(base, rule, test, tried, holding) if true and not alone else None
    written = places.written("rules", rule.id, "when", test.key) if places else []
    # `{not: word}` stands for all other words, and nobody means each of them.
    listed = not written or any(isinstance(value, list) for value in written)
    idle = _idle_words(test, firing) if listed else ()
    shown_by = tuple(name for name in (by_true, by_false) if name)
    return TestCoverage(test, where, true, alone, why, miss, idle, shown_by)


def _idle_words(test: Test, firing: Sequence[Situation]) -> tuple[str, ...]:
    """Words of a list with which no situation fires the rule: one of them may be a slip."""
    if not isinstance(test, Is) or len(test.words) < 2:
        return ()
    given = {value for each in firing for value in each.known.get(test.key, ())}
    return tuple(word for word in test.words if word not in given)


def _near_miss(
    base: Base,
    rule: Rule,
    test: Test,
    tried: Sequence[Situation],
    holding: Sequence[Sequence[bool]],
) -> dict[str, str | float] | None:
    """A firing example changed so that this test alone keeps the rule from firing."""
    using = [n for n, option in enumerate(rule.when) if test in option]
    for each, held in zip(tried, holding, strict=True):
        if each.kind != "example" or not any(held[n] for n in using):
            continue
        firing = {key: values[0] for key, values in each.known.items()}
        made = near_miss(base, firing, test)
        if made is None:
            return None
        known = Situation("", "example", {key: (value,) for key, value in made.items()})
        if not any(_holds(option, known) for option in rule.when) and any(
            [t for t in rule.when[n] if not known.meets(t)] == [test] for n in using
        ):
            return made
    return None


def _why_always(test: Test, tried: Sequence[Situation], closest: str) -> str:
    """Why a test never decides against its rule."""
    telling = [each for each in tried if test.key in each.known]
    false = sum(not each.meets(test) for each in telling)
    if not false:
        return f"it holds wherever it is told: {_seen(test, tried)}"
    if closest:
        times = "once" if false == 1 else f"{false} times"
        return f"it is false {times} and never alone: closest is {closest}"
    return "whenever it is false the rule fires another way"


def _why_not(rule: Rule | Line, cases: Sequence[Situation]) -> str:
    """Why no case fires a rule or a line of a table."""
    if not cases:
        return "there are no cases"
    return _why_never(min(rule.when, key=lambda o: _unmet_everywhere(o, cases)), cases)


def _unmet_everywhere(option: Sequence[Test], tried: Sequence[Situation]) -> int:
    return sum(not any(each.meets(test) for each in tried) for test in option)


def _why_never(option: Sequence[Test], tried: Sequence[Situation]) -> str:
    """Why an alternative holds in none of these situations."""
    never = [test for test in option if not any(each.meets(test) for each in tried)]
    if never:
        return "; ".join(f"{_kind(tried)} meets '{test}': {_seen(test, tried)}" for test in never)
    closest = min(tried, key=lambda each: sum(not each.meets(t) for t in option))
    lacking = [test for test in option if not closest.meets(test)]
    return (
        f"each test is met somewhere, never all at once; closest is {closest.name}, which lacks "
        + " and ".join(f"'{test}' ({_there(test, closest)})" for test in lacking)
    )


def _kind(tried: Sequence[Situation]) -> str:
    kinds = {each.kind for each in tried}
    if kinds <= {"example"}:
        return "no example"
    return "no case" if "example" not in kinds else "no example or case"


def _seen(test: Test, tried: Sequence[Situation]) -> str:
    """What the situations say of a test's key."""
    telling = [each for each in tried if test.key in each.known]
    key = test.key.replace("_", " ")
    if not telling:
        return f"{key} is told in none of {len(tried)}"
    if isinstance(test, Missing):
        return f"{key} is told in every one of {len(tried)}"
    words = Counter(
        value for each in telling for value in each.known[test.key] if isinstance(value, str)
    )
    numbers = [
        value for each in telling for value in each.known[test.key] if not isinstance(value, str)
    ]
    said = [f"{word} {count} times" if count > 1 else word for word, count in words.most_common(4)]
    if numbers:
        low, high = min(numbers), max(numbers)
        said.append(f"{low:g}" if low == high else f"{low:g} to {high:g}")
    return f"{key} is told in {len(telling)} of {len(tried)}, as {', '.join(said)}"


def _there(test: Test, situation: Situation) -> str:
    values = situation.known.get(test.key, ())
    if not values:
        return "not told there"
    return "there " + ", ".join(v if isinstance(v, str) else f"{v:g}" for v in values)
