"""Amounts into words: sensible precision, the reader's units, and never a false zero."""

from __future__ import annotations

import math

from advisor.errors import AdvisorError
from advisor.quantities._units import PINT_NAMES, exchange, kind_of

__all__ = ["say"]

# what is measured -> rungs of (below this many of the unit, the unit): the first that fits
_LADDERS = {
    "volume": ((1000.0, "milliliter"), (math.inf, "liter")),
    "weight": ((100.0, "milligram"), (1000.0, "gram"), (math.inf, "kilogram")),
    "time": ((120.0, "second"), (60.0, "minute"), (48.0, "hour"), (math.inf, "day")),
    "length": ((100.0, "micrometer"), (100.0, "millimeter"), (math.inf, "centimeter")),
    "weight per volume": ((100.0, "milligram_per_liter"), (math.inf, "gram_per_liter")),
    "amount per volume": ((1000.0, "millimole_per_liter"), (math.inf, "mole_per_liter")),
}
# Sizes of the rungs among each other. Written out so that a screen in metric units never
# has to wait for pint; a test holds them to the definitions.
_SIZES = {
    "milliliter": 1.0,
    "liter": 1000.0,
    "milligram": 1.0,
    "gram": 1000.0,
    "kilogram": 1e6,
    "second": 1.0,
    "minute": 60.0,
    "hour": 3600.0,
    "day": 86400.0,
    "week": 604800.0,
    "micrometer": 1.0,
    "millimeter": 1000.0,
    "centimeter": 10000.0,
    "milligram_per_liter": 1.0,
    "gram_per_liter": 1000.0,
    "millimole_per_liter": 1.0,
    "mole_per_liter": 1000.0,
}
# Weights and laboratory units stay metric: that is what scales and meters show.
_US = {
    "volume": "us_fluid_ounce",
    "temperature": "degF",
    "volume per volume": "us_fluid_ounce_per_us_quart",
}
_NAMES = {
    "milliliter": "ml",
    "liter": "litre",
    "milligram": "mg",
    "gram": "g",
    "kilogram": "kg",
    "degC": "°C",
    "degF": "°F",
    "second": "s",
    "minute": "min",
    "hour": "h",
    "day": "day",
    "week": "week",
    "percent_vol": "% vol",
    "percent": "%",
    "acidity": "",
    "gram_per_liter": "g per litre",
    "milligram_per_liter": "mg per litre",
    "milliliter_per_liter": "ml per litre",
    "gram_per_kilogram": "g per kg",
    "millimole_per_liter": "mmol per litre",
    "mole_per_liter": "mol per litre",
    "micrometer": "µm",
    "millimeter": "mm",
    "centimeter": "cm",
    "piece": "",
    "deciban": "dB",
    "turbidity_unit": "NTU",
    "brix": "°Bx",
    "us_fluid_ounce": "fl oz",
    "gram_per_us_quart": "g per US quart",
    "us_fluid_ounce_per_us_quart": "fl oz per US quart",
}
_PLURALS = {"litre": "litres", "day": "days", "week": "weeks"}
# nobody reads a thermometer or a pH meter more finely than this: powers of ten
_FINEST = {"temperature": -1, "acidity": -2}
_DIGITS = 3
_PLAIN = (1e-4, 1e9)  # outside of this, numbers are written like 1.5e-06


def say(
    value: float,
    unit: str,
    *,
    system: str = "metric",
    low: float | None = None,
    high: float | None = None,
) -> str:
    """An amount as a person would say it; ``parse`` reads it back.

    ``value``, ``low`` and ``high`` are in ``unit`` (one of ``UNITS``) with ``low <=
    value <= high``. Three digits at most, fewer where the interval is wide; larger or
    smaller units where they read better ("1.5 litres", "1 h 30 min"). ``system`` is
    ``metric`` or ``us`` (US fluid ounces, °F, doses per US quart). A number that is not zero is
    never shown as zero. Raises ``AdvisorError``: code ``unit`` for an unknown unit or
    system, code ``quantity`` for numbers that are not finite, out of order or too large to convert.
    """
    kind = kind_of(unit)
    if system not in ("metric", "us"):
        raise AdvisorError("unit", f"unknown system {system!r}", hint="use metric or us")
    numbers = (value if low is None else low, value, value if high is None else high)
    if not all(map(math.isfinite, numbers)):
        raise AdvisorError("quantity", f"cannot show {value} ({low} to {high}): not finite")
    if not numbers[0] <= value <= numbers[2]:
        raise AdvisorError("quantity", f"{value} lies outside its interval {low} to {high}")
    if unit == "ratio":
        return _interval(tuple(map(_ratio, numbers)), "", "")
    name = _display(value or max(numbers, key=abs), unit, kind, system)
    shown = tuple(_rescaled(number, PINT_NAMES[unit], name) for number in numbers)
    if name == "hour" and shown[0] == shown[2] and shown[1] > 0:
        return _hours(shown[1])
    texts = _texts(shown, kind)
    before = "pH " if kind == "acidity" else ""
    after = _NAMES[name]
    if texts[1] != "1" or texts[0] != texts[2]:
        after = _PLURALS.get(after, after)
    return _interval(texts, before, after)


def _interval(texts: tuple[str, ...], before: str, after: str) -> str:
    low, value, high = texts
    amount = f"{before}{value} {after}".strip()
    return amount if low == high else f"about {amount} ({low} to {high})"


def _display(size: float, unit: str, kind: str, system: str) -> str:
    """The definition in which an amount of this size reads best."""
    name = PINT_NAMES[unit]
    if system == "us" and kind in _US:
        return _US[kind]
    if system == "us" and unit == "g/L":
        return "gram_per_us_quart"
    if not size or kind not in _LADDERS:
        return name
    return next(rung for limit, rung in _LADDERS[kind] if abs(_rescaled(size, name, rung)) < limit)


def _rescaled(value: float, name: str, to: str) -> float:
    if name in _SIZES and to in _SIZES:
        value, name = value * _SIZES[name] / _SIZES[to], to
    return exchange(value, name, to)


def _hours(hours: float) -> str:
    whole, minutes = divmod(round(hours * 60), 60)
    parts = [f"{whole} h"] * bool(whole) + [f"{minutes} min"] * bool(minutes)
    return " ".join(parts)


def _ratio(value: float) -> str:
    if value < 0:
        raise AdvisorError("quantity", f"a ratio cannot be negative, got {value}")
    if value == 0 or value >= 1:
        return f"{_number(value, _place(value))}:1"
    inverse = 1 / value
    if not math.isfinite(inverse):
        raise AdvisorError("quantity", f"a ratio of {value} is too small to show")
    return f"1:{_number(inverse, _place(inverse))}"


def _texts(shown: tuple[float, ...], kind: str) -> tuple[str, ...]:
    """Low, value and high to one common precision."""
    low, value, high = shown
    width = high - low
    finest = _FINEST.get(kind, -400)
    if not width > 0:
        if kind == "count" and value.is_integer() and abs(value) < _PLAIN[1]:
            return (str(int(value)),) * 3
        return (_number(value, max(_place(value), finest)),) * 3
    # a fifth of the width is fine enough, and a fifth digit says nothing
    finest = max(finest, _place(max(shown, key=abs)) - 1)
    place = max(math.floor(math.log10(width) - math.log10(5)), finest)
    if place > max(finest, 0) and all(math.isclose(round(n, 1 - place), n) for n in shown):
        place -= 1  # 225 (200 to 250), not 220
    texts = [_number(number, place, keep=True) for number in shown]
    while all("." in text and "e" not in text and text.endswith("0") for text in texts):
        texts = [text[:-1].rstrip(".") for text in texts]
    return tuple(texts) if texts[0] != texts[2] else (texts[1],) * 3


def _place(value: float) -> int:
    """The power of ten of the last digit worth showing."""
    return math.floor(math.log10(abs(value))) - _DIGITS + 1 if value else 0


def _number(value: float, place: int, *, keep: bool = False) -> str:
    """``value`` rounded to the power of ten ``place``; ``keep`` keeps its trailing zeros."""
    rounded = round(value, -place)
    if not rounded:
        if not value:
            return "0"
        place = math.floor(math.log10(abs(value)))
        rounded = round(value, -place)
    if not _PLAIN[0] <= abs(rounded) < _PLAIN[1]:
        return f"{value:.{_DIGITS}g}"
    text = f"{rounded:.{max(-place, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text and not keep else text
