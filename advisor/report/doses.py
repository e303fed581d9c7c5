"""A remedy's sentence with its doses filled in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.knowledge.model import BRACES
from advisor.quantities import say

if TYPE_CHECKING:
    from advisor.knowledge.model import Base, Remedy
    from advisor.reasoning.infer import Inference

__all__ = ["Dose", "Instruction", "amount", "filled", "instruction"]


@dataclass(frozen=True, slots=True)
class Dose:
    """One calculated amount in a sentence."""

    figure: str
    value: float | str
    low: float
    high: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class Instruction:
    """What to do, as a sentence, with the amounts in it."""

    text: str
    doses: tuple[Dose, ...]


def amount(base: Base, inference: Inference, key: str, units: str) -> Dose | None:
    """A figure or an answered quantity as text; ``None`` when it is not known or nothing at all."""
    figure = inference.facts.figures.get(key)
    if figure is not None:
        unit = base.figures[key].unit
        if isinstance(figure.value, str):
            return Dose(key, figure.value, figure.low, figure.high, unit, figure.value)
        if figure.value <= 0.0 and unit not in ("degC", "pH"):
            return None
        text = say(figure.value, unit, system=units, low=figure.low, high=figure.high)
        return Dose(key, figure.value, figure.low, figure.high, unit, text)
    answer = inference.answers.get(key)
    if answer is not None and isinstance(answer.value, float):
        unit = base.findings[key].unit
        text = say(answer.value, unit, system=units)
        return Dose(key, answer.value, answer.low, answer.high, unit, text)
    return None


def instruction(base: Base, inference: Inference, remedy: Remedy, units: str) -> Instruction:
    """What to do. When a figure in the sentence is not known the sentence without it is used."""
    return filled(base, inference, remedy.do, units) or Instruction(remedy.otherwise, ())


def filled(base: Base, inference: Inference, text: str, units: str) -> Instruction | None:
    """A text with the figures in its braces; ``None`` when one of them is not known."""
    doses = {}
    for key in BRACES.findall(text):
        dose = amount(base, inference, key, units)
        if dose is None:
            return None
        doses[key] = dose
    text = BRACES.sub(lambda found: doses[found.group(1)].text, text)
    return Instruction(text.replace("about about", "about"), tuple(doses.values()))
