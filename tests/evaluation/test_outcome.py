"""What counts as right, first, in the first three and of the right stage."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from advisor.evaluation.cases import Expected, from_simulated
from advisor.evaluation.outcome import outcome
from tests.evaluation.known import Batch, case
from tests.reasoning.batches import inferred


def test_the_right_cause_first_is_right_throughout(small):
    """A batch whose fault comes first scores in every column, with the standing as probability."""
    came = outcome(small, case("too-mild", "cloudy", curd="weak", drop_test="flakes"))
    assert (came.named, came.verdict, came.stage) == ("too-mild", "cause", "acid")
    assert came.right is came.in_three is came.stage_right is True
    assert came.miss is None
    assert came.both_in_three is None
    answers = {"cloudy": "yes", "operation": "strip", "curd": "weak", "drop_test": "flakes"}
    told = {name: answers[name] for name in ("cloudy", "operation", *came.asked) if name in answers}
    assert came.probability is not None
    # The symptoms that were not named weigh as absent, so the two are only nearly alike.
    assert came.probability == pytest.approx(
        inferred(small, **told).standing["too-mild"], abs=0.1
    )
    assert came.log_all == pytest.approx(-math.log(came.probability))


def test_a_miss_shows_what_spoke_for_it(small):
    """A wrong cause first is a miss, with the rank of the truth and the heaviest lines of both."""
    came = outcome(small, case("too-short", "cloudy", curd="weak", drop_test="flakes"))
    assert came.right is False
    assert came.named == "too-mild"
    assert came.stage_right is False
    assert came.miss is not None
    assert came.miss.rank is not None
    assert came.miss.rank > 1
    assert dict(came.miss.answers).items() <= {"curd": "weak", "drop_test": "flakes"}.items() | {
        (name, "unknown") for name in came.asked
    }
    lines = [line for line, _ in came.miss.for_named]
    assert 1 <= len(lines) <= 3
    weights = [abs(weight) for _, weight in came.miss.for_named]
    assert weights == sorted(weights, reverse=True)


def test_another_cause_of_the_same_stage_is_right_by_stage_only(small):
    """The stage counts for itself: it is what the person changes."""
    known = case("too-short", "cloudy", curd="weak", drop_test="flakes")
    expected = Expected("x", frozenset(["too-short"]), frozenset(["acid"]), "cause")
    came = outcome(small, replace(known, expected=expected))
    assert (came.right, came.stage_right) == (False, True)


@pytest.mark.parametrize(
    ("verdict", "symptoms", "right"),
    [("discard", ("gassy",), True), ("discard", ("cloudy",), False), ("stop", ("gassy",), False)],
)
def test_a_batch_to_be_discarded_is_scored_by_its_verdict(small, verdict, symptoms, right):
    """Whatever cause stands first: discard is right or it is not, and no probability is judged."""
    batch = Batch(faults=("gone-off",), accept=("gone-off",), verdict=verdict, symptoms=symptoms)
    came = outcome(small, from_simulated(small, batch))
    assert came.right is right
    assert came.in_three is right
    assert came.probability is None
    assert came.brier_all is None
    assert came.effort is None


def test_a_false_alarm_is_wrong_in_every_column(small):
    """Advice to discard a batch that only lacks acid names no cause, in the first three neither."""
    came = outcome(small, case("too-mild", "gassy", "cloudy", curd="weak"))
    assert came.named == came.verdict == "discard"
    assert (came.right, came.in_three, came.stage_right) == (False, False, False)
    assert came.probability is None
    assert came.miss is not None
    assert came.miss.for_named == (("gas-is-growth", 0.0),)


def test_a_cause_can_stand_first_behind_a_verdict(small):
    """Where a verdict comes first, whether the cause behind it was right is told apart."""
    alarm = outcome(small, case("gone-off", "gassy"))
    assert (alarm.right, alarm.cause_first) == (False, True)
    other = outcome(small, case("too-mild", "gassy"))
    assert (other.right, other.cause_first) == (False, False)


def test_another_name_of_the_main_fault_counts_for_it():
    """Of two faults the main one may go by a twin's name; the second has only its own."""
    two = Expected("a + b", frozenset("axb"), faults=("a", "b"), twins=frozenset("ax"))
    assert two.both_among(["b", "x", "c"]) is True
    assert two.both_among(["a", "x", "c"]) is False
    assert two.both_together([("x",), ("c", "b")]) is False
    assert two.both_together([("x",), ("x", "b")]) is True
    one = Expected("a", frozenset("a"), faults=("a",))
    assert one.both_among(["a"]) is None
    assert one.both_together([("a",)]) is None


def test_a_twin_is_right_but_does_not_bear_out_the_probability(small):
    """Two names of one fault share its probability, so only its own name bears it out."""
    shown = {"symptoms": ("cloudy",), "answers": {"curd": "weak", "drop_test": "flakes"}}
    own = outcome(small, from_simulated(small, Batch(**shown)))
    assert (own.named, own.right, own.itself) == ("too-mild", True, True)
    twin = Batch(faults=("too-warm",), accept=("too-warm", "too-mild"), **shown)
    twin = outcome(small, from_simulated(small, twin))
    assert (twin.named, twin.right, twin.itself) == ("too-mild", True, False)
    assert twin.probability == own.probability


def test_of_two_faults_either_is_right_and_both_are_looked_for(small):
    """The first may be either; both in the first three is reported beside it."""
    batch = Batch(
        faults=("too-mild", "too-short"),
        symptoms=("cloudy", "bitter"),
        answers={"curd": "weak", "drop_test": "flakes"},
    )
    came = outcome(small, from_simulated(small, batch))
    assert came.right is True
    assert came.both_in_three is True
    assert came.both_together is True
    assert came.effort is None
    other = Batch(
        faults=("too-mild", "gone-off"), symptoms=("cloudy",), answers={"curd": "weak"}
    )
    came = outcome(small, from_simulated(small, other))
    assert (came.right, came.both_in_three, came.both_together) == (True, False, False)


def test_a_case_that_only_knows_its_stage_is_scored_by_stage(small):
    """Where no cause is known, right and first three stay open."""
    known = case("too-mild", "cloudy", curd="weak", drop_test="flakes")
    expected = Expected("stage acid", stages=frozenset(["acid"]))
    came = outcome(small, replace(known, expected=expected))
    assert (came.right, came.in_three, came.stage_right) == (None, None, True)
    assert came.probability is None


def test_questions_stop_at_the_limit(small):
    """No more is asked than allowed, and the outcome says why it ended."""
    came = outcome(small, case("too-mild", "cloudy"), limit=0)
    assert came.asked == ()
    assert came.stopped == "limit"
