"""Rules against each other: what contradicts, and what it costs to find it among very many."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from advisor.knowledge.audit import between
from advisor.knowledge.audit.between import between_problems
from advisor.knowledge.audit.book import books
from advisor.knowledge.audit.logic import Implications, implies
from advisor.knowledge.audit.places import Places
from advisor.knowledge.conditions import InRange, Is, Known
from advisor.knowledge.model import Effect
from tests.knowledge.audit.laid import laid_over_small

RULE = """\
  - id: ID
    title: One of two
    stage: milk
    when: WHEN
    then: THEN
    because: It is.
    source: [practice]
    examples:
      - {given: {gassy: yes, cloudy: yes, temperature: 70, haze_kind: fat}, fires: true}
      - {given: {gassy: no}, fires: false}
"""


def rules(*several: tuple[str, str, str]) -> str:
    """Rules of an overlay from id, condition and what follows."""
    return "rules:\n" + "".join(
        RULE.replace("ID", name).replace("WHEN", when).replace("THEN", then)
        for name, when, then in several
    )


def told(tmp_path, monkeypatch, text: str, *codes: str) -> list[tuple[str, str, str]]:
    """Code, severity and line of what is found of these codes."""
    problems, lines = laid_over_small(tmp_path, monkeypatch, text)
    return [
        (p.code, p.severity, lines[p.where.line - 1].strip())
        for p in problems
        if p.code in codes and p.where.name.endswith("house.yaml")
    ]


CONTRADICTIONS = [
    # (first condition, what follows, second condition, what follows)
    ("{gassy: yes}", "{suspect: {too-warm: slight}}", "{doubt: {too-warm: decisive}}"),
    ("{gassy: yes}", "{conclude: {haze_kind: fat}}", "{conclude: {haze_kind: casein}}"),
    ("{gassy: yes}", "{verdict: stop}", "{verdict: nothing-wrong}"),
    ("{gassy: yes}", "{verdict: discard}", "{conclude: {verdict: nothing-wrong}}"),
]


@pytest.mark.parametrize(("when", "one", "two"), CONTRADICTIONS)
@pytest.mark.parametrize(
    "again", ["{gassy: yes}", "{any: [{gassy: yes}, {all: [{gassy: yes}, {cloudy: yes}]}]}"]
)
def test_one_condition_with_two_minds(tmp_path, monkeypatch, when, one, two, again) -> None:
    """Two rules on one condition, or on one written otherwise, may not exclude each other."""
    text = rules(("first", when, one), ("second", again, two))
    (found,) = told(tmp_path, monkeypatch, text, "rules-contradict")
    assert found == ("rules-contradict", "error", f"then: {two}")


@pytest.mark.parametrize(
    ("one", "two"),
    [
        ("{suspect: {too-warm: slight}}", "{doubt: {too-short: slight}}"),
        ("{conclude: {haze_kind: fat}}", "{conclude: {haze_kind: fat}, caution: [keep-cold]}"),
        ("{verdict: stop}", "{verdict: stop, suspect: {too-warm: slight}}"),
        ("{verdict: stop}", "{verdict: discard, suspect: {too-warm: slight}}"),
        ("{suspect: {too-warm: slight}}", "{suspect: {too-warm: moderate}}"),
    ],
)
def test_one_condition_with_one_mind(tmp_path, monkeypatch, one, two) -> None:
    """Different things said of different targets, or the same thing twice, exclude nothing."""
    text = rules(("first", "{gassy: yes}", one), ("second", "{gassy: yes}", two))
    assert told(tmp_path, monkeypatch, text, "rules-contradict") == []


@pytest.mark.parametrize(
    ("one", "two", "severity"),
    [
        ("{suspect: {too-warm: moderate}}", "{doubt: {too-warm: slight}}", None),
        ("{suspect: {too-warm: moderate}}", "{doubt: {too-warm: moderate}}", "note"),
        ("{conclude: {haze_kind: fat}}", "{conclude: {haze_kind: casein}}", "note"),
        ("{verdict: stop}", "{verdict: nothing-wrong}", "note"),
    ],
)
def test_an_exception_is_at_most_a_note(tmp_path, monkeypatch, one, two, severity) -> None:
    """A stricter rule may take back a part; that nothing is left of a wider one is noted."""
    text = rules(("wide", "{gassy: yes}", one), ("strict", "{gassy: yes, cloudy: yes}", two))
    found = told(tmp_path, monkeypatch, text, "rules-contradict")
    assert found == ([("rules-contradict", severity, f"then: {two}")] if severity else [])


def test_a_graver_verdict_is_an_exception_from_the_all_clear(tmp_path, monkeypatch) -> None:
    """Whatever clears a batch, a stricter rule may stop it: the graver verdict counts."""
    text = rules(
        ("wide", "{bitter: yes}", "{verdict: nothing-wrong}"),
        ("strict", "{bitter: yes, cloudy: yes}", "{verdict: stop}"),
    )
    assert told(tmp_path, monkeypatch, text, "rules-contradict") == []


def test_what_overlaps_only_now_and_then_is_left_alone(tmp_path, monkeypatch) -> None:
    """Two conditions that sometimes hold together are two pieces of evidence."""
    text = rules(
        ("first", "{gassy: yes, cloudy: yes}", "{suspect: {too-warm: moderate}}"),
        ("second", "{gassy: yes, haze_kind: fat}", "{doubt: {too-warm: moderate}}"),
    )
    assert told(tmp_path, monkeypatch, text, "rules-contradict") == []


def test_a_house_rule_against_a_shipped_one_is_told_where_the_house_wrote_it(
    tmp_path, monkeypatch
) -> None:
    """Though the shipped rule stands later or is the stricter of the two."""
    text = rules(("gas-is-growth", "{gassy: yes}", "{verdict: stop, caution: [keep-cold]}"))
    text += rules(
        ("wider", "{temperature: {above: 60}}", "{suspect: {too-warm: strong}}"),
        ("hot", "{temperature: {at_least: 60}}", "{doubt: {too-warm: slight}}"),
    ).removeprefix("rules:\n")
    found = told(tmp_path, monkeypatch, text, "rules-contradict", "rule-subsumed")
    assert ("rules-contradict", "error", "then: {doubt: {too-warm: slight}}") in found
    shipped = "{temperature: {at_least: 40}}"
    problems, lines = laid_over_small(
        tmp_path, monkeypatch, rules(("early", shipped, "{conclude: {haze_kind: fat}}"))
    )
    (subsumed,) = [p for p in problems if p.code == "rule-subsumed"]
    assert lines[subsumed.where.line - 1].strip() == "- id: early"


@pytest.mark.parametrize(
    ("one", "two", "contradict"),
    [
        (("prefer", 10.0), ("forbid", 0.0), True),
        (("forbid", 0.0), ("prefer", 2.0), True),
        (("avoid", -5.0), ("prefer", 10.0), True),
        (("avoid", -5.0), ("forbid", 0.0), False),
        (("prefer", 5.0), ("prefer", 10.0), False),
    ],
)
@pytest.mark.parametrize("apart", [True, False])
def test_a_technique_that_is_preferred_is_not_forbidden(small, one, two, contradict, apart) -> None:
    """On one condition, in two rules or in one."""
    effects = [Effect(kind, "strip", weight) for kind, weight in (one, two)]
    rule = replace(small.rules["warm-mix"], id="first", effects=(effects[0],), group="")
    twin = replace(rule, id="second", effects=(effects[1],))
    choosing = {"first": rule, "second": twin}
    if not apart:
        choosing = {"first": replace(rule, effects=tuple(effects))}
    base = replace(
        small,
        choosing=choosing,
        brief_findings=small.findings,
        brief_figures=small.figures,
    )
    found = {p.code for p in between_problems(books(base)[1], Places(base))}
    code = "rules-contradict" if apart else "rule-contradicts-itself"
    assert (code in found) is contradict


@pytest.mark.parametrize("seed", range(6))
def test_what_is_found_is_what_comparing_all_with_all_finds(small, seed) -> None:
    """The shortcuts leave no rule untold: the same rules are told of as by trying every pair."""
    rng = random.Random(seed)
    tests = [Is("a", ("x",)), Is("a", ("x", "y")), Known("a"), Is("b", ("z",))]
    tests += [InRange("n", low, None) for low in (1.0, 2.0)] + [InRange("n", 1.0, 3.0)]
    effects = [Effect("suspect", "c", 5.0), Effect("doubt", "c", -5.0), Effect("suspect", "d", 2.0)]
    effects += [Effect("conclude", "f", word=word) for word in ("p", "q")]
    some = {}
    for n in range(40):
        options = {tuple(rng.sample(tests, rng.randint(1, 3))) for _ in range(rng.randint(1, 2))}
        some[f"r{n}"] = replace(
            small.rules["fat-haze"],
            id=f"r{n}",
            when=tuple(sorted(options, key=str)),
            effects=tuple(rng.sample(effects, rng.randint(1, 2))),
            group=rng.choice(("", "one")),
        )
    (book,) = books(replace(small, rules=some))
    whole = {
        (p.code, p.severity, p.message.split()[0]) for p in between_problems(book, Places(small))
    }
    apart = set()
    listed = list(some.values())
    for at, stricter in enumerate(listed):
        for wider in listed:
            if wider is stricter or not implies(stricter.when, wider.when):
                continue
            same = implies(wider.when, stricter.when)
            if same and listed.index(wider) > at:
                continue
            one, two = (stricter.effects, stricter.group), (wider.effects, wider.group)
            for code, _, _ in between._relations(one, two, same):
                apart.add((code, stricter.id))
    assert apart
    codes = {"rule-duplicate", "rule-subsumed", "rule-counts-twice", "rules-contradict"}
    by_hand = {pair for pair in apart if pair[0] != "rule-counts-twice"}
    told_of = {(c, name) for c, _, name in whole if c in codes}
    assert {pair for pair in told_of if pair[0] != "rule-counts-twice"} == by_hand


@pytest.mark.parametrize("kind", ["nested", "apart", "same", "windows"])
def test_many_rules_on_one_quantity_are_not_compared_all_with_all(
    small, monkeypatch, kind
) -> None:
    """However the ranges of a thousand rules lie, each is held against a handful of others."""
    many = {}
    for n in range(1000):
        low, high = 4 + n / 1000, None
        if kind == "apart":
            high = low + 0.0005
        if kind == "windows":
            high = 6 + n / 2000
        if kind == "same":
            low = 4.0
        many[f"r{n}"] = replace(
            small.rules["very-warm-mix"],
            id=f"r{n}",
            when=((InRange("temperature", low, high),),),
            effects=(Effect("suspect", "too-warm", (2.0, 5.0, 10.0)[n % 3]),),
            group="",
        )
    compared = []
    plainly = Implications.implies
    monkeypatch.setattr(
        Implications,
        "implies",
        lambda self, one, two: compared.append(one) or plainly(self, one, two),
    )
    (book,) = books(replace(small, rules=many))
    found = list(between_problems(book, Places(small)))
    assert len(compared) < 20 * len(many)
    assert bool(found) is (kind in ("nested", "same"))
