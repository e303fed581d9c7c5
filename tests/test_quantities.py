"""What people write about amounts, checked against pint's own registry and the laws of measures."""

from __future__ import annotations

import doctest
import math
import subprocess
import sys
import threading
import time
from fractions import Fraction

import pint
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

import advisor.quantities
from advisor.errors import AdvisorError
from advisor.quantities import (
    UNITS,
    Quantity,
    _say,
    convert,
    figure,
    parse,
    same_dimension,
    say,
    warm_up,
)
from advisor.quantities import _units as units
from advisor.quantities._words import SPELLINGS

# 231 cubic inches of 2.54 cm to the US gallon, 128 fluid ounces to the gallon (NIST
# Handbook 44, appendix C); 4.54609 litres and 160 for the UK (Weights and Measures Act
# 1985, schedule 1).
US_OZ = float(231 * Fraction("2.54") ** 3 / 128)
UK_OZ = float(Fraction("4546.09") / 160)


def refusal(text: str, unit: str) -> AdvisorError:
    """The error that a text earns."""
    with pytest.raises(AdvisorError) as caught:
        parse(text, unit)
    return caught.value


def attempt(text: str, unit: str) -> Quantity | AdvisorError:
    """What comes of a text: an amount, or the one kind of error that is allowed."""
    try:
        return parse(text, unit)
    except AdvisorError as error:
        return error


@pytest.fixture(scope="module")
def default() -> pint.UnitRegistry:
    """Pint with the definitions it ships."""
    return pint.UnitRegistry()


@pytest.fixture(scope="module")
def ours() -> pint.UnitRegistry:
    """Pint with the project's definitions."""
    registry = pint.UnitRegistry(None)
    registry.load_definitions(units.DEFINITIONS.split("\n"))
    return registry


# -- reading -------------------------------------------------------------------------------

VOLUMES = [
    ("1 1/2 oz", 1.5 * US_OZ),
    ("1½ oz", 1.5 * US_OZ),
    ("1.5oz", 1.5 * US_OZ),
    ("1-1/2 oz", 1.5 * US_OZ),
    ("one and a half oz", 1.5 * US_OZ),
    ("1 and 1/2 oz", 1.5 * US_OZ),
    ("three quarters of an oz", 0.75 * US_OZ),
    ("1⁄2 oz", 0.5 * US_OZ),
    ("2 fl oz", 2 * US_OZ),
    ("2 U.S. fl. oz.", 2 * US_OZ),
    ("2 fl-oz", 2 * US_OZ),
    ("2 fl_oz", 2 * US_OZ),
    ("12 oz", 12 * US_OZ),
    ("2 UK oz", 2 * UK_OZ),
    ("2 imperial oz", 2 * UK_OZ),
    ("750ml", 750),
    ("750 mL", 750),
    ("750 ml.", 750),
    ("750", 750),
    ("750㎖", 750),
    ("0,75 l", 750),
    ("0,750 l", 750),
    ("1,000,000 ml", 1e6),
    ("1,00 l", 1000),
    ("1,5 l", 1500),
    ("1,500.5 ml", 1500.5),
    ("1.500,5 ml", 1500.5),
    ("1.500 l", 1500),
    ("1 000 ml", 1000),
    ("1\u202f750 ml", 1750),
    ("1'750 ml", 1750),
    ("1e3 ml", 1000),
    ("2 cl", 20),
    ("a dash", 0.9),
    ("2 dashes", 1.8),
    ("a couple of dashes", 1.8),
    ("half a barspoon", 2.5),
    ("1/2 bar-spoon", 2.5),
    ("3 drops", 0.15),
    ("one dozen drops", 0.6),
    ("a splash", 5),
    ("splash", 5),
    ("a jigger", 1.5 * US_OZ),
    ("a shot", 1.5 * US_OZ),
    ("2 cups", 16 * US_OZ),
    ("1/3 cup", 8 * US_OZ / 3),
    ("⅓ cup", 8 * US_OZ / 3),
    ("1 tsp", US_OZ / 6),
    ("2 tbsp", US_OZ),
    ("1 quart", 32 * US_OZ),
    ("US pint", 16 * US_OZ),
    ("a UK pint", 20 * UK_OZ),
    ("1 UK gallon", 4546.09),
    ("2 x 750 ml", 1500),
    ("2x750ml", 1500),
    ("750 ml × 2", 1500),
    ("1 cup and 2 tbsp", 9 * US_OZ),
    ("1 l 250 ml", 1250),
    ("2 oz + 3 oz", 5 * US_OZ),
    ("200 to 250 ml", 225),
    ("200-250 ml", 225),
    ("200–250 ml", 225),
    ("200..250", 225),
    ("between 200 and 250 ml", 225),
    ("200ml-0.5l", 350),
    ("½-1 oz", 0.75 * US_OZ),
    ("1/2-3/4 oz", 0.625 * US_OZ),
    ("about 200 ml", 200),
    ("~200", 200),
    ("200 ml or so", 200),
    ("200ish ml", 200),
    ("٢٠٠ ml", 200),
    ("0", 0),
]


@pytest.mark.parametrize(("text", "millilitres"), VOLUMES)
def test_volumes_as_people_write_them(text: str, millilitres: float) -> None:
    """Every common spelling of a volume is read, and the text is kept as written."""
    quantity = parse(text, "mL")
    assert quantity.value == pytest.approx(millilitres, rel=1e-12)
    assert quantity.low <= quantity.value <= quantity.high
    assert (quantity.unit, quantity.text) == ("mL", text)


OTHERS = [
    ("8 g", "g", 8),
    ("12 oz", "g", 12 * 28.349523125),
    ("1 lb 4 oz", "g", 20 * 28.349523125),
    ("0,5 kg", "g", 500),
    ("90 min", "min", 90),
    ("1h30", "min", 90),
    ("1 h 30 min", "min", 90),
    ("1h 30m 30s", "min", 90.5),
    ("an hour and a half", "min", 90),
    ("half an hour", "min", 30),
    ("2:30", "min", 150),
    ("2:30", "h", 2.5),
    ("2:30 h", "min", 150),
    ("2:30 min", "s", 150),
    ("1:15", "min", 75),
    ("1.5 h", "min", 90),
    ("five minutes", "min", 5),
    ("a day", "h", 24),
    ("overnight", "h", 12),
    ("12-24 h", "h", 18),
    ("overnight to 24 h", "h", 18),
    ("2 weeks", "day", 14),
    ("35C", "degC", 35),
    ("35 °C", "degC", 35),
    ("35 ℃", "degC", 35),
    ("35º", "degC", 35),
    ("93 degC", "degC", 93),
    ("95F", "degC", 35),
    ("95 degrees Fahrenheit", "degC", 35),
    ("-40 F", "degC", -40),
    ("300 K", "degC", 26.85),
    ("-18 C", "degC", -18),
    ("−18", "degC", -18),
    ("minus 18 C", "degC", -18),
    ("-5 - -2 C", "degC", -3.5),
    ("at room temperature", "degC", 21),
    ("fridge", "degC", 4),
    ("in the freezer", "degC", -18),
    ("38%", "%vol", 38),
    ("38 % vol", "%vol", 38),
    ("38 % alc./vol.", "%vol", 38),
    ("ABV 38 %", "%vol", 38),
    ("80 proof", "%vol", 40),
    ("about 38 %", "%vol", 38),
    ("20 %", "%", 20),
    ("half", "%", 50),
    ("4:1", "ratio", 4),
    ("4 to 1", "ratio", 4),
    ("4-to-1", "ratio", 4),
    ("4 parts to 1 part", "ratio", 4),
    ("1:15", "ratio", 1 / 15),
    ("1 : 2.5", "ratio", 0.4),
    ("1/4", "ratio", 0.25),
    ("25 %", "ratio", 0.25),
    ("equal parts", "ratio", 1),
    ("between 1 and 4", "ratio", 2.5),
    ("3:1 to 4:1", "ratio", 3.5),
    ("pH 5", "pH", 5),
    ("5", "pH", 5),
    ("pH: 4,6", "pH", 4.6),
    ("5.2 pH", "pH", 5.2),
    ("pH 19", "pH", 19),
    ("8 g/L", "g/L", 8),
    ("8 g per litre", "g/L", 8),
    ("0.8 g/100 ml", "g/L", 8),
    ("6 g per 750 ml", "g/L", 8),
    ("800 mg/l", "g/L", 0.8),
    ("5 % w/v", "g/L", 50),
    ("1 oz per US quart", "g/L", 28.349523125 / (0.032 * US_OZ)),
    ("40 ml/l", "mL/L", 40),
    ("1 US oz per US quart", "mL/L", 31.25),
    ("5 g per kg", "g/kg", 5),
    ("20 mmol/l", "mmol/L", 20),
    ("5 mM", "mmol/L", 5),
    ("0.1 M", "mmol/L", 100),
    ("1 in", "mm", 25.4),
    ("20 µm", "um", 20),
    ("20 microns", "mm", 0.02),
    ("twice", "count", 2),
    ("3x", "count", 3),
    ("2 passes", "count", 2),
    ("-5 dB", "dB", -5),
    ("40 NTU", "NTU", 40),
    ("12 °Brix", "degBx", 12),
]


@pytest.mark.parametrize(("text", "unit", "value"), OTHERS)
def test_other_amounts_as_people_write_them(text: str, unit: str, value: float) -> None:
    """Weights, times, temperatures, strengths, ratios, doses and counts are read."""
    assert parse(text, unit).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_reads_its_own_name(unit: str) -> None:
    """A number followed by the name of the unit, or by nothing, is that number."""
    assert parse(f"3 {unit}", unit).value == 3
    assert parse("3", unit) == Quantity(3.0, unit, 3.0, 3.0, "3")


INTERVALS = [
    # range, hedge and tolerance as written
    ("200-250 ml", "mL", 200, 250),
    ("about 200 ml", "mL", 190, 210),
    ("about 38 %", "%vol", 36.1, 39.9),
    ("about 200-250 ml", "mL", 200, 250),
    ("200 ± 10 ml", "mL", 190, 210),
    ("200 ml +/- 5 %", "mL", 190, 210),
    ("pH 4.6 ± 0.1", "pH", 4.5, 4.7),
    ("about 4 C", "degC", 2, 6),
    ("about 12 ml (8 to 18)", "mL", 8, 18),
    # a difference of 9 degF is 5 degC, whatever the zero of the scale
    ("140 ± 9 F", "degC", 55, 65),
    ("-20 ± 2 C", "degC", -22, -18),
    # bar measures: common practice, no source; drop, jigger and shot are judgement
    ("a dash", "mL", 0.6, 0.92),
    ("half a barspoon", "mL", 1.25, 2.5),
    ("a splash", "mL", 3.7, 7),
    ("2-3 dashes", "mL", 1.2, 2.76),
    ("overnight", "h", 8, 16),
    ("room temperature", "degC", 18, 24),
    ("fridge", "degC", 2, 5),
    # an ounce of nobody's: the UK ounce at the least, 30 mL (21 CFR 101.9) at the most
    ("1 oz", "mL", UK_OZ, 30),
    ("1 US oz", "mL", US_OZ, US_OZ),
    ("1 cup", "mL", 8 * US_OZ, 250),
    ("1 month", "day", 28, 31),
]


@pytest.mark.parametrize(("text", "unit", "low", "high"), INTERVALS)
def test_the_interval_is_what_the_wording_leaves_open(
    text: str, unit: str, low: float, high: float
) -> None:
    """Ranges, hedges, tolerances and loose measures give their interval."""
    quantity = parse(text, unit)
    assert (quantity.low, quantity.high) == pytest.approx((low, high), rel=1e-12)


def test_plain_figures_claim_no_spread() -> None:
    """A plain figure is taken at its word: the interval is the value itself."""
    quantity = parse("750 ml", "mL")
    assert quantity.low == quantity.value == quantity.high == 750


# -- refusing ------------------------------------------------------------------------------

REFUSALS = [
    ("a pint", "mL", "473 ml in the US and 568 ml in the UK"),
    ("pint", "mL", "473 ml in the US and 568 ml in the UK"),
    ("1 gallon", "mL", "3.785 litres in the US and 4.546 litres in the UK"),
    ("1 gill", "mL", "118 ml in the US and 142 ml in the UK"),
    ("a fifth", "mL", "757 ml"),
    ("a bottle", "mL", "no fixed size"),
    ("2 parts", "mL", "no fixed size"),
    ("12 g", "mL", "g measures a weight, and a volume is wanted"),
    ("12 ml", "g", "ml measures a volume, and a weight is wanted"),
    ("12 fl oz", "g", "fl oz measures a volume"),
    ("8 g", "g/L", "per how much"),
    ("1 g per 0 l", "g/L", "per nothing"),
    ("0.1 N", "mmol/L", "hydrogen ions"),
    ("5 mm", "mmol/L", "measures a length"),
    ("5 gr", "g", "gram or grain"),
    ("38 % w/w", "%vol", "by weight"),
    ("70 UK proof", "%vol", "another scale"),
    ("1:4", "%", "25 % of the other, 20 % of all"),
    ("1/4", "%", "share or a per cent"),
    ("5 p H", "pH", "unknown unit p h"),
    ("-5 ml", "mL", "cannot have a sign"),
    ("minus 5 ml", "mL", "cannot have a sign"),
    ("-3 min", "min", "cannot have a sign"),
    ("-300 C", "degC", "colder than"),
    ("inf", "mL", "not an amount"),
    ("nan", "mL", "not an amount"),
    ("1e999 ml", "mL", "too large"),
    ("1e308 l", "mL", "too large"),
    ("1e308 l + 1e308 l", "L", "too large"),
    ("9" * 30, "mL", "too many digits"),
    ("9**9**9", "mL", "unknown unit"),
    ("(1).__class__", "mL", "not an amount"),
    ("10² ml", "mL", "unknown unit"),
    ("1.5.2 ml", "mL", "not a number"),
    ("1/0 oz", "mL", "zero below the line"),
    ("1 750 ml", "mL", "side by side"),
    ("250-200 ml", "mL", "smaller to the larger"),
    ("1-2-3 ml", "mL", "more than one range"),
    ("at least 200 ml", "mL", "a limit is not an amount"),
    ("<200 ml", "mL", "a limit is not an amount"),
    ("4:0", "ratio", "zero after the colon"),
    ("2:1:1", "ratio", "two numbers"),
    ("1-4", "ratio", "a ratio or a range"),
    ("4:1", "mL", "this is a ratio"),
    ("2:75", "min", "hours and minutes"),
    ("1h90", "min", "less than one of the first"),
    ("20 C 5 C", "degC", "more than one number"),
    ("ml", "mL", "no number before"),
    ("half", "mL", "a unit is missing"),
    ("5 ml milk", "mL", "milk does not belong"),
    ("", "mL", "nothing is written"),
    (" \t ", "mL", "nothing is written"),
    ("7" + " " * 200, "mL", "at most 100 characters"),
    ("12 ml (20 to 30)", "mL", "outside its interval"),
]


@pytest.mark.parametrize(("text", "unit", "message"), REFUSALS)
def test_refusals_say_what_is_wrong(text: str, unit: str, message: str) -> None:
    """What cannot be read for certain is refused with what, where and what to do."""
    error = refusal(text, unit)
    assert error.code == "quantity"
    assert message in error.message
    assert error.where.name.startswith('"')
    assert error.hint


def test_unknown_units_get_a_suggestion() -> None:
    """A misspelt unit is answered with the closest known ones."""
    assert "tsp" in refusal("7 tpsp", "mL").hint
    assert "minutes" in refusal("7 mintues", "min").hint


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("1,750 l", ("1750", "1.75")),
        ("1,000 ml", ("1000", "1")),
        ("about 2,500", ("2500", "2.5")),
    ],
)
def test_a_comma_before_three_digits_is_refused_with_both_ways(
    text: str, ways: tuple[str, str]
) -> None:
    """ISO 80000-1 allows the comma as decimal sign and forbids it between thousands, where the
    English-speaking trade writes it: a factor of a thousand is not guessed."""
    error = refusal(text, "mL")
    assert error.hint == f"write {ways[0]} or {ways[1]}"
    for way in ways:
        assert parse(f"{way} ml", "mL").value == float(way)


@pytest.mark.parametrize(("text", "value"), [("0,05", 0.05), ("22,50", 22.5), ("-3", -3.0)])
def test_a_figure_takes_either_decimal_sign(text: str, value: float) -> None:
    """ISO 80000-1: comma or point."""
    assert figure(text) == value
    for wrong in ("1,750", "x", "", "1.2.3", "nan"):
        with pytest.raises(AdvisorError):
            figure(wrong)


def test_an_ambiguous_pint_names_the_two_ways_out() -> None:
    """The hint for a pint gives both spellings that are accepted, and they are."""
    hint = refusal("a pint", "mL").hint
    for name in ("US pint", "UK pint"):
        assert name in hint
        assert parse(name, "mL").value > 470


@pytest.mark.parametrize("text", [None, 5, 7.5, True, b"5 ml", ["5 ml"]])
def test_only_text_is_read(text: object) -> None:
    """Anything but text is refused, not guessed at."""
    with pytest.raises(AdvisorError, match="read from text") as caught:
        parse(text, "mL")  # type: ignore[arg-type]
    assert caught.value.code == "quantity"


# -- traps of a general units library --------------------------------------------------------


def test_ratio_text_is_never_sexagesimal_or_cut_short(default: pint.UnitRegistry) -> None:
    """1:15 is a fifteenth: not 15, as pint's parser has it, nor 75, as YAML 1.1 has it."""
    assert default.parse_expression("1:15") == 15
    assert parse("1:15", "ratio").value == pytest.approx(1 / 15)
    assert parse("1:15", "min").value == 75  # where a time is wanted, it is one


def test_ph_is_not_picohenry(default: pint.UnitRegistry) -> None:
    """pint's own registry reads pH as picohenry; here it is pH and converts to nothing."""
    assert default.Quantity(5, "pH").check("[length] ** 2 * [mass] / [current] ** 2 / [time] ** 2")
    assert parse("pH 5", "pH").value == 5
    assert [unit for unit in UNITS if same_dimension("pH", unit)] == ["pH"]


def test_an_ounce_follows_what_is_wanted(default: pint.UnitRegistry) -> None:
    """pint's ounce is always a weight; here it is a fluid ounce where a volume is wanted."""
    assert default.Quantity(12, "oz").check("[mass]")
    assert parse("12 oz", "mL").value == pytest.approx(354.88235475, rel=1e-12)
    assert parse("12 oz", "g").value == pytest.approx(
        default.Quantity(12, "oz").to("g").magnitude, rel=1e-12
    )


def test_temperatures_keep_their_zero(default: pint.UnitRegistry) -> None:
    """Celsius, Fahrenheit and kelvin convert with their offsets, as in pint's own registry."""
    for written, name, value in (
        ("95 F", "degF", 95),
        ("0 F", "degF", 0),
        ("300 K", "kelvin", 300),
    ):
        expected = default.Quantity(value, name).to("degC").magnitude
        assert parse(written, "degC").value == pytest.approx(expected, abs=1e-9)
    # fixed points of the scales: water freezes at 32 F and boils at 212 F
    assert [parse(f"{f} F", "degC").value for f in (32, 212, -40)] == [0, 100, -40]


def test_undefined_bar_measures_are_defined(default: pint.UnitRegistry) -> None:
    """Words that pint's own registry does not know have a stated size in mL."""
    for word in ("jigger", "barspoon", "dash", "splash"):
        with pytest.raises(pint.UndefinedUnitError):
            default.Quantity(1, word)
    sizes = {word: parse(f"a {word}", "mL").value for word in ("jigger", "barspoon", "dash")}
    assert sizes == pytest.approx({"jigger": 44.36029434375, "barspoon": 5, "dash": 0.9})


# -- definitions ---------------------------------------------------------------------------

IN_PINT = {
    "us_fluid_ounce": "fluid_ounce",
    "us_teaspoon": "teaspoon",
    "us_tablespoon": "tablespoon",
    "us_cup": "cup",
    "us_pint": "pint",
    "us_quart": "quart",
    "us_gallon": "gallon",
    "uk_fluid_ounce": "imperial_fluid_ounce",
    "uk_pint": "imperial_pint",
    "uk_quart": "imperial_quart",
    "uk_gallon": "imperial_gallon",
    "shot": "shot",
    "ounce": "ounce",
    "pound": "pound",
    "inch": "inch",
    "hour": "hour",
    "week": "week",
}


@pytest.mark.parametrize(("name", "theirs"), IN_PINT.items())
def test_definitions_agree_with_pints_own(
    name: str, theirs: str, ours: pint.UnitRegistry, default: pint.UnitRegistry
) -> None:
    """Every measure that pint ships has the same size in the project's short list."""
    base = {"[volume]": "milliliter", "[mass]": "gram", "[time]": "second", "[length]": "meter"}
    (dimension,) = ours.get_dimensionality(name)
    unit = base[dimension]
    assert ours.convert(1, name, unit) == pytest.approx(default.convert(1, theirs, unit), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "millilitres"),
    [
        # NIST SP 811 (2008), B.8, factors to seven figures, from memory; the exact
        # values are confirmed by the gallon in cubic inches and by pint's registry
        ("1 US fl oz", 29.57353),
        ("1 UK fl oz", 28.41306),
        ("1 US tsp", 4.928922),
        ("1 US tbsp", 14.78676),
        ("1 US cup", 236.5882),
        ("1 US pint", 473.1765),
        ("1 US quart", 946.3529),
        ("1 US gallon", 3785.412),
        ("1 UK gallon", 4546.090),
    ],
)
def test_household_measures_match_the_published_factors(text: str, millilitres: float) -> None:
    """US and UK measures agree with the national factors to all seven figures."""
    assert float(f"{parse(text, 'mL').value:.7g}") == millilitres


def test_fluid_ounces_are_exact() -> None:
    """Both fluid ounces come exactly from the gallons of the two countries."""
    assert parse("1 US fl oz", "mL").value == US_OZ == 29.5735295625
    assert parse("1 UK fl oz", "mL").value == UK_OZ == 28.4130625


def test_household_equivalents_agree_to_the_figures_printed() -> None:
    """NIST SP 430 prints 4.9, 15 and 237 mL for teaspoon, tablespoon and cup."""
    values = [parse(f"1 US {name}", "mL").value for name in ("tsp", "tbsp", "cup")]
    assert [round(values[0], 1), round(values[1]), round(values[2])] == [4.9, 15, 237]


def test_a_bottle_in_ounces_and_pours() -> None:
    """750 mL is 25.36 US and 26.40 UK ounces and 16.9 pours of 1.5 oz, by the definitions."""
    assert say(750, "mL", system="us") == "25.4 fl oz"
    assert 750 / parse("1 US oz", "mL").value == pytest.approx(25.36, abs=0.005)
    assert 750 / parse("1 UK oz", "mL").value == pytest.approx(26.40, abs=0.005)
    assert 750 / parse("1 jigger", "mL").value == pytest.approx(16.9, abs=0.05)


def test_kinds_are_pints_dimensions(ours: pint.UnitRegistry) -> None:
    """Two units share a dimension here exactly when pint, with our definitions, agrees."""
    for a in UNITS:
        for b in UNITS:
            theirs = [ours.get_dimensionality(units.PINT_NAMES[unit]) for unit in (a, b)]
            assert same_dimension(a, b) == (theirs[0] == theirs[1]), (a, b)


def test_every_spelling_leads_to_a_definition(ours: pint.UnitRegistry) -> None:
    """No spelling names a missing definition or one of another kind."""
    for kind, spellings in SPELLINGS.items():
        base = units.BASES[kind]
        for word, measure in spellings.items():
            size = ours.convert(1, measure.name, base)
            assert math.isfinite(size), word
            if measure.low is not None and measure.high is not None:
                assert measure.low <= size * (1 + 1e-12), word
                assert measure.high >= size * (1 - 1e-12), word


# -- converting ----------------------------------------------------------------------------


def test_unlike_numbers_do_not_mix() -> None:
    """Percent by volume, plain percent, pH, counts and decibans are not interchangeable."""
    assert same_dimension("%", "ratio")
    assert not same_dimension("%", "%vol")
    assert not same_dimension("mL/L", "%")
    assert not same_dimension("g/L", "mmol/L")
    with pytest.raises(AdvisorError, match="strength by volume") as caught:
        convert(38, "%vol", "%")
    assert caught.value.code == "unit"


@pytest.mark.parametrize("unit", ["ml", "", "furlong", "9**9", None, 3])
def test_unknown_wanted_units_are_errors_of_their_own(unit: str) -> None:
    """A unit outside UNITS has the code ``unit``, wherever it is passed."""
    for call in (
        lambda: parse("5", unit),
        lambda: say(5, unit),
        lambda: convert(5, unit, "mL"),
        lambda: same_dimension("mL", unit),
    ):
        with pytest.raises(AdvisorError, match="unknown unit") as caught:
            call()
        assert caught.value.code == "unit"
    with pytest.raises(AdvisorError, match="did you mean mL"):
        same_dimension("ml", "L")


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_nothing_infinite_goes_through(value: float) -> None:
    """No infinity or NaN is converted or shown."""
    for call in (lambda: convert(value, "mL", "L"), lambda: say(value, "mL")):
        with pytest.raises(AdvisorError) as caught:
            call()
        assert caught.value.code == "quantity"
    with pytest.raises(ValueError, match="finite"):
        Quantity(value, "mL", value, value, "")


PAIRS = [(a, b) for a in UNITS for b in UNITS if same_dimension(a, b)]


@given(pair=st.sampled_from(PAIRS), value=st.floats(0, 1e9))
def test_there_and_back_is_the_same(pair: tuple[str, str], value: float) -> None:
    """Converting to another unit and back returns the value."""
    a, b = pair
    assert convert(convert(value, a, b), b, a) == pytest.approx(value, rel=1e-12, abs=1e-300)


# -- saying --------------------------------------------------------------------------------

SAID = [
    (750, "mL", {}, "750 ml"),
    (44.36029434375, "mL", {}, "44.4 ml"),
    (12, "mL", {"low": 8, "high": 18}, "about 12 ml (8 to 18)"),
    (12.34, "mL", {"low": 8.2, "high": 17.9}, "about 12 ml (8 to 18)"),
    (225, "mL", {"low": 200, "high": 250}, "about 225 ml (200 to 250)"),
    (0.9, "mL", {"low": 0.6, "high": 0.92}, "about 0.90 ml (0.60 to 0.92)"),
    (5, "pH", {"low": 4.8, "high": 5.3}, "about pH 5.0 (4.8 to 5.3)"),
    (5.03, "pH", {}, "pH 5.03"),
    (1500, "mL", {}, "1.5 litres"),
    (1, "L", {}, "1 litre"),
    (0.5, "L", {}, "500 ml"),
    (0, "mL", {}, "0 ml"),
    (0.004, "g", {}, "4 mg"),
    (1600, "g", {}, "1.6 kg"),
    (35, "degC", {}, "35 °C"),
    (35, "degC", {"system": "us"}, "95 °F"),
    (60, "degC", {"low": 58, "high": 62, "system": "us"}, "about 140 °F (136 to 144)"),
    (44.36029434375, "mL", {"system": "us"}, "1.5 fl oz"),
    (8, "g", {"system": "us"}, "8 g"),
    (31.25, "mL/L", {"system": "us"}, "1 fl oz per US quart"),
    (90, "min", {}, "1 h 30 min"),
    (45, "min", {}, "45 min"),
    (12, "h", {"low": 8, "high": 16}, "about 12 h (8 to 16)"),
    (72, "h", {}, "3 days"),
    (90, "s", {}, "90 s"),
    (1 / 15, "ratio", {}, "1:15"),
    (4, "ratio", {}, "4:1"),
    (1 / 15, "ratio", {"low": 0.05, "high": 1 / 12}, "about 1:15 (1:20 to 1:12)"),
    (46.4, "%", {"low": 43.1, "high": 49.9}, "about 46 % (43 to 50)"),
    (38, "%vol", {}, "38 % vol"),
    (8, "g/L", {}, "8 g per litre"),
    (3, "count", {}, "3"),
    (12345, "count", {}, "12345"),
    (20, "um", {}, "20 µm"),
]


@pytest.mark.parametrize(("value", "unit", "options", "text"), SAID)
def test_amounts_are_said_as_a_person_would(
    value: float, unit: str, options: dict[str, float], text: str
) -> None:
    """Sensible digits, sensible units, and the interval in brackets."""
    assert say(value, unit, **options) == text


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_nothing_is_said_in_every_unit(unit: str, system: str) -> None:
    """Zero has a wording in every unit and is read back as zero."""
    if unit == "degC":
        assert say(0, unit, system=system) == {"metric": "0 °C", "us": "32 °F"}[system]
    assert parse(say(0, unit, system=system), unit).value == 0


def test_the_rungs_of_a_ladder_have_their_defined_sizes(ours: pint.UnitRegistry) -> None:
    """The sizes by which amounts are scaled for show are those of the definitions."""
    for ladder in _say._LADDERS.values():
        names = {name for _, name in ladder}
        names |= {"week"} if "day" in names else set()
        for a in names:
            for b in names:
                expected = ours.convert(1, a, b)
                assert _say._SIZES[a] / _say._SIZES[b] == pytest.approx(expected, rel=1e-12)


def test_saying_refuses_what_makes_no_sense() -> None:
    """An interval that misses its value, or an unknown system, is an error."""
    for options in ({"low": 13}, {"high": 11}, {"low": 20, "high": 8}):
        with pytest.raises(AdvisorError, match="outside its interval"):
            say(12, "mL", **options)
    with pytest.raises(AdvisorError, match="unknown system"):
        say(12, "mL", system="imperial")
    with pytest.raises(AdvisorError, match="cannot be negative"):
        say(-1, "ratio")


def _digits(text: str) -> set[str]:
    return {char for char in text.partition("(")[0] if char in "123456789"}


@given(
    value=st.floats(1e-12, 1e12),
    unit=st.sampled_from([unit for unit in UNITS if unit != "degC"]),
    system=st.sampled_from(["metric", "us"]),
)
def test_a_number_that_is_not_zero_is_never_shown_as_zero(
    value: float, unit: str, system: str
) -> None:
    """However small or coarse the interval, something other than zero is shown."""
    assert _digits(say(value, unit, system=system))
    assert _digits(say(value, unit, system=system, low=0, high=max(value * 1e6, 1.0)))


@settings(max_examples=300)
@given(
    value=st.floats(0, 1e12) | st.floats(0, 1000),
    unit=st.sampled_from(UNITS),
    system=st.sampled_from(["metric", "us"]),
)
@example(value=59.999, unit="min", system="metric")
@example(value=47.999, unit="h", system="metric")
@example(value=5e-324, unit="mL", system="us")
def test_what_is_said_is_read_back(value: float, unit: str, system: str) -> None:
    """``parse`` reads what ``say`` writes, to the precision shown."""
    assume(unit != "ratio" or not 0 < value < 1e-300)
    back = parse(say(value, unit, system=system), unit)
    # three digits, or a minute in an hour; the finest step of a thermometer or pH meter
    step = {"degC": 0.05, "pH": 0.005}.get(unit, 0.0)
    assert back.value == pytest.approx(value, rel=0.0084, abs=max(step * 1.01, 1e-300))


@settings(max_examples=300)
@given(
    numbers=st.tuples(*[st.floats(0, 1e7) | st.floats(0, 50)] * 3).map(sorted),
    unit=st.sampled_from(UNITS),
    system=st.sampled_from(["metric", "us"]),
)
@example(numbers=[0.0, 0.0, 5e-324], unit="mL", system="metric")
@example(numbers=[0.2, 0.45, 9.0], unit="mL", system="metric")
def test_what_is_said_with_an_interval_is_read_back(
    numbers: list[float], unit: str, system: str
) -> None:
    """The value and both ends come back to within a fifth of the interval or a thousandth."""
    low, value, high = numbers
    assume(unit != "ratio" or not any(0 < number < 1e-300 for number in numbers))
    back = parse(say(value, unit, system=system, low=low, high=high), unit)
    step = {"degC": 0.1, "pH": 0.01}.get(unit, 0.0)
    # a single US fluid ounce leaves its own spread, which is what the writer meant
    within = max((high - low) / 5, 0.0084 * high, step, 1e-300)
    assert back.value == pytest.approx(value, abs=within)
    if system == "metric":
        assert (back.low, back.high) == pytest.approx((low, high), abs=within)


# -- bad input and time --------------------------------------------------------------------

_WORDS = """
1 2 0 1/2 ½ 1,5 1,000 .5 1e9 1e308 -1 - – to or and of a an half x × + ± / : ( ) % ° . , ~ about
ml l oz fl g h min day C F K pH proof dash cup pint per vol parts between overnight fridge ** e ²
٣ ' " { } \\ inf nan __import__
"""
PIECES = st.sampled_from([*_WORDS.split(), "\u202f", "\x00", "\n"])
SOUP = st.lists(PIECES, max_size=12).flatmap(
    lambda pieces: st.sampled_from(["", " "]).map(lambda gap: gap.join(pieces))
)


@settings(max_examples=1500)
@given(text=st.text(max_size=110) | SOUP, unit=st.sampled_from(UNITS))
def test_no_text_whatever_brings_it_down(text: str, unit: str) -> None:
    """Any text is either an amount with finite, ordered numbers or an error for people."""
    quantity = attempt(text, unit)
    if isinstance(quantity, AdvisorError):
        assert quantity.code == "quantity"
        assert quantity.message
        return
    assert all(map(math.isfinite, (quantity.low, quantity.value, quantity.high)))
    assert quantity.low <= quantity.value <= quantity.high
    assert quantity.value >= 0 or unit in ("degC", "dB")
    say(quantity.value, unit, low=quantity.low, high=quantity.high)


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9",
        "9" * 100,
        "1e99999999",
        "9,999" * 20,
        "1-" * 50,
        "1/" * 50,
        "(" * 100,
        "1 " * 50,
        "about " * 16,
        "1:" * 50,
        "ﷺ" * 100,
        "a" * 100,
        "1 " + "of a " * 19,
        "1 000" * 20,
        "x" * 100,
        "9" * 10_000_000,
    ],
)
def test_hostile_text_takes_no_time(text: str) -> None:
    """Towers of powers, endless digits and nests are refused at once."""
    parse("1 oz", "mL")
    started = time.perf_counter()
    for unit in ("mL", "ratio", "min", "g/L"):
        assert refusal(text, unit).code == "quantity"
    assert time.perf_counter() - started < 0.5


# -- loading -------------------------------------------------------------------------------


def _fresh(code: str) -> str:
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    return run.stdout.strip()


def test_pint_is_loaded_only_by_a_conversion() -> None:
    """Importing, reading amounts in the wanted unit and metric output leave pint unloaded."""
    out = _fresh(
        "import sys, advisor.quantities as q\n"
        "seen = [any(m in sys.modules for m in ('pint', 'numpy', 'advisor.quantities._read'))]\n"
        "q.parse('750 ml', 'mL'); q.say(1500, 'mL', low=700, high=1800)\n"
        "q.say(90, 'min'); q.say(0.05, 'kg'); q.say(1, 'ratio'); q.say(4, 'degC')\n"
        "q.same_dimension('mL', 'L'); q.convert(5, 'mL', 'mL')\n"
        "seen.append('pint' in sys.modules)\n"
        "q.parse('1 oz', 'mL')\n"
        "seen.append('pint' in sys.modules)\n"
        "print(seen)"
    )
    assert out == "[False, False, True]"


def test_warming_up_from_many_threads_builds_one_registry(monkeypatch: pytest.MonkeyPatch) -> None:
    """Threads that warm up and read at once get right answers from a single registry."""
    built: list[pint.UnitRegistry] = []
    original = pint.UnitRegistry

    def counted(*args: object) -> pint.UnitRegistry:
        time.sleep(0.02)  # long enough for the others to arrive
        built.append(original(*args))
        return built[-1]

    monkeypatch.setattr(pint, "UnitRegistry", counted)
    monkeypatch.setattr(units, "_pint_convert", None)
    start = threading.Barrier(8)
    answers: list[float] = []

    def work() -> None:
        start.wait()
        warm_up()
        answers.extend(parse(f"{n} oz", "mL").value / n for n in range(1, 20))

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(built) == 1
    assert answers == pytest.approx([US_OZ] * (8 * 19), rel=1e-12)


def test_the_examples_of_the_package_hold() -> None:
    """The examples in the package's docstring run as written."""
    failed, tried = doctest.testmod(advisor.quantities)
    assert tried >= 2
    assert failed == 0
