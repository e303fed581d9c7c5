"""What to practise next: spaced repetition of skills with the open FSRS algorithm.

Each skill is a card; each drill that exercised it is a review. Nothing is stored: the state of a
card follows from the results, so a corrected result corrects the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from fsrs import Card, Rating, Scheduler

    from advisor.drills.result import DrillResult

__all__ = ["Due", "plan"]

# A shown skill in a drill that went badly otherwise came hard; judgement.
_CAME_HARD = 0.6


@dataclass(frozen=True, slots=True)
class Due:
    """When a skill should be practised again (UTC), and the chance that it is still there."""

    skill: str
    due: datetime
    retained: float
    reviews: int


def _scheduler() -> Scheduler:
    from fsrs import Scheduler

    # Without the random spread of due dates: the same results always give the same plan.
    return Scheduler(enable_fuzzing=False)


def _rating(shown: bool, score: float) -> Rating:
    from fsrs import Rating

    if not shown:
        return Rating.Again
    return Rating.Hard if score < _CAME_HARD else Rating.Good


def plan(results: Iterable[DrillResult], now: datetime) -> tuple[Due, ...]:
    """The skills of one learner, the one most due first. ``now`` is UTC."""
    from fsrs import Card

    scheduler = _scheduler()
    cards: dict[str, Card] = {}
    reviews: dict[str, int] = {}
    for result in sorted(results, key=lambda r: r.finished):
        for skill, shown in result.skills.items():
            card = cards.get(skill) or Card(card_id=1, due=result.finished)
            cards[skill], _ = scheduler.review_card(
                card, _rating(shown, result.score), result.finished
            )
            reviews[skill] = reviews.get(skill, 0) + 1
    rows = [
        Due(skill, card.due, scheduler.get_card_retrievability(card, now), reviews[skill])
        for skill, card in cards.items()
    ]
    return tuple(sorted(rows, key=lambda row: (row.due > now, row.retained, row.due, row.skill)))
