"""Minutes until cured: published repair orders, brute force, and the order of the advice."""

from __future__ import annotations

import math
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.evaluation.effort import actions_of, effort, likely_first, random_order_cost
from advisor.reasoning.repair import Action, expected_cost, order
from tests.evaluation.known import case

_ACTIONS = st.lists(
    st.builds(
        lambda cost, cure: (cost, cure), st.floats(0.5, 60), st.sampled_from([0.0, 0.3, 0.8, 1.0])
    ),
    min_size=1,
    max_size=5,
)


def _one_each(costs: tuple[float, ...]) -> list[Action]:
    return [Action(str(i), cost, {str(i): 1.0}) for i, cost in enumerate(costs, start=1)]


def _mean(chances: tuple[float, ...], cost: object) -> float:
    return sum(p * cost(str(i)) for i, p in enumerate(chances, start=1))  # type: ignore[operator]


@pytest.mark.parametrize(
    ("chances", "costs", "advised", "likely"),
    [
        ((0.4, 0.3, 0.2, 0.1), (10, 3, 1, 2), 8.40, 12.30),
        ((0.5, 0.25, 0.15, 0.1), (8, 2, 3, 1), 8.40, 9.85),
    ],
)
def test_orders_cost_what_they_cost_in_print(chances, costs, advised, likely):
    """Chance over cost against likeliest first, Heckerman, Breese & Rommelse 1995, CACM 38(3):49.

    The costs were computed over all 24 orders. Each fault is true with its own chance; the mean
    over the faults is what the order costs.
    """
    actions = _one_each(costs)
    standing = {str(i): p for i, p in enumerate(chances, start=1)}
    best = order(actions, standing)
    other = likely_first(actions, standing)
    assert "".join(a.id for a in other) == "1234"
    assert _mean(chances, lambda f: effort(best, standing, f).advised) == pytest.approx(advised)
    assert _mean(chances, lambda f: effort(best, standing, f).likely_first) == pytest.approx(likely)


def test_one_question_saves_what_it_saves_in_print():
    """5.80 before and 4.67 after a question, over which each fault is asked and repaired.

    p = (.5, .3, .2), c = (4, 2, 5), P(yes | fault) = .9, .2, .1: expected costs of repair in
    decision-theoretic troubleshooting (Heckerman, Breese & Rommelse 1995), computed.
    """
    actions = _one_each((4.0, 2.0, 5.0))
    prior = {"1": 0.5, "2": 0.3, "3": 0.2}
    yes = {"1": 0.9, "2": 0.2, "3": 0.1}

    def spent(standing: dict[str, float], fault: str) -> float:
        return effort(order(actions, standing), standing, fault).advised

    assert sum(p * spent(prior, f) for f, p in prior.items()) == pytest.approx(5.80)
    after = 0.0
    for given_ in (yes, {f: 1 - p for f, p in yes.items()}):
        whole = sum(prior[f] * given_[f] for f in prior)
        posterior = {f: prior[f] * given_[f] / whole for f in prior}
        after += sum(prior[f] * given_[f] * spent(posterior, f) for f in prior)
    assert after == pytest.approx(4.67, abs=0.005)


@settings(max_examples=60)
@given(_ACTIONS)
def test_a_random_order_costs_the_mean_of_all_orders(drawn):
    """The integral gives what trying every permutation gives."""
    actions = [Action(str(i), cost, {"f": cure}) for i, (cost, cure) in enumerate(drawn)]
    costs = [expected_cost(order_, {"f": 1.0}) for order_ in permutations(actions)]
    assert random_order_cost(actions, "f") == pytest.approx(math.fsum(costs) / len(costs))


@settings(max_examples=60)
@given(_ACTIONS, st.permutations(range(5)))
def test_nobody_beats_somebody_who_knows(drawn, shuffled):
    """No order costs less than the best one for the true fault."""
    actions = [Action(str(i), cost, {"f": cure}) for i, (cost, cure) in enumerate(drawn)]
    actions = [actions[i] for i in shuffled if i < len(actions)]
    spent = effort(actions, {"f": 0.7, "g": 0.3}, "f")
    if spent is None:
        assert all(a.cures["f"] == 0.0 for a in actions)
        return
    least = spent.knowing - 1e-9
    assert spent.advised >= least
    assert spent.likely_first >= least
    assert spent.at_random >= least
    assert spent.uncured == pytest.approx(math.prod(1 - a.cures["f"] for a in actions))


def test_likeliest_first_takes_the_surest_remedy_whatever_it_takes():
    """Cost decides only between remedies that are equally sure; the useless come last."""
    actions = [
        Action("useless", 1, {}),
        Action("cheap", 1, {"a": 0.4}),
        Action("sure", 90, {"a": 0.9, "b": 0.1}),
        Action("as-sure", 80, {"a": 0.9}),
        Action("other", 2, {"b": 0.8}),
    ]
    chosen = likely_first(actions, {"a": 0.6, "b": 0.4})
    assert [a.id for a in chosen] == ["as-sure", "sure", "cheap", "other", "useless"]


def test_no_cure_on_the_list_says_nothing_of_the_order():
    """Where no remedy can cure the fault, or there is none, there is nothing to compare."""
    assert effort([Action("a", 1, {"x": 0.9})], {"x": 1.0}, "y") is None
    assert effort([], {"x": 1.0}, "x") is None


def test_the_advice_is_followed_in_its_own_order(small):
    """A batch of the small base costs, by hand, what its remedies cost one after the other.

    add-acid takes 10 + 0.15 x 60 + 1 = 20 minutes and cures too-mild in 0.8 of cases.
    """
    from advisor.evaluation.outcome import consult, outcome

    known = case("too-mild", "cloudy", curd="weak", drop_test="flakes")
    consultation, unread = consult(small, known)
    assert unread == ()
    actions = actions_of(consultation.advice)
    assert [a.id for a in actions] == [r.remedy.id for r in consultation.advice.this_batch]
    assert actions[0].id == "add-acid"
    assert actions[0].cost == pytest.approx(20.0)
    spent = outcome(small, known).effort
    assert spent is not None
    assert spent.first_cures == pytest.approx(0.8)
    by_hand, left = 0.0, 1.0
    for action in actions:
        by_hand += left * action.cost
        left *= 1.0 - action.cures.get("too-mild", 0.0)
    assert spent.advised == pytest.approx(by_hand)
