"""Published worked examples: the ledger, the next question, covers and repair give their numbers.

Where a table is *recalled*, the inputs are from memory, not yet verified against the book; the
outputs were worked out from them by exact enumeration with two independent libraries.
"""

from __future__ import annotations

from itertools import permutations, product

import pytest

from advisor.knowledge.words import decibans
from advisor.reasoning.covers import minimal_hitting_sets
from advisor.reasoning.ledger import (
    brier,
    expected_gain,
    log_loss,
    standings,
    to_decibans,
    to_probability,
)
from advisor.reasoning.repair import Action, after_failure, chance_of_cure, expected_cost, order
from tests.reasoning.networks import network, posterior

# Chest clinic: Lauritzen SL, Spiegelhalter DJ 1988, J. R. Stat. Soc. B 50:157.

NAMES = ("asia", "smoke", "tub", "lung", "bronc", "xray", "dysp", "either")
IMPOSSIBLE = 1e-40
_DYSPNOEA = {(1, 1): 0.9, (1, 0): 0.7, (0, 1): 0.8, (0, 0): 0.1}


def _p(yes: float, state: int) -> float:
    return yes if state else 1.0 - yes


def _joint() -> dict[str, tuple[dict[str, int], float]]:
    states = {}
    for values in product((0, 1), repeat=7):
        s = dict(zip(NAMES[:7], values, strict=True))
        s["either"] = s["tub"] | s["lung"]
        chance = _p(0.01, s["asia"]) * _p(0.5, s["smoke"])
        chance *= _p(0.05 if s["asia"] else 0.01, s["tub"])
        chance *= _p(0.1 if s["smoke"] else 0.01, s["lung"])
        chance *= _p(0.6 if s["smoke"] else 0.3, s["bronc"])
        chance *= _p(0.98 if s["either"] else 0.05, s["xray"])
        chance *= _p(_DYSPNOEA[s["either"], s["bronc"]], s["dysp"])
        states["".join(map(str, values))] = (s, chance)
    return states


JOINT = _joint()
PRIORS = {name: decibans(chance) for name, (_, chance) in JOINT.items()}


def clinic(**evidence: int) -> dict[str, float]:
    """Posteriors by the ledger: evidence weighs against every joint state that it rules out."""
    against = {
        name: sum(decibans(IMPOSSIBLE) for key, value in evidence.items() if s[key] != value)
        for name, (s, _) in JOINT.items()
    }
    standing = standings(PRIORS, against)
    return {key: sum(p for name, p in standing.items() if JOINT[name][0][key]) for key in NAMES}


CLINIC = [
    # evidence, tub, lung, bronc, either, xray, dysp, smoke
    ({}, 0.010400, 0.055000, 0.450000, 0.064828, 0.110290, 0.435971, 0.5),
    ({"dysp": 1}, 0.018845, 0.102759, 0.833967, 0.120536, 0.162098, 1, 0.633997),
    ({"asia": 1, "dysp": 1}, 0.087751, 0.099525, 0.811402, 0.182300, 0.219539, 1, 0.625920),
    (
        {"asia": 1, "dysp": 1, "xray": 1},
        0.391712, 0.444271, 0.628822, 0.813769, 1, 1, 0.702025,
    ),
    (
        {"asia": 1, "dysp": 1, "xray": 0},
        0.002249, 0.002550, 0.862761, 0.004672, 0, 1, 0.604512,
    ),
    (
        {"asia": 1, "dysp": 1, "xray": 1, "smoke": 0},
        0.632329, 0.126466, 0.458960, 0.752472, 1, 1, 0,
    ),
]  # fmt: skip
COLUMNS = ("tub", "lung", "bronc", "either", "xray", "dysp", "smoke")


@pytest.mark.parametrize("row", CLINIC, ids=[" ".join(r[0]) or "none" for r in CLINIC])
def test_chest_clinic_posteriors(row: tuple[dict[str, int], float]) -> None:
    """Adding decibans over the joint states gives the exact posteriors of the chest clinic."""
    evidence, *wanted = row
    found = clinic(**evidence)
    assert [found[c] for c in COLUMNS] == pytest.approx(wanted, abs=1.5e-6)


def test_chest_clinic_in_an_independent_library() -> None:
    """A Bayes net library gives the same posteriors from the same conditional tables."""
    made = network(
        {
            "asia": ((), [[0.99, 0.01]]),
            "smoke": ((), [[0.5, 0.5]]),
            "tub": (("asia",), [[0.99, 0.01], [0.95, 0.05]]),
            "lung": (("smoke",), [[0.99, 0.01], [0.9, 0.1]]),
            "bronc": (("smoke",), [[0.7, 0.3], [0.4, 0.6]]),
            "either": (("tub", "lung"), [[1, 0], [0, 1], [0, 1], [0, 1]]),
            "xray": (("either",), [[0.95, 0.05], [0.02, 0.98]]),
            "dysp": (("either", "bronc"), [[0.9, 0.1], [0.2, 0.8], [0.3, 0.7], [0.1, 0.9]]),
        }
    )
    for evidence, *_ in CLINIC[1:]:
        ours = clinic(**evidence)
        for name in ("tub", "lung", "bronc"):
            assert posterior(made, name, evidence)[1] == pytest.approx(ours[name], abs=1e-9)


def _gain(about: str, question: str, **known: int) -> float:
    """Expected information on one disease, with likelihoods from the same joint states."""
    prior = clinic(**known)[about]
    likelihood = {
        "yes": {"+": clinic(**known, **{about: 1})[question]},
        "no": {"+": clinic(**known, **{about: 0})[question]},
    }
    for under in likelihood.values():
        under["-"] = 1.0 - under["+"]
    return expected_gain({"yes": prior, "no": 1.0 - prior}, likelihood)


@pytest.mark.parametrize(
    ("about", "xray", "smoke"),
    [
        ("lung", 0.229905, 0.034653),
        ("tub", 0.198899, 0.003300),
        ("bronc", 0.039325, 0.023891),
    ],
)
def test_chest_clinic_asks_for_the_x_ray(about: str, xray: float, smoke: float) -> None:
    """Given a visit to Asia and dyspnoea the x-ray tells more than smoking, for every disease."""
    first = _gain(about, "xray", asia=1, dysp=1)
    second = _gain(about, "smoke", asia=1, dysp=1)
    assert (first, second) == pytest.approx((xray, smoke), abs=2e-6)
    assert first > second


# Car start: Jensen FV; inputs recalled (from memory, not yet verified), outputs computed.

_METER = {1: (0.39, 0.60, 0.01), 0: (0.001, 0.001, 0.998)}  # full, half, empty


def car(meter: int | None) -> tuple[float, float]:
    """Chance of no fuel and of dirty plugs when the car does not start."""
    priors, weights = {}, {}
    for fuel, clean in product((0, 1), repeat=2):
        name = f"{fuel}{clean}"
        priors[name] = decibans(_p(0.98, fuel) * _p(0.96, clean))
        no_start = 1.0 if not fuel else 0.01 if clean else 0.99
        weights[name] = decibans(no_start)
        if meter is not None:
            weights[name] += decibans(_METER[fuel][meter])
    standing = standings(priors, weights)
    return standing["00"] + standing["01"], standing["00"] + standing["10"]


@pytest.mark.parametrize(
    ("meter", "no_fuel", "dirty"),
    [
        (None, 0.293186, 0.580626),
        (0, 0.001062, 0.804065),
        (1, 0.000691, 0.804350),
        (2, 0.976413, 0.058041),
    ],
)
def test_car_start_explains_away(meter: int | None, no_fuel: float, dirty: float) -> None:
    """A full meter moves the blame to the plugs, an empty one takes it from them."""
    assert car(meter) == pytest.approx((no_fuel, dirty), abs=1.5e-6)


# Polybox: de Kleer J, Williams BC 1987, Artificial Intelligence 32:97.


def test_polybox_diagnoses() -> None:
    """The two minimal conflicts of the polybox have exactly its four minimal diagnoses."""
    conflicts = [{"M1", "M2", "A1"}, {"M1", "M3", "A1", "A2"}]
    assert minimal_hitting_sets(conflicts) == (
        frozenset({"A1"}),
        frozenset({"M1"}),
        frozenset({"A2", "M2"}),
        frozenset({"M2", "M3"}),
    )


# Repair orders: Heckerman D, Breese JS, Rommelse K 1995, CACM 38(3):49.


def _single(p: tuple[float, ...], c: tuple[float, ...]) -> tuple[list[Action], dict[str, float]]:
    actions = [Action(str(i), cost, {str(i): 1.0}) for i, cost in enumerate(c, 1)]
    return actions, {str(i): chance for i, chance in enumerate(p, 1)}


@pytest.mark.parametrize(
    ("p", "c", "best", "cost", "likeliest_first"),
    [
        ((0.4, 0.3, 0.2, 0.1), (10, 3, 1, 2), "3241", 8.40, 12.30),
        ((0.5, 0.25, 0.15, 0.1), (8, 2, 3, 1), "2413", 8.40, 9.85),
    ],
)
def test_repairs_in_the_best_of_all_orders(
    p: tuple[float, ...], c: tuple[float, ...], best: str, cost: float, likeliest_first: float
) -> None:
    """Chance over cost is the cheapest of all 24 orders, well before likeliest first."""
    actions, standing = _single(p, c)
    chosen = order(actions, standing)
    assert "".join(a.id for a in chosen) == best
    assert expected_cost(chosen, standing) == pytest.approx(cost)
    every = [expected_cost(way, standing) for way in permutations(actions)]
    assert len(every) == 24
    assert min(every) == pytest.approx(cost)
    assert expected_cost(actions, standing) == pytest.approx(likeliest_first)


def test_repairs_that_share_faults_are_judged_again() -> None:
    """Where repairs share faults, judging again after a failure beats an order fixed at first."""
    standing = {"0": 0.3, "1": 0.4, "2": 0.3}
    actions = [
        Action(name, cost, dict.fromkeys(faults, 1.0))
        for name, cost, faults in (("a", 2, "01"), ("b", 2, "0"), ("c", 3, "1"), ("d", 3, "2"))
    ]
    fixed = sorted(actions, key=lambda a: -chance_of_cure(a, standing) / a.cost)
    assert expected_cost(fixed, standing) == pytest.approx(4.40)
    chosen = order(actions, standing)
    assert [a.id for a in chosen[:2]] == ["a", "d"]
    assert expected_cost(chosen, standing) == pytest.approx(2.90)
    assert min(expected_cost(w, standing) for w in permutations(actions)) == pytest.approx(2.90)


def test_a_failed_repair_is_bayes() -> None:
    """What a failure leaves standing is Bayes' rule on the chance that the repair fails."""
    action = Action("a", 1.0, {"x": 0.8, "y": 0.1})
    standing = {"x": 0.5, "y": 0.3, "z": 0.2}
    whole = 0.5 * 0.2 + 0.3 * 0.9 + 0.2
    assert after_failure(action, standing) == pytest.approx(
        {"x": 0.1 / whole, "y": 0.27 / whole, "z": 0.2 / whole}
    )


def test_one_question_then_repair() -> None:
    """A question is worth what it saves: 5.80 without it, 4.67 with it, so at most 1.13."""
    actions, standing = _single((0.5, 0.3, 0.2), (4, 2, 5))
    without = order(actions, standing)
    assert [a.id for a in without] == ["2", "1", "3"]
    assert expected_cost(without, standing) == pytest.approx(5.80)
    yes = {"1": 0.9, "2": 0.2, "3": 0.1}
    priors = {cause: decibans(chance) for cause, chance in standing.items()}
    expected = 0.0
    for answer, wanted in ((1, (0.8491, 0.1132, 0.0377)), (0, (0.1064, 0.5106, 0.3830))):
        weight = {cause: decibans(_p(chance, answer)) for cause, chance in yes.items()}
        after = standings(priors, weight)
        assert tuple(after.values()) == pytest.approx(wanted, abs=5e-5)
        chance = sum(standing[c] * _p(yes[c], answer) for c in standing)
        expected += chance * expected_cost(order(actions, after), after)
    assert expected == pytest.approx(4.67)
    assert expected_cost(without, standing) - expected == pytest.approx(1.13)


# Ledger and scores.


def test_a_ledger_is_bayes() -> None:
    """Odds in decibans add up: .2 with ratios 3, 1/3 and 2 gives one third (Good 1950)."""
    prior = to_decibans(0.2)
    weights = [decibans(3), decibans(1 / 3), decibans(2)]
    assert [prior, *weights] == pytest.approx([-6.0206, 4.7712, -4.7712, 3.0103], abs=5e-5)
    total = prior + sum(weights)
    assert total == pytest.approx(-3.0103, abs=5e-5)
    assert to_probability(total) == pytest.approx(1 / 3)
    standing = standings({"a": decibans(0.2), "b": decibans(0.8)}, {"a": sum(weights)})
    assert standing["a"] == pytest.approx(1 / 3)


def test_scores() -> None:
    """Brier score and log loss of four forecasts, by hand."""
    forecast, happened = (0.9, 0.7, 0.6, 0.2), (1, 1, 0, 0)
    assert brier(forecast, happened) == pytest.approx(0.1250)
    assert log_loss(forecast, happened) == pytest.approx(0.4004, abs=5e-5)
