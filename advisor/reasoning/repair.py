"""In which order to try remedies: chance of cure over effort, again after each failure.

Heckerman D, Breese JS, Rommelse K 1995, *Decision-theoretic troubleshooting*,
Communications of the ACM 38(3):49; Kalagnanam J, Henrion M 1990.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.knowledge.model import Base
    from advisor.reasoning.infer import Inference

__all__ = [
    "WAITING",
    "Action",
    "after_failure",
    "chance_of_cure",
    "expected_cost",
    "order",
    "order_in_turn",
    "usable_actions",
]

WAITING = 0.15  # a minute of waiting against one of work; judgement


@dataclass(frozen=True, slots=True)
class Action:
    """Something to try: its cost (> 0, any unit) and the chance that it cures each cause."""

    id: str
    cost: float
    cures: Mapping[str, float]


def chance_of_cure(action: Action, standing: Mapping[str, float]) -> float:
    """The chance that an action cures, over all causes as they stand."""
    return sum(standing.get(cause, 0.0) * cure for cause, cure in action.cures.items())


def after_failure(action: Action, standing: Mapping[str, float]) -> dict[str, float]:
    """How the causes stand once the action has been tried and has not cured."""
    left = {
        cause: chance * (1.0 - action.cures.get(cause, 0.0)) for cause, chance in standing.items()
    }
    whole = sum(left.values())
    if whole <= 0.0:
        return dict(standing)  # it could not have failed, and did: nothing is learnt
    return {cause: chance / whole for cause, chance in left.items()}


def order(actions: Sequence[Action], standing: Mapping[str, float]) -> tuple[Action, ...]:
    """Best chance of cure per cost first, judged again after each failure.

    Actions that cannot cure anything that stands come last, cheapest first.
    """
    left = list(actions)
    now = dict(standing)
    chosen = []
    while left:
        best = max(
            left, key=lambda a: (chance_of_cure(a, now) / a.cost, -a.cost, -actions.index(a))
        )
        chosen.append(best)
        left.remove(best)
        now = after_failure(best, now)
    return tuple(chosen)


def order_in_turn(
    groups: Sequence[Sequence[Action]], standing: Mapping[str, float]
) -> tuple[Action, ...]:
    """One group after the other, each in ``order`` once those before it have failed."""
    now: Mapping[str, float] = standing
    chosen: list[Action] = []
    for group in groups:
        for action in order(group, now):
            chosen.append(action)
            now = after_failure(action, now)
    return tuple(chosen)


def expected_cost(actions: Sequence[Action], standing: Mapping[str, float]) -> float:
    """Expected cost of trying the actions in this order until one cures."""
    total, reach, now = 0.0, 1.0, dict(standing)
    for action in actions:
        total += reach * action.cost
        cured = chance_of_cure(action, now)
        reach *= max(0.0, 1.0 - cured)
        now = after_failure(action, now)
    return total


def usable_actions(base: Base, inference: Inference, of: str) -> tuple[Action, ...]:
    """The remedies for ``this-batch`` or ``next-batch`` that apply and have not been tried.

    The cost of one is its minutes of work, with waiting discounted and one minute for
    getting started.
    """
    facts = inference.facts_by_key()
    return tuple(
        Action(r.id, r.minutes + WAITING * r.wait + 1.0, r.cures)
        for r in base.remedies.values()
        if r.of == of and r.id not in inference.tried and (not r.when or holds(r.when, facts))
    )
