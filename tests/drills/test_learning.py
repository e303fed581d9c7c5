"""Mastery, spacing and item statistics against the numbers they were published with."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from advisor.drills.items import FEW, correlation, item_table, upper_lower
from advisor.drills.mastery import ASSUMED, MASTERED, Assumed, masteries, trace
from advisor.drills.schedule import plan
from tests.drills.results import DAY0, result


def test_knowledge_tracing_gives_the_published_path():
    """Corbett & Anderson 1995 equations, worked for 0011101101 with .5, .4, .2, .2."""
    answers = [bool(int(c)) for c in "0011101101"]
    path = [0.5200, 0.5279, 0.8904, 0.9821, 0.9973, 0.9935, 0.9990, 0.9999, 0.9996, 0.9999]
    assert trace(answers, ASSUMED) == pytest.approx(path, abs=5e-5)


@given(st.lists(st.booleans(), min_size=1, max_size=40), st.integers(0, 39))
def test_a_right_answer_never_lowers_mastery(answers, where):
    """Turning one wrong answer into a right one cannot make the skill less likely."""
    where %= len(answers)
    better = [*answers[:where], True, *answers[where + 1 :]]
    assert trace(better)[-1] >= trace(answers)[-1] - 1e-12
    assert all(0.0 <= chance <= 1.0 for chance in trace(answers))


def test_chances_that_make_no_sense_are_refused():
    """A model in which a right answer speaks against knowing is no model."""
    with pytest.raises(ValueError, match="slip and guess"):
        Assumed(slip=0.6, guess=0.5)
    with pytest.raises(ValueError, match="chance from 0 to 1"):
        Assumed(learned=1.2)


def test_mastery_goes_by_time_not_by_order_of_arrival():
    """Results gathered late are put where they belong."""
    wrong = result(day=0, skills={"dose": False})
    right = result(day=1, skills={"dose": True})
    late, early = masteries([right, wrong])["dose"], masteries([wrong, right])["dose"]
    assert late == early
    assert (late.attempts, late.shown) == (2, 1)
    assert late.chance == pytest.approx(trace([False, True])[-1])
    many = masteries([result(day=d) for d in range(6)])["find:acid"]
    assert many.mastered
    assert many.chance >= MASTERED


def test_the_spacing_is_that_of_the_open_algorithm():
    """Good x6, again x2, good x5, each on its due day: the days that the FSRS library documents."""
    from fsrs import Card, Rating, Scheduler

    shown = [True] * 6 + [False] * 2 + [True] * 5
    results, moment, days = [], DAY0, []
    for right in shown:
        day = (moment - DAY0) / timedelta(days=1) - 20 / 1440
        results.append(result(day=day, score=1.0, skills={"dose": right}))
        (row,) = plan(results, moment)
        days.append((row.due - results[-1].finished).days)
        moment = row.due
    assert days == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]
    assert row.reviews == len(shown)
    card, scheduler = Card(card_id=1, due=DAY0), Scheduler(enable_fuzzing=False)
    for each, right in zip(results, shown, strict=True):
        rating = Rating.Good if right else Rating.Again
        card, _ = scheduler.review_card(card, rating, each.finished)
    assert card.due == row.due


def test_what_was_forgotten_comes_first():
    """A skill shown long ago is due before one shown today; a failed one at once."""
    done = [
        result(day=0, skills={"find:acid": True, "dose": True}),
        result(day=3, skills={"find:acid": True, "dose": False}),
        result(day=29.9, skills={"say:contains-milk": True}),
    ]
    rows = plan(done, DAY0 + timedelta(days=30))
    assert rows[0].skill == "dose"
    assert [r.skill for r in rows][-1] == "find:acid" or rows[-1].due >= rows[0].due
    assert all(0.0 <= r.retained <= 1.0 for r in rows)


PAIRS = [(0.2, 0.3), (0.9, 0.8), (0.5, 0.6), (0.4, 0.2), (1.0, 0.7), (0.1, 0.4), (0.6, 0.9)]


def test_the_correlation_is_that_of_an_independent_library():
    """Pearson's r as scipy computes it."""
    xs, ys = zip(*PAIRS, strict=True)
    assert correlation(PAIRS) == pytest.approx(stats.pearsonr(xs, ys).statistic, abs=1e-12)


def test_a_right_or_wrong_item_gives_the_point_biserial_correlation():
    """For scores of 0 and 1 the number is the point-biserial one (scipy)."""
    pairs = [(1.0, 0.9), (1.0, 0.7), (0.0, 0.2), (1.0, 0.4), (0.0, 0.5), (0.0, 0.1)]
    xs, ys = zip(*pairs, strict=True)
    assert correlation(pairs) == pytest.approx(stats.pointbiserialr(xs, ys).statistic, abs=1e-12)


@pytest.mark.parametrize("pairs", [[], [(0.1, 0.2), (0.3, 0.4)], [(0.5, y / 9) for y in range(9)]])
def test_no_correlation_where_there_is_none_to_have(pairs):
    """Too few, or nobody differs: nothing is claimed."""
    assert correlation(pairs) is None


def test_upper_less_lower_by_hand():
    """27 % of eleven is three a tail: (1 + .9 + .8)/3 - (0 + .1 + .2)/3 = .8. Kelley 1939."""
    pairs = [(y / 10, y / 10) for y in range(11)]
    assert upper_lower(pairs) == pytest.approx(0.8)
    assert upper_lower([(1.0, 1.0)]) is None


def test_only_first_attempts_count_for_a_scenario():
    """Having seen the answer says nothing about how hard it is."""
    done = [
        result("Ann", "s1", 0, score=0.2),
        result("Ann", "s1", 1, score=1.0),
        result("Ann", "s2", 2, score=0.5),
        result("Bo", "s1", 0, score=0.6),
        result("Bo", "s2", 2, score=0.9),
        result("Cy", "s2", 2, score=0.1),
    ]
    hardest, easiest = item_table(done)
    assert (hardest.scenario, hardest.learners) == ("s1", 2)
    assert hardest.difficulty == pytest.approx(0.4)
    assert (easiest.scenario, easiest.learners) == ("s2", 3)
    assert easiest.difficulty == pytest.approx(0.5)
    assert hardest.discrimination is None
    assert hardest.few
    assert FEW > 3


def test_an_item_that_tells_good_from_weak_has_a_high_correlation():
    """Twelve learners whose ability orders s1 but not s2."""
    done = []
    for n in range(12):
        name, able = f"L{n}", n / 11
        done += [
            result(name, "s1", 0, score=able),
            result(name, "s2", 1, score=0.5 + 0.1 * (-1) ** n),
            result(name, "s3", 2, score=min(1.0, able + 0.05)),
        ]
    table = {item.scenario: item for item in item_table(done)}
    assert table["s1"].discrimination > 0.9
    assert abs(table["s2"].discrimination) < 0.5
    assert table["s1"].upper_lower > 0.6
    assert not table["s1"].few
