"""Side by side, and the same but: what changes is shown, what cannot be had is refused."""

from __future__ import annotations

import pytest

from advisor.errors import AdvisorError
from advisor.technique.protocol import compare, vary
from tests.technique.protocol.briefs import PUNCH, SPIRIT, base, brief, made


def varied(given, technique, **more):
    """The varied protocol and what changed."""
    return vary(base(), brief(given), technique, **more)


def test_a_protocol_does_not_differ_from_itself():
    """Nothing differs, and every row is there all the same."""
    one = made(PUNCH, "strip")
    comparison = compare(one, one)
    assert comparison.differences == ()
    kinds = {"dial", "dose", "step", "time", "expected", "label"}
    assert {r.kind for r in comparison.rows} >= kinds


def test_two_ways_differ_where_they_should():
    """A light wash differs from a full one in milk, strength and curd, not in the label."""
    comparison = compare(made(PUNCH, "strip"), made(PUNCH, "strip-light"))
    names = {r.name for r in comparison.differences}
    assert {"strength", "wet curd"} <= names
    assert not [r for r in comparison.differences if r.kind == "label"]


def test_swapping_the_sides_swaps_the_columns():
    """What stands under A for one order stands under B for the other."""
    a, b = made(PUNCH, "strip"), made(PUNCH, "curd-steep")
    there = sorted((r.kind, r.a, r.b) for r in compare(a, b).rows)
    back = sorted((r.kind, r.b, r.a) for r in compare(b, a).rows)
    assert there == back


def test_the_same_with_goat_milk():
    """Goat milk has a little more casein: a little less of it, and the label names it."""
    after, comparison = varied(PUNCH, "strip", answers={"milk_wanted": "goat"})
    before = made(PUNCH, "strip")
    per_drink = [
        p.dose("strip.milk").amount.value / p.drink_ml for p in (before, after)
    ]
    assert per_drink[1] < per_drink[0]
    ingredients = next(r for r in comparison.differences if r.name == "ingredients")
    assert "goat" in ingredients.b
    assert "goat" not in ingredients.a


def test_the_same_without_nuts():
    """Peanut butter gives way to a fat that is no nut; the label follows."""
    after, comparison = varied(
        {**SPIRIT, "wanted_fat": "peanut-butter"}, "fat-wash", without=["nuts"]
    )
    assert "peanut" not in " ".join(after.label.statements.values())
    assert any(r.kind == "label" and "peanuts" in r.a for r in comparison.differences)


def test_the_same_in_less_time():
    """A wash within three hours: hot milk, a short rest, no cold stand - and it says what goes."""
    after, comparison = varied(PUNCH, "strip", within_h=3)
    assert after.timeline.total <= 180.5
    gone = [r.name for r in comparison.differences if r.kind == "step" and not r.b]
    assert "Let it stand" in gone


def test_enough_time_changes_nothing():
    """With time enough no short cut is taken."""
    _, comparison = varied(PUNCH, "strip", within_h=72)
    assert comparison.differences == ()


def test_too_little_time_is_refused_with_what_takes_longest():
    """A fat wash in two hours cannot be had: the cold alone takes longer."""
    with pytest.raises(AdvisorError) as refused:
        varied(SPIRIT, "fat-wash", within_h=2)
    assert refused.value.code == "time-impossible"
    assert "longest step" in refused.value.hint


def test_milk_cannot_be_left_out_of_a_milk_wash():
    """What does the work cannot go: refused, with techniques that do without it."""
    with pytest.raises(AdvisorError) as refused:
        varied(PUNCH, "strip", without=["milk"])
    assert refused.value.code == "limit-broken"
    assert "without it can be done" in refused.value.hint
    named = refused.value.hint.rpartition(": ")[2].split(", ")
    for technique in named:
        assert not made(PUNCH, technique, answers={"no_dairy": "yes"}).label.contains_milk


def test_butter_can():
    """Butter gives way to a fat without milk."""
    after, _ = varied(SPIRIT, "fat-wash", without=["dairy"])
    assert not after.label.contains_milk


@pytest.mark.parametrize("word", ["gravity", "", "nut"])
def test_words_that_nobody_knows_are_refused(word):
    """Only what the brief has a limit for can be left out by name."""
    with pytest.raises(AdvisorError):
        varied(PUNCH, "strip", without=[word])


@pytest.mark.parametrize("hours", [0.0, -1.0])
def test_no_time_is_refused(hours):
    """No hours, or fewer, are no time."""
    with pytest.raises(AdvisorError):
        varied(PUNCH, "strip", within_h=hours)
