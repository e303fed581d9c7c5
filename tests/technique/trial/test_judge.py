"""Judging: exact against printed tables and scipy, and never more than the answers say."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from advisor.errors import AdvisorError, ProblemsFound
from advisor.technique.trial import Answer, Trial, judge, plan_trial
from advisor.technique.trial.judge import ranks_of, table
from advisor.technique.trial.words import (
    conclusion,
    limits,
    said_comparison,
    said_overall,
    said_p,
)
from tests.technique.trial.panels import answers_of

if TYPE_CHECKING:
    from random import Random


def picks(trial: Trial, right: int) -> list[Answer]:
    """The first ``right`` flights answered rightly, the others wrongly."""
    said = []
    for place, flight in enumerate(trial.flights):
        samples = [c.sample for c in flight.cups]
        odd = next(c.code for c in flight.cups if samples.count(c.sample) == 1)
        wrong = next(c.code for c in flight.cups if samples.count(c.sample) == 2)
        said.append(Answer(flight.taster, flight.number, picked=(odd if place < right else wrong,)))
    return said


@pytest.mark.parametrize(
    ("right", "n", "p", "found"),
    [(8, 12, 0.01876, True), (13, 24, 0.02844, True), (15, 30, 0.04348, True),
     (18, 30, 0.00246, True), (9, 16, 0.04996, True), (14, 30, 0.0898, False)],
)  # fmt: skip
def test_triangles_agree_with_the_printed_table(right: int, n: int, p: float, found: bool) -> None:
    """p to 1e-5 and the verdict of FAO V7180E Appendix A (ISO 4120 Table A.1); 14/30 by scipy."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=n)
    (one,) = judge(trial, picks(trial, right)).comparisons
    assert one.p == pytest.approx(p, abs=5e-5)
    assert one.p == pytest.approx(stats.binomtest(right, n, 1 / 3, alternative="greater").pvalue)
    assert one.found is found
    assert one.right == right


def test_triangle_size_is_that_of_the_table() -> None:
    """18 of 30 is d' 1.976, the inverse of Ennis 1993; the limits are Clopper & Pearson's."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=30)
    (one,) = judge(trial, picks(trial, 18)).comparisons
    assert one.d.value == pytest.approx(1.976, abs=1e-3)
    assert one.share is not None
    oracle = stats.binomtest(18, 30).proportion_ci(0.90, method="exact")
    limits = (1.5 * oracle.low - 0.5, 1.5 * oracle.high - 0.5)
    assert (one.share.low, one.share.high) == pytest.approx(limits, abs=1e-9)
    assert one.share.confidence == 0.90


@pytest.mark.parametrize("test", ["duo-trio", "paired", "tetrad"])
def test_right_answers_are_known_for_every_test(test: str) -> None:
    """Tasters who feel a huge difference are right, those who feel the opposite are not."""
    trial = plan_trial("milk-share", [20], test=test, tasters=12)
    sure = answers_of(trial, lambda s: 8 - s.get("milk-share", 0) / 2, noise=0.01)
    (one,) = judge(trial, sure).comparisons
    assert (one.right, one.flights, one.d.value) == (12, 12, None)
    assert one.found
    p0 = 1 / 3 if test == "tetrad" else 1 / 2
    assert one.p == pytest.approx(p0**12)
    if test == "paired":
        (odd,) = judge(trial, answers_of(trial, lambda s: s.get("milk-share", 0) / 2, noise=0.01)
                       ).comparisons  # fmt: skip
        assert (odd.right, odd.reversed, odd.found) == (0, True, False)
        assert "other way" in said_comparison(trial, odd)


def rank_rows(trial: Trial, seed: int, step: float) -> tuple[list[Answer], list[list[float]]]:
    """Answers to a ranking and their table."""
    said = answers_of(trial, lambda s: 5 - step * s.get("milk-share", 0) / 10, seed)
    return said, table(trial, said)


@pytest.mark.parametrize("seed", range(4))
def test_rankings_agree_with_scipy(seed: int) -> None:
    """Friedman's statistic and Page's exact p equal scipy's on the same ranks (ISO 8587)."""
    trial = plan_trial("milk-share", tasters=7, test="rank")
    said, rows = rank_rows(trial, seed, 0.4)
    friedman, page = judge(trial, said).overall
    assert friedman.statistic == pytest.approx(
        stats.friedmanchisquare(*zip(*rows, strict=True)).statistic
    )
    falling = [row[::-1] for row in rows]  # astringency should fall with milk
    oracle = stats.page_trend_test(falling, ranked=True, method="exact")
    assert (page.statistic, page.p) == (oracle.statistic, pytest.approx(oracle.pvalue))


@pytest.mark.parametrize("seed", range(3))
def test_a_sample_of_a_ranking_is_a_sign_test(seed: int) -> None:
    """Against the control a ranking counts who put it lower: scipy's binomial on those."""
    trial = plan_trial("milk-share", tasters=9, test="rank")
    said, rows = rank_rows(trial, seed, 0.5)
    for one, column in zip(judge(trial, said).comparisons, (1, 2, 3), strict=True):
        lower = sum(row[column] < row[0] for row in rows)
        assert one.right == lower
        assert one.p == pytest.approx(
            stats.binomtest(lower, 9, 0.5, alternative="greater").pvalue
        )


@pytest.mark.parametrize("seed", range(3))
def test_scores_agree_with_scipy(seed: int) -> None:
    """Each sample against the blind control: scipy's exhaustive permutation of paired scores."""
    trial = plan_trial("milk-share", tasters=8)
    said = answers_of(trial, lambda s: 6 - s.get("milk-share", 0) / 15, seed)
    rows = np.array(table(trial, said))
    for one, column in zip(judge(trial, said).comparisons, (1, 2, 3), strict=True):
        oracle = stats.permutation_test(
            (rows[:, 0], rows[:, column]), lambda a, b: np.sum(a - b), vectorized=False,
            permutation_type="samples", alternative="greater", n_resamples=np.inf,
        )  # fmt: skip
        assert one.p == pytest.approx(oracle.pvalue)
        assert one.difference is not None
        assert one.difference.value == pytest.approx(np.mean(rows[:, 0] - rows[:, column]))


def test_ties_share_their_places_and_decide_nothing() -> None:
    """Tied codes share the mean rank; a tie with the control is left out and widens d'."""
    assert ranks_of(Answer("T", 1, ranked=(("1",), ("2", "3"), ("4",)))) == {
        "1": 1.0, "2": 2.5, "3": 2.5, "4": 4.0,
    }  # fmt: skip
    trial = plan_trial("milk-share", [20], test="rank", tasters=6)
    said = [Answer(f.taster, f.number, ranked=(f.codes,)) for f in trial.flights]
    (one,) = judge(trial, said).comparisons
    assert (one.ties, one.p, one.found, one.d.high) == (6, 1.0, False, None)


@settings(deadline=None, max_examples=25)
@given(st.sampled_from(["triangle", "paired", "rank", "rate"]), st.integers(0, 999), st.randoms())
def test_no_answer_hangs_on_the_order_of_the_file(test: str, seed: int, rng: Random) -> None:
    """Shuffled answers judge alike, and every p lies from 0 to 1."""
    trial = plan_trial("milk-share", tasters=7, test=test)
    said = answers_of(trial, lambda s: 5 - s.get("milk-share", 0) / 15, seed)
    other = list(said)
    rng.shuffle(other)
    found = judge(trial, said)
    assert judge(trial, other) == found
    assert all(0 <= c.p <= c.adjusted <= 1 for c in found.comparisons)
    assert all(0 < o.p <= 1 for o in found.overall)


@settings(deadline=None)
@given(st.integers(0, 11))
def test_one_more_right_answer_never_weakens_the_proof(right: int) -> None:
    """p falls and d' rises with the count."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=12)
    (low,), (high,) = (judge(trial, picks(trial, k)).comparisons for k in (right, right + 1))
    assert high.p <= low.p
    assert (high.d.value or 9) >= (low.d.value or 0)


def test_renaming_samples_changes_no_p() -> None:
    """Samples listed in another order: the same comparisons."""
    trial = plan_trial("milk-share", tasters=8)
    said = answers_of(trial, lambda s: 6 - s.get("milk-share", 0) / 20)
    turned = replace(trial, samples=trial.samples[::-1])
    one, two = (
        {c.sample: (c.p, c.adjusted) for c in judge(t, said).comparisons} for t in (trial, turned)
    )
    assert one == two


def test_false_alarms_are_as_rare_as_promised() -> None:
    """Where nothing differs, at most about 1 trial in 20 says that something does."""
    alarms = 0
    for seed in range(120):
        trial = plan_trial("milk-share", tasters=8, seed=seed)
        said = answers_of(trial, lambda _: 5.0, seed)
        alarms += any(c.found for c in judge(trial, said).comparisons)
    assert alarms <= 13  # P(more | 0.05) is below 1 % (binomial)


def test_power_is_what_simulated_panels_find() -> None:
    """The stated power of a triangle panel is met by panels that feel that difference."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=24, wanted=2.0)
    hits = 0
    for seed in range(150):
        said = answers_of(trial, lambda s: 2.0 if s else 0.0, seed)
        (one,) = judge(trial, said).comparisons
        hits += one.found
    assert one.power == pytest.approx(hits / 150, abs=0.12)


def test_two_dials_are_pulled_apart() -> None:
    """The dial that matters is found, the other is not, and interplay is."""
    trial = plan_trial(
        "fat-rate", [8, 16], second="steep-time", second_levels=[1, 24], tasters=12
    )

    def felt(s: object) -> float:
        rate, hours = s.get("fat-rate", 0), s.get("steep-time", 0)  # type: ignore[attr-defined]
        return 2 + (5 if rate == 16 and hours == 24 else 0)

    by_id = {o.id: o.p for o in judge(trial, answers_of(trial, felt)).overall}
    assert by_id["interplay"] < 0.01
    assert by_id["effect of fat-rate"] < 0.01
    flat = answers_of(trial, lambda s: 2 + (4 if s.get("steep-time") == 24 else 0), 3)
    by_id = {o.id: o.p for o in judge(trial, flat).overall}
    assert by_id["effect of steep-time"] < 0.01 < by_id["effect of fat-rate"]


def test_missing_flights_are_counted_not_filled() -> None:
    """Half the answers are judged as half, and the limits say so."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=12)
    found = judge(trial, picks(trial, 6)[:6])
    assert (found.answered, found.flights, found.comparisons[0].flights) == (6, 12, 6)
    assert any("6 of 12 flights are not answered" in text for text in limits(found))


def test_no_answers_and_foreign_answers_are_refused() -> None:
    """Nothing to judge is an error, and so is an answer of somebody else."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=12)
    with pytest.raises(AdvisorError, match="nobody has answered"):
        judge(trial, [])
    with pytest.raises(ProblemsFound, match="nobody is called"):
        judge(trial, [Answer("X", 1, picked=("123",))])


# -- what is said ------------------------------------------------------------------------


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(["triangle", "paired", "rank", "rate"]), st.integers(0, 10_000))
def test_a_missing_proof_is_never_called_sameness(test: str, seed: int) -> None:
    """Whatever is answered, an unproved difference comes with what still fits the answers."""
    trial = plan_trial("milk-share", tasters=7, test=test)
    found = judge(trial, answers_of(trial, lambda _: 5.0, seed))
    for one in found.comparisons:
        said = said_comparison(trial, one)
        assert "no difference was shown" in said or one.found
        assert "there is no difference" not in said + conclusion(found)
        if not one.found and not one.reversed:
            assert "no proof of sameness" in said or "any difference, however large" in said


def test_a_large_panel_that_sees_nothing_may_say_how_little_is_left() -> None:
    """Sixty tasters at chance: a difference that matters no longer fits, and that is said."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=60)
    found = judge(trial, picks(trial, 19))
    high = found.comparisons[0].d.high
    assert high is not None
    assert high < trial.wanted
    assert "no longer fits" in conclusion(found)
    small = plan_trial("milk-share", [20], test="triangle", tasters=9)
    assert "does not prove that there is none" in conclusion(judge(small, picks(small, 3)))


def test_one_person_speaks_for_one_person() -> None:
    """Ten of twelve right proves that this person can tell, and says nothing of guests."""
    trial = plan_trial("milk-share")
    found = judge(trial, picks(trial, 10))
    assert conclusion(found).startswith("This one taster told")
    text = " ".join(limits(found))
    assert "It says nothing of what guests" in text
    assert "Nobody else shuffled" in text


def test_suspiciously_few_right_answers_are_pointed_out() -> None:
    """None of fifteen right in a triangle (p 0.002 by guessing) looks like mixed-up cups."""
    trial = plan_trial("milk-share", [20], test="triangle", tasters=15)
    (one,) = judge(trial, picks(trial, 0)).comparisons
    assert one.fewer
    assert "mixed up" in said_comparison(trial, one)


def test_a_p_value_names_how_it_was_come_by():
    """Drawn is drawn, and an approximation is called by its name (ISO 8587 gives both tests)."""
    assert said_p(0.2) == "p = 0.2"
    assert said_p(0.2, "drawn") == "p = 0.2 (drawn)"
    trial = plan_trial("milk-share", test="rank", tasters=40)
    rows = answers_of(trial, lambda s: -s.get("milk-share", 0), 3)
    friedman = next(o for o in judge(trial, rows).overall if o.id == "friedman")
    assert friedman.how == "chi-square approximation"
    assert "(chi-square approximation)" in said_overall(trial, friedman)
    assert "drawn" not in said_overall(trial, friedman)
