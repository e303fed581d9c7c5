"""What a choice is made of: options, refusals and conflicts, each with its reasons. Pure data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.knowledge.words import weight_word

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Citation
    from advisor.reasoning.evidence import Facts
    from advisor.technique.brief import Brief
    from advisor.technique.effects import Change

__all__ = [
    "SERVING",
    "Choice",
    "Conflict",
    "Option",
    "Reason",
    "Refusal",
    "standing_word",
]

SERVING = ("much", "some", "a-little")
"""The words of ``DOES`` that mean a technique does something for a goal."""

_ALLERGENS = ("milk", "egg", "nuts", "peanut", "sesame", "soy", "fish")
_STANDINGS = (
    (25.0, "fits very well"),
    (12.0, "fits well"),
    (4.0, "fits"),
    (-4.0, "possible"),
    (-15.0, "a poor fit"),
)
_WORST = "not advised"

def standing_word(standing: float) -> str:
    """A standing in words: from *fits very well* to *not advised*."""
    return next((word for floor, word in _STANDINGS if standing >= floor), _WORST)


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for or against: its weight in decibans and where it comes from.

    ``rests_on`` pairs each finding behind it with what was answered or worked out.
    """

    line: str
    text: str
    because: str
    weight: float
    source: tuple[Citation, ...]
    rests_on: tuple[tuple[str, str], ...] = ()

    @property
    def word(self) -> str:
        """The weight in a word: slight, moderate, strong or decisive."""
        return weight_word(self.weight)


@dataclass(frozen=True)
class Option:
    """A technique that can be used, with all that speaks for and against it."""

    technique: str
    title: str
    standing: float  # decibans, summed
    word: str
    for_: tuple[Reason, ...]
    against: tuple[Reason, ...]
    effects: tuple[Change, ...]
    serves: Mapping[str, str]  # wanted goal -> a word of DOES
    brings: tuple[str, ...]  # what it brings into the drink, a word of BROUGHT each
    cautions: tuple[str, ...]
    minutes: float
    hours: float  # from start to glass

    @property
    def contains_milk(self) -> bool:
        """Whether it must be declared as milk. True for whatever touched milk in any form."""
        return "milk" in self.brings

    @property
    def useful(self) -> bool:
        """Whether it does anything for any goal that is wanted."""
        return any(word in SERVING for word in self.serves.values())

    @property
    def allergens(self) -> tuple[str, ...]:
        """What has to be declared."""
        return tuple(b for b in self.brings if b in _ALLERGENS)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A technique that cannot be used, why, and the way out of each reason."""

    technique: str
    title: str
    reasons: tuple[Reason, ...]
    way_out: tuple[str, ...]
    serves: Mapping[str, str]  # wanted goal -> a word of DOES, were it not refused

    @property
    def useful(self) -> bool:
        """Whether it would do anything for any goal that is wanted."""
        return any(word in SERVING for word in self.serves.values())


@dataclass(frozen=True, slots=True)
class Conflict:
    """Goals and limits that pull against each other; ``kind`` is impossible or trade-off."""

    id: str
    kind: str
    title: str
    because: str
    trade_off: str
    between: tuple[str, ...]  # the findings it stands between
    source: tuple[Citation, ...]


@dataclass(frozen=True)
class Choice:
    """What follows from a brief. Pure data."""

    brief: Brief
    ranked: tuple[Option, ...]
    refused: tuple[Refusal, ...]
    conflicts: tuple[Conflict, ...]
    left_over: Mapping[str, tuple[str, ...]]  # goal the first does not serve -> what would
    backend: str
    facts: Facts

    @property
    def first(self) -> Option | None:
        """The first choice; ``None`` when nothing that can be used does anything for any goal."""
        return next((o for o in self.ranked[:1] if o.useful), None)

    def option(self, technique: str) -> Option | None:
        """The option of a technique, or ``None`` when it is refused or unknown."""
        return next((o for o in self.ranked if o.technique == technique), None)

    def refusal(self, technique: str) -> Refusal | None:
        """The refusal of a technique, or ``None`` when it is not refused."""
        return next((r for r in self.refused if r.technique == technique), None)
