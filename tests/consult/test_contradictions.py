"""What cannot be true together, and what only would not have been asked."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest

from advisor.consult import Consultation
from advisor.errors import ProblemsFound
from advisor.knowledge.load import load

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.consult import Question
    from advisor.knowledge.model import Base

OPERATIONS = ("strip", "fat-wash", "whey-dose", "several")


@pytest.fixture(scope="module")
def base() -> Base:
    return load()


def told(base: Base, **answers: object) -> Consultation:
    made = Consultation(base, backend="reference")
    for name, raw in answers.items():
        made = made.tell(name, raw)
    return made


@pytest.mark.parametrize("operation", OPERATIONS)
def test_what_was_seen_never_contradicts_what_was_done(base: Base, operation: str) -> None:
    """A cloudy fat wash and the curd of a whey drink are what somebody saw."""
    symptoms = [f.id for f in base.findings.values() if f.symptom]
    assert told(base, **dict.fromkeys(symptoms, "yes"), operation=operation).contradictions() == []
    assert told(base, **dict.fromkeys(symptoms, "no"), operation=operation).contradictions() == []


@pytest.mark.parametrize(
    "answers",
    [
        {"operation": "strip", "fat_kind": "ghee"},
        {"operation": "fat-wash", "milk_volume": "200 ml"},
        {"operation": "fat-wash", "cloud_at_filter": "yes", "milk_kind": "whole"},
        {"operation": "fat-wash", "curd_press": "unknown", "milk_temperature": "cold"},
        {"operation": "strip", "whey_volume": "20 ml"},
        {"acid_kind": "none", "acid_volume": "20 ml"},
        {"juice_added_after": "no", "juice_strained": "sieve"},
    ],
)
def test_what_was_not_there_cannot_have_been_used(base: Base, answers: dict[str, str]) -> None:
    """Another operation, and a plain no or none, leave nothing to answer."""
    found = told(base, **answers).contradictions()
    assert [p.code for p in found] == ["contradiction"]
    assert "take one of them out" in found[0].hint


@pytest.mark.parametrize(
    "answers",
    [
        {"milk_kind": "whole", "milk_gums": "yes"},
        {"acid_kind": "lemon-juice", "acid_mass": "20 g"},
        {"cloud_at_filter": "no", "filter_slow": "no", "bed_ran_dry": "yes"},
        {"has_wine": "no", "wine_alone_test": "hazes"},
        {"diet_allergen": "no", "guest_question": "milk-allergy"},
        {"operation": "unknown", "fat_kind": "ghee", "milk_kind": "whole"},
    ],
)
def test_an_answer_that_nobody_would_have_asked_for_is_taken(
    base: Base, answers: dict[str, str]
) -> None:
    """That a question is not worth asking does not make its answer wrong."""
    assert told(base, **answers).contradictions() == []


def _some_answer(question: Question, dice: random.Random) -> object:
    if question.kind == "quantity":
        low, high = question.low or 0.0, question.high or 1.0
        return dice.choice(["unknown", round(dice.uniform(low, high), 2)])
    return dice.choice([o.value for o in question.options] + ["unknown"])


@pytest.mark.parametrize("seed", range(4))
def test_whatever_the_conversation_takes_can_be_read_again(
    base: Base, tmp_path: Path, seed: int
) -> None:
    """A session that was kept at any moment goes on from there."""
    dice = random.Random(seed)
    symptoms = [f.id for f in base.findings.values() if f.symptom]
    made = Consultation(base, backend="reference", limit=4)
    made = made.tell_symptoms(dice.sample(symptoms, 3))
    while (question := made.next_question) is not None:
        made = made.answered(question.finding, _some_answer(question, dice))
        made.save(tmp_path / "half.yaml")
        again = Consultation.from_case(base, tmp_path / "half.yaml")
        assert {k: a.value for k, a in again.answers.items()} == {
            k: a.value for k, a in made.answers.items()
        }
    assert made.asked


def test_what_if_keeps_what_was_seen(base: Base) -> None:
    """Supposing another operation sets its recipe aside, and no symptom."""
    made = told(base, cloud_at_filter="yes", operation="strip", milk_volume="200 ml")
    found = made.what_if({"operation": "fat-wash"})
    assert found.set_aside == ("milk_volume",)
    with pytest.raises(ProblemsFound) as caught:
        made.what_if({"fat_kind": "ghee"})
    assert [p.code for p in caught.value.problems] == ["contradiction"]
