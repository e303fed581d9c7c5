"""Which way flavour moves between a fat and a spirit, and how much of it.

The octanol-water constant stands in for liquid fat and ethanol weakens it:

    log K(fat/spirit) = log Kow - f (N + M log Kow),  f = volume share of ethanol

(form: Li & Yalkowsky, Ind. Eng. Chem. Res. 37 (1998) 4470; the ethanol
coefficients M 0.95 and N 0.30 are from memory: check before relying on them). For
non-polar compounds in liquid triglyceride K is close to Kow (Chiou 2002, p. 77);
for short alcohols in milk fat about one decade less, and less again in solid fat
(Berg & Rankin, J. Agric. Food Chem. 53 (2005) 2646). Read the results as upper bounds.

Sign: ethanol lowers K only for compounds with log Kow above about -0.32. For
diacetyl it raises it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from advisor.science._guard import within
from advisor.science.estimate import Estimate, propagate
from advisor.science.strip import multistage_left

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "COMPOUNDS",
    "Compound",
    "Shared",
    "constant",
    "constant_for",
    "exchange",
    "fat_for_removal",
    "fat_for_transfer",
    "left_in_spirit",
    "share_in_fat",
    "share_in_fat_for",
]

_M = Estimate(0.95, 0.85, 1.05)
_N = Estimate(0.30, 0.10, 0.50)


class Compound(NamedTuple):
    """An aroma compound: log Kow, its half interval, where it is met, source and mark."""

    log_kow: float
    half: float
    met_in: str
    source: str
    mark: str


COMPOUNDS: Mapping[str, Compound] = {
    "diacetyl": Compound(-1.34, 0.5, "butter", "HSDB/EPI listing", "seen"),
    "butyric-acid": Compound(0.79, 0.5, "old butter, cheese", "Hansch; Sangster", "memory"),
    "delta-decalactone": Compound(2.4, 0.5, "cream, coconut", "estimate", "memory"),
    "2-acetylpyrazine": Compound(0.2, 0.5, "roast nuts, toast", "recalled", "memory"),
    "vanillin": Compound(1.21, 0.5, "oak, vanilla", "Hansch 1995", "memory"),
    "furaneol": Compound(0.8, 0.5, "caramel, brown butter", "estimate", "memory"),
    "linalool": Compound(2.97, 0.5, "citrus, coriander", "PubChem (2020), as cited", "seen"),
    "limonene": Compound(4.57, 1.0, "citrus peel", "PubChem (2020), as cited", "seen"),
    "alpha-pinene": Compound(4.4, 1.0, "juniper, pine", "PubChem (2020), as cited", "seen"),
    "eugenol": Compound(2.27, 0.5, "clove, oak", "recalled (2.49 elsewhere)", "memory"),
    "caffeine": Compound(-0.07, 0.5, "coffee, tea", "Hansch", "memory"),
    "acetaldehyde": Compound(0.45, 0.8, "fresh apple, spirit heads", "CRC Handbook, 5", "seen"),
    "acetic-acid": Compound(-0.17, 0.5, "vinegar", "CRC Handbook, 5", "seen"),
}
"""Values carry +-0.5 at least and +-1 above 4 (dossiers differ by more than that)."""


class Shared(NamedTuple):
    """Amounts at rest and what the spirit then holds per litre; units follow the input."""

    in_fat: float
    in_spirit: float
    per_litre_spirit: float


def constant(
    log_kow: float, strength: float, *, milk_fat: float = 0.0, m: float = 0.95, n: float = 0.30
) -> float:
    """K(fat/spirit) by volume at ``strength`` %vol; ``milk_fat`` decades are taken off (0 to 1)."""
    within("log_kow", log_kow, -6.0, 10.0, "")
    within("strength", strength, 0.0, 100.0, "%vol")
    within("milk_fat", milk_fat, 0.0, 2.0, "")
    return float(10 ** (log_kow - milk_fat - strength / 100 * (n + m * log_kow)))


def constant_for(compound: str, strength: float, *, milk_fat: bool = False) -> Estimate:
    """K(fat/spirit) of a listed compound with the interval of log Kow and of the ethanol term."""
    data = _compound(compound)
    shift = Estimate(0.5, 0.0, 1.0) if milk_fat and data.log_kow < 3 else Estimate(0, 0, 0)
    logs = propagate(
        lambda kow, m, n, shift: math.log10(constant(kow, strength, milk_fat=shift, m=m, n=n)),
        {
            "kow": Estimate(data.log_kow, data.log_kow - data.half, data.log_kow + data.half),
            "m": _M,
            "n": _N,
            "shift": shift,
        },
    )
    return Estimate(10**logs.value, 10**logs.low, 10**logs.high)


def _compound(name: str) -> Compound:
    try:
        return COMPOUNDS[name]
    except KeyError:
        raise ValueError(f"compound must be one of {', '.join(COMPOUNDS)}; got {name!r}") from None


def _volumes(k: float, fat_ml: float, spirit_ml: float) -> None:
    within("k", k, 0.0, 1e12, "")
    within("fat_ml", fat_ml, 0.0, 1e9, "mL")
    within("spirit_ml", spirit_ml, 1e-9, 1e9, "mL")


def share_in_fat(k: float, fat_ml: float, spirit_ml: float) -> float:
    """Share of a compound that is in the fat at rest: K Vo/(K Vo + Vs), 0 to 1."""
    _volumes(k, fat_ml, spirit_ml)
    return k * fat_ml / (k * fat_ml + spirit_ml)


def share_in_fat_for(compound: str, strength: float, fat_ml: float, spirit_ml: float) -> Estimate:
    """As ``share_in_fat`` for a listed compound, with its interval."""
    k = constant_for(compound, strength)
    low, value, high = (share_in_fat(x, fat_ml, spirit_ml) for x in (k.low, k.value, k.high))
    return Estimate(value, low, high)


def exchange(
    amount_in_fat: float, amount_in_spirit: float, k: float, fat_ml: float, spirit_ml: float
) -> Shared:
    """Where a compound ends up, whichever side it began on; nothing is made or lost."""
    _volumes(k, fat_ml, spirit_ml)
    within("amount_in_fat", amount_in_fat, 0.0, 1e12, "")
    within("amount_in_spirit", amount_in_spirit, 0.0, 1e12, "")
    total = amount_in_fat + amount_in_spirit
    in_spirit = total * (spirit_ml / (k * fat_ml + spirit_ml))
    return Shared(total - in_spirit, in_spirit, in_spirit / spirit_ml * 1000)


def left_in_spirit(k: float, fat_ml: float, spirit_ml: float, portions: int = 1) -> float:
    """Share left in the spirit when the fat is used in ``portions`` equal fresh lots.

    The same fat in more lots strips more, never less.
    """
    _volumes(k, fat_ml, spirit_ml)
    if isinstance(portions, bool) or not isinstance(portions, int) or portions < 1:
        raise ValueError(f"portions must be a whole number of at least 1, got {portions!r}")
    return multistage_left(k, spirit_ml, fat_ml / portions, portions)


def fat_for_removal(k: float, spirit_ml: float, removed: float) -> float:
    """Fat (mL) that takes the share ``removed`` (0 to 1, ends excluded) out of the spirit."""
    _volumes(k, 0.0, spirit_ml)
    if not 0 < removed < 1 or k == 0:
        raise ValueError(f"removed must lie between 0 and 1 and k above 0, got {removed} and {k}")
    return removed / (1 - removed) * spirit_ml / k


def fat_for_transfer(k: float, spirit_ml: float, reached: float) -> float:
    """Fat (mL) that brings the spirit to the share ``reached`` of the most that fat can give.

    However much fat is used, the spirit never holds more per litre than the fat's own
    content divided by K; the first fat counts most. ``reached`` 0 to 1, ends excluded.
    """
    return fat_for_removal(k, spirit_ml, reached)
