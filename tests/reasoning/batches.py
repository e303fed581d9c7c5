"""Short ways to infer on the small base."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.reasoning.answers import read_answer
from advisor.reasoning.infer import infer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.knowledge.model import Base
    from advisor.reasoning.answers import Answer
    from advisor.reasoning.infer import Inference

__all__ = ["answers", "inferred"]


def answers(base: Base, **raw: object) -> dict[str, Answer]:
    """Answers as a person writes them."""
    return dict(read_answer(base, name, value) for name, value in raw.items())


def inferred(base: Base, *, tried: Sequence[str] = (), **raw: object) -> Inference:
    """What follows from answers, on the reference backend (fast, and the yardstick)."""
    return infer(base, answers(base, **raw), tried, backend="reference")
