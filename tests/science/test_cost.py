"""Scaling, serves and cost."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science import cost


def test_worked_serves() -> None:
    """1000 mL at 90 % in 60 mL serves is 15, whole (arithmetic)."""
    assert cost.serves(1000, 60, 0.9) == 15
    assert cost.serves(899, 60) == 14
    assert cost.serves(750, 44.36) == 16  # 16.9 pours of 1.5 US fl oz, rounded down


@given(st.floats(0, 1e5), st.floats(1, 500), st.floats(0, 1))
def test_serves_never_oversell(volume: float, serve: float, share: float) -> None:
    """Serves fit into what comes through, and one more would not."""
    count = cost.serves(volume, serve, share)
    assert count * serve <= volume * share + 1e-6 * serve
    assert (count + 1) * serve > volume * share - 1e-6 * serve


def test_unmeasured_yield_is_a_range() -> None:
    """80-95 % of drink plus milk comes through (practice 80-90, arithmetic to 94)."""
    assert cost.serves_range(1250, 90) == (11, 12, 13)


@given(st.dictionaries(st.text(min_size=1, max_size=5), st.floats(0, 1e6)), st.floats(0.01, 100))
def test_scaling_round_trip(quantities: dict[str, float], factor: float) -> None:
    """Scaling up and back gives the quantities again."""
    up = cost.scale(quantities, factor)
    back = cost.scale(up.quantities, 1 / factor)
    for name, amount in quantities.items():
        assert back.quantities[name] == pytest.approx(amount, rel=1e-9, abs=1e-9)


def test_what_does_not_scale_is_said() -> None:
    """Acid, filtering and chilling are remarked on when scaling up; nothing at the same size."""
    assert cost.not_linear(1) == ()
    up = " ".join(cost.not_linear(10))
    for word in ("Acid", "Filtering", "Chilling", "Stirring", "Zest"):
        assert word in up
    assert "10 times as long" in up
    assert "Losses" in " ".join(cost.not_linear(0.1))


def test_surface_grows_slower_than_volume() -> None:
    """Eight times the volume has four times the surface (geometry)."""
    assert cost.surface_ratio(8) == pytest.approx(4)


def test_cost_per_serve_carries_the_losses() -> None:
    """Milk and fat that leave with the curd are still paid for."""
    assert cost.cost_per_serve({"spirit": 20.0, "milk": 1.0, "acid": 0.5}, 15) == pytest.approx(
        21.5 / 15
    )
    assert cost.pour_cost(1.43, 7.15) == pytest.approx(20.0)


def test_legal_measures() -> None:
    """UK spirits in 25 or 35 mL (SI 1988/2039); a US 1.5 oz measure is 44.36 mL."""
    assert cost.SPIRIT_MEASURES["uk"] == (25.0, 35.0)
    assert cost.SPIRIT_MEASURES["us"][0] == pytest.approx(1.5 * 29.5735295625, abs=0.005)


@pytest.mark.parametrize(
    "call",
    [
        lambda: cost.serves(100, 0),
        lambda: cost.serves(math.nan, 60),
        lambda: cost.serves(100, 60, 1.1),
        lambda: cost.cost_per_serve({"spirit": 20.0}, 0),
        lambda: cost.cost_per_serve({"spirit": -1.0}, 5),
        lambda: cost.scale({"spirit": 1.0}, 0),
        lambda: cost.pour_cost(1, 0),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Impossible sizes and prices are refused."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
