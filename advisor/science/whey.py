"""Dosing whey for body: how much, what it does to strength and acidity, and when it hazes.

Volumes in mL, strength in %vol at 20 degC, protein and acid in g/L. Whey is milk
for every allergen rule; see ``labels``. Mixing keeps ethanol, acid and protein
exactly; the volume follows from ``mixing``.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from advisor.science._guard import bounded, within
from advisor.science._interval import cut
from advisor.science.estimate import Category, Estimate, propagate
from advisor.science.mixing import Part, mix

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "WHEYS",
    "Dosed",
    "Whey",
    "after_dose",
    "dose_for_protein",
    "dose_for_share",
    "foam_remarks",
    "haze_risk",
    "lactose_solubility",
    "share",
    "whey",
]


class Whey(NamedTuple):
    """One whey: g per litre and pH; ``inert`` is the share of its volume that is solids."""

    name: str
    protein: Estimate
    lactose: float
    acid: Estimate
    ph: Estimate
    calcium_mg: float
    inert: float
    source: str
    mark: str


_ACID_SOURCE = (
    "USDA 01112 (protein recalled); acidity as lactic acid and pH from a dairy-ingredient text"
)
_SWEET_SOURCE = "USDA 01114 (recalled); acidity and pH from a dairy-ingredient text"

WHEYS: Mapping[str, Whey] = {
    "acid-whey": Whey(
        "whey from acid curd or strained yoghurt",
        Estimate(7.7, 6.5, 8.5, "g/L"),
        52.0,
        Estimate(4.0, 3.5, 4.5, "g/L"),
        Estimate(4.5, 4.3, 4.8, "pH"),
        1050.0,
        0.04,
        _ACID_SOURCE,
        "seen",
    ),
    "sweet-whey": Whey(
        "whey from rennet cheese",
        Estimate(8.6, 7.0, 9.5, "g/L"),
        52.0,
        Estimate(1.25, 1.0, 1.5, "g/L"),
        Estimate(6.2, 5.9, 6.6, "pH"),
        480.0,
        0.04,
        _SWEET_SOURCE,
        "memory",
    ),
}
"""Per litre at 1.024 kg/L. Acid whey holds about twice the calcium of sweet whey."""


class Dosed(NamedTuple):
    """The drink once whey is in: volume (mL), strength (%vol), acid, protein, lactose (g/L)."""

    volume: float
    strength: float
    acid: Estimate
    protein: Estimate
    lactose: float


def whey(kind: str) -> Whey:
    """One whey by its word; ``ValueError`` with the known words when there is none."""
    try:
        return WHEYS[kind]
    except KeyError:
        raise ValueError(f"whey_kind must be one of {', '.join(WHEYS)}; got {kind!r}") from None


def share(whey_ml: float, drink_ml: float) -> float:
    """Whey as % of drink plus whey."""
    within("whey_ml", whey_ml, 0.0, 1e9, "mL")
    within("drink_ml", drink_ml, 1e-9, 1e9, "mL")
    return 100.0 * whey_ml / (whey_ml + drink_ml)


def dose_for_share(drink_ml: float, percent: float) -> float:
    """Whey (mL) that makes up ``percent`` of drink plus whey (0 up to 95 %)."""
    within("drink_ml", drink_ml, 0.0, 1e9, "mL")
    within("share", percent, 0.0, 95.0, "%")
    return drink_ml * percent / (100.0 - percent)


def dose_for_protein(drink_ml: float, kind: str, wanted: float) -> Estimate:
    """Whey (mL) for ``wanted`` g protein per litre of the mixture.

    ``ValueError`` when that is not well below what the whey itself holds.
    """
    within("drink_ml", drink_ml, 0.0, 1e9, "mL")
    protein = whey(kind).protein
    if not 0 <= wanted <= 0.9 * protein.low:
        raise ValueError(
            f"wanted protein is {wanted:g} g/L; it must lie between 0 and "
            f"{0.9 * protein.low:.1f} g/L, because {kind} itself holds only about "
            f"{protein.value:g} g/L"
        )
    return cut(propagate(lambda p: drink_ml * wanted / (p - wanted), {"p": protein}, unit="mL"))


def after_dose(
    drink_ml: float, strength: float, drink_acid: float, whey_ml: float, kind: str
) -> Dosed:
    """The drink after ``whey_ml`` of whey; ``drink_acid`` in g/L (any one acid, kept as given).

    The whey's own acid is counted as lactic acid in g/L. It does not replace
    citrus one for one: lactic acid has one acid group where citric has three.
    """
    within("drink_acid", drink_acid, 0.0, 200.0, "g/L")
    within("drink_ml", drink_ml, 1e-9, 1e9, "mL")
    data = whey(kind)
    mixed = mix((Part(drink_ml, strength), Part(whey_ml, inert=data.inert)))
    volume = mixed.volume

    def per_litre(own: float, dosed: float) -> float:
        return (own * drink_ml + dosed * whey_ml) / volume

    return Dosed(
        volume,
        mixed.strength,
        propagate(lambda a: per_litre(drink_acid, a), {"a": data.acid}, unit="g/L"),
        propagate(lambda p: per_litre(0.0, p), {"p": data.protein}, unit="g/L"),
        per_litre(0.0, data.lactose),
    )


_CLEAR, _DEPENDS, _TURBID, _ZONE_ENDS = 3.6, 3.8, 4.0, 5.2


def haze_risk(ph: Estimate | float, *, tannin: bool = False) -> Category:
    """Will whey protein haze this drink: ``low``, ``possible`` or ``high``.

    Up to pH 3.6 whey drinks stay essentially clear, from 3.8 it depends on the
    ingredient, and at 4.0 with salts they are much more turbid (LaClair & Etzel
    2009, doi:10.1111/j.1750-3841.2009.01400.x); 4.0 to 5.2 is the haze zone (rule
    of thumb for its width). Tannin haze peaks near 4 (Siebert & Lynn 2000), so with
    ``tannin`` the high zone begins at 3.6, but whey proteins are proline-poor and
    haze weakly. Certainty falls when the pH interval crosses a limit.
    """
    given = bounded("ph", ph, 1.0, 10.0, "pH")
    if not isinstance(given, Estimate):
        return Category(_haze(given, tannin), 0.8)
    word = _haze(given.value, tannin)
    same = sum(_haze(end, tannin) == word for end in (given.low, given.high))
    return Category(word, (0.5, 0.65, 0.8)[same])


def _haze(ph: float, tannin: bool) -> str:
    if ph <= _CLEAR:
        return "low"
    start = _CLEAR if tannin else _TURBID
    return "high" if start <= ph <= _ZONE_ENDS else "possible"


def foam_remarks(ph: float, whey_share: float, strength: float) -> tuple[str, ...]:
    """What to expect of the foam of a shaken drink; common practice, no source.

    ``whey_share`` in % of the drink, ``strength`` in %vol.
    """
    within("ph", ph, 1.0, 10.0, "pH")
    within("whey_share", whey_share, 0.0, 100.0, "%")
    within("strength", strength, 0.0, 100.0, "%vol")
    said = []
    if whey_share < 15:
        said.append("Below about 15 % whey the foam is thin; 25 to 30 % is usual.")
    elif whey_share > 50:
        said.append("Above half whey the drink turns thin and sweet-salty before it foams better.")
    else:
        said.append("This much whey gives a fine foam when shaken hard.")
    if strength > 25:
        said.append("Above about 25 %vol alcohol breaks the foam within minutes.")
    if 4.0 <= ph <= _ZONE_ENDS:
        said.append("Near pH 4.6 the foam is firm, but the drink under it may haze.")
    said.append("Foaming fades with storage: use the drink within 5 to 7 days, cold.")
    return tuple(said)


_LACTOSE_SPREAD = 2.0  # g/100 g: the fit explains 80 % of the scatter (judgement)


def lactose_solubility(ethanol_mass_percent: float, temperature: float = 25.0) -> Estimate:
    """Lactose that stays dissolved, g per 100 g.

    11.85 - 0.29 E + 0.25 T (R2 0.80; unit from memory: check before relying on it).
    Refused below 20 mass % ethanol, where it is poor, and where it would fall below
    zero. Source: Weston et al. 2004, Chemeca.
    """
    within("ethanol", ethanol_mass_percent, 20.0, 60.0, "% by mass")
    within("temperature", temperature, 0.0, 40.0, "degC")
    value = 11.85 - 0.29 * ethanol_mass_percent + 0.25 * temperature
    if value <= 0 or not math.isfinite(value):
        raise ValueError(
            f"the lactose equation gives nothing above 0 at {ethanol_mass_percent:g} % by mass "
            f"and {temperature:g} degC: outside its range"
        )
    return Estimate(value, max(0.0, value - _LACTOSE_SPREAD), value + _LACTOSE_SPREAD, "g/100 g")
