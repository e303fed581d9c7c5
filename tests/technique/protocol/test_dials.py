"""What can be set, what cannot, and what is assumed when nothing was said."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import AdvisorError
from tests.technique.protocol.briefs import PUNCH, SPIRIT, WINE, base, made


def test_a_dial_can_be_set_as_people_write_it():
    """A share as a percentage or a fraction, a rest as a time, under its own or its part's name."""
    for key, value in (("milk_share", "30 %"), ("strip.milk_share", 30), ("milk_share", "30")):
        protocol = made(PUNCH, "strip", overrides={key: value})
        setting = next(s for s in protocol.settings if s.id == "strip.milk_share")
        assert setting.value == pytest.approx(30.0)
        assert setting.footing == "given"
    rest = made(PUNCH, "strip", overrides={"rest": "90 min"}).quantities["strip.rest"]
    assert rest.amount.value == pytest.approx(1.5)


def test_an_amount_can_be_set():
    """Milk, acid, fat and whey in mL or g; the dial follows."""
    punch = {"base_volume": "1 l"}
    assert made(PUNCH, "strip", answers=punch, overrides={"milk": "300 ml"}).dose(
        "strip.milk"
    ).amount.value == pytest.approx(300.0)
    spirit = made(
        SPIRIT, "strip", answers={"acid_wanted": "citric"}, overrides={"acid": "2 g"}
    ).dose("strip.acid")
    assert (spirit.amount.value, spirit.footing) == (pytest.approx(2.0), "given")
    assert made(SPIRIT, "fat-wash", overrides={"fat": "100 g"}).dose(
        "fat_wash.fat"
    ).amount.value == pytest.approx(100.0)
    assert made(PUNCH, "whey-dose", overrides={"whey": "150 ml"}).dose(
        "whey_dose.whey"
    ).amount.value == pytest.approx(150.0)


def test_a_part_used_twice_has_its_own_dials():
    """The second of two washes can be set apart from the first."""
    protocol = made(PUNCH, "strip-twice", overrides={"second.milk_share": "5 %"})
    shares = {s.id: s.value for s in protocol.settings if s.id.endswith("milk_share")}
    assert shares == {"first.milk_share": 14.0, "second.milk_share": 5.0}


@pytest.mark.parametrize(
    ("overrides", "code"),
    [
        ({"milk_share": "95 %"}, "dial-range"),
        ({"milk_share": "-5 %"}, "quantity"),
        ({"milk_share": "soon"}, "quantity"),
        ({"milk_share": float("nan")}, "quantity"),
        ({"milk_share": float("inf")}, "quantity"),
        ({"milk": "0 ml"}, "amount-impossible"),
        ({"milk": "3 g"}, "quantity"),
        ({"milkshare": "20 %"}, "dial-unknown"),
        ({"whey_share": "20 %"}, "dial-unknown"),
        ({"rest": "-1 h"}, "quantity"),
        ({"milk_temperature": "200 C"}, "dial-range"),
    ],
)
def test_what_cannot_be_is_refused(overrides, code):
    """A setting out of range, of another kind or of another protocol is refused by name."""
    with pytest.raises(AdvisorError) as refused:
        made(PUNCH, "strip", overrides=overrides)
    assert refused.value.code == code
    assert str(next(iter(overrides))).split(".")[-1] in str(refused.value)


def test_a_near_miss_is_answered_with_the_name():
    """A mistyped dial is told which one may have been meant."""
    with pytest.raises(AdvisorError) as refused:
        made(PUNCH, "strip", overrides={"milk_shore": "20 %"})
    assert "milk_share" in refused.value.hint


def test_an_unknown_technique_is_refused():
    """A technique without a protocol is refused with the nearest."""
    with pytest.raises(AdvisorError) as refused:
        made(PUNCH, "stripp")
    assert "strip" in refused.value.hint


@settings(max_examples=60, deadline=None)
@given(
    value=st.one_of(
        st.floats(),
        st.text(max_size=12),
        st.integers(-(10**12), 10**12),
        st.sampled_from(["", "%"]),
    ),
    key=st.sampled_from(["milk_share", "milk", "rest", "milk_temperature", "bed_depth", "stand"]),
)
def test_no_setting_ends_in_anything_but_an_answer_or_a_refusal(value, key):
    """Whatever is asked for, the protocol is finite or an ``AdvisorError`` says why not."""
    try:
        protocol = made(PUNCH, "strip", overrides={key: value})
    except AdvisorError:
        return
    numbers = [protocol.batch_ml, protocol.drink_ml, protocol.timeline.total]
    numbers += [n for d in protocol.doses for n in (d.amount.low, d.amount.value, d.amount.high)]
    assert all(map(math.isfinite, numbers))


def test_every_guess_is_said():
    """Strength, acid, kind and size that nobody gave are taken for granted aloud."""
    protocol = made({}, "strip")
    text = " ".join(protocol.assumptions)
    for word in ("kind of drink", "strength", "acid", "one litre"):
        assert word in text


def test_a_ph_alone_is_not_taken_for_acid():
    """A sharp pH says how little acid there may be: acid is still measured out, and it is said."""
    protocol = made(
        {"base_kind": "mixed-drink", "base_strength": 20, "base_ph": 3.2}, "strip"
    )
    assert protocol.dose("strip.acid").amount.value > 0.0
    assert "Titrate" in " ".join(protocol.assumptions)


def test_acid_is_only_added_where_it_is_short():
    """A drink with enough of its own gets none, and the step that tests it with a spoon instead."""
    sharp = made(PUNCH, "strip")
    assert not [d for d in sharp.doses if d.id == "strip.acid"]
    assert "strip.spoon-test" in {s.id for s in sharp.steps}
    mild = made(PUNCH, "strip", answers={"base_acid": 0.5})
    assert mild.dose("strip.acid").amount.value > 0.0
    assert "strip.acid-in" in {s.id for s in mild.steps}


def test_no_acid_may_be_refused_or_go_round():
    """Where no acid may be added a wash is refused, and curd made apart is not."""
    with pytest.raises(AdvisorError) as refused:
        made(SPIRIT, "strip", answers={"acid_wanted": "none"})
    assert refused.value.code == "acid-needed"
    assert made(SPIRIT, "curd-steep", answers={"acid_wanted": "none"}).doses


def test_weak_acids_are_refused_where_they_would_swamp_the_drink():
    """A litre of spirit cannot be split with orange juice without becoming orange juice."""
    with pytest.raises(AdvisorError) as refused:
        made(SPIRIT, "strip", answers={"acid_wanted": "orange-juice", "milk_wanted": "sheep"},
             overrides={"milk_share": "50 %"})  # fmt: skip
    assert refused.value.code == "acid-too-weak"


def test_a_fat_that_cannot_be_parted_is_refused():
    """Olive oil sets only in a freezer: not in a weak drink, nor without one."""
    with pytest.raises(AdvisorError) as refused:
        made(WINE, "plant-fat-wash", answers={"wanted_fat": "olive-oil"})
    assert refused.value.code == "fat-not-set"
    with pytest.raises(AdvisorError) as refused:
        made(SPIRIT, "plant-fat-wash", answers={"wanted_fat": "olive-oil", "kit_freezer": "no"})
    assert refused.value.code == "kit-missing"


def test_alcohol_never_goes_into_a_centrifuge():
    """From 5 %vol up spinning is refused (UL 61010A-2-020 and makers' manuals)."""
    with pytest.raises(AdvisorError) as refused:
        made(PUNCH, "centrifuge-only")
    assert refused.value.code == "centrifuge-alcohol"


def test_too_much_whey_for_the_curd_is_refused():
    """Whey that is kept from the curd cannot be more than the milk gave."""
    with pytest.raises(AdvisorError) as refused:
        made(PUNCH, "strip-whey-back", overrides={"whey_share": "60 %"})
    assert refused.value.code == "whey-short"


def test_doses_have_intervals_sources_and_footing():
    """Every dose of every protocol is inside its interval and says where it comes from."""
    for technique in base().protocols:
        given_ = {"base_kind": "juice"} if technique == "centrifuge-only" else SPIRIT
        for dose in made(given_, technique).doses:
            assert dose.amount.low <= dose.amount.value <= dose.amount.high
            assert dose.formula
            assert dose.source
            assert dose.footing in ("calculated", "practice", "given", "assumed")
