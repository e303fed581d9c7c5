"""From answers to facts with their footing: what is measured, told, calculated or assumed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.chain.port import Fact
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange
from advisor.reasoning.answers import ASSUMED, CALCULATED, MEASURED, TOLD, Answer
from advisor.reasoning.settled import Settled
from advisor.science.estimate import Category, Estimate
from advisor.science.registry import ContradictionError, get

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Base, Figure

__all__ = ["Facts", "FigureValue", "Footing", "figure_order", "gather_facts", "holds", "sureness"]

# Measured and told count in full; a calculation rests on a model, an assumption on habit.
_BASIS = {MEASURED: 1.0, TOLD: 1.0, CALCULATED: 0.85, ASSUMED: 0.35}
_TWO_SIDED_95 = 1.959964


@dataclass(frozen=True, slots=True, eq=False)
class Footing(Settled):
    """How well a fact stands: its basis, and a number's interval or a word's certainty."""

    basis: str
    low: float = math.nan
    high: float = math.nan
    certainty: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class FigureValue(Settled):
    """A figure that could be worked out, with the inputs it was worked out from."""

    id: str
    value: float | str
    low: float
    high: float
    basis: str
    inputs: Mapping[str, str]  # argument -> what it was, in words
    certainty: float = 1.0


@dataclass(frozen=True, slots=True)
class Facts:
    """The facts that go to the chain, their footing, and the figures among them."""

    facts: tuple[Fact, ...]
    footing: Mapping[Fact, Footing]
    figures: Mapping[str, FigureValue]
    failed: Mapping[str, str]  # figure -> why it could not be worked out
    clashes: tuple[str, ...] = ()  # those of them whose answers cannot all be true


def figure_order(base: Base) -> tuple[str, ...]:
    """Figures so that each comes after those that feed or replace it."""
    ordered: list[str] = []
    open_: set[str] = set()

    def visit(name: str) -> None:
        if name in ordered or name in open_:
            return
        open_.add(name)
        figure = base.figures[name]
        for key in (*figure.inputs.values(), *_measuring(base, name)):
            if key in base.figures:
                visit(key)
        ordered.append(name)

    for name in base.figures:
        visit(name)
    return tuple(ordered)


def _measuring(base: Base, id: str) -> list[str]:
    return [other.id for other in base.figures.values() if other.measures == id]


def gather_facts(base: Base, answers: Mapping[str, Answer], order: tuple[str, ...]) -> Facts:
    """All facts that follow from the answers without rules."""
    footing: dict[Fact, Footing] = {}
    for key, answer in answers.items():
        if not answer.given:
            word = UNKNOWN if answer.status == UNKNOWN else NOT_NOW
            footing[Fact(key, word)] = Footing(TOLD)
        elif isinstance(answer.value, str):
            footing[Fact(key, answer.value)] = Footing(answer.basis)
        elif answer.value is not None:
            footing[Fact(key, number=answer.value)] = Footing(
                answer.basis, _or(answer.low, answer.value), _or(answer.high, answer.value)
            )
    figures: dict[str, FigureValue] = {}
    failed: dict[str, str] = {}
    clashes: list[str] = []
    for key in order:
        value = _measured(base, key, answers, figures)
        if value is None:
            value = _calculated(base.figures[key], answers, figures, failed, clashes)
        if value is None:
            continue
        figures[key] = value
        if isinstance(value.value, str):
            fact = Fact(key, value.value)
        else:
            fact = Fact(key, number=value.value)
        footing[fact] = Footing(value.basis, value.low, value.high, value.certainty)
    return Facts(tuple(footing), footing, figures, failed, tuple(clashes))


def _measured(
    base: Base,
    id: str,
    answers: Mapping[str, Answer],
    figures: Mapping[str, FigureValue],
) -> FigureValue | None:
    """A reading that stands in place of the calculation."""
    for other in _measuring(base, id):
        if other in figures:
            read = figures[other]
            return FigureValue(
                id, read.value, read.low, read.high, MEASURED, read.inputs, read.certainty
            )
    for finding in base.findings.values():
        answer = answers.get(finding.id) if finding.measures == id else None
        if answer is not None and isinstance(answer.value, float):
            said = {finding.label: answer.text or f"{answer.value:g}"}
            return FigureValue(
                id,
                answer.value,
                _or(answer.low, answer.value),
                _or(answer.high, answer.value),
                MEASURED,
                said,
            )
    return None


def _calculated(
    figure: Figure,
    answers: Mapping[str, Answer],
    figures: Mapping[str, FigureValue],
    failed: dict[str, str],
    clashes: list[str],
) -> FigureValue | None:
    calculation = get(figure.calculation)
    arguments: dict[str, object] = dict(figure.constants)
    said: dict[str, str] = {name: str(value) for name, value in figure.constants.items()}
    bases = []
    for argument, key in figure.inputs.items():
        answer, known = answers.get(key), figures.get(key)
        unit = calculation.inputs[argument].unit
        if answer is not None and answer.given:
            value, low, high, basis = answer.value, answer.low, answer.high, answer.basis
        elif known is not None:
            value, low, high, basis = known.value, known.low, known.high, known.basis
        else:
            if key in figure.needs:
                return None
            continue
        said[argument] = (
            answer.text
            if answer is not None and answer.text
            else value
            if isinstance(value, str)
            else f"{value:.4g} {unit}"
        )
        bases.append(basis)
        if isinstance(value, float) and low == low and low < high:
            arguments[argument] = Estimate(value, low, high, unit)
        else:
            arguments[argument] = value
    try:
        result = calculation.function(**arguments)
    except (ValueError, ZeroDivisionError, OverflowError) as error:
        failed[figure.id] = str(error)
        if isinstance(error, ContradictionError):
            clashes.append(figure.id)
        return None
    basis = CALCULATED
    if bases and all(b == ASSUMED for b in bases):
        basis = ASSUMED
    if isinstance(result, Category):
        return FigureValue(
            figure.id, result.value, math.nan, math.nan, basis, said, result.certainty
        )
    return FigureValue(figure.id, result.value, result.low, result.high, basis, said)


def sureness(test: Test, fact: Fact | None, footing: Footing | None) -> float:
    """How far a test may be relied on, 0 to 1, given what stands behind its fact.

    The basis counts, and for a number the chance that the true value meets the test:
    a value at the threshold with the interval on both sides of it counts for nothing,
    one well inside counts in full.
    """
    if fact is None or footing is None:
        return 1.0
    share = _BASIS.get(footing.basis, 1.0)
    chance = footing.certainty
    if isinstance(test, InRange) and fact.number is not None and footing.low < footing.high:
        chance = _chance_inside(test, fact.number, footing)
    return share * max(0.0, 2.0 * chance - 1.0) if chance < 1.0 else share


def _chance_inside(test: InRange, value: float, footing: Footing) -> float:
    def below(limit: float) -> float:
        side = footing.low if limit < value else footing.high
        sigma = abs(side - value) / _TWO_SIDED_95
        if sigma == 0.0:
            return 1.0 if limit >= value else 0.0
        return 0.5 * (1.0 + math.erf((limit - value) / (sigma * math.sqrt(2.0))))

    upper = 1.0 if test.high is None else below(test.high)
    lower = 0.0 if test.low is None else below(test.low)
    return max(0.0, upper - lower)


def holds(alternatives: Alternatives, facts: Mapping[str, list[Fact]]) -> bool:
    """Whether a condition holds on facts by key; nothing is chained."""
    return any(
        all(_met(test, facts.get(test.key, [])) for test in option) for option in alternatives
    )


def _met(test: Test, facts: list[Fact]) -> bool:
    from advisor.knowledge.conditions import Missing

    if isinstance(test, Missing):
        return not facts
    return any(
        test.holds_word(f.word) if f.word is not None else test.holds_number(f.number or 0.0)
        for f in facts
    )


def _or(number: float, otherwise: float) -> float:
    return otherwise if math.isnan(number) else number
