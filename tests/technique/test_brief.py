"""Briefs: read, checked, refused when they cannot be true, and written back."""

from __future__ import annotations

import math
from contextlib import suppress
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge.load import load
from advisor.knowledge.yamlread import read_yaml
from advisor.technique.brief import (
    LISTS,
    brief_base,
    brief_from,
    brief_schema,
    finding_names,
    read_brief,
    write_brief,
)

BASE = load()
DEMO = Path(__file__).parent.parent.parent / "scenarios_demo" / "briefs"


def codes(refused: pytest.ExceptionInfo[ProblemsFound]) -> set[str]:
    """The codes of all problems found."""
    return {problem.code for problem in refused.value.problems}


def test_a_list_says_no_to_what_it_leaves_out():
    """Goals, limits, kit and what the drink holds are whole when given as lists."""
    brief = brief_from(
        BASE,
        {"goals": ["clear"], "limits": ["no_dairy"], "kit": ["paper"], "holds": ["has_citrus"]},
    )
    assert brief.goals == ("goal_clear",)
    assert brief.limits == ("no_dairy",)
    assert brief.word("kit_paper") == "yes"
    for left_out in ("goal_foam", "keep_colour", "kit_cloth", "has_pulp"):
        assert brief.word(left_out) == "no"


def test_one_goal_alone_says_that_the_others_are_not_wanted():
    """Somebody who names a goal has named what they want; limits stay open until told."""
    brief = brief_from(BASE, {"goal_foam": "yes"})
    assert brief.wants("foam")
    assert brief.wants("goal_foam")
    assert brief.word("goal_clear") == "no"
    assert brief.word("no_dairy") is None
    assert not brief.yes("no_dairy")


def test_silence_and_not_knowing_are_not_no():
    """What nobody said has no value, and "don't know" is kept as such."""
    brief = brief_from(BASE, {"goal_clear": "yes", "no_dairy": "?", "base_strength": "unknown"})
    assert brief.word("no_dairy") is None
    assert brief.answers["no_dairy"].status == "unknown"
    assert brief.number("base_strength") is None
    assert brief.number("base_sugar") is None


def test_amounts_are_read_in_any_unit():
    """People write proof, quarts, days and minutes; a brief keeps its own units."""
    brief = brief_from(
        BASE,
        {"base_strength": "80 proof", "batch_volume": "2 l", "time_limit": "90 min"},
    )
    assert brief.number("base_strength") == pytest.approx(40.0)  # US proof is twice the %vol
    assert brief.number("batch_volume") == pytest.approx(2000.0)
    assert brief.number("time_limit") == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("answers", "code", "said"),
    [
        ({"base_strength": "120 %"}, "out-of-range", "cannot be 120 %"),
        ({"base_strength": -1}, "out-of-range", "cannot be -1"),
        ({"batch_volume": 0}, "out-of-range", "cannot be 0"),
        ({"time_limit": "0 h"}, "out-of-range", "cannot be 0 h"),
        ({"serve_size": "0.2 ml"}, "out-of-range", "cannot be 0.2 ml"),
        ({"keep_wanted": 0}, "out-of-range", "cannot be 0"),
        ({"base_ph": 14}, "out-of-range", "cannot be 14"),
        ({"batch_volume": "a bucket"}, "quantity", "batch_volume"),
        ({"batch_volume": math.inf}, "quantity", "not an amount"),
        ({"base_kind": "soup"}, "unknown-word", "no answer"),
        ({"goals": ["palar"]}, "unknown-finding", "among the goals"),
        ({"goals": "clear"}, "answer-form", "a list"),
        ({"acid_drop": "flakes"}, "unknown-finding", "no finding"),
        ({"base_kind": ["spirit"]}, "answer-form", "single answer"),
    ],
)
def test_an_answer_that_is_none_is_refused(answers, code, said):
    """Nothing impossible gets in, and nothing is rounded to zero on the way."""
    with pytest.raises(ProblemsFound) as refused:
        brief_from(BASE, answers)
    assert codes(refused) == {code}
    assert said in str(refused.value)


def test_all_faults_come_at_once():
    """A brief with three faults is corrected once, not three times."""
    with pytest.raises(ProblemsFound) as refused:
        brief_from(BASE, {"base_strength": 99, "base_kind": "soup", "goals": ["palar"]})
    assert len(refused.value.problems) == 3


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        # 900 ml of alcohol and 400 g of sugar (0.62 ml a gram, sucrose 1.59 g/ml) in a litre.
        ({"base_strength": 90, "base_sugar": 400}, "cannot be in one drink"),
        # pH 2 is 10 mmol of hydrogen ions in a litre; without acid there is nothing to give them.
        ({"base_ph": 2, "base_acid": 0}, "cannot be with only 0 g of acid"),
        ({"base_acid_kind": "none", "base_acid": 5}, "nothing sour is in it"),
        ({"base_kind": "no-alcohol", "base_strength": 20}, "base_kind says no-alcohol"),
        ({"base_kind": "juice", "base_spirit": "gin"}, "base_spirit says gin"),
        ({"base_kind": "spirit", "base_spirit": "none"}, "says there is none"),
        # Regulation (EU) 2019/787, Art. 2(c): a spirit drink has at least 15 %vol.
        ({"base_kind": "spirit", "base_strength": 8}, "no spirit is that weak"),
        ({"serve_size": "500 ml", "batch_volume": "200 ml"}, "more than the whole batch"),
        ({"hands_on_limit": "8 h", "time_limit": "2 h"}, "do not fit"),
    ],
)
def test_what_cannot_be_true_together_is_refused(answers, said):
    """Two answers that exclude each other are named as such, with what to check."""
    with pytest.raises(ProblemsFound) as refused:
        brief_from(BASE, answers)
    assert said in str(refused.value)
    assert all(problem.hint for problem in refused.value.problems)


@pytest.mark.parametrize(
    "answers",
    [
        {"base_strength": 40, "base_sugar": 350},  # a strong liqueur
        {"base_ph": 2.3, "base_acid": 48},  # lemon juice, Penniston et al. 2008
        {"base_ph": 7, "base_acid": 0},
        {"base_kind": "spirit", "base_spirit": "liqueur", "base_strength": 12},
        {"base_kind": "juice", "base_spirit": "none", "base_strength": 0.5},
    ],
)
def test_what_can_be_true_is_let_in(answers):
    """Checks of sense refuse only what cannot be."""
    assert brief_from(BASE, answers).answers


def test_an_answer_given_twice_is_refused():
    """A limit in a list and by itself is told once."""
    with pytest.raises(ProblemsFound) as refused:
        brief_from(BASE, {"No Dairy": "yes", "no_dairy": "no"})
    assert codes(refused) == {"answer-twice"}


def test_a_fault_in_a_file_names_its_line(tmp_path):
    """file:line:column, the line itself, and the nearest right word."""
    path = tmp_path / "brief.yaml"
    path.write_text("brief:\n  goals: [clear]\n  base_kind: spirrit\n")
    with pytest.raises(ProblemsFound) as refused:
        read_brief(path, BASE)
    text = str(refused.value)
    assert f"{path}:3:" in text
    assert "did you mean spirit" in text


@pytest.mark.parametrize(
    "text",
    ["", "brief: []\n", "brief: {}\nmore: 1\n", "brief: {goals: {a: 1}}\n", "{", "brief: 5\n"],
)
def test_a_file_of_the_wrong_form_is_refused_in_words(tmp_path, text):
    """No form of file ends in anything but an error meant to be read."""
    path = tmp_path / "brief.yaml"
    path.write_text(text)
    with pytest.raises(AdvisorError) as refused:
        read_brief(path, BASE)
    assert str(path) in str(refused.value)


def test_a_brief_that_is_not_there_is_refused(tmp_path):
    """The name is in the message."""
    with pytest.raises(AdvisorError, match="cannot be read"):
        read_brief(tmp_path / "none.yaml", BASE)


@pytest.mark.parametrize("path", sorted(DEMO.glob("*.yaml")), ids=lambda p: p.stem)
def test_a_brief_is_written_back_as_it_was(path, tmp_path):
    """Saving loses nothing, and what is saved follows the published schema."""
    brief = read_brief(path, BASE)
    again = tmp_path / "again.yaml"
    write_brief(again, brief)
    back = read_brief(again, BASE)
    assert back.answers == brief.answers
    assert (back.title, back.story, back.invented) == (brief.title, brief.story, brief.invented)
    assert back.expect == brief.expect
    jsonschema.validate(read_yaml(again.read_bytes(), "again").data, brief_schema())


def test_a_brief_is_not_left_half_written(tmp_path):
    """A folder that is not there is refused, and nothing is left behind."""
    with pytest.raises(AdvisorError, match="cannot be saved"):
        write_brief(tmp_path / "none" / "brief.yaml", brief_from(BASE, {"goal_clear": "yes"}))
    assert not list(tmp_path.iterdir())


def test_lists_hold_what_their_names_say():
    """Every yes-no finding of a brief is in exactly one list, so that lists can be relied on."""
    in_lists = [name for kind in LISTS for name in finding_names(BASE, kind)]
    assert len(in_lists) == len(set(in_lists))
    flags = {k for k, f in brief_base(BASE).findings.items() if f.kind == "yes-no"}
    assert flags == set(in_lists)


def test_a_diagnosis_knows_nothing_of_briefs():
    """Findings, figures and rules of briefs are in no part that a diagnosis uses."""
    assert not any(f.group == "brief" for f in BASE.findings.values())
    own = {k for k, f in BASE.brief_findings.items() if f.group == "brief"}
    keys = {test.key for line in BASE.lines for option in line.when for test in option}
    assert not keys & own
    assert not keys & set(BASE.brief_figures)
    assert not set(BASE.choosing) & {line.id for line in BASE.lines}


_TEXT = st.text(max_size=12)
_WRITTEN = st.dictionaries(
    st.one_of(st.sampled_from(sorted(BASE.brief_findings)), _TEXT, st.sampled_from(sorted(LISTS))),
    st.one_of(
        _TEXT,
        st.floats(),
        st.integers(),
        st.booleans(),
        st.none(),
        st.lists(_TEXT, max_size=3),
        st.sampled_from(["yes", "no", "unknown", "1:4", "5 %", "none", "any"]),
    ),
    max_size=6,
)


@settings(max_examples=200, deadline=None)
@given(_WRITTEN)
def test_whatever_is_written_is_read_or_refused_in_words(written):
    """No answer ends in anything but a brief or an error meant to be read."""
    with suppress(AdvisorError):
        for answer in brief_from(BASE, written).answers.values():
            assert not isinstance(answer.value, float) or math.isfinite(answer.value)
