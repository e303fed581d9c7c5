"""Plans: balanced, blind, and refused with every reason at once when they cannot work."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import AdvisorError, ProblemsFound
from advisor.technique.trial import Base, plan_trial
from advisor.technique.trial.dials import DIALS
from advisor.technique.trial.methods import TESTS
from advisor.technique.trial.plan import power_at_hand

PLANS = st.builds(
    lambda dial, test, tasters, repeats, seed, fresh, levels: plan_trial(
        dial,
        DIALS[dial].usual[:levels],
        test=test,
        tasters=tasters,
        repeats=repeats,
        seed=seed,
        fresh_codes=fresh,
        alone=False,
    ),
    st.sampled_from(sorted(DIALS)),
    st.sampled_from(sorted(TESTS)),
    st.integers(6, 9),
    st.integers(1, 2),
    st.integers(0, 10_000),
    st.booleans(),
    st.integers(1, 3),
)


@settings(deadline=None, max_examples=60)
@given(PLANS)
def test_every_flight_is_what_its_test_serves(trial: object) -> None:
    """Cups, codes and flights are those of the test, and every code means one sample only."""
    from advisor.technique.trial.trialfile import trial_from, trial_yaml

    assert trial_from(trial_yaml(trial), "x") == trial  # type: ignore[arg-type]  # checks all that


@settings(deadline=None, max_examples=40)
@given(PLANS)
def test_codes_mean_one_sample_and_are_new_when_asked(trial: object) -> None:
    """One code never stands for two samples; with fresh codes none is ever met twice."""
    cups = [c for f in trial.flights for c in f.cups]  # type: ignore[attr-defined]
    meanings = {(c.code, c.sample) for c in cups}
    assert len(meanings) == len({code for code, _ in meanings})
    if trial.fresh_codes:  # type: ignore[attr-defined]
        assert max(Counter(c.code for c in cups).values()) == 1


@pytest.mark.parametrize("test", ["triangle", "duo-trio", "paired", "tetrad"])
def test_patterns_of_a_picking_test_balance_out(test: str) -> None:
    """Over whole blocks every serving order is used as often (ISO 4120: six orders; ISO 10399)."""
    trial = plan_trial("milk-share", [20], test=test, tasters=12, seed=5)
    orders = Counter(
        "".join("C" if c.sample == "control" else "T" for c in f.cups) for f in trial.flights
    )
    assert set(orders) == set(TESTS[test].patterns)
    assert len(set(orders.values())) == 1


@pytest.mark.parametrize(("levels", "tasters"), [([10, 20, 30], 8), ([10, 30], 6)])
def test_carry_over_of_a_full_flight_balances_out(levels: list[float], tasters: int) -> None:
    """With a whole number of Williams squares every sample follows every other as often."""
    trial = plan_trial("milk-share", levels, test="rank", tasters=tasters, seed=3)
    pairs = Counter(
        pair for f in trial.flights for pair in pairwise(cup.sample for cup in f.cups)
    )
    assert len(pairs) == len(trial.samples) * (len(trial.samples) - 1)
    assert len(set(pairs.values())) == 1


def test_the_same_seed_gives_the_same_plan_and_another_another() -> None:
    """Plans are repeatable, and the seed matters."""
    one, again, other = (plan_trial("fat-rate", tasters=8, seed=s) for s in (4, 4, 5))
    assert one == again
    assert one.flights != other.flights


def test_two_dials_meet_in_every_pair() -> None:
    """Two by three levels and a control are seven samples, one code each."""
    trial = plan_trial(
        "fat-rate", [8, 16], second="steep-time", second_levels=[1, 4, 24], tasters=8
    )
    assert len(trial.samples) == 7
    pairs = {(s.settings["fat-rate"], s.settings["steep-time"]) for s in trial.treated}
    assert pairs == {(r, h) for r in (8, 16) for h in (1, 4, 24)}


def test_defaults_fit_the_case() -> None:
    """Scores for several samples, repeated triangles for one person alone, else what is named."""
    assert plan_trial("milk-share", tasters=8).test == "rate"
    assert plan_trial("milk-share", [20], tasters=12).test == "triangle"
    assert plan_trial("milk-share", [20], sense="bitterness", tasters=12).test == "paired"
    alone = plan_trial("milk-share")
    assert (alone.test, alone.alone, alone.repeats, len(alone.treated)) == ("triangle", True, 12, 1)
    assert plan_trial("milk-share", [20], alone=False, repeats=6).alone is False


def test_what_a_dial_needs_stays_put() -> None:
    """A trial of time needs a rate; it takes the usual one unless told."""
    assert plan_trial("steep-time", tasters=8).fixed == {"fat-rate": 15.0}
    assert plan_trial("steep-time", tasters=8, fixed={"fat-rate": 10}).fixed == {"fat-rate": 10.0}


def test_the_way_is_foretold_only_where_the_dials_agree() -> None:
    """Milk takes astringency away; whose way is not known is tested both ways, at half alpha."""
    assert plan_trial("milk-share", tasters=8).foretold == -1
    assert plan_trial("fat-rate", tasters=8).foretold == 1
    both = plan_trial("milk-share", [20], sense="milkiness", test="paired", tasters=12)
    assert both.foretold == 0
    assert both.tail == both.alpha / 2


def test_power_at_hand_is_a_probability_that_grows_with_tasters() -> None:
    """More tasters find the same difference more often (scores)."""
    low, high = (power_at_hand(plan_trial("milk-share", tasters=n)) for n in (6, 20))
    assert 0 < low < high <= 1


def problems(**given: object) -> str:
    """What a refused plan says, all of it."""
    with pytest.raises(AdvisorError) as caught:
        plan_trial(**{"dial": "milk-share", "tasters": 8, **given})  # type: ignore[arg-type]
    return str(caught.value)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"dial": "milk-shre"}, "did you mean milk-share?"),
        ({"levels": [0, 10]}, "a level of 0 % is the control"),
        ({"levels": [10, 10.0]}, "stands twice"),
        ({"levels": [99]}, "must lie between 0.2 and 60 %"),
        ({"levels": [float("nan")]}, "must be a number"),
        ({"levels": []}, "no levels are given"),
        ({"tasters": 2}, "prove nothing, whatever is answered"),
        ({"tasters": 0}, "there must be 1 to 200"),
        ({"tasters": ["Ann", "Ann", "Bo"]}, "two tasters are called 'Ann'"),
        ({"tasters": ["Ann", "\x07"]}, "cannot be a name"),
        ({"test": "square"}, "is not a test"),
        ({"sense": "mood"}, "is not a sense"),
        ({"second": "milk-share"}, "name two different dials"),
        ({"fixed": {"milk-share": 10}}, "cannot stay put as well"),
        ({"fixed": {"acid-dose": 900}}, "must lie between"),
        ({"seed": -1}, "must be a whole number"),
        ({"cup_ml": 0}, "must be a number from 2 to 200"),
        ({"alpha": 0.9}, "must be a number from 0.0001 to 0.5"),
        ({"wanted": 0}, "must be a number from 0.1 to 6"),
        ({"repeats": 0}, "must be a whole number from 1 to 60"),
        ({"alone": True}, "alone is for one taster"),
        ({"base": Base(strength=99)}, "must lie between 0 and 96 %vol"),
        ({"base": Base(milk_kind="oak")}, "is no milk for a trial"),
        ({"base": Base(acid_kind="lemon-juice")}, "doses a powder by weight"),
        ({"title": "two\nlines"}, "one line"),
        ({"tasters": 200, "repeats": 6, "fresh_codes": True}, "need a code of their own"),
        ({"levels": [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]}, "more than a panel can hold apart"),
    ],
)
def test_plans_that_cannot_work_are_refused(given: dict[str, object], said: str) -> None:
    """Every refusal says what is wrong and what to do, without a traceback."""
    assert said in problems(**given)


def test_everything_wrong_is_said_at_once() -> None:
    """Five faults give five problems, not the first of them."""
    with pytest.raises(ProblemsFound) as caught:
        plan_trial("milk", [0], tasters=["a", "a"], test="x", sense="y", cup_ml=-1)
    assert len(caught.value.problems) >= 5
