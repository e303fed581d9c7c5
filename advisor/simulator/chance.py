"""Chance that can be repeated: every draw hangs on a seed and a name, never on what ran before.

A check that is done twice must see the same batch with fresh noise, and asking one question
more must not change the answer to another. So each finding has a stream of its own.
"""

from __future__ import annotations

import math
from random import Random
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["Chance", "blurred", "normal_share", "pick"]

_T = TypeVar("_T")


class Chance:
    """The noise of one look at one thing; seeded by its name, and only when it is needed.

    ``level`` scales every spread and every slip: below 1 a careful person, above 1 a
    careless one.
    """

    __slots__ = ("_name", "_random", "level")

    def __init__(self, seed: int, name: str, attempt: int = 0, level: float = 1.0) -> None:
        self._name = f"{seed}:{name}:{attempt}"
        self._random: Random | None = None
        self.level = level

    def _source(self) -> Random:
        if self._random is None:
            # Text seeds go through SHA-512, so they are the same in every Python and process.
            self._random = Random(self._name)  # noqa: S311 (a simulation, not a secret)
        return self._random

    def normal(self, deviation: float) -> float:
        """A normal deviate of that deviation, scaled by ``level``."""
        return self._source().gauss(0.0, deviation * self.level)

    def slips(self, probability: float) -> bool:
        """Whether a slip of that probability happens, scaled by ``level``."""
        return self._source().random() < probability * self.level

    def other(self, choices: Sequence[_T]) -> _T:
        """One of ``choices``, all alike."""
        return self._source().choice(choices)

    def seen(self, amount: float, threshold: float, spread: float = 0.25) -> bool:
        """Whether ``amount`` is noticed: a threshold with a log-normal spread between people."""
        if amount <= 0.0:
            return False
        return amount * math.exp(self.normal(spread)) > threshold


def pick(random: Random, weights: Mapping[_T, float]) -> _T:
    """One key, with chances in proportion to its weight."""
    keys = list(weights)
    return random.choices(keys, [weights[key] for key in keys])[0]


def blurred(random: Random, value: float, share: float) -> float:
    """``value`` with a log-normal spread of ``share``, held within three deviations."""
    return value * math.exp(max(-3.0, min(3.0, random.gauss(0.0, 1.0))) * share)


def normal_share(z: float) -> float:
    """Share of a normal distribution below ``z``."""
    return 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))
