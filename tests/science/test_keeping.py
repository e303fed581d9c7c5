"""Keeping: tables, boundaries, dates, alcohol, and the wording of every caution."""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science import hazards, keeping, labels
from advisor.science.estimate import Estimate
from advisor.science.ethanol import mass_percent
from advisor.science.wording import BANNED, DEFERRAL, Caution, banned_words

if TYPE_CHECKING:
    from collections.abc import Iterator

# FDA Food Code 1-201.10, cells written out again by hand: (pH, aw) -> answer.
TABLE_A = [
    (4.6, 0.90, "non-tcs"), (5.0, 0.90, "non-tcs"), (6.0, 0.90, "non-tcs"),
    (4.6, 0.94, "non-tcs"), (5.0, 0.94, "non-tcs"), (6.0, 0.94, "assess"),
    (4.6, 0.97, "non-tcs"), (5.0, 0.97, "assess"), (6.0, 0.97, "assess"),
    (5.6, 0.94, "non-tcs"), (5.61, 0.94, "assess"),
    (4.59, 0.96, "non-tcs"), (4.6, 0.96, "non-tcs"), (4.61, 0.96, "assess"), (4.7, 0.96, "assess"),
    (5.0, 0.95, "non-tcs"), (5.0, 0.951, "assess"),
    (6.0, 0.919, "non-tcs"), (6.0, 0.921, "assess"),
]  # fmt: skip
TABLE_B = [
    (4.1, 0.87, "non-tcs"), (4.4, 0.87, "non-tcs"), (4.8, 0.87, "non-tcs"), (6.0, 0.87, "non-tcs"),
    (4.1, 0.89, "non-tcs"), (4.4, 0.89, "non-tcs"), (4.8, 0.89, "non-tcs"), (6.0, 0.89, "assess"),
    (4.1, 0.91, "non-tcs"), (4.4, 0.91, "non-tcs"), (4.8, 0.91, "assess"), (6.0, 0.91, "assess"),
    (4.1, 0.97, "non-tcs"), (4.4, 0.97, "assess"), (4.8, 0.97, "assess"), (6.0, 0.97, "assess"),
    (4.19, 0.97, "non-tcs"), (4.2, 0.97, "assess"), (4.21, 0.97, "assess"),
    (5.0, 0.89, "non-tcs"), (5.01, 0.89, "assess"), (5.1, 0.89, "assess"),
    (4.6, 0.91, "non-tcs"), (4.61, 0.91, "assess"),
    (6.0, 0.879, "non-tcs"), (6.0, 0.881, "assess"),
    (4.8, 0.90, "non-tcs"), (4.8, 0.901, "assess"),
    (4.4, 0.919, "non-tcs"), (4.4, 0.921, "assess"),
]  # fmt: skip


@pytest.mark.parametrize(("ph", "aw", "expected"), TABLE_A)
def test_table_a(ph: float, aw: float, expected: str) -> None:
    """Every cell and both sides of every boundary of Food Code Table A."""
    assert keeping.needs_control(ph, aw, heated_and_packaged=True) == expected


@pytest.mark.parametrize(("ph", "aw", "expected"), TABLE_B)
def test_table_b(ph: float, aw: float, expected: str) -> None:
    """Every cell and both sides of every boundary of Food Code Table B."""
    assert keeping.needs_control(ph, aw) == expected


def test_disputed_boundaries_take_the_stricter_answer() -> None:
    """Adopted texts print 0.88 and 0.92 with < and <=; exactly there the stricter cell holds."""
    assert keeping.needs_control(6.0, 0.88) == "assess"
    assert keeping.needs_control(4.4, 0.92) == "assess"
    assert keeping.needs_control(6.0, 0.92, heated_and_packaged=True) == "assess"


def test_unmeasured_water_activity_is_the_worst() -> None:
    """Without a water activity only pH below 4.2 escapes control."""
    assert keeping.needs_control(4.19) == "non-tcs"
    assert keeping.needs_control(4.2) == "assess"


def test_an_interval_is_read_at_its_strict_end() -> None:
    """A pH of 4.1 +- 0.2 may be above 4.2, so it needs control."""
    assert keeping.needs_control(Estimate(4.1, 3.9, 4.3, "pH")) == "assess"
    assert keeping.needs_control(Estimate(3.9, 3.7, 4.1, "pH")) == "non-tcs"


@given(st.floats(2, 8), st.floats(0.8, 1), st.floats(0, 2), st.floats(0, 0.2), st.booleans())
def test_higher_ph_or_water_is_never_laxer(
    ph: float, aw: float, more_ph: float, more_aw: float, heated: bool
) -> None:
    """Raising pH or water activity never turns control off."""
    if keeping.needs_control(ph, aw, heated_and_packaged=heated) == "assess":
        worse = keeping.needs_control(
            ph + more_ph, min(1.0, aw + more_aw), heated_and_packaged=heated
        )
        assert worse == "assess"


@given(st.floats(0, 100), st.floats(2, 8))
def test_alcohol_never_turns_the_answer(strength: float, ph: float) -> None:
    """No strength makes a drink that needs control escape it (Food Code gives no credit)."""
    needed = keeping.needs_control(ph) == "assess"
    assert (keeping.keeping_band(strength, ph) != "non-tcs") == needed


@pytest.mark.parametrize(
    ("strength", "word"),
    [
        (0, "weak"),
        (9.99, "weak"),
        (10, "middle"),
        (19.99, "middle"),
        (20, "strong"),
        (95, "strong"),
    ],
)
def test_alcohol_zones(strength: float, word: str) -> None:
    """10 and 20 %vol are a working rule, not published; tested from both sides."""
    assert keeping.alcohol_zone(strength) == word
    assert keeping.keeping_band(strength, 5.0) == f"cold-{word}"


@pytest.mark.parametrize(
    ("mass", "volume"), [(4, 5.0), (5.5, 6.9), (6, 7.5), (7.5, 9.4), (10, 12.4)]
)
def test_published_mass_shares_are_converted(mass: float, volume: float) -> None:
    """4, 5.5, 6 (PubMed 12696684), 7.5 and 10 % by mass (JFP 64:546) in %vol by OIML R 22."""
    found = [v for v in keeping.ALCOHOL_FINDINGS.values() if abs(v - volume) < 0.06]
    assert len(found) == 1
    assert mass_percent(found[0]) == pytest.approx(mass, abs=1e-6)


def test_date_mark_counts_the_first_day() -> None:
    """7 days with the day of preparation as day 1 (Food Code 3-501.17)."""
    assert keeping.last_day(date(2024, 3, 1)) == date(2024, 3, 7)
    assert keeping.last_day(date(2024, 2, 28), 4) == date(2024, 3, 2)
    for days in (0, 8):
        with pytest.raises(ValueError, match="1 to 7"):
            keeping.last_day(date(2024, 3, 1), days)


@pytest.mark.parametrize(
    ("hours", "start", "warmest", "word"),
    [
        (3.9, 5.0, 25.0, "serve-by"),
        (4.0, 5.0, 25.0, "discard"),
        (5.9, 5.0, 21.0, "serve-by"),
        (6.0, 5.0, 21.0, "discard"),
        (5.0, 5.0, 21.1, "discard"),
        (3.9, 57.0, 57.0, "serve-by"),
        (4.0, 57.0, 57.0, "discard"),
        (1.0, 56.9, 56.9, "not-allowed"),
        (1.0, 5.1, 20.0, "not-allowed"),
        (50.0, 4.0, 5.0, "cold"),
    ],
)
def test_time_as_a_control(hours: float, start: float, warmest: float, word: str) -> None:
    """4 h from 5 or 57 degC, 6 h from 5 and never above 21 (Food Code 3-501.19)."""
    assert keeping.time_control(hours, start, warmest).word == word


@pytest.mark.parametrize("place", ["england", "wales", "northern-ireland"])
def test_time_as_a_control_in_the_united_kingdom(place: str) -> None:
    """NISR 2006/3, WSI 2006/31, SI 2013/2996, Sch. 4 para. 5: once, less than 4 hours, 8 degC.

    No six hours there, and no rule that starts from 57 degC.
    """
    found = keeping.time_control(3.9, 8.0, 15.0, place)
    assert (found.word, found.allowed) == ("serve-by", 4.0)
    assert "US" not in found.rule
    assert keeping.time_control(4.0, 5.0, 15.0, place).word == "discard"
    assert keeping.time_control(1.0, 8.1, 15.0, place).word == "not-allowed"
    assert keeping.time_control(1.0, 57.0, 57.0, place).word == "not-allowed"
    assert "for want of a figure" in keeping.time_control(1.0, 5.0, 15.0, "scotland").rule


def test_cooling_steps() -> None:
    """57 to 21 degC in 2 h and to 5 within 6 in all (3-501.14; second step from memory)."""
    assert keeping.cooling_in_time(2.0, 6.0)
    assert not keeping.cooling_in_time(2.1, 6.0)
    assert not keeping.cooling_in_time(2.0, 6.1)


@pytest.mark.parametrize(
    ("place", "limit"),
    [("us", 5.0), ("england", 8.0), ("wales", 8.0), ("northern-ireland", 8.0), ("scotland", None)],
)
def test_cold_limits(place: str, limit: float | None) -> None:
    """5 degC in the US, 8 in England, Wales and Northern Ireland, no figure for Scotland."""
    assert keeping.JURISDICTIONS[place][1] == limit
    assert f"{5 if limit is None else limit:g} °C" in keeping.cold_limit(place).action


def test_hot_holding() -> None:
    """63 degC in the UK (NISR 2006/3), 57 in the US (Food Code)."""
    assert keeping.within_hot_limit(63.0, "northern-ireland")
    assert not keeping.within_hot_limit(62.9, "england")
    assert keeping.within_hot_limit(57.0, "us")
    assert not keeping.within_hot_limit(56.9, "us")


@pytest.mark.parametrize(
    ("organism", "temperature", "ph", "aw", "grows"),
    [
        ("Listeria monocytogenes", 4, 6.5, 0.99, True),
        ("Listeria monocytogenes", -0.5, 6.5, 0.99, False),
        ("Listeria monocytogenes", 4, 4.39, 0.99, False),
        ("Listeria monocytogenes", 4, 4.4, 0.92, True),
        ("Clostridium botulinum A, B", 20, 4.6, 0.99, True),
        ("Clostridium botulinum A, B", 9.9, 6.5, 0.99, False),
        ("Clostridium botulinum E", 3.3, 6.5, 0.99, True),
        ("Clostridium botulinum E", 3.2, 6.5, 0.99, False),
        ("Staphylococcus aureus", 7, 4.0, 0.83, True),
        ("Staphylococcus aureus", 6.9, 4.0, 0.83, False),
    ],
)
def test_growth_limits(
    organism: str, temperature: float, ph: float, aw: float, grows: bool
) -> None:
    """Limits of the FDA Bad Bug Book and USDA growth factors, the limit itself counting."""
    assert keeping.may_grow(organism, temperature, ph, aw) is grows


def test_infused_solids_take_the_shortest_limit() -> None:
    """Published limits are 4 (recalled), 7 and 10 days; 4 is used, the disagreement is said."""
    caution = keeping.infusion_days("low-acid-solids")
    assert "within 4 days" in caution.action
    assert "Check before relying" in caution.action
    assert all(n in caution.fact for n in ("4", "7", "10"))
    assert caution.stop
    assert "7 days" in keeping.infusion_days("spent-fat").action


def test_raw_milk_is_a_stop() -> None:
    """Raw milk stops: acid, alcohol and curdling are no pasteurisation."""
    assert keeping.raw_milk().stop


@pytest.mark.parametrize(
    ("temperature", "stop", "count"),
    [(40, False, 0), (50, False, 0), (51, False, 1), (60, False, 1), (61, True, 1)],
)
def test_hot_fat(temperature: float, stop: bool, count: int) -> None:
    """Stop above 60 degC, advise 40-50 (working rule from the boiling point of ethanol)."""
    found = hazards.hot_fat(temperature)
    assert len(found) == count
    assert any(c.stop for c in found) is stop


def test_vapour_limit() -> None:
    """200 mL of 40 % evaporated per m3 reaches the lower limit: 3.3 % x 46.07/24.055 = 63 g/m3."""
    grams = 0.033 * 46.07 / 24.055 * 1000
    assert grams == pytest.approx(63, abs=0.5)
    assert grams / 0.789 / 0.40 == pytest.approx(hazards.VAPOUR_LIMIT, rel=0.01)
    assert hazards.vapour_share(200, 40, 1) == pytest.approx(1)
    assert not hazards.vapour(200, 40, 1)
    assert hazards.vapour(201, 40, 1)[0].stop
    assert hazards.vapour(101, 80, 1)[0].stop


@pytest.mark.parametrize(
    ("strength", "stop"), [(0, False), (4.9, False), (5, True), (24, True), (40, True)]
)
def test_centrifuge_stop(strength: float, stop: bool) -> None:
    """Stop from about 5 %vol (UL 61010A-2-020 1.1.1); 24 %vol is a transport rule, no clearance."""
    assert any(c.stop for c in hazards.centrifuge(strength)) is stop


def test_open_flame_limits() -> None:
    """Nothing below 5 %vol, borderline to 10, flammable above (flash-point tables)."""
    assert not hazards.open_flame(4.9)
    assert "borderline" in hazards.open_flame(7)[0].fact
    assert "flammable" in hazards.open_flame(40)[0].fact


def test_dry_ice_gas() -> None:
    """1 kg of dry ice gives 547 L at 20 degC (gas arithmetic)."""
    assert hazards.dry_ice_gas(1) == pytest.approx(547, abs=0.6)
    assert all(c.stop for k in ("dry-ice", "liquid-nitrogen") for c in hazards.cryogen(k))


def _every_caution() -> Iterator[Caution]:
    """Every caution the package can make, over a grid that reaches each branch."""
    for place in keeping.JURISDICTIONS:
        yield keeping.cold_limit(place)
        for kind in ("low-acid-solids", "spent-fat"):
            yield keeping.infusion_days(kind, place)
        for strength in (0, 15, 40):
            for ph in (None, 3.5, 4.6):
                for heated in (False, True):
                    yield from keeping.advice(strength, ph, place, heated_and_packaged=heated)
    yield keeping.raw_milk()
    for degrees in (55, 80):
        yield from hazards.hot_fat(degrees)
    for strength in (7, 40):
        yield from hazards.open_flame(strength)
        yield from hazards.centrifuge(strength)
    yield from hazards.vapour(1e4, 40, 1)
    for kind in ("dry-ice", "liquid-nitrogen"):
        yield from hazards.cryogen(kind)
    for things in (["milk", "almond"], ["soybean-oil", "wine"], ["unheard-of"], ["water"]):
        for label in labels.labels(things, ["filter"]).values():
            yield from labels.cautions(label)


def test_no_message_holds_a_banned_word() -> None:
    """No caution promises what nobody can know."""
    cautions = list(_every_caution())
    assert len(cautions) > 100
    for caution in cautions:
        assert banned_words(caution.text) == (), caution.text


def test_every_caution_is_complete() -> None:
    """Fact, action, jurisdiction and deferral line are all there, as full sentences."""
    for caution in _every_caution():
        assert caution.fact.rstrip().endswith(".")
        assert caution.action.rstrip().endswith(".")
        assert caution.jurisdiction
        assert caution.text.endswith(DEFERRAL)


def test_label_statements_hold_no_banned_word() -> None:
    """Statements, the empty one too, never clear anything."""
    for things in ([], ["water"], ["milk"], ["wine"], ["unheard-of"]):
        for label in labels.labels(things).values():
            assert banned_words(label.statement) == ()


@pytest.mark.parametrize("word", BANNED)
def test_banned_words_are_found(word: str) -> None:
    """Each banned word is found in a sentence, in capitals and with hyphens."""
    assert banned_words(f"This drink is {word.upper()}.")
    assert banned_words(f"A {word.replace(' ', '-')} drink")


def test_ordinary_words_are_not_banned() -> None:
    """Safety officer, unsafe and steriliser are not promises."""
    assert banned_words("Ask your food-safety officer; unsafe kit; a steriliser") == ()


@pytest.mark.parametrize(
    "call",
    [
        lambda: keeping.needs_control(math.nan),
        lambda: keeping.needs_control(5, 1.2),
        lambda: keeping.advice(10, 4, "atlantis"),
        lambda: keeping.infusion_days("nonsense"),
        lambda: keeping.may_grow("nothing", 5, 5),
        lambda: keeping.time_control(-1, 5, 5),
        lambda: hazards.cryogen("snow"),
        lambda: hazards.vapour_share(1, 40, 0),
    ],
)
def test_bad_input_is_refused(call: object) -> None:
    """Unknown places and impossible numbers are refused."""
    with pytest.raises(ValueError):
        call()  # type: ignore[operator]
