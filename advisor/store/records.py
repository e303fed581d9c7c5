"""What goes into the store and comes out of it: plain values, no database in sight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

__all__ = ["Attempt", "Learner"]


@dataclass(frozen=True, slots=True)
class Learner:
    """A person who practises, in a class or (with an empty class name) alone."""

    name: str
    group: str
    attempts: int = 0
    last: datetime | None = None  # UTC


@dataclass(frozen=True, slots=True)
class Attempt:
    """One finished drill. ``record`` is all of it, as JSON data; the rest is what it is found by.

    ``key`` names the attempt in the whole world: saving the same key twice keeps one.
    ``finished`` is UTC. ``score`` is from 0 to 1.
    """

    key: str
    learner: str
    group: str
    scenario: str
    mode: str
    finished: datetime
    score: float
    record: Mapping[str, Any]
