"""The amounts of a protocol put into words, in the reader's units; nothing becomes zero."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from advisor.knowledge.model import BRACES
from advisor.quantities import UNITS, say

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate
    from advisor.technique.protocol.model import Protocol, Quantity, Step

_SENTENCE = re.compile(r"(^|[.!?] )([a-z])(?=bout )")

__all__ = ["amount", "fill", "measure", "minutes", "quantity", "step_text"]


_FINEST = {"%vol": 0.1, "pH": 0.1, "degC": 1.0, "count": 1.0}
_TIMES = {"s": 1 / 60, "min": 1.0, "h": 60.0, "day": 1440.0}
_COARSEST = 0.02  # of the amount: no jug or scale behind a bar is read more finely


def measure(value: float, unit: str, system: str = "metric") -> str:
    """A number to measure out: as fine as jug and scale are read, in the reader's units.

    Rounded by at most 1 %, and never to nothing.
    """
    if unit in ("h", "min", "s"):
        return minutes(value * _TIMES[unit])
    if unit == "mL" and system == "us":
        ounces = value / 1000.0 * _OUNCES
        return f"{_plain(_rounded(ounces))} fl oz"
    if unit in ("cm", "mm", "cm2"):
        return _size(value, unit, system)
    if unit in _FINEST:
        fine = _FINEST[unit]
        value = round(value / fine) * fine if abs(value) >= fine else value
        return say(round(value, 6), unit, system=system)
    if unit in UNITS:
        return say(_rounded(value), unit, system=system)
    return f"{_plain(_rounded(value))} {unit}".rstrip()


_OUNCES = 33.8140227  # US fluid ounces in a litre (NIST Handbook 44, appendix C)


def _size(value: float, unit: str, system: str) -> str:
    if unit == "mm":
        value, unit = value / 10.0, "cm"
    if system == "us":
        if unit == "cm2":
            return f"{_plain(_rounded(value / 6.4516))} square inches"
        return f"{_plain(_rounded(value / 2.54))} in"
    return f"{_plain(_rounded(value))} {'cm²' if unit == 'cm2' else unit}"


def _rounded(value: float) -> float:
    """To the coarsest of 1, 5, 10, 50 ... times a power of ten that is at most 2 % of it."""
    if value == 0.0:
        return 0.0
    power = 10.0 ** math.floor(math.log10(abs(value) * _COARSEST))
    step = 5.0 * power if 5.0 * power <= abs(value) * _COARSEST else power
    return round(value / step) * step


def _plain(value: float) -> str:
    text = f"{value:.6g}"
    return f"{float(text):.0f}" if "e+" in text else text


def amount(given: Estimate, system: str = "metric") -> str:
    """An expected amount with its interval."""
    unit = given.unit
    low, value, high = given.low, given.value, given.high
    if unit in _TIMES and unit != "day":
        ends = [minutes(n * _TIMES[unit]) for n in (low, value, high)]
        return ends[1] if ends[0] == ends[2] else f"about {ends[1]} ({ends[0]} to {ends[2]})"
    if unit in _FINEST:
        fine = _FINEST[unit]
        low, value, high = (round(round(n / fine) * fine, 6) for n in (low, value, high))
    if unit in UNITS:
        return say(value, unit, system=system, low=low, high=high)
    ends = [measure(n, unit, system) for n in (low, value, high)]
    return ends[1] if ends[0] == ends[2] else f"about {ends[1]} ({ends[0]} to {ends[2]})"


def quantity(given: Quantity, system: str = "metric") -> str:
    """A quantity as a sentence names it."""
    if given.word or given.amount is None:
        return given.word
    if given.exact:
        return measure(given.amount.value, given.amount.unit, system)
    return amount(given.amount, system)


def fill(protocol: Protocol, text: str, scope: str, system: str = "metric") -> str:
    """A text with the quantities of one part (``scope``), or of the whole, in its braces."""

    def found(name: str) -> str:
        given = protocol.quantities.get(f"{scope}.{name}") or protocol.quantities[name]
        return quantity(given, system)

    said = BRACES.sub(lambda match: found(match.group(1)), text)
    said = said.replace("about about", "about").replace("About about", "About")
    return _SENTENCE.sub(lambda match: match.group(1) + match.group(2).upper(), said)


def step_text(protocol: Protocol, step: Step, system: str = "metric") -> str:
    """What to do at a step."""
    return fill(protocol, step.template, step.scope, system)


def minutes(value: float) -> str:
    """A length of time as people say it: 40 min, 2 h 30 min, 1 day 4 h."""
    whole = round(value)
    if value > 0.0 and whole == 0:
        return "under a minute"
    if whole < 60:
        return f"{whole} min"
    if whole < 48 * 60:
        hours, rest = divmod(whole, 60)
        rest = 5 * round(rest / 5) if hours >= 3 else rest
        hours, rest = (hours + 1, 0) if rest == 60 else (hours, rest)
        return f"{hours} h" + (f" {rest} min" if rest else "")
    days, rest = divmod(round(whole / 60), 24)
    return f"{days} days" + (f" {rest} h" if rest else "")
