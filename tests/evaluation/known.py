"""Known cases of the small base, a made-up simulator's batch, and outcomes made by hand."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from advisor.evaluation.cases import Expected, KnownCase
from advisor.evaluation.conditions import UNDISTURBED
from advisor.evaluation.outcome import Outcome

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Batch", "came_out", "case"]

_STAGES = {
    "too-mild": "acid",
    "too-warm": "temperature",
    "too-short": "contact",
    "gone-off": "storage",
}


@dataclass(frozen=True, slots=True)
class Batch:
    """What a simulator gives, by hand."""

    seed: int = 7
    faults: tuple[str, ...] = ("too-mild",)
    accept: tuple[str, ...] = ("too-mild",)
    stage: str = "acid"
    verdict: str = "cause"
    operation: str = "strip"
    symptoms: tuple[str, ...] = ("cloudy",)
    told: Mapping[str, str] = field(default_factory=lambda: {"operation": "strip"})
    answers: Mapping[str, str] = field(default_factory=lambda: {"curd": "weak"})
    truth: Mapping[str, float] = field(default_factory=dict)


def case(cause: str, *symptoms: str, told: Any = None, **answers: object) -> KnownCase:
    """A known case of the small base with one fault."""
    return KnownCase(
        name=f"{cause} {'-'.join(symptoms)} {answers}",
        expected=Expected(
            cause, frozenset([cause]), frozenset([_STAGES[cause]]), "cause", (cause,)
        ),
        symptoms=symptoms,
        told={"operation": "strip"} if told is None else told,
        answers=answers,
        operation="strip",
    )


_PLAIN = Outcome(
    case="",
    seed=None,
    condition=UNDISTURBED,
    true="a",
    faults=("a",),
    true_stages=("acid",),
    expected_verdict="cause",
    operation="strip",
    symptoms=("cloudy",),
    named="a",
    verdict="cause",
    stage="acid",
    right=True,
    in_three=True,
    cause_first=True,
    itself=True,
    both_in_three=None,
    both_together=None,
    stage_right=True,
    probability=None,
    brier_all=None,
    log_all=None,
    asked=(),
    recipe=1,
    stopped="sure",
    effort=None,
    miss=None,
)


def came_out(**changes: Any) -> Outcome:
    """An outcome made by hand: right unless it says otherwise."""
    return replace(_PLAIN, **changes)
