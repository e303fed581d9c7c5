"""Doses too small for a scale: never nothing, always a stock that can be measured."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science.weighing import WORST_ERROR, relative_error, stock_for


def test_four_hundredths_of_a_gram():
    """0.04 g on a scale of 0.1 g: 4 mL of a 1 % solution."""
    stock = stock_for(0.04, 0.1)
    assert stock is not None
    assert (stock.percent, stock.take_ml) == (1.0, pytest.approx(4.0))


def test_a_dose_that_can_be_weighed_needs_none():
    """1.5 g on a scale of 0.1 g is good to 3 %."""
    assert relative_error(1.5, 0.1) == pytest.approx(0.0333, abs=1e-3)
    assert stock_for(1.5, 0.1) is None


@given(st.floats(1e-4, 5.0), st.sampled_from([0.01, 0.1, 1.0]))
def test_a_stock_holds_the_dose_and_can_be_weighed(mass, step):
    """What is taken holds the dose, the stock is large enough, and its own grams weigh well."""
    stock = stock_for(mass, step)
    if stock is None:
        assert relative_error(mass, step) <= WORST_ERROR
        return
    assert stock.take_ml * stock.percent / 100.0 == pytest.approx(mass)
    assert stock.take_ml <= stock.made_ml
    assert relative_error(stock.grams, step) <= WORST_ERROR
    assert stock.take_ml >= 0.1 - 1e-9


def test_less_than_nothing_measurable_is_refused():
    """A millionth of a gram has no stock: the batch must be larger."""
    with pytest.raises(ValueError, match="no stock"):
        stock_for(1e-7, 0.1)


@pytest.mark.parametrize("mass", [0.0, -1.0, float("nan")])
def test_no_dose_is_no_dose(mass):
    """Nothing, or less, is refused."""
    with pytest.raises(ValueError, match="mass"):
        stock_for(mass, 0.1)
