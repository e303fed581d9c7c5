"""Weights added up into the standing of each cause.

Evidence is weighed in decibans, 10 log10 of the likelihood ratio (Good IJ 1950,
*Probability and the Weighing of Evidence*). Standing is the prior plus the sum,
normalised over all causes and the reserved one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

__all__ = [
    "Entry",
    "brier",
    "entropy_bits",
    "expected_gain",
    "log_loss",
    "probability_words",
    "standings",
    "strongest_of_groups",
    "to_decibans",
    "to_probability",
]

_WORDS = (
    (0.97, "almost certain"),
    (0.85, "very likely"),
    (0.65, "likely"),
    (0.45, "more likely than anything else"),
    (0.20, "possible"),
    (0.05, "unlikely"),
    (0.0, "very unlikely"),
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One signed weight in the ledger of a cause.

    ``full`` is the weight as the base gives it, ``weight`` what counts after the
    uncertainty of what it rests on; ``counted`` is false when a stronger entry of the
    same group speaks for it.
    """

    cause: str
    line: str
    group: str
    full: float
    weight: float
    counted: bool = True


def to_decibans(probability: float) -> float:
    """The odds of a probability (0 < p < 1) in decibans."""
    return 10.0 * math.log10(probability / (1.0 - probability))


def to_probability(weight: float) -> float:
    """The probability whose odds are ``weight`` decibans."""
    return 1.0 / (1.0 + float(10.0 ** (-weight / 10.0)))


def strongest_of_groups(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Mark the entries that count: of one cause and group only the strongest.

    An entry without a group always counts. Ties go to the first. What an entry said of itself
    before does not matter.
    """
    listed = list(entries)
    best: dict[tuple[str, str], int] = {}
    for index, entry in enumerate(listed):
        if not entry.group:
            continue
        key = (entry.cause, entry.group)
        held = best.get(key)
        if held is None:
            best[key] = index
        elif abs(entry.weight) > abs(listed[held].weight):
            listed[held] = _marked(listed[held], counted=False)
            best[key] = index
        else:
            listed[index] = _marked(entry, counted=False)
    for index in best.values():
        listed[index] = _marked(listed[index], counted=True)
    return tuple(listed)


def _marked(entry: Entry, *, counted: bool) -> Entry:
    if entry.counted == counted:
        return entry
    return Entry(entry.cause, entry.line, entry.group, entry.full, entry.weight, counted)


def standings(priors: Mapping[str, float], sums: Mapping[str, float]) -> dict[str, float]:
    """Normalised probabilities from priors and summed weights, both in decibans."""
    total = {cause: prior + sums.get(cause, 0.0) for cause, prior in priors.items()}
    if not total:
        return {}
    top = max(total.values())
    odds = {cause: 10.0 ** ((value - top) / 10.0) for cause, value in total.items()}
    whole = math.fsum(odds.values())
    return {cause: value / whole for cause, value in odds.items()}


def entropy_bits(chances: Iterable[float]) -> float:
    """Shannon entropy of a distribution, in bits."""
    return -math.fsum(p * math.log2(p) for p in chances if p > 0.0)


def expected_gain(
    prior: Mapping[str, float], likelihood: Mapping[str, Mapping[str, float]]
) -> float:
    """Information that an answer is expected to bring about the cause, in bits.

    ``likelihood[cause][answer]`` sums to one over the answers for every cause.
    """
    answers: dict[str, list[float]] = {}
    for cause, chance in prior.items():
        for answer, given in likelihood[cause].items():
            answers.setdefault(answer, []).append(chance * given)
    before = entropy_bits(prior.values())
    after = 0.0
    for joint in answers.values():
        whole = math.fsum(joint)
        if whole > 0.0:
            after += whole * entropy_bits(p / whole for p in joint)
    return max(0.0, before - after)


def probability_words(probability: float) -> str:
    """A probability in words."""
    return next(word for floor, word in _WORDS if probability >= floor)


def brier(chances: Iterable[float], happened: Iterable[bool | int]) -> float:
    """Mean squared distance between forecasts and what happened (0 is perfect)."""
    pairs = list(zip(chances, happened, strict=True))
    return math.fsum((p - int(y)) ** 2 for p, y in pairs) / len(pairs)


def log_loss(chances: Iterable[float], happened: Iterable[bool | int]) -> float:
    """Mean negative log likelihood, in nats."""
    pairs = list(zip(chances, happened, strict=True))
    return -math.fsum(math.log(p if y else 1.0 - p) for p, y in pairs) / len(pairs)
