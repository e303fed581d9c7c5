"""How hard each scenario is, and how well it tells good reasoners from weak ones.

Difficulty is the mean score (Lord & Novick 1968: the proportion right, for scores from 0 to 1).
Discrimination is the correlation of the score on a scenario with the mean score on all others
(corrected item-total correlation; Henrysson 1963, Psychometrika 28:211), and the difference
between the upper and the lower 27 % by that mean (Kelley 1939, J. Educ. Psychol. 30:17). Only a
learner's first attempt at a scenario counts.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from statistics import fmean
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.drills.result import DrillResult

__all__ = ["FEW", "Item", "correlation", "item_table", "upper_lower"]

# Below this many learners, neither number is worth leaning on; judgement.
FEW = 10
_TAIL = 0.27


@dataclass(frozen=True, slots=True)
class Item:
    """A scenario over a class. ``None`` where too few took it, or nobody differed."""

    scenario: str
    learners: int
    difficulty: float
    discrimination: float | None
    upper_lower: float | None

    @property
    def few(self) -> bool:
        return self.learners < FEW


def correlation(pairs: Sequence[tuple[float, float]]) -> float | None:
    """Pearson's r of pairs; ``None`` under three pairs or when one side does not vary."""
    if len(pairs) < 3:
        return None
    mean_x, mean_y = fmean(x for x, _ in pairs), fmean(y for _, y in pairs)
    sxx = math.fsum((x - mean_x) ** 2 for x, _ in pairs)
    syy = math.fsum((y - mean_y) ** 2 for _, y in pairs)
    if sxx <= 1e-12 or syy <= 1e-12:
        return None
    sxy = math.fsum((x - mean_x) * (y - mean_y) for x, y in pairs)
    return max(-1.0, min(1.0, sxy / math.sqrt(sxx * syy)))


def upper_lower(pairs: Sequence[tuple[float, float]]) -> float | None:
    """Mean x of the upper 27 % by y less that of the lower; ``None`` when a tail is empty.

    The tails are rounded to whole learners (half up) and never overlap.
    """
    size = math.floor(_TAIL * len(pairs) + 0.5)
    if size < 1 or 2 * size > len(pairs):
        return None
    ranked = sorted(pairs, key=lambda pair: pair[1])
    return fmean(x for x, _ in ranked[-size:]) - fmean(x for x, _ in ranked[:size])


def item_table(results: Iterable[DrillResult]) -> tuple[Item, ...]:
    """Every scenario that was taken, hardest first."""
    first: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
    for result in sorted(results, key=lambda r: r.finished):
        first[result.group, result.learner].setdefault(result.scenario, result.score)
    scenarios = sorted({name for scores in first.values() for name in scores})
    items = []
    for scenario in scenarios:
        took = [scores for scores in first.values() if scenario in scores]
        pairs = [
            (scores[scenario], fmean(v for name, v in scores.items() if name != scenario))
            for scores in took
            if len(scores) > 1
        ]
        items.append(
            Item(
                scenario,
                len(took),
                fmean(scores[scenario] for scores in took),
                correlation(pairs),
                upper_lower(pairs),
            )
        )
    return tuple(sorted(items, key=lambda item: (item.difficulty, item.scenario)))
