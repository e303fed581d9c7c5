"""Looking ahead gives exactly the difference between two whole runs."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings

from advisor.chain import (
    Chain,
    ChainRule,
    Change,
    Fact,
    Firing,
    LookAhead,
    compile_chain,
)
from advisor.errors import AdvisorError
from advisor.knowledge.conditions import Is, Known, Missing
from tests.chain import naive
from tests.strategies import fact_sets, random_base, rule_bases


def _difference(before: tuple[Firing, ...], after: tuple[Firing, ...]) -> Change:
    was, now = {f.rule for f in before}, {f.rule for f in after}
    return Change(
        tuple(f for f in after if f.rule not in was),
        tuple(f for f in before if f.rule not in now),
    )


def _by_two_runs(chain: Chain, facts: list[Fact], extra: list[Fact]) -> Change:
    return _difference(chain.run(facts).firings, chain.run([*facts, *extra]).firings)


@pytest.mark.parametrize("part", range(4))
def test_added_equals_the_difference_of_two_runs(part: int) -> None:
    """On 2 000 random bases, each single fact and each pair changes what two runs say."""
    gained = lost = 0
    for seed in range(part * 500, (part + 1) * 500):
        rng = Random(seed)
        rules, (facts, extra) = random_base(rng, rng.randint(1, 14))
        chain = compile_chain(rules, "reference")
        ahead = LookAhead(chain.reference, facts)
        assert ahead.run == chain.run(facts)
        for added in [[fact] for fact in extra] + [extra[:2], extra]:
            change = ahead.added(added)
            assert change == _by_two_runs(chain, facts, added), f"seed {seed}"
            gained += len(change.gained)
            lost += len(change.lost)
    assert gained > 500
    assert lost > 50


def test_added_agrees_with_the_naive_evaluator() -> None:
    """Where no rules loop, the slow evaluator names the same gains and losses."""
    compared = 0
    for seed in range(600):
        rng = Random(seed)
        rules, (facts, extra) = random_base(rng, rng.randint(1, 14))
        if naive.has_loop(rules):
            continue
        compared += 1
        expected = _difference(
            naive.run(rules, facts).firings, naive.run(rules, [*facts, *extra]).firings
        )
        ahead = LookAhead(compile_chain(rules, "reference").reference, facts)
        assert ahead.added(extra) == expected, f"seed {seed}"
    assert compared > 100


@settings(max_examples=200, deadline=None)
@given(rules=rule_bases(), facts=fact_sets(), extra=fact_sets())
def test_added_holds_for_any_rules(
    rules: list[ChainRule], facts: list[Fact], extra: list[Fact]
) -> None:
    """The same law on bases that shrink, and asking once does not change the next answer."""
    chain = compile_chain(rules, "reference")
    ahead = LookAhead(chain.reference, facts)
    expected = _by_two_runs(chain, facts, extra)
    assert ahead.added(extra) == expected
    assert ahead.added(extra) == expected


def test_conclusions_are_followed_without_a_whole_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """A gain that leads to further gains is found on the kept counts alone."""
    rules = [
        ChainRule("one", ((Is("a", ("yes",)), Is("z", ("yes",))),), (Fact("b", "yes"),)),
        ChainRule("two", ((Is("b", ("yes",)),),), (Fact("c", "yes"),)),
        ChainRule("three", ((Known("c"), Missing("q")),)),
        ChainRule("not-asked", ((Missing("a"),),)),
    ]
    ahead = LookAhead(compile_chain(rules, "reference").reference, [Fact("z", "yes")])
    monkeypatch.delattr(LookAhead, "_whole")
    change = ahead.added([Fact("a", "yes")])
    assert [f.rule for f in change.gained] == ["one", "two", "three"]
    assert [f.rule for f in change.lost] == ["not-asked"]


def test_a_lost_conclusion_takes_what_rested_on_it_along() -> None:
    """When a rule stops firing, so do the rules that needed what it concluded."""
    rules = [
        ChainRule("assume", ((Missing("a"),),), (Fact("b", "yes"),)),
        ChainRule("rest", ((Is("b", ("yes",)),),)),
        ChainRule("else", ((Missing("b"),),)),
    ]
    ahead = LookAhead(compile_chain(rules, "reference").reference, [])
    change = ahead.added([Fact("a", "no")])
    assert [f.rule for f in change.lost] == ["assume", "rest"]
    assert [f.rule for f in change.gained] == ["else"]


def test_a_rule_that_fires_otherwise_is_neither_gained_nor_lost() -> None:
    """A rule whose absence ends but whose other alternative now holds goes on firing."""
    rules = [ChainRule("r", ((Missing("a"),), (Is("a", ("yes",)),)))]
    ahead = LookAhead(compile_chain(rules, "reference").reference, [])
    assert ahead.added([Fact("a", "yes")]) == Change()
    assert [f.rule for f in ahead.added([Fact("a", "no")]).lost] == ["r"]


def test_a_fact_worked_out_before_counts_as_given_once_it_is_told() -> None:
    """In a loop, what was told stands behind a gain before what was worked out."""
    rules = [
        ChainRule("source", ((Is("l", ("go",)),),), (Fact("l", "on"), Fact("d", "a"))),
        ChainRule("gain", ((Is("d", ("a", "z")), Known("e")),), (Fact("d", "q"),)),
    ]
    chain = compile_chain(rules, "reference")
    facts, extra = [Fact("l", "go")], [Fact("d", "a"), Fact("d", "z"), Fact("e", "yes")]
    change = LookAhead(chain.reference, facts).added(extra)
    assert change == _by_two_runs(chain, facts, extra)
    assert change.gained[0].supports[0][1] == Fact("d", "a")


def test_a_malformed_candidate_is_refused() -> None:
    """A candidate that is no finite number is an error, not a silent nothing."""
    ahead = LookAhead(compile_chain([], "reference").reference, [])
    with pytest.raises(AdvisorError, match="not a finite number"):
        ahead.added([Fact("a", number=float("nan"))])
