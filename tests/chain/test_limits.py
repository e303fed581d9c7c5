"""The bounds of durable-rules: kept by cutting a base into shares, or told by name."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from advisor.chain import ChainRule, Fact, check_limits, compile_chain
from advisor.chain.limits import shares
from advisor.chain.program import Program
from advisor.errors import AdvisorError
from advisor.knowledge.conditions import InRange, Is, Known
from tests.chain.marks import needs_durable
from tests.strategies import random_base

_TOO_LONG = ChainRule("long", (tuple(Known(f"k{n}") for n in range(17)),))
_TOO_WIDE = ChainRule("wide", ((Is("x", tuple(f"w{n}" for n in range(31))),),))


def _crowded(rng: Random) -> list[ChainRule]:
    """A base with many rules on few conditions, ranges and keys."""
    rules = random_base(rng, 300)[0]
    rules += [
        ChainRule(f"range-{n}", ((InRange("x", n, rng.randint(n, 500)),),)) for n in range(150)
    ]
    rules += [ChainRule(f"word-{n}", ((Is("x", ("hub", f"w{n % 9}")),),)) for n in range(150)]
    rules += [ChainRule(f"key-{n}", ((Known(f"k{n}"), Known("hub")),)) for n in range(700)]
    return rules


def test_shares_hold_every_alternative_once_and_keep_the_measured_bounds() -> None:
    """Counted afresh, no share passes what version 2.0.28 was measured to hold."""
    for seed in range(3):
        program = Program(_crowded(Random(seed)))
        taken: list[int] = []
        for share in shares(program):
            taken += share
            keys, hanging, ranges = set(), Counter[object](), set()
            memberships = Counter[object]()
            for body in share:
                for number in set(program.bodies[body]):
                    test = program.tests[number]
                    keys.add(test.key)
                    if isinstance(test, Is):
                        hanging.update((test.key, word) for word in test.words)
                        if len(test.words) > 1:
                            memberships.update((test.key, word) for word in test.words)
                    else:
                        hanging[str(test)] += 1
                    if isinstance(test, InRange):
                        ranges.add(test)
            assert len(share) < 4096
            assert len(keys) < 511
            assert max(hanging.values()) < 255
            assert max(memberships.values(), default=0) < 64
            assert max(Counter(test.key for test in ranges).values(), default=0) <= 32
        assert len(taken) == len(set(taken))
        for body in set(range(len(program.bodies))).difference(taken):
            assert any(
                isinstance(t, InRange) and not any(map(t.holds_number, _probes(t)))
                for t in program.wording[body]
            )


def _probes(test: InRange) -> list[float]:
    ends = [end for end in (test.low, test.high) if end is not None]
    return [*ends, sum(ends) / len(ends) if ends else 0.0]


def test_an_alternative_beyond_the_bounds_is_reported_with_its_rule() -> None:
    """Too many tests or words in one place are problems that name the rule and the bound."""
    fine = ChainRule("fine", (tuple(Known(f"k{n}") for n in range(16)),))
    assert check_limits([fine]) == ()
    problems = check_limits([fine, _TOO_LONG, _TOO_WIDE])
    assert [(p.code, p.where.name) for p in problems] == [
        ("too-many-tests", "long"),
        ("too-many-words", "wide"),
    ]
    assert "17 tests; durable-rules takes 16" in problems[0].message


def test_a_test_that_stands_twice_counts_once() -> None:
    """Repeating a test does not use up the bound."""
    option = tuple(Known(f"k{n % 16}") for n in range(40))
    assert check_limits([ChainRule("r", (option,))]) == ()


@needs_durable
@pytest.mark.parametrize("rule", [_TOO_LONG, _TOO_WIDE], ids=lambda rule: str(rule.id))
def test_durable_rules_refuses_what_it_cannot_hold(rule: ChainRule) -> None:
    """Asked for by name, durable-rules is never silently replaced."""
    with pytest.raises(AdvisorError, match=rule.id):
        compile_chain([rule], "durable-rules")


@needs_durable
def test_the_default_falls_back_and_says_why() -> None:
    """Without a backend named, the reference backend runs such rules and its note says so."""
    chain = compile_chain([_TOO_LONG], "default")
    assert chain.name == "reference"
    assert "long" in chain.note
    assert len(chain.run([Fact(f"k{n}", "yes") for n in range(17)]).firings) == 1
