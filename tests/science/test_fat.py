"""Fat washing: floating, setting, water, and which way flavour moves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science import fat, partition
from advisor.science.allergen_sources import INGREDIENTS
from advisor.science.ethanol import density
from advisor.science.fats import FATS

KINDS = st.sampled_from(sorted(FATS))


def test_butter_and_ghee_follow_the_food_standards() -> None:
    """Butter 80 % fat, 16 % water (Codex CXS 279); ghee 99.6 % fat (CXS 280)."""
    butter = FATS["plain-butter"]
    assert (butter.fat, butter.water) == (80.0, 16.0)
    assert 100 - butter.fat - butter.water >= 2.0  # room for the 2 % milk solids
    assert FATS["ghee"].fat == 99.6


def test_peanut_butter_is_about_half_fat() -> None:
    """Peanut butter holds at most 55 % fat (21 CFR 164.150); a 16 g spoon holds 8.06 g."""
    assert FATS["peanut-butter"].fat <= 55
    assert FATS["peanut-butter"].fat == pytest.approx(8.06 / 16 * 100, abs=3)


@pytest.mark.parametrize(("butter_g", "expected"), [(113.4, 39.07), (100.0, 39.17)])
def test_butter_water_lowers_strength(butter_g: float, expected: float) -> None:
    """A US stick takes 750 mL of 40 % to 39.07 %, 100 g to 39.17 (CXS 279 with OIML R 22)."""
    assert fat.strength_after("plain-butter", butter_g, 750, 40).value == pytest.approx(
        expected, abs=0.05
    )


def test_dry_butterfat_leaves_strength_alone() -> None:
    """Ghee changes 40.0 % by less than the rounding (CXS 280)."""
    assert fat.strength_after("ghee", 113.4, 750, 40).value == pytest.approx(40.0, abs=0.05)
    assert fat.water_brought("plain-butter", 113.4).value == pytest.approx(18.1, abs=0.05)


@pytest.mark.parametrize(("rho", "expected"), [(920, 55.0), (915, 57.3), (910, 59.6), (900, 64.0)])
def test_where_oil_stops_floating(rho: float, expected: float) -> None:
    """An oil of 920/915/910/900 kg/m3 matches spirit of 55.0/57.3/59.6/64.0 % (OIML R 22)."""
    assert fat.stops_floating_at(rho) == pytest.approx(expected, abs=0.5)
    assert density(fat.stops_floating_at(rho)) == pytest.approx(rho, abs=0.02)


def test_oil_floats_on_ordinary_spirit_and_sinks_in_overproof() -> None:
    """Liquid oil floats on 40 % (948 kg/m3) and sinks in 70 % (886): OIML R 22."""
    for kind in ("olive-oil", "sunflower-oil", "toasted-sesame-oil", "brown-butter"):
        assert fat.floats(kind, 40).value == "floats"
        assert fat.floats(kind, 70).value == "sinks"
    assert fat.floats("olive-oil", 57.3).value == "hangs"


@given(KINDS, st.floats(0, 95), st.floats(0, 95), st.floats(1, 40))
def test_stronger_spirit_floats_less(kind: str, a: float, b: float, temperature: float) -> None:
    """The float margin falls as strength rises, whatever the fat and temperature."""
    low, high = sorted((a, b))
    assert (
        fat.float_margin(kind, low, temperature).value
        >= fat.float_margin(kind, high, temperature).value - 1e-9
    )


@pytest.mark.parametrize("kind", ["toasted-sesame-oil", "sesame-oil", "sunflower-oil", "corn-oil"])
def test_liquid_oils_do_not_set_in_a_fridge(kind: str) -> None:
    """Sesame, sunflower, corn: not set at 4 degC (cloud points, Bailey 2005; sesame recalled)."""
    assert fat.sets_at(kind).value != "fridge"
    assert fat.solid_share(kind, 4).value == 0


def test_soybean_oil_does_not_set_in_a_fridge() -> None:
    """Soybean oil clouds at -9 degC (Physical properties of fats and oils)."""
    assert fat.sets_at("soybean-oil").value == "freezer"
    assert fat.solid_share("soybean-oil", -9).value == 0


def test_coconut_oil_sets_between_published_limits() -> None:
    """Coconut oil is liquid above 28 degC and has begun to set below 25 (Belitz & Grosch)."""
    assert fat.solid_share("coconut-oil", 28).value == 0
    assert fat.solid_share("coconut-oil", 24).value > 0
    assert fat.sets_at("coconut-oil").value == "fridge"


def test_milk_fat_melts_across_the_published_range() -> None:
    """Milk fat is fully melted by 40 degC (J. Dairy Res. 38 (1971) 179).

    Solid shares at 5, 10 and 20 degC (45-50, 38-42, 18-22 %) are from memory, not
    yet verified, and are only asked for within 8 points.
    """
    assert fat.solid_share("ghee", 40).value == 0
    for temperature, share in ((5, 0.475), (10, 0.40), (20, 0.20)):
        assert fat.solid_share("ghee", temperature).value == pytest.approx(share, abs=0.08)


@pytest.mark.parametrize("kind", sorted(FATS))
def test_setting_word_agrees_with_the_melting_range(kind: str) -> None:
    """A fat that sets in the fridge is at least a third solid at 4 degC, and so on."""
    data = FATS[kind]
    if data.sets == "fridge":
        assert fat.solid_share(kind, 4).value >= 0.35
    elif data.sets == "freezer":
        assert fat.solid_share(kind, -18).value >= 0.5
    elif data.layer != "paste":
        assert fat.solid_share(kind, -18).value <= 0.5


@given(KINDS, st.floats(-25, 60), st.floats(-25, 60))
def test_colder_is_never_less_solid(kind: str, a: float, b: float) -> None:
    """The solid share falls with temperature and stays within 0 to 1."""
    cold, warm = sorted((a, b))
    assert 1 >= fat.solid_share(kind, cold).value >= fat.solid_share(kind, warm).value >= 0


def test_no_smoke_point_is_offered() -> None:
    """Smoke points differ by 60 degC between sources, so none is stored as a limit."""
    assert not [f for f in FATS["ghee"]._fields if "smoke" in f]


def test_every_allergen_word_of_a_fat_is_known_to_labels() -> None:
    """The fat table and the ingredient table say the same about each fat."""
    for kind, data in FATS.items():
        groups = {"tree-nuts" if g.startswith("nut:") else g for g in INGREDIENTS[kind]}
        assert groups == set(data.contains), kind


def test_rate_by_weight_and_by_volume() -> None:
    """60 mL on 750 mL is 8 %; grams go through the melted density."""
    assert fat.rate("bacon-fat", 750, fat_ml=60) == pytest.approx(8.0)
    assert fat.rate("olive-oil", 750, fat_g=91.4) == pytest.approx(100 / 7.5, rel=0.01)
    assert fat.rate_word("bacon-fat", 8) == "usual"
    assert fat.rate_word("bacon-fat", 30) == "high"
    assert fat.rate_word("olive-oil", 1) == "low"
    with pytest.raises(ValueError, match="either"):
        fat.rate("bacon-fat", 750)
    with pytest.raises(ValueError, match="either"):
        fat.rate("bacon-fat", 750, fat_ml=1, fat_g=1)


def test_yields_follow_practice() -> None:
    """85-95 % from oils and butter, 65-85 % from nut paste (common practice, no source)."""
    oil, paste = fat.yield_of("olive-oil", 1000), fat.yield_of("peanut-butter", 1000)
    assert (oil.low, oil.high) == (850, 950)
    assert (paste.low, paste.high) == (650, 850)


@pytest.mark.parametrize(
    ("grade", "peroxide", "acid", "word"),
    [
        ("refined", 10.0, 0.6, "fresh"),
        ("refined", 10.01, 0.6, "rancid"),
        ("refined", 10.0, 0.61, "rancid"),
        ("virgin", 15.0, 4.0, "fresh"),
        ("virgin", 15.01, 0.0, "rancid"),
        ("virgin", 0.0, 4.01, "rancid"),
        ("virgin", 14.0, None, "unknown"),
        ("virgin", 16.0, None, "rancid"),
        ("virgin", None, None, "unknown"),
        ("ghee", 0.6, 0.8, "fresh"),
        ("ghee", 0.61, 0.8, "rancid"),
    ],
)
def test_oxidation_gates(grade: str, peroxide: float | None, acid: float | None, word: str) -> None:
    """Peroxide 10/15 meq O2/kg and acid value 0.6/4.0 mg KOH/g (Codex CXS 210); ghee CXS 280."""
    assert fat.freshness(grade, peroxide=peroxide, acid=acid) == word


TABLE = [
    ("diacetyl", 0.046, 0.11, 0.5, 1.1),
    ("caffeine", 0.85, 0.69, 7.8, 6.4),
    ("butyric-acid", 6.2, 2.3, 38, 19),
    ("vanillin", 16, 4.3, 62, 30),
    ("eugenol", 186, 19, 95, 66),
    ("linalool", 933, 53, 98.9, 84),
    ("limonene", 37_000, 520, 99.97, 98.1),
]


@pytest.mark.parametrize(("name", "water", "spirit", "pct_water", "pct_spirit"), TABLE)
def test_partition_table(
    name: str, water: float, spirit: float, pct_water: float, pct_spirit: float
) -> None:
    """K in water and 40 %, and % in oil at 1:10, to the printed digits.

    Arithmetic on the form of Li & Yalkowsky 1998; its ethanol coefficients and
    several log Kow are from memory, not yet verified.
    """
    kow = partition.COMPOUNDS[name].log_kow
    in_water, in_spirit = partition.constant(kow, 0), partition.constant(kow, 40)
    assert in_water == pytest.approx(water, rel=0.03)
    assert in_spirit == pytest.approx(spirit, rel=0.03)
    assert 100 * partition.share_in_fat(in_water, 1, 10) == pytest.approx(
        pct_water, rel=0.02, abs=0.06
    )
    assert 100 * partition.share_in_fat(in_spirit, 1, 10) == pytest.approx(
        pct_spirit, rel=0.02, abs=0.06
    )


def test_ethanol_does_not_always_lower_k() -> None:
    """Below log Kow of about -0.32 ethanol raises K: diacetyl 0.046 to 0.11 (sign trap)."""
    assert partition.constant(-1.34, 40) > partition.constant(-1.34, 0)
    assert partition.constant(0.0, 40) < partition.constant(0.0, 0)
    turning = -0.30 / 0.95
    assert partition.constant(turning, 40) == pytest.approx(partition.constant(turning, 0))


def test_worked_mass_balance() -> None:
    """50 mg vanillin in 100 mL fat on 1000 mL: 29.9 % stays, 35.0 mg/L in the spirit, sum exact."""
    shared = partition.exchange(50.0, 0.0, 4.27, 100, 1000)
    assert shared.in_fat / 50 == pytest.approx(0.299, abs=0.0005)
    assert shared.in_fat == pytest.approx(15.0, abs=0.05)
    assert shared.per_litre_spirit == pytest.approx(35.0, abs=0.05)
    assert shared.in_fat + shared.in_spirit == pytest.approx(50.0, abs=1e-9)


def test_two_portions_strip_more_than_one() -> None:
    """Two lots of 50 mL leave 67.9 % in the spirit, one of 100 mL leaves 70.1 % (arithmetic)."""
    assert partition.left_in_spirit(4.27, 100, 1000, 2) == pytest.approx(0.679, abs=0.0005)
    assert partition.left_in_spirit(4.27, 100, 1000, 1) == pytest.approx(0.701, abs=0.0005)


@given(
    st.floats(0, 1e6), st.floats(0, 1e6), st.floats(0, 1e6), st.floats(0, 1e5), st.floats(1, 1e5)
)
def test_nothing_is_made_or_lost(
    in_fat: float, in_spirit: float, k: float, fat_ml: float, spirit_ml: float
) -> None:
    """Both sides together hold what was there, to 1e-9 of it, and neither is negative."""
    shared = partition.exchange(in_fat, in_spirit, k, fat_ml, spirit_ml)
    total = in_fat + in_spirit
    assert abs(shared.in_fat + shared.in_spirit - total) <= 1e-9 * max(1.0, total)
    assert shared.in_fat >= 0
    assert shared.in_spirit >= 0


def test_limits_of_the_share() -> None:
    """K to 0 puts nothing in the fat, K to infinity everything."""
    assert partition.share_in_fat(0, 100, 1000) == 0
    assert partition.share_in_fat(1e12, 100, 1000) == pytest.approx(1, abs=1e-9)


def test_direction_of_the_known_aromas() -> None:
    """Citrus oil leaves a gin, buttery diacetyl enters it (sign from log Kow, PubChem, HSDB)."""
    assert partition.share_in_fat_for("limonene", 40, 1, 10).low > 0.9
    assert partition.share_in_fat_for("diacetyl", 40, 1, 10).high < 0.1


@given(st.floats(0.01, 0.99), st.floats(1e-3, 1e4))
def test_fat_for_removal_round_trip(removed: float, k: float) -> None:
    """The fat found for a removal gives that removal back."""
    needed = partition.fat_for_removal(k, 750, removed)
    assert partition.share_in_fat(k, needed, 750) == pytest.approx(removed, rel=1e-9)


def test_milk_fat_takes_up_to_a_decade_less() -> None:
    """For short alcohols milk fat lies about one decade below octanol (Berg & Rankin 2005)."""
    plain = partition.constant(1.0, 0)
    assert partition.constant(1.0, 0, milk_fat=1.0) == pytest.approx(plain / 10)
    lower = partition.constant_for("butyric-acid", 40, milk_fat=True)
    assert lower.value < partition.constant_for("butyric-acid", 40).value
    same = partition.constant_for("limonene", 40, milk_fat=True)
    assert same.value == pytest.approx(partition.constant_for("limonene", 40).value)


def test_log_kow_carries_its_scatter() -> None:
    """Half a decade at least, one above log Kow 4 (ECHA dossiers differ by more than a unit)."""
    for compound in partition.COMPOUNDS.values():
        assert compound.half >= (1.0 if compound.log_kow > 4 else 0.5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: fat.sets_at("engine-oil"),
        lambda: fat.floats("lard", 10, -18),
        lambda: fat.floats("lard", 40, 80),
        lambda: fat.solid_share("lard", math.nan),
        lambda: fat.freshness("old", peroxide=1),
        lambda: fat.freshness("virgin", peroxide=-1),
        lambda: partition.constant_for("nothing", 40),
        lambda: partition.share_in_fat(math.inf, 1, 1),
        lambda: partition.exchange(-1, 0, 1, 1, 1),
        lambda: partition.left_in_spirit(1, 1, 1, 0),
        lambda: partition.fat_for_removal(0, 750, 0.5),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Unknown words, slush and impossible numbers are refused with a reason."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
