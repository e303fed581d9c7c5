"""Tables compiled to lines: chances that sum to one, weights that are log ratios."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge.lines import base_rates, likelihoods, priors
from advisor.knowledge.load import load
from advisor.knowledge.words import (
    FREQUENCIES,
    NOT_LISTED,
    PRIORS,
    WEIGHTS,
    decibans,
    weight_word,
)

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

_shares = st.lists(st.floats(0.01, 1.0), min_size=2, max_size=6).map(
    lambda raw: {f"w{i}": share / sum(raw) for i, share in enumerate(raw)}
)


@given(_shares, st.data())
def test_chances_under_a_cause_sum_to_one(rate: dict[str, float], data: st.DataObject) -> None:
    """Whatever a table says, the chances of the answers sum to one and none is nothing."""
    named = data.draw(
        st.dictionaries(
            st.sampled_from(sorted(rate)), st.sampled_from(sorted(FREQUENCIES)), min_size=1
        )
    )
    chance = likelihoods(named, rate)
    assert set(chance) == set(rate)
    assert math.isclose(math.fsum(chance.values()), 1.0, abs_tol=1e-12)
    assert min(chance.values()) > 0.0


@given(st.sampled_from(sorted(FREQUENCIES)), st.floats(0.01, 0.99))
def test_a_word_means_its_chance(word: str, usual: float) -> None:
    """For a yes-no finding the word gives the chance of yes, and no gets the rest."""
    chance = likelihoods(word, {"yes": usual, "no": 1 - usual})
    assert math.isclose(chance["yes"], FREQUENCIES[word])
    assert math.isclose(chance["no"], 1 - FREQUENCIES[word])


def test_answers_not_named_keep_their_proportions() -> None:
    """What a table leaves over is shared in the usual proportions."""
    chance = likelihoods({"a": "sometimes"}, {"a": 0.2, "b": 0.6, "c": 0.2})
    assert chance == pytest.approx({"a": 0.4, "b": 0.45, "c": 0.15})


def test_words_that_promise_too_much_are_scaled_down() -> None:
    """Two answers that are both usual cannot sum to more than everything."""
    chance = likelihoods({"a": "usually", "b": "usually"}, {"a": 0.2, "b": 0.6, "c": 0.2})
    assert chance == pytest.approx({"a": 0.485, "b": 0.485, "c": 0.03})


def test_weights_of_a_table_are_log_ratios(small: Base) -> None:
    """A table line weighs ten times the logarithm of chance over usual share (Good 1950)."""
    lines = {line.id: line for line in small.lines}
    weak = {e.target: e.weight for e in lines["shows/curd=weak"].effects}
    total = 0.80 + 0.40
    assert weak["too-mild"] == pytest.approx(10 * math.log10(0.8 * 0.97 / total / 0.3), abs=0.005)
    yes = {e.target: e.weight for e in lines["shows/cloudy=yes"].effects}
    assert yes["too-mild"] == pytest.approx(10 * math.log10(0.8 / 0.1), abs=0.005)
    no = {e.target: e.weight for e in lines["shows/cloudy=no"].effects}
    assert no["too-mild"] == pytest.approx(10 * math.log10(0.2 / 0.9), abs=0.005)


def test_base_rates_sum_to_one(small: Base) -> None:
    """Every finding in words has shares that sum to one; left out they are even or the default."""
    rates = base_rates(small.findings)
    for rate in rates.values():
        assert math.isclose(math.fsum(rate.values()), 1.0)
    assert rates["operation"] == pytest.approx(
        dict.fromkeys(("strip", "fat-wash", "several"), 1 / 3)
    )
    assert rates["bitter"]["yes"] == 0.03
    assert rates["gassy"]["yes"] == 0.02


def test_priors_keep_a_share_for_what_is_not_listed(small: Base) -> None:
    """One part in twenty of the belief at the start is for something not listed."""
    odds = {cause: 10 ** (db / 10) for cause, db in priors(small.causes).items()}
    assert odds[NOT_LISTED] / sum(odds.values()) == pytest.approx(0.05)
    assert odds["too-mild"] / odds["too-warm"] == pytest.approx(10 ** (4 / 10))


def test_every_line_has_one_id(small: Base) -> None:
    """Lines are told apart by their ids, whatever they came from."""
    assert len({line.id for line in small.lines}) == len(small.lines)
    assert {line.origin for line in small.lines} == {"rule", "shows", "outcome", "operation"}


def test_an_outcome_and_a_table_row_count_once(small: Base) -> None:
    """The table of a finding and the outcomes of its check share a group."""
    groups = {line.id: line.group for line in small.lines}
    assert groups["outcome/drop-test/1"] == "finding/drop_test"
    assert groups["shows/curd=weak"] == "finding/curd"


def test_rows_go_with_the_group_of_their_check() -> None:
    """Where a check has a group of its own, the rows of its finding are in it too."""
    groups = {line.id: line.group for line in load().lines}
    assert groups["outcome/stand-test/1"] == "what-settled"
    assert groups["shows/stand_test=white-floor"] == "what-settled"
    assert groups["shows/bottle_shows=white-floor"] == "what-settled"


def test_another_operation_speaks_against_a_cause(small: Base) -> None:
    """A cause of another operation than the one made is put far back, and only then."""
    lines = {line.id: line for line in small.lines}
    assert {e.target for e in lines["operation/fat-wash"].effects} == {"too-mild", "too-short"}
    assert "operation/several" not in lines


@pytest.mark.parametrize(("word", "weight"), sorted(WEIGHTS.items()))
def test_weights_are_named_by_their_nearest_word(word: str, weight: float) -> None:
    """The word of a weight is that of the nearest size, for and against alike."""
    assert weight_word(weight) == weight_word(-weight) == word
    assert weight_word(0.5) == "none"


def test_the_scales_are_in_order() -> None:
    """Each scale runs from its weakest word to its strongest."""
    assert list(WEIGHTS.values()) == sorted(WEIGHTS.values())
    assert list(PRIORS.values()) == sorted(PRIORS.values(), reverse=True)
    assert list(FREQUENCIES.values()) == sorted(FREQUENCIES.values(), reverse=True)
    assert decibans(10.0) == pytest.approx(10.0)
    assert decibans(2.0) == pytest.approx(3.0103, abs=1e-4)  # Good 1950: twice the odds
