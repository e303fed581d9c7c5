"""Partial credit against hand-worked examples and published schemes, and its laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.drills import credit
from advisor.drills.scenario import Dose
from advisor.knowledge.load import load
from advisor.reasoning.ledger import brier

shares = st.floats(0.0, 1.0)


def test_script_concordance_credit_is_votes_over_the_most_votes():
    """Charlin and others 2000: a panel of (0, 1, 6, 3, 0) gives 0, .167, 1, .5, 0."""
    panel = {"a": 0, "b": 1, "c": 6, "d": 3, "e": 0}
    got = [credit.concordance(panel, answer) for answer in "abcde"]
    assert got == pytest.approx([0, 1 / 6, 1, 0.5, 0])
    assert credit.concordance(panel, "never listed") == 0
    assert credit.concordance({}, "a") == 0
    assert credit.concordance({"a": 0}, "a") == 0


def test_calibration_is_one_minus_the_brier_score():
    """Brier 1950; the example p = (.9, .7, .6, .2), y = (1, 1, 0, 0) has the score .1250."""
    stated, happened = (0.9, 0.7, 0.6, 0.2), (True, True, False, False)
    mean = sum(credit.calibration(p, y) for p, y in zip(stated, happened, strict=True)) / 4
    assert 1 - mean == pytest.approx(0.1250)
    assert 1 - mean == pytest.approx(brier(stated, happened))
    assert credit.calibration(1.0, True) == 1
    assert credit.calibration(1.0, False) == 0
    assert credit.calibration(0.5, True) == credit.calibration(0.5, False) == 0.75


@pytest.mark.parametrize("p", [0.1, 0.35, 0.8])
def test_to_say_what_one_believes_pays_best(p):
    """The Brier score is proper: no other stated confidence is expected to earn more."""
    stated = [q / 100 for q in range(101)]
    best = max(
        stated,
        key=lambda q: p * credit.calibration(q, True) + (1 - p) * credit.calibration(q, False),
    )
    assert best == pytest.approx(p)


def test_cause_credit_by_hand():
    """Right 1, look-alike at the stage .5, look-alike elsewhere or same stage .25, else 0."""
    base = load()
    true = "acid-short-casein-left"
    assert credit.cause_credit(base, [true], [true]) == 1
    # Listed as look-alikes of each other, both at the stage acid.
    assert base.causes["ph-strip-misread"].stage == base.causes[true].stage == "acid"
    assert credit.cause_credit(base, ["ph-strip-misread"], [true]) == 0.5
    # A look-alike at another stage, and another cause of the same stage.
    assert base.causes["bed-not-formed"].stage == "separation"
    assert credit.cause_credit(base, ["bed-not-formed"], [true]) == 0.25
    assert credit.cause_credit(base, ["volatile-acid-nose"], [true]) == 0.25
    assert credit.cause_credit(base, ["mould-film"], [true]) == 0
    assert credit.cause_credit(base, ["acid-swamped"], [true], ["acid-swamped"]) == 1
    assert credit.cause_credit(base, [], [true]) == 0


def test_cause_credit_with_two_faults():
    """One of two is half; both in any order are all; a second one too many halves it."""
    base = load()
    two = ["acid-short-casein-left", "mash-on-paper"]
    assert credit.cause_credit(base, two, two) == 1
    assert credit.cause_credit(base, two[::-1], two) == 1
    assert credit.cause_credit(base, two[:1], two) == 0.5
    assert credit.cause_credit(base, two[1:], two) == 0.5
    assert credit.cause_credit(base, [two[0], "mould-film"], two[:1]) == 0.5


def test_dose_credit_by_hand():
    """All of it inside; half an octave off leaves half; nothing at half or double."""
    doses = [Dose("lemon juice", 8.0, 16.0, "mL"), Dose("citric acid", 0.4, 0.8, "g")]
    assert credit.dose_credit(8, "mL", doses) == credit.dose_credit(16, "mL", doses) == 1
    assert credit.dose_credit(8 / math.sqrt(2), "mL", doses) == pytest.approx(0.5)
    assert credit.dose_credit(16 * math.sqrt(2), "mL", doses) == pytest.approx(0.5)
    assert credit.dose_credit(4, "mL", doses) == credit.dose_credit(32, "mL", doses) == 0
    assert credit.dose_credit(0.6, "g", doses) == 1
    assert credit.dose_credit(0, "mL", doses) == 0
    assert credit.dose_credit(12, "mL", doses[1:]) == 0


def test_safety_credit_by_hand():
    """Half of two said is a half; a false one beside them counts as one more to be said."""
    assert credit.safety_credit(["a"], ["a", "b"], []) == 0.5
    assert credit.safety_credit(["a", "b"], ["a", "b"], []) == 1
    assert credit.safety_credit(["a", "b", "x"], ["a", "b"], ["x"]) == pytest.approx(2 / 3)
    assert credit.safety_credit([], [], []) == 1
    assert credit.safety_credit(["x"], [], ["x"]) == 0.5


def test_economy_by_hand():
    """Best over used with two minutes granted to both; a guess and a wrong answer earn nothing."""
    assert credit.economy(6, 6) == 1
    assert credit.economy(6, 14) == 0.5
    assert credit.economy(6, 1) == 1
    assert credit.economy(6, 6, right=0.25) == 0.25
    assert credit.economy(6, 0, closed_early=True) == 0


def test_remedy_credit_by_hand():
    """Listed 1, usually cures .5, right stage .25, else 0."""
    base = load()
    causes = ["acid-short-casein-left"]
    accepted = ["add-acid-in-steps"]
    assert credit.remedy_credit(base, "add-acid-in-steps", accepted, causes, "acid") == 1
    assert credit.remedy_credit(base, "dose-acid-by-the-milk", accepted, causes, "acid") == 0.5
    other = next(
        r.id
        for r in base.remedies.values()
        if r.stage == "acid" and r.cures.get(causes[0], 0.0) < 0.8
    )
    assert credit.remedy_credit(base, other, accepted, causes, "acid") == 0.25
    assert credit.remedy_credit(base, "throw-away-and-clean", accepted, causes, "acid") == 0
    assert credit.remedy_credit(base, "", accepted, causes, "acid") == 0


def test_the_total_by_hand():
    """A drill without dose and remedy counts the parts that it asked for, by their weights."""
    parts = {"verdict": 1.0, "cause": 0.5, "stage": 1.0, "safety": 0.0}
    # .10 + .15 + .10 + 0 over .10 + .30 + .10 + .10
    assert credit.total(parts) == pytest.approx(0.35 / 0.60)
    assert credit.total({}) == 0
    assert sum(credit.PARTS.values()) == pytest.approx(1)


some_parts = st.dictionaries(st.sampled_from(sorted(credit.PARTS)), shares, min_size=1)


@given(some_parts)
def test_a_total_is_a_share(parts):
    """No set of parts scores below nothing or above all."""
    assert 0 <= credit.total(parts) <= 1


@given(some_parts, st.data())
def test_more_of_a_part_never_lowers_the_total(parts, data):
    """To be more right in anything never costs."""
    part = data.draw(st.sampled_from(sorted(parts)))
    better = data.draw(st.floats(parts[part], 1.0))
    assert credit.total({**parts, part: better}) >= credit.total(parts) - 1e-12


minutes = st.floats(0.0, 1e5)


@given(minutes, minutes, minutes, shares)
def test_more_minutes_never_pay(best, used, more, right):
    """Economy is a share, and time spent beyond need only lowers it."""
    now = credit.economy(best, used, right=right)
    assert 0 <= now <= right
    assert credit.economy(best, used + more, right=right) <= now


@given(
    st.floats(1e-3, 1e4),
    st.floats(1.01, 6.0),
    st.floats(1e-4, 1e5),
)
def test_a_dose_nearer_the_range_never_earns_less(low, width, amount):
    """Credit falls on both sides of the range and only there."""
    dose = [Dose("x", low, low * width, "mL")]
    earned = credit.dose_credit(amount, "mL", dose)
    assert 0 <= earned <= 1
    if low <= amount <= low * width:
        assert earned == 1
    nearer = math.sqrt(amount * min(max(amount, low), low * width))
    assert credit.dose_credit(nearer, "mL", dose) >= earned - 1e-9


names = st.sets(st.sampled_from("abcdef"))


@given(names, names, names)
def test_saying_what_must_be_said_never_costs(said, needed, false):
    """One more right statement never lowers the credit, one false one never raises it."""
    false -= needed
    now = credit.safety_credit(said, needed, false)
    assert 0 <= now <= 1
    for more in needed:
        assert credit.safety_credit(said | {more}, needed, false) >= now
    for wrong in false:
        assert credit.safety_credit(said | {wrong}, needed, false) <= now


@given(st.data())
def test_naming_one_more_true_cause_never_costs(data):
    """With two faults the second true name adds, whatever else was named."""
    base = load()
    ids = sorted(base.causes)
    true = data.draw(st.lists(st.sampled_from(ids), min_size=2, max_size=2, unique=True))
    one = credit.cause_credit(base, true[:1], true)
    assert 0.5 <= one < credit.cause_credit(base, true, true) == 1
