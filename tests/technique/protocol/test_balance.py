"""What goes in comes out: volume and ethanol balance over every protocol, whatever the amounts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import AdvisorError
from tests.technique.protocol.briefs import BRIEFS, PUNCH, SPIRIT, base, made


def left_over(protocol):
    """Volume and ethanol that the ledger does not account for."""
    volume = protocol.expected.volume.value
    ethanol = volume * protocol.expected.strength.value / 100.0
    for flow in protocol.flows:
        sign = 1.0 if flow.direction == "in" else -1.0
        volume -= sign * flow.volume
        ethanol -= sign * flow.ethanol
    return volume, ethanol


@pytest.mark.parametrize("technique", sorted(base().protocols))
@pytest.mark.parametrize("name", sorted(BRIEFS))
def test_every_protocol_balances(name, technique):
    """Volume and ethanol in are volume and ethanol out, to a millionth of the drink put in."""
    try:
        protocol = made(BRIEFS[name], technique)
    except AdvisorError:
        return  # refused with a reason: nothing to balance
    volume, ethanol = left_over(protocol)
    assert volume == pytest.approx(0.0, abs=1e-6 * protocol.drink_ml)
    assert ethanol == pytest.approx(0.0, abs=1e-6 * protocol.drink_ml)


@settings(max_examples=40, deadline=None)
@given(
    strength=st.floats(6.0, 30.0),
    acid=st.floats(0.0, 12.0),
    batch=st.floats(60.0, 20_000.0),
    milk=st.floats(5.0, 45.0),
    technique=st.sampled_from(
        ["strip", "strip-twice", "curd-steep", "strip-whey-back", "fat-wash-then-strip"]
    ),
)
def test_any_punch_balances(strength, acid, batch, milk, technique):
    """The balance holds for any strength, acid, size and share of milk that can be planned."""
    overrides = {} if technique == "strip-twice" else {"milk_share": milk}
    protocol = made(
        PUNCH,
        technique,
        answers={"base_strength": strength, "base_acid": acid},
        batch_ml=batch,
        overrides=overrides,
    )
    volume, ethanol = left_over(protocol)
    assert volume == pytest.approx(0.0, abs=1e-6 * protocol.drink_ml)
    assert ethanol == pytest.approx(0.0, abs=1e-6 * protocol.drink_ml)
    assert 0.0 < protocol.expected.strength.value <= strength + 1e-9


def test_no_step_makes_alcohol():
    """No protocol ends with more ethanol than was put in, and milk only ever thins."""
    for technique in base().protocols:
        for given_ in BRIEFS.values():
            try:
                protocol = made(given_, technique)
            except AdvisorError:
                continue
            out = protocol.expected.volume.value * protocol.expected.strength.value / 100.0
            put_in = sum(f.ethanol for f in protocol.flows if f.direction == "in")
            assert out <= put_in + 1e-9


def test_more_milk_means_weaker_and_more_curd():
    """Strength falls and curd grows with the share of milk, at the same drink put in."""
    rows = [
        made(SPIRIT, "strip", answers={"base_volume": "1 l"}, overrides={"milk_share": share})
        for share in (8, 16, 24, 40)
    ]
    strengths = [p.expected.strength.value for p in rows]
    curds = [p.expected.curd.value for p in rows]
    assert strengths == sorted(strengths, reverse=True)
    assert curds == sorted(curds)
