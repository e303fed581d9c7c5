"""What the checks conclude is true of every set of answers that is tried against them."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from advisor.chain import ChainRule, compile_chain
from advisor.errors import Place
from advisor.evaluation.situations import Situation, known_from
from advisor.knowledge.audit import audit
from advisor.knowledge.audit.book import books
from advisor.knowledge.audit.logic import Implications, implies, overlap, possible, within
from advisor.knowledge.audit.reach import Reach
from advisor.knowledge.conditions import InRange, Is, Known, Missing
from advisor.knowledge.load import check_folders, load
from advisor.knowledge.model import Effect
from advisor.reasoning.answers import read_answer
from advisor.reasoning.infer import Engine
from tests.smallbase import changed, write_small
from tests.strategies import random_base

ENDS = (None, 0.0, 1.0, 2.0)
RANGES = [
    InRange("x", low, high, low_in, high_in)
    for low in ENDS
    for high in ENDS
    if not (low is None and high is None) and (low is None or high is None or low <= high)
    for low_in in (False, True)
    for high_in in (False, True)
]
NUMBERS = [n / 4 for n in range(-4, 13)]


def holds(when, situation) -> bool:
    """Whether a condition holds, test by test."""
    return any(all(situation.meets(test) for test in option) for option in when)


@pytest.mark.parametrize("one", RANGES, ids=str)
def test_ranges_are_compared_as_sets_of_numbers(one) -> None:
    """Inside and overlap agree with trying numbers on, between and beyond all limits."""
    mine = {n for n in NUMBERS if one.holds_number(n)}
    for two in RANGES:
        theirs = {n for n in NUMBERS if two.holds_number(n)}
        if mine and theirs:
            assert within(one, two) is (mine <= theirs), (one, two)
            assert overlap(one, two) is bool(mine & theirs), (one, two)


@pytest.mark.parametrize("seed", range(12))
def test_what_implies_another_holds_only_with_it(seed: int) -> None:
    """On random conditions and random facts no implication is ever broken, and the index
    finds exactly the pairs that comparing all with all finds."""
    rng = random.Random(seed)
    rules, facts = random_base(rng, 60, runs=40)
    whens = [rule.when for rule in rules if rule.when and all(rule.when)]
    by_index = set(Implications(whens).pairs())
    by_hand = {
        (i, j)
        for i in range(len(whens))
        for j in range(len(whens))
        if i != j and implies(whens[i], whens[j])
    }
    assert by_index == by_hand
    for each in facts:
        situation = Situation("", "case", known_from(each))
        for one, two in by_index:
            assert not holds(whens[one], situation) or holds(whens[two], situation)


def test_implications_are_found_at_all() -> None:
    """A narrower range, fewer words, a further test and any value of what must be known."""
    whens = [
        ((Is("a", ("x",)), InRange("n", 2.0, None)),),
        ((Is("a", ("x", "y")),),),
        ((InRange("n", 1.0, None),),),
        ((Known("n"),),),
        ((Missing("n"),),),
    ]
    assert set(Implications(whens).pairs()) == {(0, 1), (0, 2), (0, 3), (2, 3)}


@pytest.mark.parametrize(
    ("tests", "can"),
    [
        ((Is("a", ("x",)), Is("a", ("y",))), False),
        ((Is("a", ("x", "y")), Is("a", ("y",))), True),
        ((InRange("n", None, 1.0), InRange("n", 1.0, None)), False),
        ((InRange("n", None, 1.0, high_in=True), InRange("n", 1.0, None, low_in=True)), True),
        ((Known("n"), Missing("n")), False),
        ((Known("n"), Missing("m")), True),
    ],
)
def test_contradictions_are_seen(tests, can) -> None:
    """Tests that exclude each other cannot hold together."""
    assert possible(tests) is can


@pytest.mark.parametrize("which", ["small", "shipped"])
def test_a_rule_that_fires_was_held_to_be_reachable(which, small) -> None:
    """Whatever is answered at random, only rules that the check calls reachable fire."""
    base = small if which == "small" else load()
    reach = Reach.of(books(base)[0])
    engine = Engine(base, "reference")
    rng = random.Random(5)
    asked = [f for f in base.findings.values() if f.asked]
    fired = set()
    for _ in range(150):
        answers = {}
        for finding in rng.sample(asked, rng.randint(1, min(40, len(asked)))):
            raw: object = (
                rng.choice([*finding.words, "unknown", "not-now"])
                if finding.choices
                else rng.uniform(finding.low or 0.0, finding.high or 1.0)
            )
            name, answer = read_answer(base, finding.id, raw)
            answers[name] = answer
        fired |= {f.rule for f in engine.infer(answers).run.firings} & set(base.rules)
    assert fired
    assert fired <= reach.rules


def test_a_cause_that_can_never_be_first_never_is(tmp_path) -> None:
    """The cause that is kept down stands below the other on a thousand random sets of answers."""
    more = """\
causes:
  - {id: kept-down, title: Kept down, stage: contact, prior: rare, operations: [strip],
     because: It is., shows: {bitter: usually}, source: [practice]}
remedies:
  - {id: lift-it, title: Lift it, for: next-batch, stage: contact, cures: {kept-down: usually},
     do: Lift it., minutes: 1, source: [practice]}
"""
    base, problems = check_folders([write_small(tmp_path / "base", changed(more=more))])
    assert base is not None
    (told,) = [p for p in problems if p.code == "cause-never-first"]
    assert "kept-down can never stand above too-short" in told.message
    engine = Engine(base, "reference")
    rng = random.Random(9)
    asked = [f for f in base.findings.values() if f.asked and f.choices]
    for _ in range(1000):
        picked = rng.sample(asked, rng.randint(0, len(asked)))
        answers = dict(read_answer(base, f.id, rng.choice(f.words)) for f in picked)
        standing = engine.infer(answers).standing
        assert standing["kept-down"] < standing["too-short"]


def test_the_rules_that_choose_are_checked_like_the_others(small) -> None:
    """Two choosing rules that say the same are found under their own list."""
    rule = replace(
        small.rules["warm-mix"],
        id="choose-cool",
        effects=(Effect("prefer", "strip", 5.0), Effect("avoid", "strip", -2.0)),
        place=Place("choosing.yaml", 3, 5),
    )
    twin = replace(rule, id="choose-cold", place=Place("choosing.yaml", 9, 5))
    base = replace(
        small,
        choosing={"choose-cool": rule, "choose-cold": twin},
        brief_findings=small.findings,
        brief_figures=small.figures,
    )
    found = {(p.code, p.where.line) for p in audit(base)}
    assert ("rule-duplicate", 9) in found
    assert ("rule-contradicts-itself", 3) in found
    assert audit(small) == []


def test_many_rules_on_one_condition_cost_little(small) -> None:
    """Two thousand rules with one condition are compared by what they say, not all with all."""
    import time

    rule = small.rules["very-warm-mix"]
    many = {
        f"r{n}": replace(rule, id=f"r{n}", effects=(Effect("caution", f"c{n}"),))
        for n in range(2000)
    }
    (book,) = books(replace(small, rules=many))
    from advisor.knowledge.audit.between import between_problems
    from advisor.knowledge.audit.places import Places

    began = time.process_time()
    assert list(between_problems(book, Places(small))) == []
    assert time.process_time() - began < 5.0


def test_chained_conclusions_are_reached(small) -> None:
    """What a rule concludes counts as a value for the rules after it."""
    reach = Reach.of(books(small)[0])
    assert reach.words["haze_kind"] == {"casein", "fat"}
    cut = {k: r for k, r in small.rules.items() if k != "warm-mix"}
    short = Reach.of(books(replace(small, rules=cut))[0])
    assert short.words["haze_kind"] == {"casein"}
    assert "fat-haze" not in short.rules
    # The chain itself agrees: without the first rule the second cannot fire.
    lines = [ChainRule.of(line) for line in small.lines if line.id != "warm-mix"]
    answers = dict([read_answer(small, "temperature", 50.0), read_answer(small, "cloudy", "yes")])
    facts = Engine(small, "reference").infer(answers).facts.facts
    assert "fat-haze" not in {f.rule for f in compile_chain(lines, "reference").run(facts).firings}
