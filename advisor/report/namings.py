"""Findings, tests and answers in the words that a person was asked in."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, InRange, Is, Missing
from advisor.quantities import say

if TYPE_CHECKING:
    from advisor.chain.port import Fact
    from advisor.consult import Consultation
    from advisor.knowledge.conditions import Test
    from advisor.knowledge.model import Base
    from advisor.reasoning.answers import Answer

__all__ = ["answer_words", "condition_words", "finding_words", "found_words", "value_words"]

_NOT_SAID = {UNKNOWN: "not known", NOT_NOW: "not done yet"}


def finding_words(base: Base, key: str) -> str:
    """A finding or figure by its label."""
    if key in base.findings:
        return base.findings[key].label
    return base.figures[key].label if key in base.figures else key


def value_words(
    base: Base,
    key: str,
    value: str | float,
    *,
    low: float | None = None,
    high: float | None = None,
    band: tuple[float, float] | None = None,
    units: str = "metric",
) -> str:
    """A value of a finding or figure: a choice by its label, an amount with its unit.

    ``low`` and ``high`` are what it leaves open; of a ``band`` only the ends are said.
    """
    if isinstance(value, str):
        finding = base.findings.get(key)
        choices = finding.choices if finding else ()
        return next((c.label for c in choices if c.value == value), _NOT_SAID.get(value, value))
    unit = _unit(base, key)
    if band is not None:
        ends = [say(end, unit, system=units) for end in band]
        return f"from {ends[0]} to {ends[1]}"
    if low is None or high is None or not low < high or not math.isfinite(low + high):
        return say(value, unit, system=units)
    return say(value, unit, system=units, low=low, high=high)


def answer_words(base: Base, key: str, answer: Answer, units: str = "metric") -> str:
    """An answer as it was given."""
    if not answer.given or answer.value is None:
        return _NOT_SAID[answer.status]
    return value_words(base, key, answer.value, low=answer.low, high=answer.high, units=units)


def condition_words(base: Base, test: Test, units: str = "metric") -> str:
    """A test as a person would put it."""
    label = finding_words(base, test.key)
    if isinstance(test, Is):
        return f"{label}: {' or '.join(value_words(base, test.key, w) for w in test.words)}"
    if isinstance(test, InRange):
        unit = _unit(base, test.key)
        parts = []
        if test.low is not None:
            word = "at least" if test.low_in else "above"
            parts.append(f"{word} {say(test.low, unit, system=units)}")
        if test.high is not None:
            word = "at most" if test.high_in else "below"
            parts.append(f"{word} {say(test.high, unit, system=units)}")
        return f"{label}: {' and '.join(parts)}"
    if isinstance(test, Missing):
        return f"{label}: not known"
    return f"{label}: known, whatever it is"



def found_words(consultation: Consultation, fact: Fact | None, units: str = "metric") -> str:
    """What was found where a test looked; empty for nothing."""
    if fact is None:
        return ""
    base, footing = consultation.base, consultation.inference.footing.get(fact)
    value = fact.word if fact.word is not None else (fact.number or 0.0)
    low, high = (footing.low, footing.high) if footing else (None, None)
    return value_words(base, fact.key, value, low=low, high=high, units=units)


def _unit(base: Base, key: str) -> str:
    return base.findings[key].unit if key in base.findings else base.figures[key].unit
