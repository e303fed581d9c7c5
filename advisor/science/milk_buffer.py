"""Milk as a buffer: hydrogen ions taken up between its natural pH and any other.

The groups are carboxyls, histidine and phosphoserine of the proteins, phosphate
and citrate of the serum, and colloidal phosphate, which dissolves on the way down and is
spent near pH 4.9. Their conditional pKa are set so that the sum meets what is published:

* skim milk from 6.7 to 4.6: 53 mmol H+/L, from the glucono-delta-lactone dose that
  takes it there (12 % of solids-not-fat; J. Dairy Sci. 1960); 45 to 60 accepted;
* largest slope 33 mmol/L per pH (Indian National Dairy Research Institute), near
  pH 5.0-5.1 (Lucey, Gorry & Fox 1993, *Milchwissenschaft* 48:438).

No full published curve was found: between the anchors the shape is judgement, +-15 %.

pH here is on the water scale: as if any alcohol in the mix were water. Ethanol
moves the carboxyl groups of the milk and of the acid together, so the balance between
them, and with it the curd, is judged on that scale; what a strip shows lies higher
(``strip_bias``).
"""

from __future__ import annotations

from functools import lru_cache

from advisor.science._guard import within
from advisor.science.acids import (
    LACTIC,
    Acidulant,
    acidulant,
)
from advisor.science.equilibrium import (
    Equilibrium,
    HillSite,
    Sites,
    WeakAcid,
    protons_released,
    solve_ph,
)
from advisor.science.estimate import Estimate
from advisor.science.milk_salts import millimolar, serum_millimolar
from advisor.science.milks import milk

__all__ = [
    "COAGULATION_CAP",
    "IONIC_STRENGTH",
    "STRIP_BIAS",
    "citric_less_salts",
    "coagulation_ph",
    "demand",
    "demand_value",
    "dose_to_ph",
    "heat_release",
    "hot_citric_dose",
    "milk_sites",
    "mix_ph",
    "slope",
    "strip_bias",
    "supply",
]

IONIC_STRENGTH = 0.08  # mol/L; Fox & McSweeney 1998, p. 254
COAGULATION_CAP = 5.4
STRIP_BIAS = Estimate(0.010, 0.006, 0.014, "pH/%vol")
_SKIM_PROTEIN, _SKIM_WATER = 3.4, 90.8
_HEAT_RELEASE = 0.127e-3  # mol/L per degC above 20, from the hot-milk dose; see heat_release

# mol/L of skim milk, conditional pKa.
_PROTEIN = ((10e-3, 3.6), (16e-3, 4.3), (13.2e-3, 4.9), (7e-3, 6.6), (9e-3, 6.2))
_CITRATE = millimolar("citrate") / 1000.0
_SERUM = (
    (serum_millimolar("phosphate") / 1000.0, 6.8),
    (_CITRATE, 5.7),
    (_CITRATE, 4.35),
    (_CITRATE, 2.9),
)
_COLLOIDAL = (HillSite(6e-3, 5.8, 1.2), HillSite(7e-3, 5.12, 2.6))
_PLANT_SALTS = 0.3  # serum salts of a plant drink against milk (judgement)


@lru_cache(maxsize=128)
def milk_sites(kind: str) -> Sites:
    """The buffer groups of one milk (``milks.MILKS``), per litre, referred to its natural pH."""
    item = milk(kind)
    protein = item.protein / _SKIM_PROTEIN * item.density / 1.035
    serum = item.water / _SKIM_WATER * item.density / 1.035
    steep: tuple[HillSite, ...] = ()
    if item.casein > 0.0:
        steep = tuple(HillSite(s.amount * protein, s.pk, s.steepness) for s in _COLLOIDAL)
    else:
        serum *= _PLANT_SALTS
    simple = [(n * protein, 10.0**-pk) for n, pk in _PROTEIN]
    simple += [(n * serum, 10.0**-pk) for n, pk in _SERUM]
    if item.sour:
        simple.append((item.sour / 1000.0, 10.0 ** -(LACTIC.pkas[0] - 0.1)))
    bare = Sites(tuple(simple), steep)
    return Sites(bare.simple, bare.steep, bare.bound(item.ph))


def heat_release(temperature: float, casein_milk: bool = True) -> float:
    """Hydrogen ions (mol/L milk) that hot milk sets free as calcium phosphate leaves the serum.

    Straight line from 0 at 20 degC to 7 mmol/L at 75, held from 80: set so that 2.0-2.5 g
    citric monohydrate per kg reaches pH 5.3-5.4 (Chandan & Kilara 2011, p. 299).
    """
    if not casein_milk:
        return 0.0
    return _HEAT_RELEASE * min(60.0, max(0.0, temperature - 20.0))


def demand_value(kind: str, ph: float, temperature: float = 20.0) -> float:
    """Hydrogen ions (mmol per litre of milk) from natural pH down to ``ph``; negative above it."""
    within("pH", ph, 1.5, 9.0, "pH")
    within("temperature", temperature, -5.0, 100.0, "degC")
    released = heat_release(temperature, milk(kind).casein > 0.0)
    return 1000.0 * (milk_sites(kind).bound(ph) - released)


def demand(kind: str, ph: float, temperature: float = 20.0) -> Estimate:
    """As ``demand_value`` with its interval: the milk's own spread and 2 mmol/L."""
    value = demand_value(kind, ph, temperature)
    half = ((milk(kind).spread * value) ** 2 + 4.0) ** 0.5
    return Estimate(value, value - half, value + half, "mmol/L")


def slope(kind: str, ph: float) -> float:
    """Buffer index (mmol H+ per litre and pH) of a milk at ``ph``, 20 degC."""
    return (demand_value(kind, ph - 0.005) - demand_value(kind, ph + 0.005)) / 0.01


def coagulation_ph(temperature: float, kind: str = "whole") -> float:
    """pH (water scale) at which the split is complete: 4.6 + 0.014 (T - 20), at most 5.4; +-0.2.

    Held at 4.6 below 20 degC: cold delays the clot, it does not forbid it. Soy protein lets
    go near 5.5. Source: a line through 4.6 at 20 degC (Zoller 1921) and 5.3-5.5 at 70-82
    (paneer and queso blanco practice).
    """
    within("temperature", temperature, -5.0, 100.0, "degC")
    if milk(kind).curd == "soy":
        return 5.5
    return min(COAGULATION_CAP, 4.6 + 0.014 * max(0.0, temperature - 20.0))


def hot_citric_dose() -> Estimate:
    """Citric acid, monohydrate, g per kg of milk at 70-82 degC (Chandan & Kilara 2011, +-25 %)."""
    return Estimate(2.25, 1.7, 2.8, "g/kg")


def strip_bias(strength: float) -> Estimate:
    """How much higher a strip or meter reads because of ``strength`` %vol in the mix.

    0.010 pH per %vol, 0.006 to 0.014: a carboxyl group's pKa moves 0.014 per %vol (Prenesti et
    al. 2012); a well buffered mix shows all of it, an acid alone half.
    """
    within("strength", strength, 0.0, 60.0, "%vol")
    per = STRIP_BIAS
    return Estimate(per.value * strength, per.low * strength, per.high * strength, "pH")


def supply(item: Acidulant, amount: float, ph: float) -> float:
    """Hydrogen ions (mmol) that ``amount`` (g or mL) gives up at ``ph``, less its own cations."""
    return amount * _supply_per_unit(item.id, ph) * 1000.0


def citric_less_salts(id: str, amount: float) -> float:
    """Grams of citric acid that give milk as many hydrogen ions at pH 4.6, salts counted.

    What a wine or juice has free for the milk: its potassium has taken up some of its acid.
    """
    return supply(acidulant(id), amount, 4.6) / supply(acidulant("citric"), 1.0, 4.6)


@lru_cache(maxsize=2048)
def _supply_per_unit(id: str, ph: float) -> float:
    item = acidulant(id)
    return (
        sum(per * protons_released(acid, ph, IONIC_STRENGTH) for acid, per in item.acids)
        - item.cation
    )


def mix_ph(
    drink: float,
    milk_volume: float,
    kind: str,
    doses: tuple[tuple[str, float], ...],
    *,
    temperature: float = 20.0,
    scale: float = 1.0,
    strength: float = 0.0,
    guess: float = 4.6,
    tolerance: float = 1e-7,
) -> Equilibrium:
    """pH of ``drink`` mL with ``milk_volume`` mL of milk and ``doses`` of (acid id, g or mL).

    A liquid's volume is already part of ``drink``. ``scale`` multiplies the milk's buffering, as
    fitted by ``titration``. With ``strength`` 0 the pH is on the water scale; with the strength
    of the mix it is what an electrode would show. Contraction is left out (under 1 %).
    """
    within("drink", drink, 0.0, 1e9, "mL")
    within("milk", milk_volume, 0.0, 1e9, "mL")
    total = drink + milk_volume
    if total <= 0.0:
        raise ValueError("drink and milk are both 0 mL; there is nothing to mix")
    acids: list[tuple[WeakAcid, float]] = []
    cation = 0.0
    for name, amount in doses:
        item = acidulant(name)
        acids += [(acid, 1000.0 * per * amount / total) for acid, per in item.acids]
        cation += 1000.0 * item.cation * amount / total
    share = milk_volume / total
    item_ = milk(kind)
    cation -= share * heat_release(temperature, item_.casein > 0.0)
    return solve_ph(
        acids,
        cation,
        strength=min(strength, 50.0),
        sites=_shifted(kind, strength) if strength else milk_sites(kind),
        share=share * scale,
        background=IONIC_STRENGTH * share,
        guess=guess,
        tolerance=tolerance,
    )


@lru_cache(maxsize=512)
def _shifted(kind: str, strength: float) -> Sites:
    """The milk's groups in ethanol: every pKa up by 0.014 per %vol, natural state unchanged."""
    plain = milk_sites(kind)
    shift = 0.17 / 12.0 * min(strength, 50.0)
    return Sites(
        tuple((n, k * 10.0**-shift) for n, k in plain.simple),
        tuple(HillSite(s.amount, s.pk + shift, s.steepness) for s in plain.steep),
        plain.reference,
    )


def dose_to_ph(
    kind: str, id: str, ph: float, *, temperature: float = 20.0, scale: float = 1.0
) -> float:
    """Grams (or mL) of an acid per litre of milk to reach ``ph``; 0 when it is there already.

    ``ValueError`` when that acid cannot reach it.
    """
    within("pH", ph, 2.0, 9.0, "pH")
    per = _supply_per_unit(acidulant(id).id, ph)
    need = scale * milk_sites(kind).bound(ph) - heat_release(temperature, milk(kind).casein > 0.0)
    if need <= 0.0:
        return 0.0
    if per <= 0.0:
        raise ValueError(f"acid kind is {id!r}; it cannot bring milk to pH {ph:g}")
    return need / per
