"""Will it curdle, and what leaves with the curd.

pH is on the water scale (see ``milk_buffer``). Limits at 20 degC: complete near 4.6 (Zoller
1921), first flakes below 5.2 (Indian Council of Agricultural Research course); both rise with
heat, and soy protein lets go near 5.5.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from advisor.science._guard import within
from advisor.science.estimate import Category, Estimate
from advisor.science.milk_buffer import coagulation_ph
from advisor.science.milks import GOAT_CLOT, Milk, milk

__all__ = ["OUTCOMES", "Verdict", "ethanol_clot_chance", "haze_zone", "onset_ph", "will_curdle"]

OUTCOMES = ("full", "partial", "none", "ethanol-clot")
_STILL_FULL = 0.1  # 4.6 to 4.7 is quoted as the casein's own point, "full at 4.6-4.8" in practice
_ONSET_ABOVE = 0.6  # 5.2 - 4.6
_ONSET_CAP = 5.8
_ONSET_PER_STRENGTH = 0.02  # pH per %vol: direction Huppertz 2022 (0-10 %vol); size is judgement
_SUREST = 0.97  # milk and drinks hold surprises that no pH tells
_RULE_SD = 0.1  # the +-0.2 of the temperature rule
_SHARES: dict[str, tuple[tuple[float, float], ...]] = {
    # Share that clots by ethanol in the mix (%vol): half the strength of the classical test.
    "cow": ((33.0, 0.02), (38.0, 0.25), (41.0, 0.6), (42.0, 0.95), (46.0, 0.99)),
    "goat": (
        (18.0, 0.0),
        (22.5, 0.11),
        (25.0, 0.528),
        (27.5, 0.81),
        (30.0, 0.968),
        (35.0, 0.996),
    ),
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to expect: the outcome, its certainty, the two pH limits, the reasons in words."""

    outcome: Category
    full_below: float
    onset_below: float
    reasons: tuple[str, ...]


def onset_ph(temperature: float, kind: str = "whole", strength: float = 0.0) -> float:
    """pH below which the first flakes are expected."""
    within("strength", strength, 0.0, 100.0, "%vol")
    full = coagulation_ph(temperature, kind)
    onset = full + _ONSET_ABOVE + (0.1 if milk(kind).curd == "soy" else 0.0)
    cap = max(_ONSET_CAP, full + 0.3)
    return min(6.3, min(onset, cap) + _ONSET_PER_STRENGTH * min(strength, 40.0))


def ethanol_clot_chance(kind: str, strength: float) -> float:
    """Chance (0 to 1) that unacidified milk clots on ``strength`` %vol in the mix alone.

    Cow: Davies & White 1958, threshold 40-42 for bulk milk, 33-45 for single animals. Goat:
    shares of 1295 samples, Kim et al. 2013. 0 for drinks without casein.
    """
    within("strength", strength, 0.0, 100.0, "%vol")
    limits = milk(kind).clot
    if limits is None:
        return 0.0
    points = _SHARES["goat" if limits == GOAT_CLOT else "cow"]
    if strength <= points[0][0]:
        return 0.0
    if strength >= points[-1][0]:
        return points[-1][1]
    i = bisect_right(points, (strength,))
    (x0, y0), (x1, y1) = points[i - 1], points[i]
    return y0 + (strength - x0) * (y1 - y0) / (x1 - x0)


def _below(limit: float, ph: Estimate) -> float:
    sd = math.hypot((ph.high - ph.low) / 3.92, _RULE_SD)
    return 0.5 * (1.0 + math.erf((limit - ph.value) / (sd * math.sqrt(2.0))))


def _no_curd(item: Milk) -> Verdict | None:
    if item.curd != "no":
        return None
    return Verdict(
        Category("none", 0.85),
        0.0,
        0.0,
        (f"{item.title} has no casein: it filters rather than washes; some write-ups disagree",),
    )


def will_curdle(
    ph: Estimate | float, kind: str = "whole", *, strength: float = 0.0, temperature: float = 20.0
) -> Verdict:
    """Expected outcome of a mix of that pH, %vol and temperature (degC).

    ``full``, ``partial``, ``none`` or ``ethanol-clot``; its certainty counts the interval of
    the pH and the +-0.2 pH of the rule.
    """
    item = milk(kind)
    given = ph if isinstance(ph, Estimate) else Estimate(ph, ph, ph, "pH")
    within("pH", given.value, -1.0, 12.0, "pH")
    full_below = coagulation_ph(temperature, kind)
    onset = onset_ph(temperature, kind, strength)
    plant = _no_curd(item)
    if plant is not None:
        return plant
    full = _below(full_below + _STILL_FULL, given)
    some = max(full, _below(onset, given))
    chances = {"full": full, "partial": some - full, "none": 1.0 - some, "ethanol-clot": 0.0}
    reasons = []
    if given.value <= full_below + _STILL_FULL:
        reasons.append(f"pH {given.value:.1f} is at or below the {full_below:.1f} of a full split")
    elif given.value <= onset:
        reasons.append(
            f"pH {given.value:.1f} lies between the full split ({full_below:.1f}) "
            f"and the first flakes ({onset:.1f})"
        )
    else:
        reasons.append(f"pH {given.value:.1f} is above the first flakes ({onset:.1f})")
    if chances["none"] > 0.0:
        reasons += _alcohol_alone(kind, strength, temperature, chances)
    if item.curd == "weak":
        reasons.append(f"{item.title} has little casein: expect a weak curd")
        chances["partial"] += 0.4 * chances["full"]
        chances["full"] *= 0.6
    if temperature < 8.0 and chances["none"] < 0.5:
        reasons.append("below 8 degC the clot may not show until the mix is warmed")
    if item.heated and item.casein:
        reasons.append("heat-treated milk: finer, sandier curd that drains slowly")
    if given.value < 3.0 and item.curd != "soy":
        reasons.append("below about pH 3 casein starts to dissolve again; sharp drinks still split")
    name = max(chances, key=lambda word: chances[word])
    return Verdict(
        Category(name, min(_SUREST, max(0.5, chances[name]))), full_below, onset, tuple(reasons)
    )


def _alcohol_alone(
    kind: str, strength: float, temperature: float, chances: dict[str, float]
) -> list[str]:
    """Move chance from none to ethanol-clot, unless heat lets alcohol dissolve the casein."""
    if temperature > 30.0 and strength >= 30.0:
        return ["hot, strong and not acid: casein dissolves in warm alcohol and clouds again cold"]
    clots = ethanol_clot_chance(kind, strength)
    if clots <= 0.0:
        return []
    chances["ethanol-clot"] = chances["none"] * clots
    chances["none"] *= 1.0 - clots
    word = "will probably" if clots >= 0.5 else "may"
    return [f"{strength:.0f} %vol in the mix {word} clot this milk without acid"]


def haze_zone(ph: float) -> Category:
    """Whether dissolved whey protein is likely to cloud: ``clear``, ``depends`` or ``risk``.

    3.6 or below essentially clear, 3.8 and above depends, much more turbid at 4.0 with salt
    (LaClair & Etzel 2009, doi:10.1111/j.1750-3841.2009.01400.x); 4.0 to 5.2 is the risk zone.
    """
    within("pH", ph, 0.0, 14.0, "pH")
    if ph <= 3.6:
        return Category("clear", 0.9)
    if 4.0 <= ph <= 5.2:
        return Category("risk", 0.8)
    return Category("depends", 0.6)
