"""How likely it is that a skill has been learned, from right and wrong answers so far.

Bayesian knowledge tracing: Corbett AT, Anderson JR 1995, User Modeling and User-Adapted
Interaction 4:253. The four numbers are assumed, not fitted: under some twenty answers a skill a
fit means nothing, and a class rarely gives more. They are printed with every mastery.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.drills.result import DrillResult

__all__ = ["ASSUMED", "MASTERED", "Assumed", "Mastery", "masteries", "trace"]

# From this probability a skill counts as mastered (Corbett & Anderson 1995).
MASTERED = 0.95


@dataclass(frozen=True, slots=True)
class Assumed:
    """Chances: known before the first try, learned at a try, a slip, a lucky guess."""

    known: float = 0.5
    learned: float = 0.4
    slip: float = 0.2
    guess: float = 0.2

    def __post_init__(self) -> None:
        for name in ("known", "learned", "slip", "guess"):
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise ValueError(f"{name} is a chance from 0 to 1, not {getattr(self, name)}")
        if self.slip + self.guess >= 1.0:
            raise ValueError("slip and guess together must be below 1, or a right answer says less")


ASSUMED = Assumed()


@dataclass(frozen=True, slots=True)
class Mastery:
    """A skill of one learner: the chance that it is learned, out of how many attempts."""

    skill: str
    chance: float
    attempts: int
    shown: int

    @property
    def mastered(self) -> bool:
        return self.chance >= MASTERED


def trace(answers: Iterable[bool], assumed: Assumed = ASSUMED) -> list[float]:
    """The chance that the skill is known after each answer, in order."""
    chance, path = assumed.known, []
    for right in answers:
        if right:
            known, unknown = 1.0 - assumed.slip, assumed.guess
        else:
            known, unknown = assumed.slip, 1.0 - assumed.guess
        likely = chance * known + (1.0 - chance) * unknown
        after = chance * known / likely if likely else chance
        chance = after + (1.0 - after) * assumed.learned
        path.append(chance)
    return path


def masteries(results: Iterable[DrillResult], assumed: Assumed = ASSUMED) -> dict[str, Mastery]:
    """Each skill in the results of one learner (oldest first), by name."""
    answers: dict[str, list[bool]] = {}
    for result in sorted(results, key=lambda r: r.finished):
        for skill, shown in result.skills.items():
            answers.setdefault(skill, []).append(shown)
    return {
        skill: Mastery(skill, trace(shown, assumed)[-1], len(shown), sum(shown))
        for skill, shown in sorted(answers.items())
    }
