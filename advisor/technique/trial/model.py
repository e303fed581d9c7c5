"""A trial as data: the samples, who tastes which cups in which order, and the drink behind it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.technique.trial.dials import DIALS, SENSES, Dial, Sense
from advisor.technique.trial.methods import TESTS, BlindTest

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["CONTROL", "VERSION", "Base", "Cup", "Flight", "Sample", "Trial"]

VERSION = 1
"""Of the trial file."""

CONTROL = "control"
"""The id of the untreated sample."""


@dataclass(frozen=True, slots=True)
class Base:
    """The drink that is treated, and what the dials that stay put are set to.

    ``volume`` is what there is (mL), ``strength`` %vol, ``acid`` g/L as citric acid; each may be
    unknown. ``kind`` is a word of ``science.polyphenols.BASES`` or empty.
    """

    volume: float | None = None
    strength: float | None = None
    acid: float | None = None
    kind: str = ""
    milk_kind: str = "whole"
    acid_kind: str = "citric"
    fat_kind: str = "plain-butter"
    whey_kind: str = "acid-whey"


@dataclass(frozen=True, slots=True)
class Sample:
    """One thing that is made: every dial that is turned and its setting; the control has none."""

    id: str
    settings: Mapping[str, float] = field(default_factory=dict)

    @property
    def is_control(self) -> bool:
        """Whether this is the untreated drink."""
        return self.id == CONTROL


@dataclass(frozen=True, slots=True)
class Cup:
    """One coded cup of a sample."""

    code: str
    sample: str


@dataclass(frozen=True, slots=True)
class Flight:
    """Cups put before one taster at once, in the order of tasting.

    ``against`` is the treated sample of a picking test, empty where everything is served.
    """

    taster: str
    number: int
    cups: tuple[Cup, ...]
    against: str = ""

    @property
    def codes(self) -> tuple[str, ...]:
        """Codes in serving order: all that the taster may see."""
        return tuple(cup.code for cup in self.cups)


@dataclass(frozen=True, slots=True)
class Trial:
    """Everything that was decided before anybody pours.

    ``dials`` are one or two words of ``DIALS``; ``fixed`` are the dials that stay put.
    ``wanted`` is the size of the difference (d') that matters. ``alone``: one person tastes
    without anybody's help.
    """

    title: str
    test: str
    sense: str
    dials: tuple[str, ...]
    samples: tuple[Sample, ...]
    fixed: Mapping[str, float]
    tasters: tuple[str, ...]
    repeats: int
    flights: tuple[Flight, ...]
    seed: int
    cup_ml: float
    base: Base = field(default_factory=Base)
    alpha: float = 0.05
    wanted: float = 1.5
    alone: bool = False
    fresh_codes: bool = False
    why: str = ""

    @property
    def method(self) -> BlindTest:
        """The test."""
        return TESTS[self.test]

    @property
    def asked(self) -> Sense:
        """The sense that tasters are asked about."""
        return SENSES[self.sense]

    @property
    def dial(self) -> Dial:
        """The first dial."""
        return DIALS[self.dials[0]]

    @property
    def treated(self) -> tuple[Sample, ...]:
        """The samples other than the control."""
        return tuple(s for s in self.samples if not s.is_control)

    @property
    def foretold(self) -> int:
        """+1 where the treatment should raise the sense, -1 where it should lower it, 0 unknown."""
        known = {DIALS[d].moves.get(self.sense, 0) for d in self.dials} - {0}
        return known.pop() if len(known) == 1 else 0

    @property
    def tail(self) -> float:
        """Alpha of one direction: half of it where the answers may go either way."""
        return self.alpha if self.foretold or not self.method.named else self.alpha / 2

    def sample(self, id: str) -> Sample:
        """A sample by its id; ``KeyError`` if there is none."""
        for one in self.samples:
            if one.id == id:
                return one
        raise KeyError(id)

    def flights_of(self, taster: str) -> tuple[Flight, ...]:
        """What a taster is served, in order."""
        return tuple(f for f in self.flights if f.taster == taster)

    def cups_of(self, sample: str) -> int:
        """How many cups of a sample are poured, open references included."""
        coded = sum(cup.sample == sample for f in self.flights for cup in f.cups)
        return coded + (len(self.flights) if self.method.reference and sample == CONTROL else 0)
