"""What a plan may hold: levels, the words and numbers of the drink, the plain numbers."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from advisor.errors import Place, Problem, did_you_mean
from advisor.science.acids import ACIDULANTS
from advisor.science.fats import FATS
from advisor.science.milks import MILKS
from advisor.science.polyphenols import BASES
from advisor.science.whey import WHEYS

if TYPE_CHECKING:
    from advisor.technique.trial.dials import Dial
    from advisor.technique.trial.model import Base

__all__ = ["MOST_REPEATS", "check_base", "check_numbers", "level_problem"]

MOST_REPEATS = 60
"""Flights of one sample for one taster."""


def level_problem(dial: Dial, level: object) -> str:
    """What is wrong with a level, in a sentence; empty when nothing is."""
    if isinstance(level, bool) or not isinstance(level, int | float) or not math.isfinite(level):
        return f"a level must be a number in {dial.unit}, got {str(level)[:40]!r}"
    if level == 0:
        return f"a level of 0 {dial.unit} is the control, which every trial has: leave it out"
    if not dial.low <= level <= dial.high:
        return (
            f"{dial.title} is {level:g} {dial.unit}; it must lie between {dial.low:g} and "
            f"{dial.high:g} {dial.unit}"
        )
    return ""


_WORDS = {
    "kind": ("base", BASES),
    "milk_kind": ("milk", MILKS),
    "acid_kind": ("acid", {k: a for k, a in ACIDULANTS.items() if a.form == "powder"}),
    "fat_kind": ("fat", FATS),
    "whey_kind": ("whey", WHEYS),
}
_RANGES = {
    "volume": (1.0, 1e6, "mL"), "strength": (0.0, 96.0, "%vol"), "acid": (0.0, 100.0, "g/L"),
}  # fmt: skip


def check_base(base: Base) -> list[Problem]:
    """What is wrong with the drink that is told."""
    problems = []
    for name, (what, known) in _WORDS.items():
        word = getattr(base, name)
        if word not in known and not (name == "kind" and word == ""):
            hint = did_you_mean(word, known) or f"one of {', '.join(known)}"
            if name == "acid_kind" and word in ACIDULANTS:
                hint = "a trial doses a powder by weight: citric, malic, lactic ..."
            message = f"{str(word)[:40]!r} is no {what} for a trial"
            problems.append(Problem("trial-word", message, Place(name), hint))
    for name, (low, high, unit) in _RANGES.items():
        value = getattr(base, name)
        if value is not None and not (math.isfinite(value) and low <= value <= high):
            message = f"{name} is {value:g} {unit}; it must lie between {low:g} and {high:g} {unit}"
            problems.append(Problem("trial-number", message, Place(f"base {name}")))
    return problems


_NUMBERS = {
    "repeats": (1, MOST_REPEATS, True),
    "seed": (0, 2**31 - 1, True),
    "cup_ml": (2.0, 200.0, False),
    "alpha": (0.0001, 0.5, False),
    "wanted": (0.1, 6.0, False),
}


def check_numbers(**given: object) -> list[Problem]:
    """What is wrong with the plain numbers of a plan."""
    problems = []
    for name, value in given.items():
        low, high, whole = _NUMBERS[name]
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or (whole and not isinstance(value, int)) or not low <= value <= high:  # type: ignore[operator]
            what = "a whole number" if whole else "a number"
            problems.append(
                Problem(
                    "trial-number",
                    f"{str(value)[:40]!r} must be {what} from {low:g} to {high:g}",
                    Place(name),
                )
            )
    return problems
