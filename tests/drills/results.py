"""Invented results of drills for tests."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from advisor.drills.result import DrillResult

__all__ = ["DAY0", "result"]

DAY0 = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def result(
    learner: str = "Ann", scenario: str = "s1", day: float = 0.0, **changes: Any
) -> DrillResult:
    """A result that is right in everything, changed where asked."""
    started = DAY0 + timedelta(days=day)
    values: dict[str, Any] = {
        "scenario": scenario,
        "learner": learner,
        "group": "Tuesday",
        "mode": "practice",
        "seed": 1,
        "knowledge": "1 abc",
        "started": started,
        "finished": started + timedelta(minutes=20),
        "cause": "acid-short-casein-left",
        "stage": "acid",
        "verdict": "cause",
        "named_cause": "acid-short-casein-left",
        "named_stage": "acid",
        "named_remedy": "add-acid-in-steps",
        "confidence": 0.9,
        "parts": {"verdict": 1.0, "cause": 1.0, "stage": 1.0},
        "score": 1.0,
        "minutes_used": 12.0,
        "minutes_best": 8.0,
        "symptoms": ("cloud_at_filter",),
        "skills": {"find:acid": True},
        "lines": (),
    }
    return DrillResult(**{**values, **changes})
