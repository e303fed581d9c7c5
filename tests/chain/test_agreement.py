"""Every backend gives the same run; so do two evaluators that share no code with them."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings

from advisor.chain import ChainRule, Fact, Run, compile_chain
from advisor.knowledge.conditions import Missing
from tests.chain import naive
from tests.chain.clips import ClipsRules
from tests.chain.marks import BACKENDS_HERE, needs_clips, needs_durable
from tests.strategies import fact_sets, random_base, rule_bases

_PER_PART = 600
_PARTS = range(10)


def _values(run: Run) -> set[tuple[str, str | float | None]]:
    return {(f.key, f.word if f.number is None else float(f.number)) for f in run.facts}


@needs_durable
@pytest.mark.parametrize("part", _PARTS)
def test_durable_rules_and_reference_give_identical_runs(part: int) -> None:
    """On 6 000 random bases, two sets of facts each, both backends give equal runs."""
    firings = absences = 0
    for seed in range(part * _PER_PART, (part + 1) * _PER_PART):
        rng = Random(seed)
        rules, several = random_base(rng, rng.randint(1, 14))
        durable = compile_chain(rules, "durable-rules")
        reference = compile_chain(rules, "reference")
        for facts in several:
            run = durable.run(facts)
            assert run == reference.run(facts), f"seed {seed}"
            firings += len(run.firings)
            absences += any(isinstance(t, Missing) for f in run.firings for t, _ in f.supports)
    assert firings > _PER_PART  # the bases do exercise what is compared
    assert absences > _PER_PART / 10


@needs_durable
def test_durable_rules_and_reference_agree_on_bases_of_several_shares() -> None:
    """The same on bases of several hundred rules, which no single ruleset could hold."""
    for seed in range(6):
        rules, several = random_base(Random(seed), 700, runs=4)
        durable = compile_chain(rules, "durable-rules")
        reference = compile_chain(rules, "reference")
        for facts in several:
            assert durable.run(facts) == reference.run(facts), f"seed {seed}"


@pytest.mark.parametrize("part", _PARTS)
def test_reference_agrees_with_the_naive_evaluator(part: int) -> None:
    """The firings and facts are those that the meaning of the rules demands."""
    straight = 0
    for seed in range(part * _PER_PART, (part + 1) * _PER_PART):
        rng = Random(seed)
        rules, several = random_base(rng, rng.randint(1, 14))
        chain = compile_chain(rules, "reference")
        loops = naive.has_loop(rules)
        straight += not loops
        for facts in several:
            run, expected = chain.run(facts), naive.run(rules, facts)
            assert run.facts == expected.facts, f"seed {seed}"
            if loops:  # then alternatives and supports avoid circles; tested on their own
                assert [f.rule for f in run.firings] == [f.rule for f in expected.firings]
            else:
                assert run == expected, f"seed {seed}"
    assert straight > _PER_PART / 4


@needs_clips
@pytest.mark.parametrize("part", range(4))
def test_reference_agrees_with_clips(part: int) -> None:
    """CLIPS, through clipspy, fires the same rules and ends with the same facts."""
    for seed in range(part * 500, (part + 1) * 500):
        rng = Random(seed)
        rules, several = random_base(rng, rng.randint(1, 14))
        chain, clips = compile_chain(rules, "reference"), ClipsRules(rules)
        for facts in several:
            run = chain.run(facts)
            fired, values = clips.run(facts)
            assert fired == {f.rule for f in run.firings}, f"seed {seed}"
            assert values == _values(run), f"seed {seed}"


@pytest.mark.parametrize("backend", BACKENDS_HERE)
@settings(max_examples=150, deadline=None)
@given(rules=rule_bases(), facts=fact_sets())
def test_each_backend_agrees_with_the_naive_evaluator(
    backend: str, rules: list[ChainRule], facts: list[Fact]
) -> None:
    """The same law on bases that shrink to a small example when it is broken."""
    run = compile_chain(rules, backend).run(facts)
    expected = naive.run(rules, facts)
    assert run.facts == expected.facts
    assert [f.rule for f in run.firings] == [f.rule for f in expected.firings]


@pytest.mark.parametrize("backend", BACKENDS_HERE)
@settings(max_examples=50, deadline=None)
@given(rules=rule_bases(), facts=fact_sets())
def test_the_order_of_facts_does_not_matter(
    backend: str, rules: list[ChainRule], facts: list[Fact]
) -> None:
    """The same facts in another order, or told twice, give an equal run."""
    chain = compile_chain(rules, backend)
    assert chain.run(facts) == chain.run([*reversed(facts), *facts])
