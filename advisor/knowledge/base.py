"""A whole knowledge base, loaded at once or in two steps."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import Place

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from advisor.knowledge.findings import Finding
    from advisor.knowledge.model import (
        Cause,
        Caution,
        Check,
        Figure,
        Line,
        Remedy,
        Rule,
        Source,
        Technique,
    )
    from advisor.knowledge.protocols import Part, ProtocolText

__all__ = ["Base", "HouseChange"]

_LOADING = threading.RLock()


@dataclass(frozen=True)
class HouseChange:
    """What a house makes of one record of the shipped base."""

    verb: str  # added, replaced, switched off
    kind: str  # one thing of its list: rule, remedy ...
    id: str
    title: str = ""
    why: str = ""  # of what is switched off
    place: Place = field(default=Place(""), compare=False)

    def __str__(self) -> str:
        after = f": {self.why}" if self.verb == "switched off" else f" ({self.place})"
        return f"{self.verb} {self.kind} {self.id}{after}"


@dataclass(frozen=True)
class Base:
    """A whole knowledge base.

    One that comes from the cache holds its findings and loads the rest when it is first
    looked at, so that the first question need not wait for what it does not use.
    """

    name: str
    version: str
    hash: str
    sources: Mapping[str, Source]
    findings: Mapping[str, Finding]
    figures: Mapping[str, Figure]
    checks: Mapping[str, Check]
    causes: Mapping[str, Cause]
    rules: Mapping[str, Rule]
    remedies: Mapping[str, Remedy]
    cautions: Mapping[str, Caution]
    lines: tuple[Line, ...]
    priors: Mapping[str, float]  # cause -> decibans, with the reserved "not-listed"
    base_rates: Mapping[str, Mapping[str, float]]  # finding -> word -> share when nothing is wrong
    # Decibans against a cause that brings on none of what was reported.
    bystander: float = 0.0
    overlays: tuple[str, ...] = ()  # what a house changed, in words
    house: tuple[HouseChange, ...] = ()  # the same, record by record
    # Choosing a technique: nothing of this takes part in a diagnosis.
    techniques: Mapping[str, Technique] = field(default_factory=dict)
    choosing: Mapping[str, Rule] = field(default_factory=dict)
    brief_findings: Mapping[str, Finding] = field(default_factory=dict)
    brief_figures: Mapping[str, Figure] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    protocols: Mapping[str, ProtocolText] = field(default_factory=dict)  # by technique

    @classmethod
    def waiting(
        cls,
        at_once: Mapping[str, object],
        later: Iterable[tuple[frozenset[str], Callable[[], Mapping[str, object]]]],
    ) -> Base:
        """A base with some of its fields, which loads the part that holds another when it is used.

        ``later`` pairs the names of fields with what gives them. A field with a plain default
        cannot wait (``TypeError``): the class would answer for it before it is loaded.
        """
        later = tuple(later)
        shadowed = {name for names, _ in later for name in names if hasattr(cls, name)}
        if shadowed:
            raise TypeError(f"{sorted(shadowed)} must be given at once")
        base = object.__new__(cls)
        base.__dict__.update(at_once, _later=later)
        return base

    def __getattr__(self, name: str) -> object:
        if name.startswith("_"):
            raise AttributeError(name)
        with _LOADING:
            waiting = self.__dict__.get("_later", ())
            for part in waiting:
                names, load = part
                if name in names and name not in self.__dict__:
                    self.__dict__.update(load(), _later=tuple(p for p in waiting if p is not part))
        if name not in self.__dict__:
            raise AttributeError(name)
        return self.__dict__[name]
