"""Minutes until a batch is cured when remedies are tried in turn, and other orders to compare.

The true fault is known here, so each remedy cures with the chance that the base gives it
against that fault, one remedy after the other. Every order tries the same remedies, so what
none of them cures counts alike for all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.reasoning.repair import Action, chance_of_cure, expected_cost, order

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.reasoning.advise import Advice

__all__ = ["Effort", "actions_of", "effort", "likely_first", "random_order_cost"]


@dataclass(frozen=True, slots=True)
class Effort:
    """Expected minutes of trying for one batch, in four orders of the same remedies."""

    remedies: int
    advised: float  # in the order of the advice
    likely_first: float  # the best remedy of the likeliest cause first, whatever it takes
    at_random: float  # the mean over all orders
    knowing: float  # the best order for somebody who knows the fault
    first_cures: float  # chance that the first remedy of the advice cures
    uncured: float  # chance that none of them does


def actions_of(advice: Advice) -> tuple[Action, ...]:
    """The remedies for this batch in the order of the advice, with their costs."""
    return tuple(Action(r.remedy.id, r.cost, r.remedy.cures) for r in advice.this_batch)


def effort(
    actions: Sequence[Action], standing: Mapping[str, float], fault: str
) -> Effort | None:
    """What trying ``actions`` in order comes to when ``fault`` is the true one.

    ``standing`` is what was thought of the causes. ``None`` where no action can cure the
    fault: then every order costs the same, and says nothing.
    """
    true = {fault: 1.0}
    chances = [chance_of_cure(a, true) for a in actions]
    if not any(chances):
        return None
    return Effort(
        len(actions),
        expected_cost(actions, true),
        expected_cost(likely_first(actions, standing), true),
        random_order_cost(actions, fault),
        expected_cost(order(actions, true), true),
        chances[0],
        math.prod(1.0 - q for q in chances),
    )


def likely_first(actions: Sequence[Action], standing: Mapping[str, float]) -> tuple[Action, ...]:
    """The likeliest cause first: its surest remedies one after the other, then the next cause's.

    What a cure takes is looked at only between remedies that are equally sure.
    """
    chosen: dict[str, Action] = {}
    for cause in sorted(standing, key=lambda c: (-standing[c], c)):
        its = [a for a in actions if a.cures.get(cause, 0.0) > 0.0]
        for action in sorted(its, key=lambda a: (-a.cures[cause], a.cost, a.id)):
            chosen.setdefault(action.id, action)
    for action in actions:
        chosen.setdefault(action.id, action)
    return tuple(chosen.values())


def random_order_cost(actions: Sequence[Action], fault: str) -> float:
    """Expected cost of trying the actions in an order drawn at random, exactly.

    Give every action a time drawn evenly from 0 to 1. An action at time t is reached when no
    other, each earlier with chance t, has cured: the product of (1 - t q) over the others. Its
    mean over t is an integral of a polynomial.
    """
    chances = [chance_of_cure(a, {fault: 1.0}) for a in actions]
    total = 0.0
    for index, action in enumerate(actions):
        reached = [1.0]  # coefficients of t
        for other, q in enumerate(chances):
            if other != index and q > 0.0:
                reached = [
                    a - q * b for a, b in zip([*reached, 0.0], [0.0, *reached], strict=True)
                ]
        total += action.cost * math.fsum(c / (power + 1) for power, c in enumerate(reached))
    return total
