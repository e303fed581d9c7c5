"""The table of milks and plant drinks."""

from __future__ import annotations

import pytest

from advisor.science.milks import CASEIN_SHARE, COW_CLOT, GOAT_CLOT, MILKS, milk

REQUIRED = {
    "whole", "whole-unhomogenised", "two-percent", "skim", "long-life", "lactose-free",
    "ultra-filtered", "half-and-half", "cream", "buttermilk", "yoghurt", "powder", "goat", "sheep",
    "buffalo", "soy", "oat", "almond", "coconut", "rice",
}  # fmt: skip


def test_every_named_milk_is_there() -> None:
    """The twenty kinds that people pour, each under its own name."""
    assert set(MILKS) >= REQUIRED
    assert all(one.id == key for key, one in MILKS.items())


@pytest.mark.parametrize("kind", MILKS)
def test_rows_are_whole_and_sourced(kind: str) -> None:
    """Each row adds up to no more than 100 g, has a pH, a source, a mark and a curd word."""
    one = milk(kind)
    assert one.water + one.protein + one.fat + one.lactose <= 100.5
    assert 0.0 <= one.casein <= one.protein
    assert 4.0 <= one.ph <= 7.2
    assert one.curd in {"yes", "weak", "no", "soy"}
    assert one.mark in {"seen", "memory", "judgement"}
    assert one.source
    assert 0.0 < one.solids_volume < 0.6


def test_casein_is_its_share_of_protein() -> None:
    """0.78 of protein for dairy, between the quoted 0.76 and 0.80 (Fox 2003; yield texts)."""
    assert 0.76 <= CASEIN_SHARE <= 0.80
    for one in MILKS.values():
        if one.casein:
            assert one.casein / one.protein == pytest.approx(CASEIN_SHARE, abs=0.002)


def test_cream_is_the_least_certain_dairy() -> None:
    """Listings of cream's protein differ by 35 %, and its interval says so (USDA 1976, newer)."""
    assert milk("cream").spread == 0.35
    assert max(m.spread for m in MILKS.values() if m.casein) == 0.35


def test_plant_drinks_are_not_milk() -> None:
    """No casein, no lactose, no alcohol clot; only soy sets."""
    for kind in ("soy", "oat", "almond", "coconut", "rice"):
        one = milk(kind)
        assert (one.casein, one.lactose, one.clot) == (0.0, 0.0, None)
    assert {m.id for m in MILKS.values() if m.curd == "soy"} == {"soy"}


def test_goat_clots_long_before_cow() -> None:
    """22-35 against 33-42 %vol in the mix (Kim et al. 2013; Davies & White 1958)."""
    assert milk("goat").clot == GOAT_CLOT
    assert GOAT_CLOT[0] < COW_CLOT[0]
    assert GOAT_CLOT[1] < COW_CLOT[1]


def test_unknown_milk_lists_the_known() -> None:
    """A wrong word is answered with the right ones."""
    with pytest.raises(ValueError, match="whole-unhomogenised"):
        milk("yak")
