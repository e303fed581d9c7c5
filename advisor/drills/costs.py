"""What it costs to ask, look, taste, measure or try: minutes, waiting, and drink used up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.reasoning.repair import WAITING

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

__all__ = ["LEVELS", "LIQUID_ML", "Cost", "cost_of", "level_of"]

# The order in which things are offered: what costs least first.
LEVELS = ("ask", "look", "taste", "measure", "new-batch")

# Drink that a check uses up, mL, from its own instructions; what can go back is not counted.
LIQUID_ML = {
    "acid-brings-hue-back": 20.0,
    "acid-drop": 50.0,
    "enzyme-trial": 100.0,
    "iodine-drop": 5.0,
    "milk-spoon": 50.0,
    "paper-test": 50.0,
    "refreeze-trial": 50.0,
    "second-wash-trial": 50.0,
    "spirit-test": 40.0,
    "warm-sample-30": 50.0,
    "warm-test": 50.0,
}

_IN_VAIN = 0.5  # minutes to find out that something cannot be found out


@dataclass(frozen=True, slots=True)
class Cost:
    """What one step costs.

    ``minutes`` is what the drill's clock counts: work, and a minute of waiting as 0.15 of
    one of work, as in the order of questions and remedies. ``work`` and ``wait`` are plain
    minutes.
    """

    minutes: float
    work: float
    wait: float
    liquid_ml: float


def cost_of(base: Base, finding: str, *, known: bool = True) -> Cost:
    """The cost of learning a finding once; little when it turns out that nobody can tell."""
    if not known:
        return Cost(_IN_VAIN, _IN_VAIN, 0.0, 0.0)
    check = next((c for c in base.checks.values() if c.finding == finding), None)
    if check is None:
        work = base.findings[finding].minutes
        return Cost(work, work, 0.0, 0.0)
    return Cost(
        check.minutes + WAITING * check.wait,
        check.minutes,
        check.wait,
        LIQUID_ML.get(check.id, 0.0),
    )


def level_of(base: Base, finding: str) -> str:
    """How a finding is learnt: one of ``LEVELS``."""
    check = next((c for c in base.checks.values() if c.finding == finding), None)
    if check is not None:
        return check.level
    group = base.findings[finding].group
    return {"symptom": "look", "seen": "look", "tasted": "taste", "measured": "measure"}.get(
        group, "ask"
    )
