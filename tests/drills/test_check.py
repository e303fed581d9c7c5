"""The checker of scenarios: each fault is found, and the text as it stands has none."""

from __future__ import annotations

import pytest

from advisor.drills.check import check_scenario
from advisor.drills.scaffold import scaffold
from advisor.drills.scenario import scenario_from
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from tests.drills.stage import TEXT


def codes(text: str) -> set[str]:
    """The codes of what is found wrong in a text."""
    return {p.code for p in check_scenario(load(), scenario_from(text, "x.yaml"))}


def test_a_sound_scenario_has_no_problem():
    """The text that the others spoil is right itself."""
    assert codes(TEXT) == set()


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("Two papers and still milk", "TITLE, which gives nothing away", "not-filled-in"),
        ("acid_drop: flakes", "acid_dropp: flakes", "unknown-finding"),
        ("acid_drop: flakes", "acid_drop: sparks", "unknown-word"),
        ("operation: strip", "operation: boil", "unknown-word"),
        ("drink_strength: 22 %", "drink_strength: 220 %", "out-of-range"),
        ("[cloud_at_filter]", "[cloudy]", "unknown-symptom"),
        ("curd_feel: soft-web", "milk_kind: whole", "told-twice"),
        ("curd_feel: soft-web", "fat_mass: 100 g", "never-asked"),
        ("causes: [acid-short-casein-left]", "causes: [acid-short]", "unknown-cause"),
        ("accept: [acid-swamped]", "accept: [acid-swampd]", "unknown-cause"),
        ("accept: [acid-swamped]", "accept: [acid-short-casein-left]", "accepted-twice"),
        ("remedies: [add-acid-in-steps]", "remedies: [add-acid]", "unknown-remedy"),
        ("remedies: [add-acid-in-steps]", "remedies: [raise-strength-to-clear-oil]",
         "remedy-cures-nothing"),
        ("  remedies: [add-acid-in-steps]\n", "", "dose-of-nothing"),
        ("from: 6 ml, to: 20 ml", "from: 60 ml, to: 200 ml", "dose-off"),
        ("from: 6 ml, to: 20 ml", "from: 2 ml, to: 20 ml", "dose-too-wide"),
        ("from: 6 ml, to: 20 ml", "from: 2 l, to: 4 l", "dose-impossible"),
        ("say: [contains-milk]", "say: []", "safety-missing"),
        ("say: [contains-milk]", "say: [contains-milk, egg]", "safety-unfounded"),
        ("say: [contains-milk]", "say: [contains-mlk]", "unknown-caution"),
        ("verdict: cause\n  causes: [acid-short-casein-left]\n  accept: [acid-swamped]\n",
         "verdict: cause\n", "no-cause"),
        ("verdict: cause", "verdict: nothing-wrong", "cause-of-nothing"),
        ("verdict: cause", "verdict: discard", "not-solved"),
        ("acid_volume: 22 ml", "acid_volume: 60 ml", "not-solved"),
        ("bed-not-formed: Only", "acid-swamped: Only", "misconception-right"),
        ("bed-not-formed: Only", "bed-not-frmed: Only", "unknown-cause"),
        ("difficulty: easy", "difficulty: hard", "hard-without-herring"),
        ("invented: true\n", "", "neither-invented-nor-sourced"),
        ("teaching:\n", "teaching:\n  red_herrings: {torch: It glows.}\n", "herring-not-there"),
        ("solution:\n", "solution:\n  panel: {cause: {bed-not-formed: 6, acid-swamped: 1}}\n",
         "panel-disagrees"),
    ],
)  # fmt: skip
def test_a_fault_is_found(old, new, code):
    """Each way to spoil a scenario has a code of its own."""
    assert old in TEXT
    assert code in codes(TEXT.replace(old, new))


def test_a_scenario_that_cannot_be_solved_says_why():
    """The writer hears what the advisor thinks instead, and what it asked in vain."""
    enough = TEXT.replace("acid_volume: 22 ml", "acid_volume: 60 ml")
    bare = enough[: enough.index("hidden:")] + enough[enough.index("solution:") :]
    problems = check_scenario(load(), scenario_from(bare, "x.yaml"))
    unsolved = next(p for p in problems if p.code == "not-solved")
    assert "in front are" in unsolved.hint
    assert "Asked in vain" in unsolved.hint
    assert unsolved.where.line == bare[: bare.index("solution:")].count("\n") + 1


def test_a_missing_safety_statement_has_its_place():
    """Whoever left it out is led to the line."""
    text = TEXT.replace("say: [contains-milk]", "say: []")
    problems = check_scenario(load(), scenario_from(text, "x.yaml"))
    problem = next(p for p in problems if p.code == "safety-missing")
    assert "verdict" in problem.where.text or "say" in problem.where.text


@pytest.mark.parametrize(
    "cause", [None, "acid-short-casein-left", "bed-not-formed", "liquid-oil-fat", "yogurt-fines"]
)
def test_a_scaffold_can_be_read_as_it_is(cause):
    """What is written to be filled in has the right form from the start."""
    made = scenario_from(scaffold(load(), cause), "new.yaml")
    assert made.causes == (cause or "acid-short-casein-left",)
    problems = check_scenario(load(), made)
    wrong = {p.code for p in problems if p.severity == "error"}
    # What is left is for the writer: what it shows and what must be said.
    assert wrong <= {"not-solved", "safety-missing", "safety-unfounded", "not-filled-in"}
    # Each of them is led to by its line, also when a part of it was left.
    lines = scaffold(load(), cause).splitlines()
    places = {p.where.line for p in problems if p.code == "not-filled-in"}
    assert {lines[n - 1].split(":")[0].strip() for n in places} == {"title", "story", "note"}


def test_a_scaffold_of_no_cause_is_refused():
    """A misspelt cause gets a hint."""
    with pytest.raises(AdvisorError, match="did you mean bed-not-formed"):
        scaffold(load(), "bed-not-formd")
