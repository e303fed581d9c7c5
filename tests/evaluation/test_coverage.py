"""What nothing exercises is found, and the reason given is the true one."""

from __future__ import annotations

import json
from itertools import combinations

import pytest

from advisor.cli import main
from advisor.errors import AdvisorError
from advisor.evaluation.coverage import coverage, unexercised
from advisor.evaluation.situations import Situation, case_situations
from advisor.knowledge import load as loading
from advisor.knowledge.audit.places import Places
from advisor.knowledge.load import check_folders, load_written
from tests.smallbase import changed, write_small

MORE = """\
rules:
  - id: holed
    title: A rule with holes
    stage: milk
    when: {all: [{bitter: yes}, {cloudy: yes}, {drop_test: flakes}]}
    then: {suspect: {too-short: slight}}
    because: It is.
    source: [practice]
    examples:
      - {given: {bitter: yes, cloudy: yes, drop_test: flakes}, fires: true}
EXAMPLES"""
CASE = """\
title: Warm
invented: true
answers: {symptoms: [cloudy], temperature: 45 degC}
expect: {cause: too-warm}
"""


def built(tmp_path, examples: str):
    """The small base with one rule more."""
    text = MORE.replace("EXAMPLES", "".join(f"      - {e}\n" for e in examples.splitlines()))
    base, problems = check_folders([write_small(tmp_path / "base", changed(more=text))])
    assert base is not None
    assert [p for p in problems if p.severity == "error"] == []
    return base


def of(base, rule, cases=()):
    """The coverage of one rule."""
    return next(r for r in coverage(base, cases).rules if r.rule == rule)


def test_a_test_that_never_fails_is_reported_with_what_it_always_is(small) -> None:
    """Both examples give the same volume, so nothing shows that the volume matters."""
    rule = of(small, "weak-curd-means-mild")
    by = {t.test.key: t for t in rule.tests}
    assert by["curd"].exercised
    assert by["curd"].why == ""
    volume = by["mix_volume"]
    assert (volume.decides_true, volume.decides_false) == (True, False)
    assert volume.why == (
        "it holds wherever it is told: mix volume is told in 2 of 2, as 900"
    )


def test_a_test_that_never_fails_alone_names_its_companion(tmp_path) -> None:
    """An example that fails on two tests shows neither of them."""
    base = built(tmp_path, "{given: {bitter: no, cloudy: no, drop_test: flakes}, fires: false}")
    by = {t.test.key: t for t in of(base, "holed").tests}
    assert by["bitter"].why == (
        "it is false once and never alone: closest is example 2, where "
        "'cloudy is yes' (there no) fails too"
    )
    assert "'bitter is yes' (there no)" in by["cloudy"].why
    assert by["drop_test"].why.startswith("it holds wherever it is told")


@pytest.mark.parametrize("left_out", [None, 0, 1, 2])
def test_the_fewest_situations_are_one_more_than_the_tests(tmp_path, left_out) -> None:
    """A conjunction of n tests needs n + 1 situations, all true and each false alone.

    Chilenski JJ, Miller SP 1994, Software Engineering Journal 9(5), 193; Hayhurst KJ and others
    2001, NASA/TM-2001-210876, the AND gate.
    """
    whole = {"bitter": "yes", "cloudy": "yes", "drop_test": "flakes"}
    other = {"bitter": "no", "cloudy": "no", "drop_test": "clear"}
    keys = list(whole)
    examples = [
        "{given: {"
        + ", ".join(f"{k}: {other[k] if k == key else v}" for k, v in whole.items())
        + "}, fires: false}"
        for number, key in enumerate(keys)
        if number != left_out
    ]
    rule = of(built(tmp_path, "\n".join(examples)), "holed")
    wanted = {key: number != left_out for number, key in enumerate(keys)}
    assert {t.test.key: t.exercised for t in rule.tests} == wanted


def test_what_counts_is_independent_of_the_order_of_cases(tmp_path) -> None:
    """Coverage is a matter of which situations there are, not of their order."""
    base = built(tmp_path, "{given: {bitter: no}, fires: false}")
    cases = [
        Situation(f"c{n}", "case", dict.fromkeys(keys, ("yes",)))
        for n, keys in enumerate(combinations(("bitter", "cloudy", "gassy"), 2))
    ]
    one, two = coverage(base, cases), coverage(base, cases[::-1])
    assert one.tests == two.tests
    assert one.alternatives == two.alternatives


def test_an_alternative_without_an_example_says_what_is_not_told(tmp_path) -> None:
    """A branch that no example enters is named, with the finding that is never given."""
    text = MORE.replace(
        "{all: [{bitter: yes}, {cloudy: yes}, {drop_test: flakes}]}",
        "{any: [{bitter: yes}, {temperature: {above: 70}}]}",
    ).replace("EXAMPLES", "      - {given: {bitter: no}, fires: false}\n")
    base, _ = check_folders([write_small(tmp_path / "base", changed(more=text))])
    assert base is not None
    first, second = of(base, "holed").alternatives
    assert first.exercised
    assert not second.exercised
    assert second.why == (
        "no example meets 'temperature is above 70': temperature is told in none of 2"
    )


def test_cases_exercise_rules_and_tables(tmp_path, small) -> None:
    """A case fires what it fires; for all else the nearest thing to it is told."""
    folder = write_small(tmp_path / "cases", {"warm.yaml": CASE})
    cases = case_situations(small, [folder])
    found = coverage(small, cases)
    by = {r.rule: r for r in found.rules}
    assert by["warm-mix"].cases == ("warm",)
    assert by["fat-haze"].cases == ("warm",)
    assert by["very-warm-mix"].why == (
        "no case meets 'temperature is at least 60': temperature is told in 1 of 1, as 45"
    )
    assert by["weak-curd-means-mild"].why.startswith("no case meets 'curd is weak or none': ")
    assert found.fired == (2, len(small.rules))
    idle = {line.line: line.why for line in found.lines}
    assert "shows/cloudy=yes" not in idle
    assert idle["outcome/drop-test/1"] == (
        "no case meets 'drop test is flakes': drop test is told in none of 1"
    )


def test_tests_met_only_apart_name_the_closest_case(small) -> None:
    """When each test is met somewhere and never all together, the nearest case is named."""
    one = Situation("one", "case", {"temperature": (90.0,), "cloudy": ("no",)})
    two = Situation("two", "case", {"cloudy": ("yes",)})
    rule = of(small, "hot-and-cloudy-stop", [one, two])
    assert rule.why == (
        "each test is met somewhere, never all at once; closest is one, which lacks "
        "'cloudy is yes' (there no)"
    )


def test_rules_that_no_case_fires_are_noted(tmp_path, small) -> None:
    """``knowledge check --cases`` notes each rule that no case brings about."""
    folder = write_small(tmp_path / "cases", {"warm.yaml": CASE})
    notes = unexercised(small, [folder])
    assert {p.severity for p in notes} == {"note"}
    assert len(notes) == len(small.rules) - 2
    assert not any("warm-mix:" in p.message and "very" not in p.message for p in notes)
    assert all(p.where.line for p in notes)


@pytest.fixture
def shipped(tmp_path, monkeypatch):
    """The small base in the place of the shipped one."""
    folder = write_small(tmp_path / "shipped")
    monkeypatch.setattr(loading, "shipped_folder", lambda: folder)
    return folder


def test_the_command_gives_places_and_sums(shipped, tmp_path, capsys) -> None:
    """Every hole has file, line and column; the sums go to standard error."""
    cases = write_small(tmp_path / "cases", {"warm.yaml": CASE})
    assert main(["knowledge", "coverage", "--cases", str(cases)]) == 0
    out, err = capsys.readouterr()
    line = next(text for text in out.splitlines() if "'mix volume is below 1500' never" in text)
    assert line.startswith("knowledge/rules.yaml:5:")
    assert "'mix volume is below 1500' never decides: it holds wherever it is told: " in line
    assert "rules that fire in one of 1 cases: 2 of 8 (25%)" in err


def test_a_near_miss_is_suggested_where_one_is_missing(shipped, capsys) -> None:
    """The suggested example does not fire, and fails on the one test that it was made for."""
    base, _ = load_written()
    holes = [
        (r.rule, t)
        for r in coverage(base, []).rules
        for t in r.tests
        if t.decides_true and not t.decides_false
    ]
    assert holes
    for name, hole in holes:
        assert hole.near_miss is not None
        known = Situation("", "example", {k: (v,) for k, v in hole.near_miss.items()})
        (option,) = base.rules[name].when
        assert [t for t in option if not known.meets(t)] == [hole.test]
    assert main(["knowledge", "coverage", "--suggest"]) == 0
    out = capsys.readouterr().out
    assert "- {given: {curd: weak, mix_volume: 1500}, fires: false}" in out


def test_the_command_gives_json(shipped, capsys) -> None:
    """The same for a program, for one rule if asked."""
    assert main(["knowledge", "coverage", "--json", "--rule", "warm-mix"]) == 0
    data = json.loads(capsys.readouterr().out)
    (rule,) = data["rules"]
    assert rule["rule"] == "warm-mix"
    assert rule["tests"][0]["true_and_fires"] is True
    assert rule["tests"][0]["false_and_alone"] is True
    assert data["tests"]["of"] > data["tests"]["exercised"] > 0


def test_an_unknown_rule_is_met_with_the_nearest(shipped, capsys) -> None:
    """A slip in a rule's name is an error with advice."""
    assert main(["knowledge", "coverage", "--rule", "warm-mx"]) == 3
    assert "warm-mix" in capsys.readouterr().err


def test_a_bad_case_is_refused(small, tmp_path) -> None:
    """A case that does not fit the base is an error, not a hole."""
    folder = write_small(tmp_path / "cases", {"bad.yaml": CASE.replace("temperature", "tempera")})
    with pytest.raises(AdvisorError):
        case_situations(small, [folder])


def test_places_of_tests_are_exact(shipped) -> None:
    """With the files at hand a test's place is its own key, not its rule's first line."""
    base, gathered = load_written()
    rule = coverage(base, [], Places(base, gathered)).rules[0]
    for test in rule.tests:
        text, column = test.where.text, test.where.column
        assert text[column - 1 :].startswith(test.test.key)


LISTED = """\
rules:
  - id: listed
    title: A rule with a list
    stage: milk
    when: {WHEN, cloudy: yes}
    then: {suspect: {too-mild: slight}}
    because: It is.
    source: [practice]
    examples:
      - {given: {curd: weak, cloudy: yes}, fires: true}
      - {given: {curd: none, cloudy: no}, fires: false}
      - {given: {curd: firm, cloudy: yes}, fires: false}
"""


@pytest.mark.parametrize(
    ("when", "more", "idle"),
    [
        ("curd: [weak, none]", "", ("none",)),  # given, and the rule does not fire with it
        ("curd: [weak, none]", "      - {given: {curd: none, cloudy: yes}, fires: true}\n", ()),
        ("curd: weak", "", ()),
        ("curd: {not: firm}", "", ()),  # nobody means each of the other words
    ],
)
def test_a_word_of_a_list_that_fires_nothing_is_named(
    tmp_path, monkeypatch, capsys, when, more, idle
) -> None:
    """The test is exercised, and one of its words may still be a slip."""
    folder = write_small(tmp_path / "base", changed(more=LISTED.replace("WHEN", when) + more))
    monkeypatch.setattr(loading, "shipped_folder", lambda: folder)
    base, gathered = load_written()
    rule = next(
        r for r in coverage(base, [], Places(base, gathered)).rules if r.rule == "listed"
    )
    (test,) = [t for t in rule.tests if t.test.key == "curd"]
    assert test.exercised
    assert test.idle_words == idle
    assert main(["knowledge", "coverage"]) == 0
    out, err = capsys.readouterr()
    said = "listed: 'curd is weak or none': nothing fires it with none"
    assert (said in out) is bool(idle)
    assert "words of lists that fire their rule: " in err


def test_a_word_that_a_case_gives_is_no_idle_one(tmp_path) -> None:
    """A case counts like an example."""
    base, _ = check_folders(
        [
            write_small(
                tmp_path / "base", changed(more=LISTED.replace("WHEN", "curd: [weak, none]"))
            )
        ]
    )
    assert base is not None
    case = Situation("c", "case", {"curd": ("none",), "cloudy": ("yes",)})
    tests = {t.test.key: t for t in of(base, "listed", [case]).tests}
    assert tests["curd"].idle_words == ()
    assert {t.test.key: t for t in of(base, "listed").tests}["curd"].idle_words == ("none",)


def test_of_one_rule_it_is_said_what_exercises_it(shipped, tmp_path, capsys) -> None:
    """All is well with it, and by which examples and cases; no sums of the whole base."""
    cases = write_small(tmp_path / "cases", {"warm.yaml": CASE})
    assert main(["knowledge", "coverage", "--rule", "warm-mix", "--cases", str(cases)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    lines = out.splitlines()
    assert lines[0].endswith("warm-mix: every alternative and test is exercised")
    assert lines[1] == "  1 of its examples fires it, and 1 case (warm)"
    assert lines[2:] == [
        "  'temperature is at least 40': true in example 1, false alone in example 2"
    ]


def test_of_a_rule_with_a_hole_the_rest_is_said_too(shipped, capsys) -> None:
    """What is not exercised comes first, then what is."""
    assert main(["knowledge", "coverage", "--rule", "weak-curd-means-mild"]) == 0
    out = capsys.readouterr().out
    assert "every alternative" not in out
    assert "'mix volume is below 1500' never decides" in out
    assert "'curd is weak or none': true in example 1, false alone in example 2" in out
