"""Exit codes, documented in ``curdwise --help`` and the README."""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.errors import AdvisorError

__all__ = ["Exit"]


class Exit(IntEnum):
    """What the number means that the command ends with."""

    OK = 0
    FOUND = 1  # a check found problems
    USAGE = 2  # the command line itself is wrong
    INPUT = 3  # an answer, a case file or another input is wrong
    KNOWLEDGE = 4  # the knowledge base is missing or refused
    ENGINE = 5  # the reasoning engine asked for cannot run
    INTERRUPTED = 130

    @classmethod
    def of(cls, error: AdvisorError) -> Exit:
        """The exit code of an error."""
        if error.code in ("circle-through-missing", "rule-twice"):
            return cls.KNOWLEDGE
        if error.code.startswith("knowledge-") or getattr(error, "what", "").startswith(
            "the knowledge base"
        ):
            return cls.KNOWLEDGE
        if error.code.startswith(("backend", "chain", "engine")):
            return cls.ENGINE
        return cls.INPUT
