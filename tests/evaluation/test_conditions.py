"""Disturbances do what they say, and nothing else."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from advisor.evaluation.conditions import (
    drawing,
    fewer_answers,
    moved_priors,
    one_wrong_answer,
)
from advisor.evaluation.outcome import outcome
from advisor.knowledge.words import NOT_LISTED, PRIORS
from tests.evaluation.known import case


@pytest.mark.parametrize("seed", range(20))
def test_one_answer_to_a_question_becomes_another_word(small, seed):
    """Exactly one answer that was asked for changes, to another word of its finding."""
    known = case("too-mild", "cloudy", curd="weak", drop_test="flakes", temperature="20 degC")
    first = outcome(small, known)
    wrong = one_wrong_answer(small, known, first, random.Random(seed))
    changed = [name for name in known.answers if known.answers[name] != wrong.answers[name]]
    assert len(changed) == 1
    (name,) = changed
    assert name in first.asked
    assert wrong.answers[name] in small.findings[name].words
    assert wrong.told == known.told
    assert wrong.symptoms == known.symptoms


def test_every_other_word_can_be_drawn(small):
    """A wrong answer is any of the others."""
    known = case("too-mild", "cloudy", curd="weak")
    first = replace(outcome(small, known), asked=("curd",))
    drawn = {
        one_wrong_answer(small, known, first, random.Random(seed)).answers["curd"]
        for seed in range(40)
    }
    assert drawn == {"firm", "none"}


def test_without_an_answer_asked_something_told_is_wrong(small):
    """A symptom is never made wrong; a case with nothing else in words stays as it is."""
    known = case("too-mild", "cloudy", told={"milk_kind": "whole", "bitter": "yes"})
    first = replace(outcome(small, known), asked=())
    wrong = one_wrong_answer(small, known, first, random.Random(1))
    assert wrong.told == {"milk_kind": "skim", "bitter": "yes"}
    bare = case("too-mild", "cloudy", told={"bitter": "yes", "drink_volume": "1 l"})
    assert one_wrong_answer(small, bare, first, random.Random(1)) == bare


@pytest.mark.parametrize("seed", range(10))
def test_a_fifth_of_the_answers_is_forgotten(small, seed):
    """Two of nine told or askable answers go, nothing is changed, and no symptom is lost."""
    known = case(
        "too-mild",
        "cloudy",
        told={"operation": "strip", "milk_kind": "whole", "milk_volume": "1 l", "bitter": "yes"},
        curd="weak",
        drop_test="flakes",
        temperature=20,
        drink_volume="1 l",
        mix_reading="2 l",
        gassy="no",
    )
    fewer = fewer_answers(small, known, random.Random(seed))
    before, after = {**known.told, **known.answers}, {**fewer.told, **fewer.answers}
    assert len(before) - len(after) == 2  # a fifth of the eight that are no symptoms
    assert after.items() <= before.items()
    assert "bitter" in after
    assert "gassy" in after
    assert fewer.symptoms == known.symptoms


@pytest.mark.parametrize("seed", range(10))
def test_every_prior_moves_one_class(small, seed):
    """Each cause is one class up or down, what ends the scale inwards, and nothing else changes."""
    moved = moved_priors(small, random.Random(seed))
    classes = list(PRIORS)
    for name, cause in small.causes.items():
        step = classes.index(moved.causes[name].prior) - classes.index(cause.prior)
        assert abs(step) == 1, name
        assert moved.priors[name] == PRIORS[moved.causes[name].prior]
        assert replace(moved.causes[name], prior=cause.prior) == cause
    assert moved.causes["too-mild"].prior == "sometimes"
    assert moved.causes["gone-off"].prior == "seldom"
    assert moved.lines == small.lines
    whole = sum(10 ** (p / 10) for p in moved.priors.values())
    assert 10 ** (moved.priors[NOT_LISTED] / 10) / whole == pytest.approx(0.05)


def test_priors_move_both_ways(small):
    """Causes in the middle of the scale go up as well as down."""
    drawn = {moved_priors(small, random.Random(s)).causes["too-warm"].prior for s in range(20)}
    assert drawn == {"often", "seldom"}


def test_draws_depend_on_their_names_alone():
    """The same seed, condition and case draw alike; another of any of them draws otherwise."""
    first = drawing(1, "fewer-answers", "seed 7").random()
    assert drawing(1, "fewer-answers", "seed 7").random() == first
    others = [drawing(2, "fewer-answers", "seed 7"), drawing(1, "moved-priors", "seed 7")]
    others.append(drawing(1, "fewer-answers", "seed 8"))
    assert first not in [d.random() for d in others]
