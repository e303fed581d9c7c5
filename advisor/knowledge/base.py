"""A whole knowledge base, loaded at once or in two steps."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

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
    )

__all__ = ["Base"]

_LOADING = threading.RLock()


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
    overlays: tuple[str, ...] = ()  # what a house changed, in words

    @classmethod
    def waiting(
        cls, at_once: Mapping[str, object], later: Callable[[], Mapping[str, object]]
    ) -> Base:
        """A base with some of its parts, which asks ``later`` for all others when one is used."""
        base = object.__new__(cls)
        base.__dict__.update(at_once, _later=later)
        return base

    def __getattr__(self, name: str) -> object:
        if name.startswith("_"):
            raise AttributeError(name)
        with _LOADING:
            later = self.__dict__.pop("_later", None)
            if later is not None:
                self.__dict__.update(later())
        if name not in self.__dict__:
            raise AttributeError(name)
        return self.__dict__[name]
