"""Serving orders and codes: balanced, and the same for the same seed."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import AdvisorError
from advisor.technique.trial.orders import CODES, balanced_after, blocks, codes, shuffled, williams


@given(st.integers(2, 12))
def test_every_sample_stands_as_often_in_every_place(samples: int) -> None:
    """A Williams design is a Latin square, or two (Williams 1949; MacFie et al. 1989)."""
    rows = williams(samples)
    assert len(rows) == (samples if samples % 2 == 0 else 2 * samples) == balanced_after(samples)
    for place in range(samples):
        assert set(Counter(row[place] for row in rows).values()) == {len(rows) // samples}


@given(st.integers(2, 12))
def test_every_sample_follows_every_other_as_often(samples: int) -> None:
    """First-order carry-over is balanced: each ordered pair of neighbours equally often."""
    after = Counter(pair for row in williams(samples) for pair in pairwise(row))
    assert len(after) == samples * (samples - 1)
    assert set(after.values()) == {1 if samples % 2 == 0 else 2}


@given(st.lists(st.integers(), min_size=1, max_size=8, unique=True), st.integers(0, 60), st.data())
def test_no_pattern_is_used_twice_before_all_were_used(
    patterns: list[int], count: int, data: st.DataObject
) -> None:
    """Any number of flights is as balanced as it can be."""
    drawn = blocks(patterns, count, Random(data.draw(st.integers(0, 99))))
    used = Counter(drawn)
    assert len(drawn) == count
    assert max(used[p] for p in patterns) - min(used[p] for p in patterns) <= 1


@given(st.integers(0, len(CODES)), st.integers(0, 2**31))
def test_codes_are_three_digits_and_unique(count: int, seed: int) -> None:
    """No code begins with 0, none is used twice, and a seed draws the same again."""
    drawn = codes(count, Random(seed))
    assert len(set(drawn)) == count
    assert all(len(c) == 3 and c.isdecimal() and c[0] != "0" for c in drawn)
    assert drawn == codes(count, Random(seed))


def test_codes_run_out_with_a_reason() -> None:
    """More cups than codes is refused, never answered with a code used twice."""
    with pytest.raises(AdvisorError, match="need a code of their own"):
        codes(len(CODES) + 1, Random(1))


@given(st.lists(st.integers()), st.integers())
def test_shuffling_keeps_everything(items: list[int], seed: int) -> None:
    """A shuffled list holds the same items."""
    assert sorted(shuffled(items, Random(seed))) == sorted(items)


def test_a_seed_draws_the_same_everywhere() -> None:
    """The first codes of seed 1, pinned: they must be the same on every Python release."""
    assert codes(4, Random(1)) == ["885", "464", "916", "568"]


@pytest.mark.parametrize("samples", [1, 13, True, 2.0])
def test_impossible_squares_are_refused(samples: object) -> None:
    """One sample has no order, and more than twelve no palate holds apart."""
    with pytest.raises(ValueError, match="samples must be"):
        williams(samples)  # type: ignore[arg-type]
