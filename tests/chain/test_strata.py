"""Absence is settled in order, and rules that could never settle it are refused."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.chain import ChainRule, Fact, check_strata, compile_chain
from advisor.chain.strata import stratify
from advisor.errors import AdvisorError
from advisor.knowledge.conditions import Is, Known, Missing
from tests.chain import naive
from tests.chain.marks import BACKENDS_HERE

_KEYS = "abcdef"


@st.composite
def _any_rules(draw: st.DrawFn) -> list[ChainRule]:
    """Rules that may well go round in circles."""
    key = st.sampled_from(_KEYS)
    tests = st.lists(st.one_of(st.builds(Known, key), st.builds(Missing, key)), max_size=2)
    bodies = draw(st.lists(st.tuples(tests, st.lists(key, max_size=2)), max_size=8))
    return [
        ChainRule(f"r{n}", (tuple(tests),), tuple(Fact(k, "yes") for k in targets))
        for n, (tests, targets) in enumerate(bodies)
    ]


@settings(max_examples=400, deadline=None)
@given(_any_rules())
def test_rules_are_refused_exactly_when_no_levels_exist(rules: list[ChainRule]) -> None:
    """A circle through a missing key is found where relaxation of the levels never ends.

    Stratified programs: Apt, Blair & Walker, "Towards a theory of declarative knowledge",
    in Minker (ed.), Foundations of Deductive Databases, 1988 (from memory, not yet verified).
    """
    levels = naive.levels(rules)
    problems = check_strata(rules)
    assert bool(problems) == (levels is None)
    if levels is not None:
        assert dict(stratify(rules).level) == levels


@settings(max_examples=200, deadline=None)
@given(_any_rules())
def test_each_refusal_names_rules_that_do_form_the_circle(rules: list[ChainRule]) -> None:
    """Without the rule that a refusal points at, that very refusal is gone."""
    for problem in check_strata(rules):
        named = [rule for rule in rules if rule.id in problem.message.replace(",", " ").split()]
        assert problem.where.name in {rule.id for rule in named}
        assert naive.levels(named) is None


def test_the_refusal_names_every_rule_of_the_circle() -> None:
    """The error says which rules lead from a missing key back to that key."""
    rules = [
        ChainRule("guess-acid", ((Missing("acid"),),), (Fact("curd", "weak"),)),
        ChainRule("curd-to-haze", ((Is("curd", ("weak",)),),), (Fact("haze", "yes"),)),
        ChainRule("haze-to-acid", ((Is("haze", ("yes",)),),), (Fact("acid", "low"),)),
        ChainRule("aside", ((Is("haze", ("yes",)),),), (Fact("other", "yes"),)),
    ]
    with pytest.raises(AdvisorError) as caught:
        compile_chain(rules, "reference")
    said = str(caught.value)
    assert caught.value.code == "circle-through-missing"
    assert "guess-acid fires when acid is missing" in said
    assert "curd-to-haze, haze-to-acid" in said
    assert "aside" not in said


def test_a_rule_may_not_conclude_the_key_that_it_found_missing() -> None:
    """A rule whose own conclusion would undo its condition is refused by name."""
    rules = [ChainRule("default-milk", ((Missing("milk"),),), (Fact("milk", "whole"),))]
    with pytest.raises(AdvisorError, match="default-milk fires when milk is missing and itself"):
        compile_chain(rules, "reference")


def test_all_circles_are_reported_at_once() -> None:
    """Two separate circles give two problems."""
    rules = [ChainRule(f"r-{key}", ((Missing(key),),), (Fact(key, "yes"),)) for key in ("a", "b")]
    assert [problem.where.name for problem in check_strata(rules)] == ["r-a", "r-b"]


@pytest.mark.parametrize("backend", BACKENDS_HERE)
def test_absence_waits_for_every_rule_that_could_end_it(backend: str) -> None:
    """A key counts as missing only after the rules that conclude it had their turn."""
    rules = [
        ChainRule("fallback", ((Missing("b"),),), (Fact("c", "guessed"),)),
        ChainRule("second", ((Missing("c"),),), (Fact("d", "yes"),)),
        ChainRule("first", ((Known("a"),),), (Fact("b", "yes"),)),
    ]
    chain = compile_chain(rules, backend)
    assert [f.rule for f in chain.run([Fact("a", "1")]).firings] == ["second", "first"]
    assert [f.rule for f in chain.run([]).firings] == ["fallback"]
    assert [f.rule for f in chain.run([Fact("c", "told"), Fact("b", "no")]).firings] == []


@pytest.mark.parametrize("backend", BACKENDS_HERE)
@pytest.mark.parametrize("word", ["unknown", "not-now"])
def test_an_answer_without_a_value_is_neither_known_nor_missing(backend: str, word: str) -> None:
    """ "Don't know" and "not now" were said, so the key is not missing, but has no value."""
    rules = [
        ChainRule("known", ((Known("x"),),)),
        ChainRule("missing", ((Missing("x"),),)),
        ChainRule("said", ((Is("x", (word,)),),)),
    ]
    chain = compile_chain(rules, backend)
    assert [f.rule for f in chain.run([Fact("x", word)]).firings] == ["said"]
    assert [f.rule for f in chain.run([]).firings] == ["missing"]
    assert [f.rule for f in chain.run([Fact("x", "no")]).firings] == ["known"]


def test_a_long_chain_of_rules_is_no_trouble() -> None:
    """Ten thousand rules in a row are levelled and run without a deep recursion."""
    rules = [
        ChainRule(f"r{n}", ((Known(f"k{n}"),),), (Fact(f"k{n + 1}", "yes"),)) for n in range(10_000)
    ]
    Random(0).shuffle(rules)
    run = compile_chain(rules, "reference").run([Fact("k0", "yes")])
    assert len(run.firings) == 10_000
