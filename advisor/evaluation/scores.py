"""Scores of forecasts whose truth is known. Pure arithmetic; nothing here knows of drinks.

Brier GW 1950, *Monthly Weather Review* 78:1; Good IJ 1952, *J. R. Stat. Soc. B* 14:107 (the
logarithmic score); Wilson EB 1927, *J. Am. Stat. Assoc.* 22:209 (the interval of a share, the
one that Newcombe RG 1998, *Statistics in Medicine* 17:857 recommends); Murphy AH 1973,
*J. Appl. Meteorol.* 12:595 with the terms for forecasts that differ within a bin by
Stephenson DB, Coelho CAS, Jolliffe IT 2008, *Weather and Forecasting* 23:752.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.reasoning.ledger import brier

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

__all__ = [
    "Bin",
    "Parts",
    "Share",
    "brier",
    "brier_of_all",
    "calibration_error",
    "log_score",
    "log_score_of",
    "murphy",
    "quantile",
    "reliability",
    "share",
    "wilson",
]

_Z95 = 1.959963984540054  # the standard normal's 97.5 % point
# A forecast of exactly 0 or 1 is scored as this far from it: what floats and rounding leave.
_SURE = 1e-9
_OFF = 0.10  # a bin is flagged from this far off ...
_FILLED = 20  # ... when it holds this many forecasts


@dataclass(frozen=True, slots=True)
class Share:
    """How many of how many, with the 95 % interval of the share; no share of none."""

    right: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float | None:
        return self.right / self.of if self.of else None


def wilson(right: int, of: int, z: float = _Z95) -> tuple[float, float]:
    """Wilson's interval of a share, without continuity correction; (0, 1) of none.

    Raises ``ValueError`` unless 0 <= right <= of.
    """
    if not 0 <= right <= of:
        raise ValueError(f"right = {right} of {of}: must lie between 0 and {of}")
    if of == 0:
        return 0.0, 1.0
    p, z2 = right / of, z * z
    middle = p + z2 / (2 * of)
    half = z * math.sqrt(p * (1 - p) / of + z2 / (4 * of * of))
    whole = 1 + z2 / of
    low = 0.0 if right == 0 else (middle - half) / whole
    high = 1.0 if right == of else (middle + half) / whole
    return low, high


def share(happened: Collection[bool]) -> Share:
    """The share of what happened, with Wilson's 95 % interval."""
    right = sum(happened)
    return Share(right, len(happened), *wilson(right, len(happened)))


def log_score_of(probability: float) -> float:
    """Surprise at something that happened and had this probability, in nats (0 is perfect)."""
    return -math.log(min(1.0, max(_SURE, probability)))


def log_score(chances: Sequence[float], happened: Sequence[bool | int]) -> float:
    """Mean surprise at yes-or-no forecasts, in nats; a forecast of 0 or 1 counts as 1e-9 off it."""
    pairs = list(zip(chances, happened, strict=True))
    return math.fsum(log_score_of(p if y else 1.0 - p) for p, y in pairs) / len(pairs)


def brier_of_all(standing: Mapping[str, float], true: Collection[str]) -> float:
    """Brier's score of a whole ranking: 0 is perfect, 2 is certain of something wrong.

    The sum over all causes of (probability - truth) squared, as Brier (1950) defines it for
    more than two outcomes. Causes that all count as right are taken as one outcome, with the
    sum of their probabilities.
    """
    together = math.fsum(p for cause, p in standing.items() if cause in true)
    others = math.fsum(p * p for cause, p in standing.items() if cause not in true)
    return (1.0 - together) ** 2 + others


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts of a like probability: how many, what they said, and how often they were right."""

    low: float
    high: float
    n: int
    said: float | None  # mean probability
    was: float | None  # share that was right

    @property
    def off(self) -> bool:
        """Whether a filled bin is more than ten points off."""
        return (
            self.n >= _FILLED
            and self.said is not None
            and self.was is not None
            and abs(self.said - self.was) > _OFF
        )


def _binned(
    chances: Sequence[float], happened: Sequence[bool | int], bins: int
) -> list[list[tuple[float, int]]]:
    found: list[list[tuple[float, int]]] = [[] for _ in range(bins)]
    for p, y in zip(chances, happened, strict=True):
        if not 0.0 <= p <= 1.0:
            raise ValueError(f"probability {p}: must lie between 0 and 1")
        found[min(bins - 1, int(p * bins))].append((p, int(y)))
    return found


def reliability(
    chances: Sequence[float], happened: Sequence[bool | int], bins: int = 10
) -> tuple[Bin, ...]:
    """Forecasts in bins of equal width, each from its lower edge to below its upper one."""
    return tuple(
        Bin(
            i / bins,
            (i + 1) / bins,
            len(held),
            math.fsum(p for p, _ in held) / len(held) if held else None,
            sum(y for _, y in held) / len(held) if held else None,
        )
        for i, held in enumerate(_binned(chances, happened, bins))
    )


def calibration_error(table: Sequence[Bin]) -> float | None:
    """Mean distance between what bins said and what was, each bin by its number of forecasts."""
    filled = [(b.n, abs(b.said - b.was)) for b in table if b.said is not None and b.was is not None]
    whole = sum(n for n, _ in filled)
    return math.fsum(n * gap for n, gap in filled) / whole if whole else None


@dataclass(frozen=True, slots=True)
class Parts:
    """Brier's score taken apart: reliability - resolution + uncertainty + within."""

    reliability: float  # how far bins are off; small is good
    resolution: float  # how far bins differ from the overall share; large is good
    uncertainty: float  # of the cases themselves
    within: float  # of forecasts that differ within their bin


def murphy(chances: Sequence[float], happened: Sequence[bool | int], bins: int = 10) -> Parts:
    """Brier's score in its parts; they add up to ``brier`` exactly."""
    binned = [held for held in _binned(chances, happened, bins) if held]
    n = len(chances)
    overall = sum(int(y) for y in happened) / n
    off = apart = within = 0.0
    for held in binned:
        size = len(held)
        said = math.fsum(p for p, _ in held) / size
        was = sum(y for _, y in held) / size
        off += size * (said - was) ** 2
        apart += size * (was - overall) ** 2
        within += math.fsum((p - said) ** 2 - 2.0 * (y - was) * (p - said) for p, y in held)
    return Parts(off / n, apart / n, overall * (1.0 - overall), within / n)


def quantile(numbers: Sequence[float], part: float) -> float | None:
    """The least number that at least this part of them does not exceed; ``None`` of none."""
    if not numbers:
        return None
    return sorted(numbers)[max(0, math.ceil(part * len(numbers)) - 1)]
