"""Whole evaluations of the small base: repeatable, in any number of processes, with limits."""

from __future__ import annotations

import csv
import json
import multiprocessing
import pickle
import re
from dataclasses import replace

import jsonschema
import pytest

from advisor.cli.schema import schemas
from advisor.errors import AdvisorError
from advisor.evaluation import run
from advisor.evaluation.cases import from_simulated
from advisor.evaluation.conditions import CONDITIONS, UNDISTURBED
from advisor.evaluation.data import evaluation_data
from advisor.evaluation.evaluation import evaluate, measures, missed, read_limit
from advisor.evaluation.lines import evaluation_lines, miss_lines, table_lines
from advisor.evaluation.outcome import outcome
from advisor.evaluation.run import Settings, run_cases
from advisor.evaluation.summary import BY
from advisor.evaluation.tables import write_tables
from tests.evaluation.known import Batch, case


def cases(small) -> list:
    """Twelve known cases: right ones, a miss, a hazard, two faults."""
    mild = case("too-mild", "cloudy", curd="weak", drop_test="flakes", temperature="20 degC")
    short = case("too-short", "bitter", drop_test="clear", curd="firm")
    warm = case("too-warm", "cloudy", temperature="65 degC", drop_test="clear")
    wrong = case("too-short", "cloudy", curd="weak", drop_test="flakes")
    bad = from_simulated(
        small,
        Batch(seed=1, faults=("gone-off",), verdict="discard", symptoms=("gassy",), stage=""),
    )
    two = from_simulated(
        small, Batch(seed=2, faults=("too-mild", "too-short"), symptoms=("cloudy", "bitter"))
    )
    six = [mild, short, warm, wrong, bad, two]
    return [*six, *(replace(known, name=f"{known.name} again") for known in six)]


@pytest.fixture(scope="module")
def made(small):
    """One evaluation with every case disturbed."""
    return evaluate(small, cases(small), Settings(seed=3, disturb=1))


def test_the_numbers_are_those_of_the_cases(small, made):
    """Ten of twelve right by hand: only the two that deny what they show are missed."""
    assert (made.summary.top1.right, made.summary.top1.of) == (10, 12)
    assert [o.true for o in made.misses] == ["too-short", "too-short"]
    assert [(c.true, c.named, c.n) for c in made.confusions] == [("too-short", "too-mild", 2)]
    assert (made.summary.by_verdict.right, made.summary.by_verdict.of) == (2, 2)
    assert (made.summary.both.right, made.summary.both.of) == (2, 2)
    assert made.summary.forecasts is not None
    assert made.summary.forecasts.n == 10
    assert made.outcomes[0] == outcome(small, cases(small)[0], condition=UNDISTURBED)


def test_every_condition_stands_beside_the_same_cases_undisturbed(small, made):
    """All three disturbances are there, on as many cases; one in three disturbs a third."""
    assert [c.name for c in made.conditions] == [c for c in CONDITIONS if c != UNDISTURBED]
    for condition in made.conditions:
        assert condition.summary.n == condition.undisturbed.n == condition.unchanged.of == 12
        assert condition.undisturbed == made.summary
    third = evaluate(small, cases(small), Settings(seed=3, disturb=3))
    assert [c.summary.n for c in third.conditions] == [4, 4, 4]
    assert third.conditions[0].undisturbed.n == 4
    assert third.summary == made.summary
    assert {o.case for o in third.disturbed} == {c.name for c in cases(small)[::3]}
    plain = evaluate(small, cases(small), Settings(seed=3))
    assert plain.conditions == ()
    assert plain.outcomes == made.outcomes


def test_a_wrong_answer_is_worse_than_none(made):
    """On these cases, that hang on one or two answers, disturbance shows in the numbers."""
    wrong = next(c for c in made.conditions if c.name == "one-wrong-answer")
    assert wrong.summary.top1.right < wrong.undisturbed.top1.right
    assert wrong.unchanged.right < wrong.unchanged.of


def test_the_same_seed_gives_the_same_evaluation(small, made):
    """Run again, everything is equal to the last digit; another seed disturbs otherwise."""
    again = evaluate(small, cases(small), Settings(seed=3, disturb=1))
    assert again == made
    other = evaluate(small, cases(small), Settings(seed=4, disturb=1))
    assert other.outcomes == made.outcomes
    assert other.disturbed != made.disturbed


def test_a_case_is_disturbed_alike_whatever_runs_beside_it(small, made):
    """The disturbance of a case hangs on its name, not on its place in the list."""
    last = cases(small)[-1]
    alone = evaluate(small, [last], Settings(seed=3, disturb=1))
    assert alone.disturbed == made.disturbed[-3:]


def test_fresh_processes_change_nothing(small, made, monkeypatch):
    """Two processes that start afresh give what one gives, in order, and say how far they are.

    Processes that share what is ready are tried through the command, in a process of its own:
    the one that runs the tests may have threads.
    """
    monkeypatch.setattr(run, "_context", lambda: multiprocessing.get_context("spawn"))
    told = []
    found = run_cases(
        small,
        cases(small),
        Settings(seed=3, disturb=1),
        jobs=2,
        progress=lambda done, of: told.append((done, of)),
    )
    assert tuple(o for o in found if o.condition == UNDISTURBED) == made.outcomes
    assert tuple(o for o in found if o.condition != UNDISTURBED) == made.disturbed
    assert told == [(i, 12) for i in range(1, 13)]


def test_a_base_can_be_sent_to_another_process(small):
    """What a fresh process is given survives the journey."""
    again = pickle.loads(pickle.dumps(run._Runner(small, Settings(disturb=1))))  # noqa: S301
    assert again.base == small
    assert again.outcomes(0, cases(small)[0]) == run._Runner(small, Settings(disturb=1)).outcomes(
        0, cases(small)[0]
    )


def test_no_cases_is_an_error(small):
    """Nothing to evaluate is said, not scored."""
    with pytest.raises(AdvisorError, match="no case"):
        evaluate(small, [])


def test_data_fits_its_schema_and_can_be_written(small, made):
    """The JSON form meets the schema that ships, with no NaN in it, and names every part."""
    data = json.loads(json.dumps(evaluation_data(made, small), allow_nan=False))
    schema = schemas()["evaluation"]()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert data["summary"]["top1"]["share"] == pytest.approx(10 / 12, abs=1e-4)
    assert [c["name"] for c in data["conditions"]] == [c for c in CONDITIONS if c != UNDISTURBED]
    assert len(data["misses"]) == 2
    assert data["misses"][0]["named"] == "too-mild"
    assert set(data["by"]) == set(BY)
    poor = evaluate(small, cases(small)[4:5])
    jsonschema.validate(json.loads(json.dumps(evaluation_data(poor, small))), schema)


def test_the_schema_is_strict(small, made):
    """A share outside 0 to 1 or an unknown key does not pass."""
    schema = schemas()["evaluation"]()
    data = json.loads(json.dumps(evaluation_data(made, small)))
    data["summary"]["top1"]["share"] = 1.2
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema)
    data = json.loads(json.dumps(evaluation_data(made, small)))
    data["weather"] = "fine"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema)


def test_the_report_says_the_numbers(made):
    """A person reads the same numbers, with their intervals, and what was taken for what."""
    text = "\n".join(evaluation_lines(made))
    assert re.search(r"right cause or verdict first +10 +12 +83\.3 % +55\.2 to 95\.3", text)
    assert "4 simulated batches" in text
    assert "8 case files" in text
    assert "too-short -> too-mild" in text
    for condition in made.conditions:
        assert condition.means in text
    assert "BY STAGE" in text
    miss = "\n".join(miss_lines(made.misses[0]))
    assert "too-short -> too-mild" in miss
    assert "curd=weak" in miss
    assert " dB" in miss
    assert list(miss_lines(made.outcomes[0])) == []


@pytest.mark.parametrize("what", BY)
def test_every_table_can_be_shown(made, what):
    """Each table has a heading, a head and a line for each of its rows."""
    rows = made.by(what)
    lines = list(table_lines(what, rows))
    assert lines[0] == f"BY {what.upper()}"
    assert len(lines) == 2 + len(rows)
    assert sum(r.n for r in rows) >= 10


def test_tables_for_a_sheet(small, made, tmp_path):
    """CSV files hold a line for each case and condition, and numbers that read back."""
    written = write_tables(made, tmp_path / "out")
    assert {p.name for p in written} >= {"cases.csv", "confusions.csv", "reliability.csv"}
    with (tmp_path / "out" / "cases.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 12 * 4
    undisturbed = [r for r in rows if r["condition"] == UNDISTURBED]
    assert sum(r["right"] == "True" for r in undisturbed) == 10
    with (tmp_path / "out" / "by-fault.csv").open(newline="", encoding="utf-8") as file:
        by = {r["name"]: r for r in csv.DictReader(file)}
    assert (by["too-mild"]["n"], by["too-mild"]["top1_right"]) == ("2", "2")
    (tmp_path / "file").write_text("")
    with pytest.raises(AdvisorError, match="cannot be written"):
        write_tables(made, tmp_path / "file")


def test_limits_are_read_as_people_write_them():
    """A share may be a number or per cent; anything else is refused with an example."""
    assert read_limit("top1=0.85", "--at-least") == ("top1", 0.85)
    assert read_limit("top1=85%", "--at-least") == ("top1", 0.85)
    assert read_limit(" questions = 6 ", "--at-most") == ("questions", 6.0)
    for wrong in ("top1", "top1=", "top1=good", "top1=nan", "top1=-1", "top1=inf"):
        with pytest.raises(AdvisorError, match="NAME=NUMBER"):
            read_limit(wrong, "--at-least")


def test_limits_that_are_not_kept_are_named(made):
    """Below a floor or above a ceiling is said in words; on the limit is kept."""
    found = measures(made)
    assert found["top1"] == pytest.approx(10 / 12)
    assert missed(made, [("top1", 10 / 12)], [("questions", found["questions"])]) == ()
    said = missed(made, [("top1", 0.9), ("top3", 0.1)], [("brier", 0.0)])
    assert len(said) == 2
    assert said[0] == "top1 is 0.8333, below 0.9"
    assert said[1].startswith("brier is ")
    assert missed(made, [("one-wrong-answer.top1", 1.0)], []) != ()
    with pytest.raises(AdvisorError, match="no measure 'top2'"):
        missed(made, [("top2", 0.5)], [])
