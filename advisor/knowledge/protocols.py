"""How a protocol is written: parts with their dials and steps, and which parts a technique uses.

The numbers are worked out elsewhere; here stand the words that they are put into. Every
quantity that a text may name in braces, and every circumstance that a step may depend on,
is listed, so that a text can be checked when the base is loaded.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Place

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Citation

__all__ = [
    "CIRCUMSTANCES",
    "QUANTITIES",
    "SHARED",
    "WORKS",
    "Choosing",
    "Dial",
    "Item",
    "Part",
    "PartUse",
    "Point",
    "ProtocolText",
    "StepText",
]

SHARED = (
    "batch",
    "serve",
    "finished",
    "finished_strength",
    "strength_low",
    "strength_high",
    "keep_days",
    "drink_name",
)
"""Quantities and words that every step may name."""

QUANTITIES: Mapping[str, tuple[str, ...]] = {
    "prepare": ("drink", "drink_strength", "control", "total", "spirit_part", "rest_part"),
    "build": ("washed", "rest_of_drink", "drink", "drink_strength"),
    "strip": (
        "drink",
        "milk",
        "milk_name",
        "milk_per_litre",
        "milk_temperature",
        "warming",
        "mix_temperature",
        "mix",
        "acid",
        "acid_name",
        "acid_per_litre",
        "acid_needed",
        "split_reading",
        "expected_reading",
        "pour_time",
        "mingle_time",
        "rest",
        "curd",
        "filter_area",
        "filter_width",
        "filter_time",
        "forerun",
        "drain",
        "yield",
        "yield_least",
    ),
    "curd-steep": (
        "drink",
        "milk",
        "milk_name",
        "milk_temperature",
        "acid",
        "acid_name",
        "split_reading",
        "rest",
        "curd",
        "curd_whey",
        "whey_kept",
        "steep",
        "filter_area",
        "filter_width",
        "filter_time",
        "drain",
        "yield",
        "yield_least",
    ),
    "fat-wash": (
        "spirit",
        "spirit_strength",
        "fat",
        "fat_volume",
        "fat_name",
        "raw_butter",
        "fat_temperature",
        "steep",
        "cold",
        "cold_time",
        "least_cold",
        "after_water",
        "yield",
        "yield_least",
    ),
    "whey-make": (
        "milk",
        "milk_name",
        "milk_temperature",
        "acid",
        "acid_name",
        "rest",
        "whey",
        "drain",
        "filter_area",
        "filter_width",
        "yoghurt",
    ),
    "whey-dose": ("drink", "whey", "whey_per_litre", "whey_share", "trial_whey", "final_ph"),
    "add": (
        "drink",
        "dose",
        "dose_per_litre",
        "item_name",
        "carrier",
        "rest_of_drink",
        "warmth",
        "hold",
        "settle",
        "each_serve",
        "yield",
        "yield_least",
    ),
    "settle": (
        "drink",
        "height",
        "settle",
        "settle_calculated",
        "filter_width",
        "yield",
        "yield_least",
    ),
    "spin": ("drink", "pull", "speed", "spin", "run_time", "load", "yield", "yield_least"),
    "polish": ("drink", "stand", "yield"),
    "finish": ("serves", "proof", "expected_reading"),
}
"""What the text of a step may name in braces, by the work of its part."""

WORKS = tuple(QUANTITIES)

CIRCUMSTANCES = (
    # of the brief
    "spirit-base",
    "mixed-base",
    "wine-base",
    "tea-base",
    "juice-base",
    "no-alcohol-base",
    "has-alcohol",
    "strong",
    "much-tannin",
    "some-tannin",
    "much-bitter",
    "deep-colour",
    "top-notes",
    "oily-aroma",
    "goal-clear",
    "goal-foam",
    "goal-more-body",
    "goal-paler",
    "goal-less-bitter",
    "goal-less-astringent",
    "keep-colour",
    "keep-top-notes",
    "keep-bitter",
    "keep-strength",
    "has-citrus",
    "has-pulp",
    "has-oily-parts",
    "has-wine",
    "has-egg",
    "has-tea",
    # of the kit; what is not said is taken to be there, but for a centrifuge
    "paper",
    "cloth",
    "centrifuge",
    "freezer",
    "scale",
    "thermometer",
    "ph-tool",
    # of size and time
    "bench",
    "large",
    "quick",
    # of what the numbers came to
    "hot-milk",
    "cold-milk",
    "acid-added",
    "own-acid",
    "acid-powder",
    "acid-liquid",
    "homogenised",
    "long-life",
    "goat-like",
    "plant-milk",
    "cultured",
    "brown-butter",
    "whole-butter",
    "meat-fat",
    "fat-washed",
    "fat-melts",
    "sets-in-fridge",
    "sets-in-freezer",
    "never-sets",
    "paste",
    "weak-spirit",
    "overproof",
    "from-yoghurt",
    "from-milk",
    "whey-kept",
    "dairy",
    "boils-drink",
    "carrier-water",
    "second",
    "spirit-apart",
)
"""What a step or the setting of a dial may depend on."""


@dataclass(frozen=True)
class Choosing:
    """Another setting of a dial under circumstances, the first that holds."""

    when: tuple[str, ...]
    value: float
    because: str = ""


@dataclass(frozen=True)
class Dial:
    """Something to set: its usual value, the span of practice and what is allowed at all."""

    id: str
    label: str
    unit: str
    value: float
    usual: tuple[float, float]
    allowed: tuple[float, float]
    choose: tuple[Choosing, ...] = ()
    because: str = ""
    source: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Point:
    """The point to check at a step: what it should show, and what follows when it does not.

    ``bad`` are the answers that the diagnosis is told (findings of the base), ``cause`` and
    ``remedy`` what it is expected to say.
    """

    finding: str
    should: str
    bad: Mapping[str, str]
    cause: str
    remedy: str
    do: str


@dataclass(frozen=True)
class StepText:
    """One step as written. ``hands_on`` and ``per_litre`` are minutes of work; ``wait`` is
    minutes, or the name of a quantity that is a time. ``after`` are steps of the same part;
    empty: the step before it; ``("start",)``: nothing of this part."""

    id: str
    title: str
    do: str
    hands_on: float = 0.0
    per_litre: float = 0.0
    wait: float | str = 0.0
    attended: bool = False
    after: tuple[str, ...] = ()
    when: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    kit: tuple[str, ...] = ()
    point: Point | None = None
    cautions: tuple[str, ...] = ()
    source: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Item:
    """What a part of the work ``add`` puts in. ``contains`` is an ingredient word of the label;
    an ``aid`` is taken out again and needs no line of its own on it."""

    id: str
    name: str
    unit: str
    contains: str = ""
    aid: bool = False


@dataclass(frozen=True)
class Part:
    """A run of steps that belong together, with the dials that set its amounts."""

    id: str
    title: str
    work: str
    dials: Mapping[str, Dial]
    steps: tuple[StepText, ...]
    item: Item | None = None
    place: Place = field(default=Place(""), compare=False)


@dataclass(frozen=True)
class PartUse:
    """A part as a protocol uses it: under a name of its own, with its own settings.

    ``words`` fixes a choice (``milk_kind: soy``); ``beside`` lets it begin at once, while the
    parts before it are still at work.
    """

    part: str
    name: str
    dials: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    beside: bool = False
    when: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()


@dataclass(frozen=True)
class ProtocolText:
    """Which parts make the protocol of a technique, in order, and what it is called."""

    id: str
    technique: str
    title: str
    parts: tuple[PartUse, ...]
    because: str = ""
    source: tuple[Citation, ...] = ()
    place: Place = field(default=Place(""), compare=False)
