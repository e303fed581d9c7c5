"""How much tannin, bitterness and colour a curd takes, and how to wash more than once.

Casein binds polyphenols in a reversible, saturable way. Each class of polyphenol
has an affinity ``k`` (litre per gram of casein, the mass-action constant divided
by the molar mass of casein) and all classes share one capacity (gram bound per
gram of casein). What is bound leaves with the curd. A casein dose far above the
fining rates of the wine trade sits near the plateau: more milk then mostly
dilutes. Nothing here can raise a concentration: removal lies in [0, 1).

Fat level does not enter: it had no effect on catechin recovery (van der
Burg-Koorevaar et al. 2011, doi:10.1021/jf2015232).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from advisor.science._interval import cut
from advisor.science.estimate import Estimate, propagate
from advisor.science.polyphenols import BASES, CLASSES, SENSES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = [
    "LEGAL_LIMIT",
    "bound_shares",
    "casein_rate",
    "fit_trials",
    "milk_share_for",
    "milk_share_for_sense",
    "multistage_left",
    "rate_word",
    "removal",
    "repeated_left",
    "sense_removal",
]

LEGAL_LIMIT = 26.0
"""g casein/hL in 10 L of milk per 1000 L, the most US law lets a wine take (27 CFR 24.246)."""

_CAPACITY = Estimate(0.10, 0.05, 0.30, "g/g")
"""Polyphenol held per g of casein at saturation: judgement, wide on purpose."""

_NO_ROOM = 1e-12  # g/L that could be bound at most: too little to divide by, and nothing in a glass

_WEAKENING = Estimate(1.0, 0.0, 2.0)
"""Decades of affinity lost from water to pure ethanol: only the direction is known (judgement)."""

_LARGEST = 0.999
_MOST_MILK = 2 / 3


def _positive(name: str, value: float, unit: str, *, zero: bool = False) -> float:
    if not math.isfinite(value) or value < 0 or (value == 0 and not zero):
        need = "0 or more" if zero else "above 0"
        raise ValueError(f"{name} must be {need} {unit}, got {value}")
    return float(value)


def _strength(value: float) -> float:
    if not 0 <= value <= 100:
        raise ValueError(f"strength must lie from 0 to 100 %vol, got {value}")
    return float(value)


def bound_shares(
    amounts: Mapping[str, float],
    affinities: Mapping[str, float],
    casein: float,
    capacity: float = _CAPACITY.value,
) -> dict[str, float]:
    """Share of each class that is on the casein at rest, all classes competing for room.

    ``amounts`` and ``casein`` in g/L of the mixture, ``affinities`` in L/g,
    ``capacity`` in g/g. Competitive Langmuir balance: the free part of the
    capacity is the one root of a monotone equation.
    """
    _positive("casein", casein, "g/L", zero=True)
    _positive("capacity", capacity, "g/g")
    for name, amount in amounts.items():
        _positive(f"amount of {name}", amount, "g/L", zero=True)
        _positive(f"affinity of {name}", affinities[name], "L/g", zero=True)
    room = capacity * casein
    if room < _NO_ROOM:
        return dict.fromkeys(amounts, 0.0)

    # The balance rises and bends down in the free share, so Newton from 0 climbs to
    # the root without ever passing it.
    pulls = [(amount, affinities[n] * casein) for n, amount in amounts.items()]
    free = 0.0
    for _ in range(60):
        held = slope = 0.0
        for amount, pull in pulls:
            spread = 1 + pull * free
            held += amount * pull * free / spread
            slope += amount * pull / (spread * spread)
        step = (1 - free - held / room) / (1 + slope / room)
        free += step
        if step < 1e-13:
            break
    free = min(1.0, free)
    return {n: (x := affinities[n] * casein * free) / (1 + x) for n in amounts}


def removal(
    affinity: Estimate | float,
    casein: Estimate | float,
    *,
    strength: float = 0.0,
    in_curd: Estimate | float = 1.0,
) -> Estimate:
    """Share of a dilute polyphenol that leaves with the curd: 0 up to but not reaching 1.

    ``casein`` in g per litre of the mixture, ``affinity`` in L/g, ``strength``
    of the mixture in %vol, ``in_curd`` the share of the casein that really
    curdled. Ethanol weakens the hold; only that direction is known, so the
    interval starts at no weakening. Dilution by the milk is not counted.
    """
    _strength(strength)
    inputs = {"k": affinity, "casein": casein, "in_curd": in_curd, "weaker": _WEAKENING}

    def formula(k: float, casein: float, in_curd: float, weaker: float) -> float:
        x = max(0.0, k) * max(0.0, casein) * 10 ** (-weaker * strength / 100)
        return min(1.0, max(0.0, in_curd)) * x / (1 + x)

    return cut(propagate(formula, inputs), 0.0, _LARGEST)


def sense_removal(
    base: str,
    sense: str,
    milk_share: float,
    *,
    casein_per_litre: Estimate | float = 26.0,
    strength: float = 0.0,
    in_curd: Estimate | float = 1.0,
) -> Estimate:
    """Share of the tannin, bitterness or colour of ``base`` that the curd takes.

    ``milk_share`` is milk as a share of drink plus milk (0 to 2/3),
    ``casein_per_litre`` of the milk in g/L, ``strength`` of the mixture in %vol.
    ``sense`` may also name one class of ``CLASSES``. The interval covers the
    affinities, the capacity, the casein and the effect of ethanol.
    """
    if base not in BASES:
        raise ValueError(f"base must be one of {', '.join(BASES)}, got {base!r}")
    if sense not in SENSES and sense not in BASES[base]:
        raise ValueError(
            f"sense must be one of {', '.join(SENSES)} or a class found in {base}, got {sense!r}"
        )
    if not 0 <= milk_share <= _MOST_MILK:
        raise ValueError(f"milk_share must lie from 0 to {_MOST_MILK:.2f}, got {milk_share}")
    _strength(strength)
    amounts = {n: g * (1 - milk_share) for n, g in BASES[base].items()}
    weights = SENSES.get(sense, {sense: 1.0})
    counted = {n: g * weights[n] for n, g in amounts.items() if weights.get(n)}
    if not counted:
        raise ValueError(f"{base} has no {sense} to speak of")

    # One pull for all affinities: the methods behind them err together.
    def formula(
        pull: float, casein: float, capacity: float, weaker: float, in_curd: float
    ) -> float:
        factor = 10 ** (-weaker * strength / 100)
        k = {n: _at(CLASSES[n].k, pull) * factor for n in amounts}
        shares = bound_shares(amounts, k, max(0.0, casein) * milk_share, capacity)
        taken = math.fsum(shares[n] * w for n, w in counted.items()) / math.fsum(counted.values())
        return taken * min(1.0, max(0.0, in_curd))

    inputs: dict[str, Estimate | float] = {
        "pull": Estimate(0.0, -1.0, 1.0),
        "casein": casein_per_litre,
        "capacity": _CAPACITY,
        "weaker": _WEAKENING if strength else 0.0,
        "in_curd": in_curd,
    }
    return cut(propagate(formula, inputs), 0.0, _LARGEST)


def _at(k: Estimate, pull: float) -> float:
    """Affinity at ``pull`` -1 (low end) over 0 (value) to 1 (high end)."""
    end = k.high if pull > 0 else k.low
    return k.value + abs(pull) * (end - k.value)


def casein_rate(milk_ml: float, drink_ml: float, casein_per_litre: float = 26.0) -> float:
    """Casein dose in g per hectolitre of drink, the wine trade's unit for fining."""
    _positive("milk_ml", milk_ml, "mL", zero=True)
    _positive("drink_ml", drink_ml, "mL")
    _positive("casein_per_litre", casein_per_litre, "g/L", zero=True)
    return milk_ml / drink_ml * casein_per_litre * 100


def rate_word(rate: float) -> str:
    """The casein dose in words: trace, fining, strong-fining, beyond-fining or full-wash.

    5-50 and 50-100 g/hL are fining practice (a UK guide ends at 50, another chart
    at 100); a wash of one part milk to four of drink is 650 g/hL and near the plateau.
    """
    _positive("rate", rate, "g/hL", zero=True)
    for limit, word in ((5, "trace"), (50, "fining"), (100, "strong-fining")):
        if rate < limit:
            return word
    return "beyond-fining" if rate < 400 else "full-wash"


def multistage_left(k: float, v1: float, v2: float, n: int = 1) -> float:
    """Share left in ``v1`` after ``n`` contacts with ``v2`` each, at distribution ratio ``k``.

    q = (V1/(V1 + K V2))^n. Source: IUPAC Gold Book F02503 (Pure Appl. Chem. 65 (1993) 2373).
    """
    _positive("k", k, "(no unit)", zero=True)
    _positive("v1", v1, "mL")
    _positive("v2", v2, "mL", zero=True)
    if isinstance(n, bool) or not isinstance(n, int) or n < 1:
        raise ValueError(f"n must be a whole number of at least 1, got {n!r}")
    return math.exp(-n * math.log1p(k * v2 / v1))


def repeated_left(
    affinity: float, drink_ml: float, milk_ml: float, passes: int, casein_per_litre: float = 26.0
) -> float:
    """Share left after the same total milk is given in ``passes`` equal washes.

    Each wash meets the drink plus the liquid of the washes before it. Splitting
    never leaves more than one wash of the whole; it costs more filtering and aroma.
    """
    _positive("affinity", affinity, "L/g", zero=True)
    _positive("drink_ml", drink_ml, "mL")
    _positive("milk_ml", milk_ml, "mL", zero=True)
    if isinstance(passes, bool) or not isinstance(passes, int) or passes < 1:
        raise ValueError(f"passes must be a whole number of at least 1, got {passes!r}")
    each = milk_ml / passes
    left = 1.0
    for done in range(passes):
        volume = drink_ml + each * (done + 1)
        left /= 1 + affinity * casein_per_litre * each / volume
    return left


def milk_share_for(
    reduction: float,
    affinity: Estimate | float,
    *,
    casein_per_litre: Estimate | float = 26.0,
    strength: float = 0.0,
) -> Estimate:
    """Milk as a share of drink plus milk for a wanted removal of a dilute polyphenol.

    ``reduction`` between 0 and 1. Raises ``ValueError`` when even two parts of
    milk to one of drink would not do; an end of the interval beyond that is cut there.
    """
    if not 0 < reduction < 1:
        raise ValueError(f"reduction must lie between 0 and 1, got {reduction}")
    _strength(strength)

    def formula(k: float, casein: float, weaker: float) -> float:
        pull = max(k, 0.0) * max(casein, 0.0) * 10 ** (-weaker * strength / 100)
        if pull * _MOST_MILK * (1 - reduction) <= reduction:
            return _MOST_MILK
        return reduction / (1 - reduction) / pull

    result = propagate(
        formula,
        {
            "k": affinity,
            "casein": casein_per_litre,
            "weaker": _WEAKENING if strength else 0.0,
        },
        unit="",
    )
    if result.value >= _MOST_MILK:
        raise ValueError(
            f"a reduction of {reduction:.0%} is out of reach of one wash; "
            "wash twice or lower the aim"
        )
    # A quadrature sum may pass the ends that the single moves respect.
    lowest = reduction / (1 - reduction) / 100
    low = min(result.value, max(result.low, min(lowest, result.value)))
    return Estimate(result.value, low, min(result.high, _MOST_MILK))


def milk_share_for_sense(
    base: str,
    sense: str,
    reduction: float,
    *,
    casein_per_litre: Estimate | float = 26.0,
    drink_strength: float = 0.0,
    in_curd: Estimate | float = 1.0,
) -> Estimate:
    """Milk as a share of drink plus milk that takes ``reduction`` of a sense out of ``base``.

    As ``milk_share_for`` with the competition of ``sense_removal``; the milk thins
    the strength of the mixture and so helps itself. ``drink_strength`` in %vol.
    """
    if not 0 < reduction < 1:
        raise ValueError(f"reduction must lie between 0 and 1, got {reduction}")

    def taken(share: float) -> Estimate:
        return sense_removal(
            base,
            sense,
            share,
            casein_per_litre=casein_per_litre,
            strength=drink_strength * (1 - share),
            in_curd=in_curd,
        )

    def share_where(end: str) -> float:
        low, high = 0.0, _MOST_MILK
        if getattr(taken(high), end) <= reduction:
            return _MOST_MILK
        for _ in range(14):
            middle = (low + high) / 2
            if getattr(taken(middle), end) < reduction:
                low = middle
            else:
                high = middle
        return (low + high) / 2

    value = share_where("value")
    if value >= _MOST_MILK:
        raise ValueError(
            f"a reduction of {reduction:.0%} is out of reach of one wash; "
            "wash twice or lower the aim"
        )
    return Estimate(value, min(value, share_where("high")), max(value, share_where("low")))


_T_TABLE = {1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 6: 2.447, 7: 2.365, 8: 2.306}


def fit_trials(
    trials: Sequence[tuple[float, float]], *, casein_per_litre: float = 26.0
) -> Estimate:
    """Affinity (L/g) behind the user's own trial washes, with a 95 % interval.

    Each trial is (milk share of drink plus milk, share of the taste or colour
    that remained, dilution taken out). One trial gives a wide interval (a factor
    of three each way, judgement); more give Student's interval on log k.
    """
    if not trials:
        raise ValueError("trials must hold at least one (milk share, share left) pair, got none")
    _positive("casein_per_litre", casein_per_litre, "g/L")
    logs = []
    for share, left in trials:
        if not 0 < share <= _MOST_MILK:
            raise ValueError(f"milk share must lie above 0 up to {_MOST_MILK:.2f}, got {share}")
        if not 0 < left < 1:
            raise ValueError(f"share left must lie between 0 and 1, got {left}")
        logs.append(math.log((1 / left - 1) / (casein_per_litre * share)))
    n = len(logs)
    mean = math.fsum(logs) / n
    if n == 1:
        half = math.log(3)
    else:
        deviation = math.sqrt(math.fsum((x - mean) ** 2 for x in logs) / (n - 1))
        # Tasters cannot agree better than about 10 %, however well three numbers match.
        half = max(0.10, _T_TABLE.get(n - 1, 2.262) * deviation / math.sqrt(n))
    return Estimate(math.exp(mean), math.exp(mean - half), math.exp(mean + half), "L/g")
