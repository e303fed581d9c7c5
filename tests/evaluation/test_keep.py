"""Simulated batches kept as case files: whole, or as they were asked."""

from __future__ import annotations

import pytest

from advisor.consult import Consultation, read_case
from advisor.consult.case import write_case
from advisor.evaluation.cases import from_simulated
from advisor.evaluation.keep import as_asked, whole_case
from advisor.evaluation.outcome import outcome
from tests.evaluation.known import Batch


def test_a_whole_batch_reads_back_as_itself(small, tmp_path):
    """Written as a case file it says that it is invented, what is true, and all that is known."""
    known = from_simulated(
        small,
        Batch(symptoms=("cloudy", "bitter"), answers={"curd": "weak", "temperature": "20 degC"}),
    )
    path = tmp_path / "seven.yaml"
    write_case(path, whole_case(small, known))
    again = read_case(path)
    assert again.invented
    assert "never existed" in again.story
    assert again.expect == {"cause": "too-mild", "verdict": "cause", "stage": "acid"}
    assert set(again.symptoms or ()) == {"cloudy", "bitter"}
    assert again.answers == {"operation": "strip", "curd": "weak", "temperature": "20 degC"}
    assert Consultation.from_case(small, again).advice.verdict.cause == "too-mild"


def test_what_nobody_would_be_asked_is_left_out(small, tmp_path):
    """The curd of a fat wash, symptoms beyond the list and unknown words do not spoil the file."""
    known = from_simulated(
        small,
        Batch(
            told={"operation": "fat-wash"},
            answers={"curd": "weak", "bitter": "yes", "drop_test": "glitter", "milk_kind": "skim"},
        ),
    )
    case = whole_case(small, known)
    assert case.answers == {"operation": "fat-wash", "milk_kind": "skim"}
    assert case.symptoms == ("cloudy",)
    path = tmp_path / "wash.yaml"
    write_case(path, case)
    assert Consultation.from_case(small, path).answers["milk_kind"].value == "skim"


@pytest.mark.parametrize("limit", [0, 1, 12])
def test_as_asked_gives_what_was_scored(small, tmp_path, limit):
    """Only what was told and asked is in the file, and it concludes with the same probability."""
    known = from_simulated(small, Batch(answers={"curd": "weak", "drop_test": "flakes"}))
    path = tmp_path / "asked.yaml"
    write_case(path, as_asked(small, known, limit=limit))
    came = outcome(small, known, limit=limit)
    again = Consultation.from_case(small, path)
    assert set(read_case(path).answers) == {"operation", *came.asked}
    assert again.inference.ranked[0] == came.named
    assert again.inference.standing[came.named] == pytest.approx(came.probability)


def test_several_truths_are_all_accepted(small):
    """Two faults give a file in which either is right, without a stage of its own."""
    two = whole_case(small, from_simulated(small, Batch(faults=("too-mild", "too-short"))))
    assert two.expect == {"among": ["too-mild", "too-short"], "verdict": "cause"}
    bad = whole_case(small, from_simulated(small, Batch(faults=("gone-off",), verdict="discard")))
    assert bad.expect == {"verdict": "discard"}
