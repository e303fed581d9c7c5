"""The units a knowledge base may use, what each measures, and conversion by pint."""

from __future__ import annotations

import math
from dataclasses import dataclass
from threading import Lock
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "ABSOLUTE_ZERO",
    "BASES",
    "DEFINITIONS",
    "KINDS",
    "PINT_NAMES",
    "UNITS",
    "Quantity",
    "convert",
    "exchange",
    "kind_of",
    "same_dimension",
]

# unit -> (what it measures, its name in the definitions below)
_TABLE = {
    "mL": ("volume", "milliliter"),
    "L": ("volume", "liter"),
    "mg": ("weight", "milligram"),
    "g": ("weight", "gram"),
    "kg": ("weight", "kilogram"),
    "degC": ("temperature", "degC"),
    "s": ("time", "second"),
    "min": ("time", "minute"),
    "h": ("time", "hour"),
    "day": ("time", "day"),
    "week": ("time", "week"),
    "%vol": ("strength", "percent_vol"),
    "%": ("share", "percent"),
    "ratio": ("share", "ratio"),
    "pH": ("acidity", "acidity"),
    "g/L": ("weight per volume", "gram_per_liter"),
    "mg/L": ("weight per volume", "milligram_per_liter"),
    "mL/L": ("volume per volume", "milliliter_per_liter"),
    "g/kg": ("weight per weight", "gram_per_kilogram"),
    "mmol/L": ("amount per volume", "millimole_per_liter"),
    "mol/L": ("amount per volume", "mole_per_liter"),
    "um": ("length", "micrometer"),
    "mm": ("length", "millimeter"),
    "cm": ("length", "centimeter"),
    "count": ("count", "piece"),
    "dB": ("evidence", "deciban"),
    "NTU": ("turbidity", "turbidity_unit"),
    "degBx": ("sugar", "brix"),
}
UNITS: tuple[str, ...] = tuple(_TABLE)
PINT_NAMES = {unit: name for unit, (_, name) in _TABLE.items()}

# what is measured -> (how a message calls it, an example to copy)
KINDS = {
    "volume": ("a volume", "750 ml or 1 1/2 oz"),
    "weight": ("a weight", "8 g"),
    "temperature": ("a temperature", "35 C or 95 F"),
    "time": ("a length of time", "90 min or 1 h 30 min"),
    "strength": ("a strength by volume", "38 % or 80 proof"),
    "share": ("a share or ratio", "25 % or 1:4"),
    "acidity": ("a pH", "4.6"),
    "weight per volume": ("a weight per litre", "8 g per litre"),
    "volume per volume": ("a volume per litre", "40 ml per litre"),
    "weight per weight": ("a weight per kilogram", "5 g per kg"),
    "amount per volume": ("a concentration", "20 mmol/l"),
    "length": ("a length", "15 mm or 20 um"),
    "count": ("a number of times", "2"),
    "evidence": ("a weight of evidence", "5"),
    "turbidity": ("a turbidity", "40 NTU"),
    "sugar": ("a sugar reading", "12 Brix"),
}

# what is measured -> the unit in which the spread of a vague measure is written
BASES = {
    "volume": "milliliter",
    "weight": "gram",
    "temperature": "degC",
    "time": "second",
    "strength": "percent_vol",
    "share": "ratio",
    "acidity": "acidity",
    "weight per volume": "gram_per_liter",
    "volume per volume": "milliliter_per_liter",
    "weight per weight": "gram_per_kilogram",
    "amount": "millimole",
    "amount per volume": "millimole_per_liter",
    "length": "millimeter",
    "count": "piece",
    "evidence": "deciban",
    "turbidity": "turbidity_unit",
    "sugar": "brix",
}

# Pint's own file takes thirty times as long to load, reads "pH" as picohenry and
# converts freely between plain ratios, percentages and counts. Here each thing that
# must not turn into another is a dimension of its own, and there are no prefixes.
#
# US measures: 231 cubic inches to the gallon, NIST Handbook 44, appendix C. UK
# measures: gallon of 4.54609 cubic decimetres, Weights and Measures Act 1985, sch. 1.
# Pound and ounce: 0.45359237 kg, the international pound of 1959. Proof: 27 CFR 5.1.
# Jigger, pony, shot, barspoon, dash, drop and splash: common practice, no source.
DEFINITIONS = """
milliliter = [volume]
centiliter = 10 * milliliter
deciliter = 100 * milliliter
liter = 1000 * milliliter
microliter = 0.001 * milliliter
us_fluid_ounce = 29.5735295625 * milliliter
us_teaspoon = us_fluid_ounce / 6
us_tablespoon = us_fluid_ounce / 2
us_cup = 8 * us_fluid_ounce
us_pint = 16 * us_fluid_ounce
us_quart = 32 * us_fluid_ounce
us_gallon = 128 * us_fluid_ounce
uk_fluid_ounce = 28.4130625 * milliliter
uk_pint = 20 * uk_fluid_ounce
uk_quart = 40 * uk_fluid_ounce
uk_gallon = 160 * uk_fluid_ounce
metric_cup = 250 * milliliter
jigger = 1.5 * us_fluid_ounce
shot = 1.5 * us_fluid_ounce
pony = 1 * us_fluid_ounce
barspoon = 5 * milliliter
dash = 0.9 * milliliter
drop = 0.05 * milliliter
splash = 5 * milliliter
gram = [mass]
microgram = 0.000001 * gram
milligram = 0.001 * gram
kilogram = 1000 * gram
pound = 453.59237 * gram
ounce = pound / 16
second = [time]
minute = 60 * second
hour = 60 * minute
day = 24 * hour
week = 7 * day
month = 30 * day
year = 365 * day
kelvin = [temperature]
degC = kelvin; offset: 273.15
degF = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
percent_vol = [strength]
us_proof = 0.5 * percent_vol
ratio = []
percent = 0.01 * ratio
acidity = [acidity]
gram_per_liter = gram / liter
milligram_per_liter = milligram / liter
gram_per_us_quart = gram / us_quart
percent_weight_by_volume = 10 * gram_per_liter
milliliter_per_liter = [volume_dose]
us_fluid_ounce_per_us_quart = 31.25 * milliliter_per_liter
gram_per_kilogram = [mass_dose]
mole = [substance]
millimole = 0.001 * mole
mole_per_liter = mole / liter
millimole_per_liter = millimole / liter
meter = [length]
centimeter = 0.01 * meter
millimeter = 0.001 * meter
micrometer = 0.000001 * meter
inch = 0.0254 * meter
piece = [count]
deciban = [evidence]
turbidity_unit = [turbidity]
brix = [sugar]
"""

ABSOLUTE_ZERO = -273.15  # degC
_lock = Lock()
_pint_convert: Callable[[float, str, str], float] | None = None


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount that somebody wrote: ``value`` in ``unit``, and ``text`` as written.

    ``low <= value <= high``, all finite: the interval that the wording leaves open.
    """

    value: float
    unit: str
    low: float
    high: float
    text: str

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.value, self.low, self.high))):
            raise ValueError(f"a quantity must be finite, got {self}")
        if not self.low <= self.value <= self.high:
            raise ValueError(f"a quantity must lie in its interval, got {self}")


def kind_of(unit: str) -> str:
    """What a unit of ``UNITS`` measures; ``AdvisorError`` (code ``unit``) for any other."""
    entry = _TABLE.get(unit) if isinstance(unit, str) else None
    if entry is None:
        name = str(unit)[:40]
        same = [known for known in UNITS if known.lower() == name.lower()]
        hint = f"did you mean {same[0]}?" if same else did_you_mean(name, UNITS)
        hint = hint or f"units are {', '.join(UNITS)}"
        raise AdvisorError("unit", f"unknown unit {name!r}", hint=hint)
    return entry[0]


def same_dimension(unit_a: str, unit_b: str) -> bool:
    """Whether amounts in the two units can be converted into each other.

    Percentages by volume, plain percentages and ratios, pH, counts and weights of
    evidence do not mix, although all are numbers. Raises ``AdvisorError`` (code
    ``unit``) when either is not one of ``UNITS``.
    """
    return kind_of(unit_a) == kind_of(unit_b)


def convert(value: float, unit: str, to: str) -> float:
    """``value`` in ``unit`` expressed in the unit ``to``, both out of ``UNITS``.

    Temperatures are readings, not differences. Raises ``AdvisorError``: code ``unit``
    for an unknown unit or two that measure different things, code ``quantity`` for a
    value that is not finite, or too large once converted.
    """
    if not same_dimension(unit, to):
        what, wanted = KINDS[kind_of(unit)][0], KINDS[kind_of(to)][0]
        raise AdvisorError("unit", f"{unit} measures {what}, {to} measures {wanted}")
    return exchange(value, PINT_NAMES[unit], PINT_NAMES[to])


def exchange(value: float, name: str, to: str) -> float:
    """Convert between two names of ``DEFINITIONS``; finite in, finite out or ``AdvisorError``."""
    if not math.isfinite(value):
        raise AdvisorError("quantity", f"{value} is not an amount")
    result = value
    if name != to:
        # Fourteen digits drop the noise of binary fractions (95 F is 35 C, not
        # 35.00000000000006) and keep every exact definition.
        result = float(f"{_converter()(float(value), name, to):.14g}")
        if to in ("degC", "degF"):
            result = round(result, 9)  # the offset leaves noise of its own near zero
    if not math.isfinite(result):
        raise AdvisorError("quantity", "the amount is too large to work with")
    if to == "degC" and result < ABSOLUTE_ZERO:
        raise AdvisorError("quantity", "nothing is colder than -273.15 °C")
    return result + 0.0  # turns -0.0 into 0.0


def _converter() -> Callable[[float, str, str], float]:
    global _pint_convert
    if _pint_convert is None:
        with _lock:
            if _pint_convert is None:
                from pint import UnitRegistry

                registry: UnitRegistry[Any] = UnitRegistry(None)
                registry.load_definitions(DEFINITIONS.split("\n"))
                _pint_convert = registry.convert
    return _pint_convert
