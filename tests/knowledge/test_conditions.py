"""The condition language: what it means, what it refuses, and the laws of its flat form."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge.conditionread import ConditionReader, Vocabulary
from advisor.knowledge.conditions import (
    NOT_NOW,
    UNKNOWN,
    All,
    Alternatives,
    AnyOf,
    Condition,
    InRange,
    Is,
    Known,
    Missing,
    NoneOf,
    TooManyAlternatives,
    alternatives,
    keys_of,
)
from advisor.knowledge.yamlread import read_yaml

if TYPE_CHECKING:
    from advisor.errors import Problem

WORDS = {"curd": ("firm", "weak", "none"), "cloudy": ("yes", "no")}


def read(written: str) -> tuple[Alternatives, list[Problem]]:
    vocabulary = Vocabulary()
    vocabulary.words.update(WORDS)
    vocabulary.units["volume"] = ("mL", 1.0, 20000.0)
    vocabulary.units["warmth"] = ("degC", -10.0, 100.0)
    problems: list[Problem] = []
    document = read_yaml(written, "k.yaml")
    flat = ConditionReader(document, vocabulary, problems).read(document.data, ())
    return flat, problems


def holds(flat: Alternatives, facts: dict[str, str | float]) -> bool:
    return any(all(_met(test, facts.get(test.key)) for test in option) for option in flat)


def _met(test: Is | InRange | Known | Missing, value: str | float | None) -> bool:
    if value is None:
        return isinstance(test, Missing)
    return test.holds_number(value) if isinstance(value, float) else test.holds_word(value)


@pytest.mark.parametrize(
    ("written", "true_for", "false_for"),
    [
        ("curd: weak", [{"curd": "weak"}], [{"curd": "firm"}, {}, {"curd": UNKNOWN}]),
        ("curd: [weak, none]", [{"curd": "none"}], [{"curd": "firm"}]),
        ("curd: {not: firm}", [{"curd": "weak"}], [{"curd": "firm"}, {}, {"curd": UNKNOWN}]),
        ("curd: {not: [firm, weak]}", [{"curd": "none"}], [{"curd": "weak"}, {}]),
        ("curd: known", [{"curd": "weak"}], [{}, {"curd": UNKNOWN}, {"curd": NOT_NOW}]),
        ("curd: missing", [{}], [{"curd": "weak"}, {"curd": UNKNOWN}]),
        ("curd: unknown", [{"curd": UNKNOWN}], [{}, {"curd": "weak"}, {"curd": NOT_NOW}]),
        ("curd: not-now", [{"curd": NOT_NOW}], [{}, {"curd": UNKNOWN}]),
        ("volume: {above: 200}", [{"volume": 200.1}], [{"volume": 200.0}, {}]),
        ("volume: {at_least: 200}", [{"volume": 200.0}], [{"volume": 199.9}]),
        ("volume: {below: 200}", [{"volume": 199.9}], [{"volume": 200.0}]),
        ("volume: {at_most: 200 ml}", [{"volume": 200.0}], [{"volume": 200.1}]),
        ("volume: {at_most: 0.2 L}", [{"volume": 200.0}], [{"volume": 200.1}]),
        ("volume: {above: 1, at_most: 2}", [{"volume": 2.0}], [{"volume": 1.0}, {"volume": 2.1}]),
        ("volume: known", [{"volume": 5.0}], [{}, {"volume": UNKNOWN}]),
        ("volume: unknown", [{"volume": UNKNOWN}], [{"volume": 5.0}]),
        ("{curd: weak, cloudy: yes}", [{"curd": "weak", "cloudy": "yes"}], [{"curd": "weak"}]),
        ("all: [{curd: weak}, {cloudy: yes}]", [{"curd": "weak", "cloudy": "yes"}], [{}]),
        ("any: [{curd: weak}, {cloudy: yes}]", [{"cloudy": "yes"}], [{"cloudy": "no"}]),
        ("none: [{curd: weak}, {cloudy: yes}]", [{"curd": "firm", "cloudy": "no"}], [{}]),
        ("none: [{curd: weak}]", [{"curd": "none"}], [{"curd": "weak"}, {"curd": UNKNOWN}]),
        ("none: [{volume: {above: 5}}]", [{"volume": 5.0}], [{"volume": 6.0}, {}]),
        (
            "{cloudy: yes, any: [{curd: weak}, {volume: {below: 9}}]}",
            [{"cloudy": "yes", "volume": 8.0}],
            [{"volume": 8.0}, {"cloudy": "yes", "volume": 9.0}],
        ),
    ],
)
def test_what_a_condition_means(
    written: str, true_for: list[dict[str, str | float]], false_for: list[dict[str, str | float]]
) -> None:
    """Each form holds where the knowledge format says so, and silence proves nothing."""
    flat, problems = read(written)
    assert problems == []
    for facts in true_for:
        assert holds(flat, facts), facts
    for facts in false_for:
        assert not holds(flat, facts), facts


@pytest.mark.parametrize(
    ("written", "code", "column", "said"),
    [
        ("crud: weak", "unknown-finding", 1, "did you mean curd"),
        ("curd: weka", "unknown-word", 7, "did you mean weak?"),
        ("curd: [firm, weka]", "unknown-word", 14, "did you mean weak?"),
        ("curd: {not: zzz}", "unknown-word", 13, "firm, weak, none"),
        ("cloudy: true", "unknown-word", 9, "write yes or no"),
        ("curd: []", "condition-form", 7, "empty list"),
        ("curd: {above: 5}", "condition-form", 7, "in words, not in numbers"),
        ("volume: 5", "condition-form", 9, "write a range"),
        ("volume: {than: 5}", "condition-form", 16, "the bounds are"),
        ("volume: {abov: 5}", "condition-form", 16, "did you mean above"),
        ("volume: {above: 5, at_least: 6}", "condition-form", 9, "keep one"),
        ("volume: {above: [5]}", "condition-form", 17, "not a number"),
        ("volume: {above: true}", "condition-form", 17, "not a number"),
        ("volume: {above: 20 g}", "unit-mismatch", 17, ""),
        ("volume: {above: plenty}", "unit-mismatch", 17, ""),
        ("volume: {above: 30000}", "threshold-outside-range", 17, "1 to 20000 mL"),
        ("warmth: {below: -11}", "threshold-outside-range", 17, "-10 to 100 degC"),
        ("volume: {above: 50 L}", "threshold-outside-range", 17, "1 to 20000 mL"),
        ("volume: {above: 6, below: 5}", "condition-never", 9, "above 6 and below 5"),
        ("volume: {above: 5, at_most: 5}", "condition-never", 9, ""),
        ("all: [{curd: weak}, {curd: firm}]", "condition-never", 1, ""),
        ("all: [{volume: {above: 6}}, {volume: {below: 5}}]", "condition-never", 1, ""),
        ("all: [{curd: missing}, {curd: weak}]", "condition-never", 1, ""),
        ("all: [{curd: known}, {curd: unknown}]", "condition-never", 1, ""),
        ("all: [{volume: unknown}, {volume: {above: 5}}]", "condition-never", 1, ""),
        ("curd: {not: [firm, weak, none]}", "condition-never", 1, ""),
        ("all: weak", "condition-form", 6, "needs a list"),
        ("any: []", "condition-form", 6, "needs a list"),
        ("[curd]", "condition-form", 1, "a mapping"),
        ("{}", "condition-form", 1, "a mapping"),
    ],
)
def test_what_a_condition_refuses(written: str, code: str, column: int, said: str) -> None:
    """Each fault is told with its code, its column and what could have been meant."""
    flat, problems = read(written)
    assert flat == ()
    assert [(p.code, p.where.column) for p in problems] == [(code, column)]
    assert said in str(problems[0])


def test_every_fault_of_a_condition_comes_at_once() -> None:
    """Two faults in one condition are both told."""
    _, problems = read("all: [{crud: weak}, {curd: weka}, {volume: 5}]")
    assert [p.code for p in problems] == ["unknown-finding", "unknown-word", "condition-form"]


def test_a_condition_that_nobody_could_check_is_refused() -> None:
    """Too many alternatives are refused, and quickly, however they are nested."""
    word = "{curd: [firm]}, {cloudy: yes}, {volume: {below: 9}}, {warmth: {above: 9}}"
    options = ", ".join(f"{{any: [{word}]}}" for _ in range(12))
    flat, problems = read(f"all: [{options}]")
    assert flat == ()
    assert [p.code for p in problems] == ["condition-too-wide"]


def test_a_test_prints_itself_as_the_sentence_shown() -> None:
    """Tests read as what a person would say."""
    flat, _ = read("{curd: [weak, none], volume: {above: 5, at_most: 9}, warmth: known}")
    assert [str(t) for t in flat[0]] == [
        "curd is weak or none",
        "volume is above 5 and at most 9",
        "warmth is known",
    ]


# Laws.

KEYS = ("curd", "cloudy", "volume")
_numbers = st.sampled_from([1.0, 2.0, 2.5, 3.0])
_bounds = st.none() | _numbers
_tests = st.one_of(
    st.sampled_from(["curd", "cloudy"]).flatmap(
        lambda key: st.lists(
            st.sampled_from((*WORDS[key], UNKNOWN, NOT_NOW)), min_size=1, max_size=3, unique=True
        ).map(lambda words: Is(key, tuple(words)))
    ),
    st.builds(InRange, st.just("volume"), _bounds, _bounds, st.booleans(), st.booleans()).filter(
        lambda t: (
            (t.low is not None or t.high is not None)
            and (t.low is None or t.high is None or t.low < t.high)
        )
    ),
    st.sampled_from(KEYS).map(Known),
    st.sampled_from(KEYS).map(Missing),
)


def _joined(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    parts = st.lists(inner, min_size=1, max_size=3).map(tuple)
    return st.builds(All, parts) | st.builds(AnyOf, parts) | st.builds(NoneOf, parts)


_conditions: st.SearchStrategy[Condition] = st.recursive(_tests, _joined, max_leaves=7)
_facts: st.SearchStrategy[dict[str, str | float]] = st.fixed_dictionaries(
    {},
    optional={
        "curd": st.sampled_from((*WORDS["curd"], UNKNOWN, NOT_NOW)),
        "cloudy": st.sampled_from((*WORDS["cloudy"], UNKNOWN, NOT_NOW)),
        "volume": _numbers | st.sampled_from((UNKNOWN, NOT_NOW)),
    },
)


def directly(condition: Condition, facts: dict[str, str | float], denied: bool = False) -> bool:
    """The meaning of a condition, written down without flattening anything.

    A denial needs an answer: of a test in words or numbers, one that is not "don't know".
    """
    if isinstance(condition, NoneOf):
        parts = [directly(p, facts, not denied) for p in condition.parts]
        return any(parts) if denied else all(parts)
    if isinstance(condition, All | AnyOf):
        parts = [directly(p, facts, denied) for p in condition.parts]
        return all(parts) if isinstance(condition, All) is not denied else any(parts)
    value = facts.get(condition.key)
    silent = value is None or value in (UNKNOWN, NOT_NOW)
    if not denied:
        return _met(condition, value)
    if isinstance(condition, Is | InRange):
        return not silent and not _met(condition, value)
    return silent if isinstance(condition, Known) else not silent


@given(_conditions, _facts)
def test_the_flat_form_means_the_same(condition: Condition, facts: dict[str, str | float]) -> None:
    """The alternatives of a condition hold exactly where the condition itself does."""
    try:
        flat = alternatives(condition, WORDS)
    except TooManyAlternatives:
        return
    assert holds(flat, facts) == directly(condition, facts)


@given(_conditions)
def test_every_alternative_can_be_met(condition: Condition) -> None:
    """No alternative contradicts itself: some answers meet each of them."""
    try:
        flat = alternatives(condition, WORDS)
    except TooManyAlternatives:
        return
    for option in flat:
        facts: dict[str, str | float] = {}
        for key in keys_of((option,)):
            tests = [t for t in option if t.key == key]
            values: list[str | float | None] = [None, UNKNOWN, NOT_NOW]
            values += [*WORDS[key]] if key in WORDS else [n / 4 for n in range(20)]
            met = [v for v in values if all(_met(t, v) for t in tests)]
            assert met, option
            if met[0] is not None:
                facts[key] = met[0]
        assert holds((option,), facts)


@given(_conditions)
def test_flattening_is_a_function_of_the_meaning(condition: Condition) -> None:
    """Saying a condition twice over changes nothing."""
    try:
        once = alternatives(condition, WORDS)
        twice = alternatives(AnyOf((condition, condition)), WORDS)
    except TooManyAlternatives:
        return
    assert once == twice
