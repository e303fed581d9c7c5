"""Findings: what is asked. In a room of their own because the first question needs nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Place

if TYPE_CHECKING:
    from advisor.knowledge.conditions import Alternatives

__all__ = ["Choice", "Finding"]


@dataclass(frozen=True)
class Choice:
    """One possible answer to a question in words."""

    value: str
    label: str
    usual: float | None = None


@dataclass(frozen=True)
class Finding:
    """Something observed, tasted, measured or told about a batch, and how to ask for it."""

    id: str
    label: str
    ask: str
    kind: str  # yes-no, choice, quantity
    choices: tuple[Choice, ...] = ()
    unit: str = ""
    low: float | None = None
    high: float | None = None
    group: str = "batch"  # symptom, batch, seen, tasted, measured, process, storage, derived
    help: str = ""
    measures: str = ""  # the figure that this reading replaces
    ask_when: Alternatives = ()  # empty: always
    asked: bool = True
    opening: float = 0.0  # asked at the start, in this order; 0: only when it tells most
    closing: float = 0.0  # asked before the advice, in this order, whatever the cause; 0: not
    ratio_of: str = ""  # "4:1" here means: that quantity to this one
    minutes: float = 0.5
    place: Place = field(default=Place(""), compare=False)

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(choice.value for choice in self.choices)

    @property
    def symptom(self) -> bool:
        return self.group == "symptom"
