"""From answers to the next dose: known curves are found again, and ignorance is admitted."""

from __future__ import annotations

import math
from random import Random
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy import optimize

from advisor.errors import AdvisorError
from advisor.science import strip
from advisor.science.milks import milk
from advisor.technique.trial import Answer, Base, Fit, NoFit, Trial, fit, judge, plan_trial
from tests.technique.trial.panels import answers_of

if TYPE_CHECKING:
    from collections.abc import Mapping

CASEIN = milk("whole").casein * milk("whole").density * 10


def stripped(k: float, start: float = 8.0, part: float = 1.0):
    """Scores of a drink whose tannin binds with affinity ``k``."""

    def felt(settings: Mapping[str, float]) -> float:
        x = k * CASEIN * settings.get("milk-share", 0.0) / 100
        return start * (1 - part * x / (1 + x))

    return felt


def one_fit(trial: Trial, said: list[Answer], **aim: float) -> Fit:
    (found,) = fit(judge(trial, said), said, **aim)
    assert isinstance(found, Fit)
    return found


def exact_scores(trial: Trial, felt: object, seed: int = 2) -> list[Answer]:
    """Scores to two decimals with a little scatter."""
    rng = Random(seed)
    return [
        Answer(f.taster, f.number, scored={
            c.code: round(min(10, max(0, felt(trial.sample(c.sample).settings)  # type: ignore[operator]
                                      + rng.gauss(0, 0.3))), 2) for c in f.cups})
        for f in trial.flights
    ]  # fmt: skip


@pytest.mark.parametrize("k", [0.1, 0.3, 0.9])
def test_a_known_affinity_is_found_again(k: float) -> None:
    """Forty careful tasters: the affinity lies in the interval, as does the dose for half."""
    trial = plan_trial("milk-share", [3, 10, 30, 50], tasters=40)
    found = one_fit(trial, exact_scores(trial, stripped(k)))
    assert found.unknown.low <= k <= found.unknown.high
    assert found.settled
    assert found.dose is not None
    half = 100 / (k * CASEIN)
    assert found.dose.low <= min(half, 60) <= found.dose.high


def test_the_affinity_agrees_with_the_users_own_trials() -> None:
    """The same shares left, read by ``strip.fit_trials``, give the same affinity within a fifth."""
    k = 0.35
    trial = plan_trial("milk-share", [5, 15, 45], tasters=60)
    found = one_fit(trial, exact_scores(trial, stripped(k)))
    pairs = [(m, 1 / (1 + k * CASEIN * m)) for m in (0.05, 0.15, 0.45)]
    own = strip.fit_trials(pairs, casein_per_litre=CASEIN)
    assert found.unknown.value == pytest.approx(own.value, rel=0.2)


def test_the_curve_agrees_with_a_least_squares_library() -> None:
    """Where the data speak loudly the curve is scipy's least-squares curve, at every level."""
    trial = plan_trial("fat-rate", [4, 10, 20, 40], tasters=60, base=Base(strength=40))

    def felt(s: Mapping[str, float]) -> float:
        x = 8 * s.get("fat-rate", 0.0) / 100
        return 1 + 7 * x / (1 + x)

    said = exact_scores(trial, felt)
    found = one_fit(trial, said)
    means = dict(judge(trial, said).means)
    levels = np.array([0.0, 4, 10, 20, 40])
    seen = np.array([means[s.id] for s in trial.samples])
    best, _ = optimize.curve_fit(
        lambda x, a, b, k: a + b * (k * x / 100) / (1 + k * x / 100), levels, seen, p0=(1, 6, 5)
    )
    assert found.unknown.value == pytest.approx(best[2], rel=0.15)
    for point in found.points:
        line = best[0] + best[1] * (best[2] * point.level / 100) / (1 + best[2] * point.level / 100)
        assert point.fitted.value == pytest.approx(line, abs=0.12)


def test_intervals_of_the_dose_hold_the_truth_about_as_often_as_they_say() -> None:
    """Over 40 drinks drawn from the prior at least 34 intervals hold the true dose."""
    rng = Random(7)
    held = 0
    for seed in range(40):
        k, part = math.exp(rng.gauss(math.log(0.25), 0.8)), rng.choice((0.7, 0.85, 1.0))
        trial = plan_trial("milk-share", tasters=12, seed=seed)
        said = answers_of(trial, stripped(k, 7.0, part), seed)
        found = one_fit(trial, said)
        share = 0.5 / part
        true = 100 * share / (1 - share) / (k * CASEIN)
        held += found.dose is None or found.dose.low <= min(true, 60) <= found.dose.high + 1e-9
    assert held >= 34


def test_aims_move_the_dose_the_right_way() -> None:
    """More to take away takes more milk; a lower score to aim at takes more milk."""
    trial = plan_trial("milk-share", [5, 15, 30], tasters=20)
    said = exact_scores(trial, stripped(0.5))
    doses = [one_fit(trial, said, aim=a).dose for a in (0.3, 0.5, 0.7)]
    values = [d.value for d in doses if d is not None]
    assert len(values) == 3
    assert values == sorted(values)
    scores = [one_fit(trial, said, aim_score=s).dose for s in (5.0, 3.0)]
    assert scores[0] is not None
    assert scores[1] is not None
    assert scores[0].value < scores[1].value


def test_a_dose_beyond_what_was_tried_says_so() -> None:
    """Levels of 2 to 6 % for a drink that needs 25 %: the dose is marked as untried."""
    trial = plan_trial("milk-share", [2, 4, 6], tasters=30)
    found = one_fit(trial, exact_scores(trial, stripped(0.15)))
    assert found.dose is not None
    assert found.outside
    assert any("above the highest level" in text for text in found.remarks)


def test_answers_without_a_trend_do_not_settle_anything() -> None:
    """Noise: the dose is called a belief, and the unknown stays about as wide as before."""
    trial = plan_trial("milk-share", tasters=6)
    said = answers_of(trial, lambda _: 5.0, 2)
    assert judge(trial, said).overall[0].p > 0.05
    found = one_fit(trial, said)
    assert not found.settled
    assert "cannot fix the curve" in found.remarks[0]


def test_an_aim_out_of_reach_gives_no_dose() -> None:
    """A drink that milk hardly touches: 90 % less is no dose but a reason."""
    trial = plan_trial("milk-share", [10, 30, 60], tasters=30)
    found = one_fit(trial, exact_scores(trial, stripped(0.01)), aim=0.9)
    assert found.dose is None
    assert found.levels == ()
    assert any("out of this dial's reach" in text for text in found.remarks)


def test_whey_is_a_line_and_aims_at_what_matters() -> None:
    """Twice the whey, twice the effect: the dose for d' 1.5 is where the line is 1.5 spreads up."""
    trial = plan_trial("whey-share", [10, 20, 40], tasters=30)
    said = answers_of(trial, lambda s: 1 + 7 * s.get("whey-share", 0) / 40, noise=1.0)
    found = one_fit(trial, said)
    assert found.curve.id == "line"
    assert found.settled
    assert found.dose is not None
    assert found.dose.low <= 1.5 / (7 / 40) * 1.15
    assert found.dose.high >= 1.5 / (7 / 40) * 0.95


def test_time_runs_up_to_rest() -> None:
    """A steep with a time constant of 5 h is found again."""
    trial = plan_trial("steep-time", [1, 4, 12, 48], tasters=40)
    said = exact_scores(trial, lambda s: 1 + 7 * -math.expm1(-s.get("steep-time", 0) / 5))
    found = one_fit(trial, said)
    assert found.unknown.low <= 5 <= found.unknown.high
    assert found.curve.unit == "h"


def test_rankings_are_fitted_too() -> None:
    """Ranks carry only the size of differences; the dose has an interval and a prior behind it."""
    trial = plan_trial("milk-share", [5, 15, 45], tasters=30, test="rank")
    said = answers_of(trial, stripped(0.4, 5.0), 5)
    found = one_fit(trial, said)
    assert found.dose is not None
    assert found.unknown.low < 0.4 < found.unknown.high


def test_two_dials_are_fitted_one_at_a_time() -> None:
    """Two by two levels of rate and time give four curves, each at one level of the other."""
    trial = plan_trial(
        "fat-rate", [8, 20], second="steep-time", second_levels=[1, 24], tasters=12
    )
    said = answers_of(trial, lambda s: 1 + s.get("fat-rate", 0) / 5)
    found = fit(judge(trial, said), said)
    assert [(f.dial, f.at) for f in found] == [
        ("fat-rate", "steep time 1 h"), ("fat-rate", "steep time 24 h"),
        ("steep-time", "fat rate 8 %"), ("steep-time", "fat rate 20 %"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ({"dial": "acid-dose"}, "no curve is known"),
        ({"dial": "milk-share", "sense": "roundness"}, "not roundness"),
        ({"dial": "milk-share", "base": Base(milk_kind="oat")}, "no casein"),
        ({"dial": "milk-share", "test": "triangle"}, "does not say which way"),
        ({"dial": "milk-share", "levels": [20], "test": "rate"}, "one level tells nothing"),
        ({"dial": "milk-share", "levels": [10, 20], "second": "fat-rate", "second_levels": [8, 16]},
         "neither dial has a fair zero"),
    ],
)  # fmt: skip
def test_what_cannot_be_fitted_says_why(plan: dict[str, object], said: str) -> None:
    """No curve, no casein, no direction, no zero: a reason instead of a number."""
    trial = plan_trial(**{"tasters": 12, **plan})  # type: ignore[arg-type]
    given = answers_of(trial, lambda s: 5 - s.get("milk-share", 0) / 20)
    for found in fit(judge(trial, given), given):
        assert isinstance(found, NoFit)
        assert said in found.reason


def test_without_a_curve_the_best_level_is_closed_in_on() -> None:
    """Sourness rises with acid: the best by its way is the highest, and levels stay near it."""
    trial = plan_trial("acid-dose", [4, 6, 9], tasters=10)
    said = answers_of(trial, lambda s: s.get("acid-dose", 0), noise=0.1)
    (found,) = fit(judge(trial, said), said)
    assert isinstance(found, NoFit)
    assert found.levels == (7.3, 9.0)


@pytest.mark.parametrize(
    "aim", [{"aim": 0.0}, {"aim": 1.0}, {"aim": 0.5, "aim_score": 3.0}, {"aim_score": 11.0}]
)
def test_impossible_aims_are_refused(aim: dict[str, float]) -> None:
    """All or nothing, two aims at once, and scores off the scale."""
    trial = plan_trial("milk-share", tasters=8)
    said = answers_of(trial, stripped(0.3))
    with pytest.raises(AdvisorError):
        fit(judge(trial, said), said, **aim)


def test_a_score_cannot_be_aimed_at_with_ranks() -> None:
    """Ranks have no scores to aim at."""
    trial = plan_trial("milk-share", tasters=8, test="rank")
    said = answers_of(trial, stripped(0.3))
    with pytest.raises(AdvisorError, match="needs scores"):
        fit(judge(trial, said), said, aim_score=3.0)
