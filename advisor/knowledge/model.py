"""What a knowledge base holds, once it has been read, checked and compiled.

All of it is frozen: a base is loaded whole or not at all, and never changed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Place
from advisor.knowledge.base import Base
from advisor.knowledge.findings import Choice, Finding

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.conditions import Alternatives, Test

__all__ = [
    "BRACES",
    "Base",
    "Brought",
    "Cause",
    "Caution",
    "Check",
    "Choice",
    "Citation",
    "Effect",
    "Example",
    "Figure",
    "Finding",
    "Line",
    "LookAlike",
    "Outcome",
    "Remedy",
    "Risk",
    "Rule",
    "Source",
    "Technique",
]

# How the text of a remedy names a figure whose value is to stand there.
BRACES = re.compile(r"\{([a-z][a-z0-9_]*)\}")


@dataclass(frozen=True)
class Source:
    """A publication, a standard or a regulation."""

    id: str
    title: str
    by: str = ""
    year: int | None = None
    where: str = ""
    mark: str = "seen"  # seen, derived or memory
    note: str = ""
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Citation:
    """Why something is believed: a source with a locator, or ``practice`` or ``judgement``."""

    ref: str
    at: str = ""
    derived: bool = False
    says: str = ""

    @property
    def published(self) -> bool:
        return self.ref not in ("practice", "judgement")


@dataclass(frozen=True)
class Figure:
    """A calculated finding: which calculation, fed by which findings and figures."""

    id: str
    label: str
    calculation: str
    unit: str
    inputs: Mapping[str, str]  # argument -> finding or figure
    needs: tuple[str, ...]  # findings or figures without which it is not worked out
    constants: Mapping[str, float | str] = field(default_factory=dict)
    words: tuple[str, ...] = ()  # empty for a number
    measures: str = ""  # the calculated figure that this one, resting on a reading, replaces
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Outcome:
    """What one result of a check means."""

    test: Test
    says: str
    raises: Mapping[str, float]
    lowers: Mapping[str, float]


@dataclass(frozen=True)
class Check:
    """Something a person can do to learn a finding."""

    id: str
    title: str
    finding: str
    how: str
    minutes: float
    wait: float = 0.0  # minutes of waiting on top
    level: str = "look"  # look, taste, measure, new-batch
    kit: tuple[str, ...] = ()
    group: str = ""
    outcomes: tuple[Outcome, ...] = ()
    caution: tuple[str, ...] = ()
    source: tuple[Citation, ...] = ()
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class LookAlike:
    """A cause that is easily taken for this one, and what tells them apart."""

    cause: str
    tell: str
    check: str = ""


@dataclass(frozen=True)
class Cause:
    """What went wrong, at a stage."""

    id: str
    title: str
    stage: str
    prior: str  # often, sometimes, seldom, rare
    operations: tuple[str, ...]
    because: str
    looks_like: tuple[LookAlike, ...] = ()
    source: tuple[Citation, ...] = ()
    against: tuple[Citation, ...] = ()
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Effect:
    """One thing that a line does when it fires.

    ``kind`` is suspect, doubt, conclude, caution or suggest, and where a technique is
    chosen prefer, avoid, forbid or conflict; ``target`` the cause, finding, caution,
    remedy or technique (``impossible`` or ``trade-off`` for a conflict); ``weight`` is in
    decibans (negative for doubt and avoid); ``word`` is the value concluded, the way out
    of what is forbidden, or what a conflict costs.
    """

    kind: str
    target: str
    weight: float = 0.0
    word: str = ""


@dataclass(frozen=True)
class Example:
    """A rule's own example: with these answers it must fire, or must not."""

    given: Mapping[str, object]
    fires: bool
    known_gap: bool = False


@dataclass(frozen=True)
class Rule:
    """A rule of thumb as its author wrote it."""

    id: str
    title: str
    stage: str
    when: Alternatives
    effects: tuple[Effect, ...]
    because: str
    source: tuple[Citation, ...]
    against: tuple[Citation, ...] = ()
    group: str = ""
    examples: tuple[Example, ...] = ()
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Line:
    """One compiled rule: the only thing that a chain runs and a ledger adds up.

    ``origin`` says what it came from: ``rule``, ``shows`` (a cause's table),
    ``outcome`` (a check's table) or ``operation`` (a cause that does not belong to
    what was made); where a technique is chosen ``choosing`` (a rule), or ``does``,
    ``needs``, ``brings``, ``time`` (its own table).
    """

    id: str
    title: str
    origin: str
    when: Alternatives
    effects: tuple[Effect, ...]
    group: str
    because: str
    source: tuple[Citation, ...]
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Risk:
    """What a remedy may cost in flavour, strength, safety or allergens."""

    to: str
    text: str


@dataclass(frozen=True)
class Remedy:
    """What to change, in this batch or the next, at a stage, with a dose."""

    id: str
    title: str
    of: str  # this-batch or next-batch
    stage: str
    cures: Mapping[str, float]  # cause -> chance that it cures
    do: str  # may name figures in braces: {acid_still_needed}
    otherwise: str = ""  # the same when one of those figures is not known
    minutes: float = 5.0
    wait: float = 0.0
    loses_batch: bool = False  # nothing is left to serve
    trial: str = ""
    expect: str = ""
    risks: tuple[Risk, ...] = ()
    when: Alternatives = ()
    source: tuple[Citation, ...] = ()
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Caution:
    """Something that must be said and minded."""

    id: str
    text: str
    level: str  # stop, warn, note
    jurisdiction: str = ""
    source: tuple[Citation, ...] = ()
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class Brought:
    """Something that a technique brings into the drink, always or under a condition."""

    what: str  # a key of BROUGHT
    when: Alternatives = ()  # empty: always


@dataclass(frozen=True)
class Technique:
    """A way to treat a drink: operations in order, what they need, bring and do."""

    id: str
    title: str
    operations: tuple[str, ...]
    about: str
    needs: tuple[tuple[str, ...], ...]  # of each entry one finding must be answered yes
    brings: tuple[Brought, ...]
    minutes: float  # of work
    wait: float  # minutes of waiting on top
    shortest: float  # the least minutes from start to glass
    does: Mapping[str, str]  # goal -> a word of DOES
    effects: Mapping[str, str]  # what it changes -> in words
    because: str
    source: tuple[Citation, ...] = ()
    against: tuple[Citation, ...] = ()
    # milk (wash by wash), curd (milk curdled apart) and whey, in mL per litre of drink
    amounts: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    place: Place = field(default=Place(""), compare=False)

    @property
    def hours(self) -> float:
        """From start to glass, at an ordinary pace."""
        return (self.minutes + self.wait) / 60.0

    @property
    def may_bring(self) -> frozenset[str]:
        """All that it brings, whatever the brief."""
        return frozenset(b.what for b in self.brings)
