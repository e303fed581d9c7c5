"""Invented briefs of the training bar, the Cold Larder, that several tests share."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.knowledge.load import load
from advisor.technique.brief import brief_from
from advisor.technique.protocol import protocol

if TYPE_CHECKING:
    from advisor.knowledge.model import Base
    from advisor.technique.brief import Brief
    from advisor.technique.protocol import Protocol

PUNCH = {
    "base_kind": "mixed-drink",
    "base_spirit": "aged-rum",
    "base_strength": "22 %",
    "base_acid": "7 g/l",
    "base_tannin": "much",
    "holds": ["has_citrus", "has_tea_or_coffee"],
    "goals": ["less_astringent", "clear"],
}
SPIRIT = {
    "base_kind": "spirit",
    "base_spirit": "whisky",
    "base_strength": "45 %",
    "base_acid_kind": "none",
}
JUICE = {
    "base_kind": "juice",
    "base_acid_kind": "orange-juice",
    "holds": ["has_pulp"],
    "goals": ["clear"],
}
WINE = {"base_kind": "wine", "base_strength": "12.5 %", "base_tannin": "some"}
BRIEFS = {"punch": PUNCH, "spirit": SPIRIT, "juice": JUICE, "wine": WINE}


@lru_cache(maxsize=1)
def base() -> Base:
    """The shipped base."""
    return load()


def brief(given: dict[str, object], **more: object) -> Brief:
    """A brief, with more or other answers."""
    return brief_from(base(), {**given, **more})


def made(given: dict[str, object], technique: str, **more: object) -> Protocol:
    """The protocol of a technique; ``answers`` are further answers, the rest goes to it."""
    answers = more.pop("answers", {})
    return protocol(base(), brief(given, **answers), technique, **more)
