"""Explanations: the right facts behind each test, and never in a circle."""

from __future__ import annotations

from random import Random

import pytest

from advisor.chain import ChainRule, Fact, Firing, Run, compile_chain
from advisor.knowledge.conditions import InRange, Is, Known, Missing
from tests.chain import naive
from tests.chain.marks import BACKENDS_HERE
from tests.strategies import random_base


def _rests_in_a_circle(run: Run, rules: list[ChainRule], given: list[Fact]) -> bool:
    """Whether some firing cannot be traced back to what was given."""
    traced = set(given)
    waiting = list(run.firings)
    while waiting:
        ready = [f for f in waiting if all(s is None or s in traced for _, s in f.supports)]
        if not ready:
            return True
        ids = {f.rule for f in ready}
        traced.update(fact for rule in rules if rule.id in ids for fact in rule.concludes)
        waiting = [f for f in waiting if f not in ready]
    return False


def test_every_support_meets_its_test_and_ends_at_what_was_given() -> None:
    """On 1 500 random bases, loops included, each support is real and none goes round."""
    loops = 0
    for seed in range(1500):
        rng = Random(seed)
        rules, several = random_base(rng, rng.randint(2, 14))
        by_id = {rule.id: rule for rule in rules}
        loops += naive.has_loop(rules)
        chain = compile_chain(rules, "reference")
        for given in several:
            run = chain.run(given)
            for firing in run.firings:
                option = by_id[firing.rule].when[firing.alternative]
                assert tuple(test for test, _ in firing.supports) == option
                for test, fact in firing.supports:
                    if isinstance(test, Missing):
                        assert fact is None
                        assert not any(f.key == test.key for f in run.facts)
                    else:
                        assert fact in run.facts
                        assert naive.meets(test, fact)
            assert not _rests_in_a_circle(run, rules, given), f"seed {seed}"
    assert loops > 200


@pytest.mark.parametrize("backend", BACKENDS_HERE)
def test_a_rule_in_a_loop_does_not_rest_on_its_own_conclusion(backend: str) -> None:
    """A rule that was fired by one fact is not explained by a smaller one that it led to."""
    rules = [
        ChainRule("forth", ((Is("a", ("early", "late")),),), (Fact("b", "yes"),)),
        ChainRule("back", ((Is("b", ("yes",)),),), (Fact("a", "early"),)),
    ]
    forth, back = compile_chain(rules, backend).run([Fact("a", "late")]).firings
    assert forth.supports == ((rules[0].when[0][0], Fact("a", "late")),)
    assert back.supports == ((rules[1].when[0][0], Fact("b", "yes")),)


@pytest.mark.parametrize("backend", BACKENDS_HERE)
def test_the_first_alternative_that_holds_and_the_smallest_fact_are_named(backend: str) -> None:
    """Of several ways to fire, the explanation always picks the same one."""
    known, is_, range_ = Known("x"), Is("x", ("b", "c")), InRange("x", 1, None)
    rules = [ChainRule("r", ((Is("y", ("no",)),), (known, is_, range_)))]
    facts = [Fact("x", number=7), Fact("x", number=3), Fact("x", "c"), Fact("x", "b")]
    (firing,) = compile_chain(rules, backend).run(facts).firings
    assert firing == Firing(
        "r",
        1,
        ((known, Fact("x", "b")), (is_, Fact("x", "b")), (range_, Fact("x", number=3))),
    )


@pytest.mark.parametrize("backend", BACKENDS_HERE)
def test_a_test_that_stands_twice_is_explained_twice(backend: str) -> None:
    """An alternative that repeats a test still fires, and pairs every test in order."""
    test = Is("x", ("a",))
    (firing,) = (
        compile_chain([ChainRule("r", ((test, test),))], backend).run([Fact("x", "a")]).firings
    )
    assert firing.supports == ((test, Fact("x", "a")), (test, Fact("x", "a")))
