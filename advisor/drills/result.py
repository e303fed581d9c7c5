"""What a finished drill leaves behind: the one record that scoring makes and progress keeps."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

__all__ = ["DrillResult", "StepTaken"]


@dataclass(frozen=True, slots=True)
class StepTaken:
    """One thing that the trainee asked, measured or tried.

    ``minutes`` is what it cost; ``bits`` the information gained about the cause (bits, may be
    negative when the answer misled); ``best_bits`` that of the best question open at the time.
    """

    finding: str
    answer: str
    minutes: float
    liquid_ml: float = 0.0
    bits: float = 0.0
    best_finding: str = ""
    best_bits: float = 0.0


@dataclass(frozen=True, slots=True)
class DrillResult:
    """One finished drill of one learner.

    ``parts`` holds each scored part from 0 to 1 (cause, stage, remedy, dose, safety, economy,
    calibration); a part that the scenario does not ask for is absent. ``score`` is their
    weighted mean. ``safety_missed`` lists the safety statements that were left out: it stands
    beside the score and is never averaged away. ``skills`` gives, for each skill that the drill
    exercised, whether it was shown. ``confidence`` is the stated probability (0 to 1) of the
    named cause. Times are UTC.
    """

    scenario: str
    learner: str
    group: str
    mode: str  # practice or exam
    seed: int | None
    knowledge: str  # version and hash of the knowledge that scored it
    started: datetime
    finished: datetime
    cause: str  # '' when nothing was wrong
    stage: str
    verdict: str
    named_cause: str
    named_stage: str
    named_remedy: str
    confidence: float | None
    parts: Mapping[str, float]
    score: float
    minutes_used: float
    minutes_best: float
    difficulty: str = "ordinary"
    symptoms: tuple[str, ...] = ()
    safety_missed: tuple[str, ...] = ()
    closed_early: bool = False
    skills: Mapping[str, bool] = field(default_factory=dict)
    steps: tuple[StepTaken, ...] = ()
    lines: tuple[str, ...] = ()  # lines of the base that the drill's answers fired
