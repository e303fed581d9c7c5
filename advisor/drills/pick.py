"""What to practise when nobody says: the easiest written drill that was not done yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.drills.shape import DIFFICULTIES

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario

__all__ = ["pick"]


def pick(
    scenarios: Sequence[Scenario],
    done: Iterable[DrillResult],
    *,
    topic: str = "",
    difficulty: str = "",
) -> Scenario | None:
    """The scenario to play next, or ``None`` when there is none of that kind.

    Not done before done, easy before hard, in the order in which they stand; when all were done,
    the one with the lowest latest score, so that practice goes where it is needed.
    """
    latest = {result.scenario: result.score for result in sorted(done, key=lambda r: r.finished)}
    wanted = [
        (index, s)
        for index, s in enumerate(scenarios)
        if (not topic or topic in s.topics) and (not difficulty or s.difficulty == difficulty)
    ]
    if not wanted:
        return None
    return min(
        wanted,
        key=lambda pair: (
            pair[1].name in latest,
            latest.get(pair[1].name, 0.0),
            DIFFICULTIES.index(pair[1].difficulty),
            pair[0],
        ),
    )[1]
