"""The quick way to an expected gain is the published one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.reasoning.ledger import expected_gain
from advisor.reasoning.questions import information

_WEIGHTS = st.lists(st.floats(0.01, 1.0), min_size=2, max_size=6)


@given(_WEIGHTS, _WEIGHTS, st.data())
def test_information_equals_the_expected_gain_of_the_same_likelihoods(causes, answers, data):
    """Looking only at the causes that some answer moves gives the same bits and chances."""
    standing = {f"c{i}": w / sum(causes) for i, w in enumerate(causes)}
    shares = [w / sum(answers) for w in answers]
    moves = st.dictionaries(st.sampled_from(sorted(standing)), st.floats(-25, 25), max_size=3)
    shifts = [data.draw(moves) for _ in shares]
    likelihood = {}
    for cause in standing:
        raw = [s * 10 ** (m.get(cause, 0.0) / 10) for s, m in zip(shares, shifts, strict=True)]
        likelihood[cause] = {str(i): value / sum(raw) for i, value in enumerate(raw)}
    bits, chances = information(standing, shares, shifts)
    assert bits == pytest.approx(expected_gain(standing, likelihood), abs=1e-9)
    for i, chance in enumerate(chances):
        assert chance == pytest.approx(
            sum(p * likelihood[c][str(i)] for c, p in standing.items()), abs=1e-12
        )
