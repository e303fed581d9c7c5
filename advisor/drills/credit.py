"""Partial credit: each part of a drill from 0 (nothing) to 1 (all of it). Pure arithmetic.

verdict      1 for the right one of cause, discard, stop, nothing-wrong.
cause        1 for each true cause named, or one that nothing asked could tell from it; a
             look-alike at the same stage 0.5; a look-alike at another stage, or another cause of
             the same stage, 0.25. The sum is divided by the greater of true and named causes.
stage        1 for the stage of a true or accepted cause.
remedy       1 for one that the scenario lists; 0.5 when it usually cures the cause; 0.25 when it
             turns the right stage.
dose         1 inside the range; less with the logarithm outside, nothing at half the low or twice
             the high end; nothing with a remedy that earns nothing.
safety       what was said rightly over what had to be said plus what was said falsely.
economy      the advisor's own minutes over the minutes used, at most 1, times the credit for the
             cause; nothing when closed early. Two minutes are granted to both.
calibration  one minus the Brier score of the stated confidence; nothing when none was stated.

Where a scenario brings the votes of a panel, cause and remedy are credited by script concordance
(votes for the answer over votes for the most chosen; Charlin and others 2000, Teaching and Learning
in Medicine 12:189) instead of as a single best answer. The Brier score is Brier GW 1950, Monthly
Weather Review 78:1. Weights and the fractions in the right column are judgement.
"""

from __future__ import annotations

import math
from itertools import permutations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from advisor.drills.scenario import Dose
    from advisor.knowledge.model import Base

__all__ = [
    "PARTS",
    "calibration",
    "cause_credit",
    "concordance",
    "dose_credit",
    "economy",
    "likeness",
    "remedy_credit",
    "safety_credit",
    "total",
]

# What each part counts for when a scenario asks for it. Safety misses are listed as well.
PARTS = {
    "verdict": 0.10,
    "cause": 0.30,
    "stage": 0.10,
    "remedy": 0.15,
    "dose": 0.10,
    "safety": 0.10,
    "economy": 0.10,
    "calibration": 0.05,
}
_ALIKE, _NEAR = 0.5, 0.25
_USUALLY = 0.8  # a remedy that cures at least this often
# Minutes granted to both sides of the comparison: one quick look more is no waste.
_GRACE = 2.0


def total(parts: Mapping[str, float]) -> float:
    """The weighted mean of the parts that were asked for, 0 to 1; 0 when none was."""
    whole = math.fsum(PARTS[part] for part in parts)
    if not whole:
        return 0.0
    return min(1.0, math.fsum(PARTS[part] * value for part, value in parts.items()) / whole)


def concordance(votes: Mapping[str, int], chosen: str) -> float:
    """Script concordance credit: votes for the answer over votes for the most chosen one."""
    modal = max(votes.values(), default=0)
    return votes.get(chosen, 0) / modal if modal > 0 else 0.0


def likeness(base: Base, named: str, true: str) -> float:
    """How near one named cause comes to one true cause, 0 to 1."""
    if named == true:
        return 1.0
    if named not in base.causes or true not in base.causes:
        return 0.0
    one, two = base.causes[named], base.causes[true]
    alike = named in {a.cause for a in two.looks_like} or true in {a.cause for a in one.looks_like}
    same_stage = one.stage == two.stage
    if alike and same_stage:
        return _ALIKE
    return _NEAR if alike or same_stage else 0.0


def cause_credit(
    base: Base, named: Sequence[str], causes: Sequence[str], accept: Collection[str] = ()
) -> float:
    """Credit for the named causes, in whichever order they were named."""
    if not causes or not named:
        return 0.0

    def worth(name: str, index: int) -> float:
        if index == 0 and name in accept:
            return 1.0
        return likeness(base, name, causes[index])

    slots = max(len(causes), len(named))
    padded = [*named, *[""] * (slots - len(named))]
    best = max(
        sum(worth(name, i) for i, name in enumerate(order[: len(causes)]) if name)
        for order in permutations(padded)
    )
    return best / slots


def remedy_credit(
    base: Base, picked: str, accepted: Collection[str], causes: Collection[str], stage: str
) -> float:
    """Credit for the remedy that was picked."""
    if picked in accepted:
        return 1.0
    remedy = base.remedies.get(picked)
    if remedy is None:
        return 0.0
    if any(remedy.cures.get(cause, 0.0) >= _USUALLY for cause in causes):
        return _ALIKE
    return _NEAR if remedy.stage == stage else 0.0


def dose_credit(amount: float, unit: str, doses: Sequence[Dose]) -> float:
    """Credit for an amount in mL or g; the best of the ranges of that unit."""
    return max((_inside(amount, d.low, d.high) for d in doses if d.unit == unit), default=0.0)


def _inside(amount: float, low: float, high: float) -> float:
    if amount <= 0.0:
        return 0.0
    off = max(math.log2(low / amount), math.log2(amount / high), 0.0)
    return max(0.0, 1.0 - off)


def safety_credit(said: Collection[str], needed: Collection[str], false: Collection[str]) -> float:
    """Credit for what was said: all that is needed, nothing that is false."""
    right = len(set(said) & set(needed))
    wrong = len(set(said) & set(false))
    if not needed:
        return 1.0 / (1.0 + wrong)
    return right / (len(set(needed)) + wrong)


def economy(best: float, used: float, *, right: float = 1.0, closed_early: bool = False) -> float:
    """Credit for the minutes used (>= 0) against those of the best path.

    Speed towards a wrong answer earns in proportion to ``right``, a guess earns nothing.
    """
    if closed_early:
        return 0.0
    return right * min(1.0, (best + _GRACE) / (used + _GRACE))


def calibration(confidence: float, happened: bool) -> float:
    """One minus the Brier score of one stated probability (0 to 1)."""
    return 1.0 - (confidence - float(happened)) ** 2
