"""What is asked of every batch before the advice: once, at the end, whatever the cause."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from advisor.cli.diagnose import show
from advisor.consult import Consultation
from advisor.knowledge.load import check_folders, load
from tests.smallbase import changed, checked

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.consult import Question
    from advisor.knowledge.model import Base

GUESTS = """\
findings:
  - {id: guest_asks, label: a guest asks, ask: Does a guest ask?, kind: yes-no, group: symptom,
     usual: 0.02, closing: 1}
  - id: guest_avoids
    label: what the guest avoids
    ask: What?
    kind: choice
    group: process
    ask_when: {guest_asks: "yes"}
    closing: 2
    choices: [{value: milk, label: milk, usual: 0.3}, {value: none, label: nothing, usual: 0.7}]
rules:
  - id: a-guest-avoids-milk
    title: A guest who avoids milk
    stage: label
    when: {all: [{guest_asks: yes}, {guest_avoids: milk}]}
    then: {verdict: stop, caution: [has-milk]}
    because: Invented.
    source: [judgement]
    examples:
      - {given: {guest_asks: yes, guest_avoids: milk}, fires: true}
      - {given: {guest_asks: yes, guest_avoids: none}, fires: false}
      - {given: {guest_asks: no, guest_avoids: milk}, fires: false}
"""


@pytest.fixture(scope="module")
def guests(tmp_path_factory: pytest.TempPathFactory) -> Base:
    folder: Path = tmp_path_factory.mktemp("guests")
    assert checked(folder, changed(more=GUESTS)) == []
    base, _ = check_folders([folder])
    assert base is not None
    return base


def run(consultation: Consultation, **truth: object) -> tuple[Consultation, list[Question]]:
    """Answer what is asked until nothing more is; what is not in ``truth`` nobody knows."""
    asked: list[Question] = []
    while (question := consultation.next_question) is not None:
        asked.append(question)
        answer = truth.get(question.finding, "unknown")
        consultation = consultation.answered(question.finding, answer)
    return consultation, asked


def begun(base: Base, limit: int = 12) -> Consultation:
    return Consultation(base, limit=limit, backend="reference").tell_symptoms(["cloudy"])


def test_it_is_the_last_question_where_the_guest_asks_nothing(guests: Base) -> None:
    """It comes after all that is asked about the cause, says what it is, and ends the asking."""
    ended, asked = run(begun(guests), operation="strip", curd="weak", guest_asks="no")
    assert [q.finding for q in asked].count("guest_asks") == 1
    assert asked[-1].finding == "guest_asks"
    assert asked[-1].closing
    assert not asked[-1].opening
    assert not any(q.closing for q in asked[:-1])
    assert asked[0].opening
    assert ended.stop_reason is not None
    assert ended.advice.verdict.kind != "stop"


def test_a_guest_who_asks_is_followed_up_beside_any_fault(guests: Base) -> None:
    """A yes opens the question behind it, and the fault that was found does not hide the stop."""
    ended, asked = run(
        begun(guests), operation="strip", curd="weak", guest_asks="yes", guest_avoids="milk"
    )
    assert [q.finding for q in asked[-2:]] == ["guest_asks", "guest_avoids"]
    assert ended.advice.verdict.kind == "stop"


@pytest.mark.parametrize("limit", [1, 2, 12])
def test_it_comes_on_top_of_the_limit(guests: Base, limit: int) -> None:
    """The limit is on questions about the cause; a yes may be followed up beyond it."""
    truth = {"operation": "strip", "guest_asks": "yes", "guest_avoids": "milk"}
    ended, asked = run(begun(guests, limit), **truth)
    about_causes = [q for q in asked if not q.opening and not q.closing]
    assert "guest_asks" in [q.finding for q in asked]
    assert len([q for q in about_causes if q.finding != "guest_avoids"]) <= limit
    assert ended.advice.verdict.kind == "stop"


def test_nothing_is_asked_where_nothing_may_be(guests: Base) -> None:
    """With a limit of nought there is no closing question either."""
    _, asked = run(begun(guests, 0), operation="strip")
    assert all(q.opening for q in asked)


def test_what_was_told_is_not_asked_again(guests: Base) -> None:
    """Told in the list of symptoms or by name, it is known; only what was not named is asked."""
    told = begun(guests).tell("guest_asks", "no")
    assert "guest_asks" not in [q.finding for q in run(told, operation="strip")[1]]
    named = Consultation(guests, backend="reference").tell_symptoms(["cloudy", "guest_asks"])
    asked = [q.finding for q in run(named, operation="strip", guest_avoids="none")[1]]
    assert "guest_asks" not in asked


def test_what_must_be_thrown_away_meets_no_guest(guests: Base) -> None:
    """After a discard or a stop nothing is asked that could not change it."""
    told = begun(guests).tell("operation", "fat-wash").tell("temperature", 90)
    assert told.stop_reason is not None
    assert told.stop_reason.code == "verdict"
    assert told.next_question is None


def test_undo_takes_the_closing_answer_back(guests: Base) -> None:
    """It is a step like any other."""
    now = begun(guests)
    while (question := now.next_question) is not None and not question.closing:
        answer = "strip" if question.finding == "operation" else "unknown"
        now = now.answered(question.finding, answer)
    assert question is not None
    assert "every batch" in question.because.lower()
    after = now.answered("guest_asks", "no")
    assert after.undo() == now
    assert after.undo().next_question == question


def test_why_it_would_be_asked_next_is_said(
    guests: Base, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is no part of the recipe, and ``--why`` does not say so."""
    now = begun(guests)
    while (question := now.next_question) is not None and not question.closing:
        now = now.dont_know(question.finding)
    show(now, as_json=False, how=False, why=True, units="metric")
    said = capsys.readouterr().out.partition("WHY ASK NEXT")[2]
    assert "Does a guest ask?" in said
    assert "recipe" not in said


def test_every_batch_of_the_shipped_base_meets_the_guest() -> None:
    """The allergens of food law are told whatever the fault is (EU 1169/2011 Art. 9(1)(c);
    Art. 44, drinks that are not prepacked: from memory). A batch that is only cloudy is asked
    whether a guest avoids something, and milk stops it.
    """
    told = Consultation(load(), backend="reference").tell_symptoms(["cloud_at_filter"])
    truth = {"operation": "strip", "milk_kind": "whole", "diet_allergen": "yes",
             "guest_question": "milk-allergy"}  # fmt: skip
    ended, asked = run(told.skip_opening().tell("operation", "strip"), **truth)
    assert [q.finding for q in asked if q.closing] == ["diet_allergen", "guest_question"]
    names = [q.finding for q in asked]
    assert names.index("guest_question") == names.index("diet_allergen") + 1
    assert ended.advice.verdict.kind == "stop"
    calm, _ = run(told.skip_opening().tell("operation", "strip"), diet_allergen="no")
    assert calm.advice.verdict.kind != "stop"
