"""Scenario files: their form, and what the batch in them answers."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.drills.check import check_scenario
from advisor.drills.places import shipped_scenarios
from advisor.drills.scenario import read_scenario, scenario_from
from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge.load import load
from tests.drills.stage import TEXT, scenario

SHIPPED = shipped_scenarios()


def test_there_are_enough_of_every_kind():
    """A class finds easy and hard ones, two faults, nothing wrong, discard, stop, look-alikes."""
    all_ = [read_scenario(path) for path in SHIPPED]
    assert len(all_) >= 25
    assert {s.difficulty for s in all_} == {"easy", "ordinary", "hard"}
    assert {s.verdict for s in all_} == {"cause", "discard", "stop", "nothing-wrong"}
    assert any(len(s.causes) == 2 for s in all_)
    assert sum("look-alike" in s.topics for s in all_) >= 6
    assert any(s.red_herrings for s in all_)
    assert len({s.name for s in all_}) == len(all_)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_a_shipped_scenario_is_fit_to_be_played(path):
    """The advisor itself solves every one, and each says that it is invented."""
    one = read_scenario(path)
    assert one.invented
    assert one.note
    assert "Cold Larder" in one.story
    # That an answer can no longer be asked for is a note: the base moves on under it.
    assert [p for p in check_scenario(load(), one) if p.code != "never-asked"] == []


def test_every_fault_of_the_form_is_told_at_once():
    """Somebody who writes a scenario sees all of its faults, each with its line."""
    text = (
        TEXT.replace("difficulty: easy", "difficulty: simple")
        .replace("verdict: cause", "verdict: fault")
        .replace("story:", "tale:")
    )
    with pytest.raises(ProblemsFound) as found:
        scenario_from(text, "bad.yaml")
    told = {(p.code, p.where.line) for p in found.value.problems}
    assert ("shape-word", 4) in told
    assert ("shape-unknown-key", 3) in told
    assert ("shape-missing-key", 1) in told
    assert any(code == "shape-word" and line > 20 for code, line in told)


@pytest.mark.parametrize(
    ("dose", "said"),
    [
        ("{of: juice, from: 20 ml, to: 6 ml}", "no range"),
        ("{of: juice, from: 6 ml, to: 2 g}", "no range"),
        ("{of: juice, from: '6', to: 20 ml}", "neither a volume nor a weight"),
        ("{of: juice, from: -6 ml, to: 20 ml}", "neither"),
    ],
)
def test_a_dose_that_is_no_amount_is_told(dose, said):
    """A range of amounts goes upwards, in one kind of unit, above nothing."""
    with pytest.raises(ProblemsFound) as found:
        scenario_from(TEXT.replace("{of: lemon juice, from: 6 ml, to: 20 ml}", dose), "x.yaml")
    assert said in str(found.value)


@pytest.mark.parametrize(
    "raw", [b"", b"\xff\xfe\x00", b"- a\n- b\n", b"title: [", b"a: &x 1\nb: *x"]
)
def test_rubbish_is_refused_with_a_sentence(raw):
    """Whatever is in the file, an error that says what is wrong comes out."""
    with pytest.raises(AdvisorError):
        scenario_from(raw, "rubbish.yaml")


def test_a_missing_file_is_told(tmp_path):
    """A name that leads nowhere ends in a sentence."""
    with pytest.raises(AdvisorError, match="cannot be read"):
        read_scenario(tmp_path / "nowhere.yaml")


@given(st.integers(0, 5), st.integers(0, 10_000))
@settings(max_examples=100)
def test_noise_hangs_on_seed_finding_and_attempt_alone(attempt, seed):
    """A class with one seed sees the same; a reading stays within what the file allows."""
    batch = scenario().batch
    reading = batch.answer("strip_ph", attempt, seed)
    assert reading == batch.answer("strip_ph", attempt, seed)
    assert abs(float(reading) - 5.1) <= 0.2 + 1e-9
    assert batch.answer("paper_test", attempt, seed) in ("cloudy-throughout", "clears-later")
    assert batch.answer("torch", attempt, seed) == "unknown"


def test_noise_comes_as_often_as_the_file_says():
    """Of 2000 looks a chance of .2 comes up within three deviations of 400."""
    batch = scenario().batch
    other = sum(batch.answer("paper_test", 0, seed) == "clears-later" for seed in range(2000))
    assert abs(other - 400) < 3 * (2000 * 0.2 * 0.8) ** 0.5
