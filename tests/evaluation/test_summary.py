"""Every number of a report on outcomes whose scores can be worked out by hand."""

from __future__ import annotations

import math

import pytest

from advisor.evaluation.effort import Effort
from advisor.evaluation.summary import confusions, rows_by, summarize
from tests.evaluation.known import came_out

WRONG = came_out(
    true="b",
    faults=("b",),
    true_stages=("milk",),
    named="a",
    right=False,
    in_three=True,
    cause_first=False,
    itself=False,
    stage_right=False,
    symptoms=("cloudy", "bitter"),
    asked=("x", "y", "z"),
    stopped="limit",
    probability=0.6,
    brier_all=0.8,
    log_all=1.2,
)
RIGHT = came_out(asked=("x",), probability=0.9, brier_all=0.02, log_all=0.1)
OPEN = came_out(
    named="not-listed", verdict="open", right=False, in_three=False, stage_right=False,
    cause_first=False, itself=False,
    asked=("x", "y"), stopped="nothing-left", probability=0.4, brier_all=1.0, log_all=2.0,
)  # fmt: skip
DISCARD = came_out(
    true="discard", faults=(), true_stages=(), expected_verdict="discard", named="discard",
    verdict="discard", stage="", stage_right=None, stopped="verdict", cause_first=None,
)  # fmt: skip
OVERLOOKED = came_out(
    true="stop", faults=(), true_stages=(), expected_verdict="stop", named="a",
    right=False, in_three=False, stage_right=None, cause_first=None,
)  # fmt: skip
ALARM = came_out(
    named="discard", verdict="discard", right=False, in_three=False, stage_right=False,
    cause_first=None,
)  # fmt: skip
ALL = [RIGHT, WRONG, OPEN, DISCARD, OVERLOOKED, ALARM]


def test_shares_count_the_cases_they_are_about():
    """Right, in three, stage, verdicts, open, named, missed hazards, false alarms: by hand."""
    made = summarize(ALL)
    assert made.n == 6
    counts = {
        name: (getattr(made, name).right, getattr(made, name).of)
        for name in (
            "top1", "top3", "stage", "cause_first", "both", "together", "by_verdict", "open",
            "named", "hazards_missed", "false_alarms", "at_limit",
        )
    }  # fmt: skip
    assert counts == {
        "top1": (2, 6),
        "top3": (3, 6),
        "stage": (1, 4),
        "cause_first": (1, 3),
        "both": (0, 0),
        "together": (0, 0),
        "by_verdict": (1, 2),
        "open": (1, 4),
        "named": (1, 2),
        "hazards_missed": (1, 2),
        "false_alarms": (1, 4),
        "at_limit": (1, 6),
    }


def test_questions_are_counted():
    """Of 1, 3, 2, 0, 0 and 0 questions the median is a half and 95 % need at most three."""
    made = summarize(ALL)
    assert made.questions == 0.5
    assert made.questions95 == 3
    assert made.recipe == 1
    assert dict(made.stopped) == {"limit": 1, "nothing-left": 1, "sure": 3, "verdict": 1}


def test_forecasts_are_scored_over_those_that_were_made():
    """.9 right, .6 and .4 wrong: Brier (.01 + .36 + .16) / 3, log -(ln .9 + ln .4 + ln .6) / 3."""
    made = summarize(ALL).forecasts
    assert made is not None
    assert made.n == 3
    assert made.brier == pytest.approx(0.53 / 3)
    assert made.log == pytest.approx(-(math.log(0.9) + math.log(0.4) + math.log(0.6)) / 3)
    assert made.brier_all == pytest.approx((0.02 + 0.8 + 1.0) / 3)
    assert made.log_all == pytest.approx((0.1 + 1.2 + 2.0) / 3)
    assert made.calibration_error == pytest.approx((0.1 + 0.6 + 0.4) / 3)
    assert [b.n for b in made.table] == [0, 0, 0, 0, 1, 0, 1, 0, 0, 1]
    assert summarize([DISCARD]).forecasts is None


def test_minutes_are_means_over_what_can_be_cured():
    """Two batches of 10 and 30 minutes take 20 on average; one without a cure is counted apart."""
    one = came_out(effort=Effort(3, 10.0, 12.0, 20.0, 8.0, 0.8, 0.1), probability=0.9)
    two = came_out(effort=Effort(2, 30.0, 28.0, 40.0, 22.0, 0.4, 0.3), probability=0.9)
    hopeless = came_out(probability=0.9)
    made = summarize([one, two, hopeless]).minutes
    assert made is not None
    assert (made.n, made.no_cure) == (2, 1)
    assert (made.advised, made.likely_first, made.at_random, made.knowing) == (20, 20, 30, 15)
    assert made.first_cures == pytest.approx(0.6)
    assert made.uncured == pytest.approx(0.2)
    assert summarize([hopeless]).minutes is None


def test_two_faults_in_the_first_three():
    """Only batches with two faults are asked for both."""
    two = [
        came_out(both_in_three=True, both_together=True),
        came_out(both_in_three=False, both_together=True),
        came_out(),
    ]
    made = summarize(two)
    assert (made.both.right, made.both.of) == (1, 2)
    assert (made.together.right, made.together.of) == (2, 2)


def test_nothing_gives_no_numbers():
    """A summary of no outcomes holds no share and no median, and does not fail."""
    made = summarize([])
    assert (made.n, made.top1.share, made.questions, made.forecasts) == (0, None, None, None)


def test_confusions_are_counted_most_common_first():
    """Pairs with how often, and how often the stage was right all the same; names break ties."""
    near = came_out(true="b", named="a", right=False, stage_right=True)
    other = came_out(true="c", named="a", right=False, stage_right=None)
    third = came_out(true="a", named="c", right=False, stage_right=False)
    found = confusions([WRONG, near, other, third, RIGHT])
    assert [(c.true, c.named, c.n, c.stage_right) for c in found] == [
        ("b", "a", 2, 1),
        ("a", "c", 1, 0),
        ("c", "a", 1, 0),
    ]


def test_tables_put_the_worst_first():
    """Rows count the cases that belong to them, with what was typically named instead."""
    rows = rows_by(ALL, "fault")
    assert [r.name for r in rows] == ["b", "stop", "a", "discard"]
    first = rows[0]
    assert (first.n, first.top1.right, first.top3.right, first.questions) == (1, 0, 1, 3)
    assert (first.instead, first.instead_n) == ("a", 1)
    assert first.probability == 0.6
    a = rows[2]
    assert (a.n, a.top1.right, a.instead, a.instead_n) == (3, 1, "discard", 1)
    assert a.probability == pytest.approx(0.65)


def test_a_case_counts_under_each_of_its_symptoms():
    """Two symptoms, two rows; stages and operations likewise."""
    rows = {r.name: (r.n, r.top1.right) for r in rows_by(ALL, "symptom")}
    assert rows == {"cloudy": (6, 2), "bitter": (1, 0)}
    assert {r.name: r.n for r in rows_by(ALL, "stage")} == {"acid": 3, "milk": 1}
    assert {r.name: r.n for r in rows_by(ALL, "operation")} == {"strip": 6}
    assert {r.name: r.n for r in rows_by(ALL, "questions")} == {" 0": 3, " 1": 1, " 2": 1, " 3": 1}
