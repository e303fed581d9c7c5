"""The curves that answers are fitted to: how much of the whole effect a dose brings, 0 to 1."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.science import partition, strip
from advisor.science.estimate import Estimate
from advisor.science.milks import milk

if TYPE_CHECKING:
    from collections.abc import Callable

    from advisor.technique.trial.dials import Sense
    from advisor.technique.trial.model import Base

__all__ = ["Curve", "curve_for"]

_POINTS = 81
_WIDE_K = Estimate(0.25, 0.02, 3.0, "L/g")
_RUN_UP = Estimate(4.0, 0.4, 40.0, "h")
_TYPICAL_SHARE = 0.2


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve with one unknown.

    ``share(dose, unknown)`` is the part of the whole effect at ``dose`` (in the dial's unit);
    ``dose(share, unknown)`` turns it round. ``prior`` holds what is believed before anybody
    tastes (95 %), ``grid`` the values that are tried, both in ``unit``. A line has no unknown:
    its prior is exact and its share may pass 1.
    """

    id: str
    title: str
    unknown: str
    unit: str
    formula: str
    source: str
    prior: Estimate
    grid: tuple[float, ...] = field(repr=False)
    share: Callable[[float, float], float] = field(repr=False)
    dose: Callable[[float, float], float] = field(repr=False)

    def log_prior(self, unknown: float) -> float:
        """Log of the prior density over log values, up to a constant: two half bells."""
        if self.prior.low == self.prior.high:
            return 0.0
        away = math.log(unknown / self.prior.value)
        end = self.prior.high if away > 0 else self.prior.low
        spread = abs(math.log(end / self.prior.value)) / 1.96
        return -0.5 * (away / spread) ** 2


def _grid(prior: Estimate) -> tuple[float, ...]:
    """Even steps of the logarithm, a little beyond the prior's ends."""
    low, high = math.log(prior.low) - 1.0, math.log(prior.high) + 1.0
    step = (high - low) / (_POINTS - 1)
    return tuple(math.exp(low + i * step) for i in range(_POINTS))


def _sharing(x: float) -> float:
    return x / (1.0 + x)


def _odds(share: float) -> float:
    return share / (1.0 - share) if share < 1.0 else math.inf


def curve_for(base: Base, sense: Sense, dial: str) -> Curve | str:
    """The curve of a dial for a sense in a base, or why there is none."""
    from advisor.technique.trial.dials import DIALS

    shape = DIALS[dial].shape
    if shape == "strip":
        return _strip(base, sense)
    if shape == "share-out":
        return _share_out(base)
    if shape == "run-up":
        return Curve(
            "run-up", "approach to rest", "time constant", "h",
            "share = 1 - exp(-time / constant)",
            "first-order exchange (judgement; no constants are published for fat washes)",
            _RUN_UP, _grid(_RUN_UP),
            lambda hours, constant: -math.expm1(-hours / constant),
            lambda share, constant: -constant * math.log1p(-share) if share < 1.0 else math.inf,
        )  # fmt: skip
    if shape == "line":
        one = Estimate(1.0, 1.0, 1.0)
        return Curve(
            "line", "in proportion", "none", "", "effect = slope x share",
            "protein, sugar and salts of the whey add in proportion",
            one, (1.0,), lambda dose, _: dose / 100.0, lambda share, _: 100.0 * share,
        )  # fmt: skip
    return (
        f"no curve is known for {dial.replace('-', ' ')}: it may rise and fall again, so a formula "
        "would only pretend"
    )


def _strip(base: Base, sense: Sense) -> Curve | str:
    if not sense.tannin_sense:
        return f"the strip model knows astringency, bitterness and colour, not {sense.title}"
    item = milk(base.milk_kind)
    casein = item.casein * item.density * 10.0  # g per litre
    if casein <= 0.0:
        return f"{item.title} has no casein, so the strip model does not hold"
    prior = _affinity(base, sense.tannin_sense, casein)
    return Curve(
        "strip", "binding to casein", "affinity", "L/g",
        "share taken = k x casein / (1 + k x casein), casein in g per litre of drink and milk",
        "mass action on casein: Hasni et al., Food Chem. 126 (2011) 630 (attribution from memory)",
        prior, _grid(prior),
        lambda percent, k: _sharing(k * casein * percent / 100.0),
        lambda share, k: 100.0 * _odds(share) / (k * casein),
    )  # fmt: skip


def _affinity(base: Base, sense: str, casein: float) -> Estimate:
    """What the strip model believes of this base; a wide guess where it is not told."""
    if not base.kind:
        return _WIDE_K
    mixed = (base.strength or 0.0) * (1.0 - _TYPICAL_SHARE)
    try:
        taken = strip.sense_removal(
            base.kind, sense, _TYPICAL_SHARE, casein_per_litre=casein, strength=mixed
        )
    except ValueError:
        return _WIDE_K
    low, value, high = (
        _odds(max(0.01, end)) / (casein * _TYPICAL_SHARE)
        for end in (taken.low, taken.value, taken.high)
    )
    # Tasters' scores are not grams of tannin: the belief is never narrower than a factor of 3.
    return Estimate(value, min(low, value / 3.0), max(high, value * 3.0), "L/g")


def _share_out(base: Base) -> Curve:
    strength = 40.0 if base.strength is None else base.strength
    constants = sorted(
        partition.constant_for(name, strength).value for name in partition.COMPOUNDS
    )
    middle = constants[len(constants) // 2]
    prior = Estimate(
        middle, min(constants[1], middle / 10.0), max(constants[-2], middle * 10.0)
    )
    return Curve(
        "share-out", "shared out between fat and spirit", "partition constant", "",
        "share of the most that the fat can give = K r / (1 + K r), r = fat over spirit by volume",
        "partition at rest: Chiou 2002; ethanol term after Li & Yalkowsky, Ind. Eng. Chem. Res. 37 "
        "(1998) 4470; spread over the listed aromas",
        prior, _grid(prior),
        lambda percent, k: _sharing(k * percent / 100.0),
        lambda share, k: 100.0 * _odds(share) / k,
    )  # fmt: skip
