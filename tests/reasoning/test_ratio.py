"""Amounts that lean on another: milk as a ratio to the drink, a strength against the plan."""

from __future__ import annotations

import pytest

from advisor import AdvisorError, Consultation, load


@pytest.mark.parametrize("written", ["4:1", "4 to 1", "8:2"])
def test_a_ratio_is_read_against_the_drink(written):
    """Four to one of 800 ml is 200 ml of milk."""
    batch = Consultation(load()).tell("drink_volume", "800 ml").tell("milk_volume", written)
    assert batch.answers["milk_volume"].value == pytest.approx(200.0)


def test_a_ratio_of_something_unknown_says_what_to_give_first():
    """Without the drink a ratio is no amount."""
    with pytest.raises(AdvisorError, match="give drink_volume first"):
        Consultation(load()).tell("milk_volume", "4:1")


@pytest.mark.parametrize("written", ["0:1", "1:0", "0 to 0"])
def test_a_ratio_with_nothing_on_a_side_is_refused(written):
    """Nothing to one, or one to nothing, is an error and not a crash."""
    batch = Consultation(load()).tell("drink_volume", "800 ml")
    with pytest.raises(AdvisorError):
        batch.tell("milk_volume", written)


def test_an_amount_that_is_no_share_takes_no_ratio():
    """A ratio is refused where nothing says what it is a ratio of."""
    with pytest.raises(AdvisorError, match="ratio"):
        Consultation(load()).tell("drink_volume", "4:1")


def test_a_saved_ratio_reads_back(tmp_path):
    """The case file keeps what was written and the amount comes out the same."""
    batch = Consultation(load()).tell("drink_volume", "800 ml").tell("milk_volume", "4:1")
    batch.save(tmp_path / "batch.yaml")
    again = Consultation.from_case(load(), tmp_path / "batch.yaml")
    assert again.answers["milk_volume"].value == pytest.approx(200.0)


@pytest.mark.parametrize("written", ["-5 %vol", "\N{MINUS SIGN}5", "minus 5 %", "- 5", -5])
def test_a_difference_may_be_below_nought(written):
    """Five points weaker than planned is an amount; a strength of minus five is not."""
    batch = Consultation(load())
    assert batch.tell("strength_gap", written).answers["strength_gap"].value == pytest.approx(-5.0)
    with pytest.raises(AdvisorError):
        batch.tell("drink_strength", written)


def test_the_interval_of_a_difference_keeps_its_order():
    """About minus four reaches from a little below to a little above."""
    answer = Consultation(load()).tell("strength_gap", "-about 4").answers["strength_gap"]
    assert answer.value == pytest.approx(-4.0)
    assert answer.low < answer.value < answer.high
