"""Two answers that say the same are equal, on every Python, also without an interval."""

from __future__ import annotations

import math

from advisor.reasoning.answers import Answer
from advisor.reasoning.evidence import FigureValue, Footing


def test_an_unknown_interval_equals_an_unknown_interval():
    """NaN made anew stands for the same as NaN: nothing is known of the interval."""
    other = float("nan")
    assert other is not math.nan
    assert Answer("yes") == Answer("yes", low=other, high=other)
    assert hash(Answer("yes")) == hash(Answer("yes", low=other, high=other))
    assert Footing("told") == Footing("told", low=other)
    one = FigureValue("f", "full", math.nan, math.nan, "calculated", {})
    assert one == FigureValue("f", "full", other, other, "calculated", {})


def test_what_differs_is_not_equal():
    """A value, an interval or a kind that differs is seen."""
    assert Answer("yes") != Answer("no")
    assert Answer(1.0, low=0.5, high=1.5) != Answer(1.0, low=0.5, high=2.0)
    assert Answer(1.0) != Answer(1.0, low=0.5)
    assert Footing("told") != Footing("measured")
    assert Answer("told") != Footing("told")
