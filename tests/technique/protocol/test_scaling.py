"""From 50 mL on a bench to 20 litres: what scales in a straight line does, the rest says so."""

from __future__ import annotations

import pytest

from advisor.errors import AdvisorError
from advisor.technique.protocol.wording import measure
from tests.technique.protocol.briefs import BRIEFS, PUNCH, SPIRIT, base, made

SIZES = (50.0, 700.0, 20_000.0)
MILKY = ("strip", "strip-light", "curd-steep", "fat-wash-then-strip", "whey-dose")


@pytest.mark.parametrize("technique", sorted(base().protocols))
@pytest.mark.parametrize("size", SIZES)
def test_every_technique_works_at_every_size(technique, size):
    """The batch that was asked for stands in the bottles, from 50 mL to 20 litres."""
    given = BRIEFS["juice" if technique == "centrifuge-only" else "spirit"]
    protocol = made(given, technique, batch_ml=size)
    assert protocol.batch_ml == pytest.approx(size, rel=2e-4)
    assert protocol.expected.volume.low <= size * 1.001
    assert all(d.amount.value > 0.0 for d in protocol.doses)


@pytest.mark.parametrize("technique", MILKY)
@pytest.mark.parametrize("name", ["punch", "spirit"])
def test_linear_doses_follow_the_drink(name, technique):
    """A dose that is said to be linear is the same for each litre of drink at any size.

    After a first straining the drink itself has lost the few mL that paper keeps, so later
    doses agree to what those are of the batch.
    """
    small = made(BRIEFS[name], technique, answers={"base_volume": "1 l"})
    large = made(BRIEFS[name], technique, answers={"base_volume": "20 l"})
    for dose in small.doses:
        if dose.linear:
            other = large.dose(dose.id)
            assert other.amount.value / 20.0 == pytest.approx(dose.amount.value, rel=0.03), dose.id


def test_the_first_wash_scales_exactly():
    """Milk and acid of a wash are in proportion to the drink, to the last digit."""
    small = made(SPIRIT, "strip", answers={"base_volume": "50 ml"})
    large = made(SPIRIT, "strip", answers={"base_volume": "20 l"})
    for name in ("strip.milk", "strip.acid"):
        ratio = large.dose(name).amount.value / small.dose(name).amount.value
        assert ratio == pytest.approx(400.0, rel=1e-9)


def test_what_does_not_scale_is_said_with_numbers():
    """Filter, losses, settling and pouring are named as not linear for a wash."""
    text = " ".join(made(PUNCH, "strip").not_linear)
    for word in ("Losses", "Filter", "Settling", "Pouring"):
        assert word in text
    cold = " ".join(made(SPIRIT, "fat-wash").not_linear)
    assert "Cold" in cold


def test_a_small_batch_loses_more_of_itself():
    """The share that comes through grows with the size, because paper keeps a fixed amount."""
    shares = [
        made(PUNCH, "strip", batch_ml=size).batch_ml
        / made(PUNCH, "strip", batch_ml=size).drink_ml
        for size in SIZES
    ]
    assert shares == sorted(shares)
    assert shares[0] < 0.9 * shares[-1]


def test_time_grows_with_the_size():
    """A larger batch never takes less work or less time."""
    for technique in ("strip", "fat-wash", "agar-clarify"):
        times = [made(SPIRIT, technique, batch_ml=size).timeline for size in SIZES]
        assert [t.total for t in times] == sorted(t.total for t in times)
        assert [t.hands_on for t in times] == sorted(t.hands_on for t in times)


def test_the_filter_area_grows_with_the_batch():
    """Ten times the batch wants ten times the filter, for a bed of the same depth."""
    areas = [
        made(PUNCH, "strip", answers={"base_volume": f"{litres} l"})
        .quantities["strip.filter_area"]
        .amount.value
        for litres in (1, 10)
    ]
    assert areas[1] == pytest.approx(10.0 * areas[0], rel=1e-6)


@pytest.mark.parametrize("technique", sorted(base().protocols))
def test_nothing_is_rounded_to_zero(technique):
    """Every dose of a 50 mL bench batch is written as more than nothing, in both systems."""
    given = BRIEFS["juice" if technique == "centrifuge-only" else "spirit"]
    for dose in made(given, technique, batch_ml=50.0).doses:
        for system in ("metric", "us"):
            said = measure(dose.amount.value, dose.amount.unit, system)
            number = said.split()[0]
            assert float(number) > 0.0, (dose.id, said)


def test_a_coarse_scale_gets_a_stock_solution():
    """40 mg on a scale of 0.1 g: a stock is weighed instead and its volume given."""
    protocol = made(
        SPIRIT, "strip", answers={"acid_wanted": "citric", "base_volume": "25 ml"},
    )
    acid = protocol.dose("strip.acid")
    assert 0.0 < acid.amount.value < 0.1
    note = " ".join(acid.notes)
    assert "too coarse" in note
    assert "ml of it" in note


def test_a_large_dose_needs_no_stock():
    """Ten grams on the same scale need no such note."""
    protocol = made(SPIRIT, "strip", answers={"acid_wanted": "citric", "base_volume": "10 l"})
    assert protocol.dose("strip.acid").notes == ()


@pytest.mark.parametrize("size", ["1 ml", "0 l", "500000 l", "-2 l"])
def test_impossible_sizes_are_refused(size):
    """A batch that no jug holds is refused with the range."""
    with pytest.raises(AdvisorError):
        made(PUNCH, "strip", answers={"batch_volume": size})


@pytest.mark.parametrize("size", [1.0, 0.0, 1e9, -5.0])
def test_impossible_sizes_are_refused_by_the_library(size):
    """The same by the library's own argument."""
    with pytest.raises(AdvisorError, match="batch"):
        made(PUNCH, "strip", batch_ml=size)


def test_more_than_there_is_cannot_be_made():
    """A batch that takes more drink than the brief has is refused, with what would do."""
    with pytest.raises(AdvisorError) as refused:
        made(PUNCH, "strip", answers={"base_volume": "500 ml", "batch_volume": "2 l"})
    assert refused.value.code == "not-enough-drink"
    assert "ask for about" in refused.value.hint
