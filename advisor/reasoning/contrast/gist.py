"""The gist of an advice: the few things that a change must touch to count as one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.reasoning.advise import advise

if TYPE_CHECKING:
    from advisor.reasoning.advise import Advice
    from advisor.reasoning.infer import Engine, Inference

__all__ = ["Gist", "gist_of", "of_advice"]


@dataclass(frozen=True, slots=True)
class Gist:
    """What an advice comes to.

    ``kind`` is that of the verdict; ``cause`` stands first (empty for none listed) at
    ``stage`` with ``probability`` and its ``words``; ``remedy`` is the one to try first, for
    this batch where there is one, else for the next (empty for none).
    """

    kind: str
    text: str
    cause: str
    stage: str
    probability: float
    words: str
    remedy: str

    def differs(self, other: Gist) -> tuple[str, ...]:
        """In what the other differs: verdict, cause, stage, remedy; empty for the same advice."""
        pairs = {
            "verdict": (self.kind, other.kind),
            "cause": (self.cause, other.cause),
            "stage": (self.stage, other.stage),
            "remedy": (self.remedy, other.remedy),
        }
        return tuple(name for name, (one, two) in pairs.items() if one != two)


def of_advice(advice: Advice) -> Gist:
    """The gist of an advice at hand."""
    verdict = advice.verdict
    first = (*advice.this_batch[:1], *advice.next_batch[:1])
    return Gist(
        verdict.kind,
        verdict.text,
        verdict.cause,
        verdict.stage,
        verdict.probability,
        verdict.words,
        first[0].remedy.id if first else "",
    )


def gist_of(engine: Engine, inference: Inference) -> Gist:
    """The gist of the advice that an inference gives."""
    return of_advice(advise(engine, inference))
