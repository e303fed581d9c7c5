"""From the mix on its curd to what runs into the bottle: clarity along the run, time, yield.

The curd bed is the real filter (published practice): cloth passes fines, paper rated 10-20 um
passes most, an undisturbed bed holds them. Flow is Darcy's law with a bed whose resistance
grows as grains shrink (Kozeny-Carman) and a paper that mash or jelly can close. Anchors: two to
three hours for the litre, 61-82 % of the mix in the bottle. Shares passed are judgement.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science.milks import milk

if TYPE_CHECKING:
    from advisor.simulator.base import Base
    from advisor.simulator.making import Making
    from advisor.simulator.wash import Wash

__all__ = ["Run", "fat_carried", "gathered", "strain", "viscosity"]

_BARE = {"metal-sieve": 1.0, "cloth": 0.7, "paper": 0.22, "cloth-then-paper": 0.16,
         "centrifuge": 0.03}  # fmt: skip
_BED = {"metal-sieve": 0.35, "cloth": 0.02, "paper": 0.008, "cloth-then-paper": 0.006,
        "centrifuge": 0.5}  # fmt: skip
_USUAL_HOURS = 2.4
# Share of a haze that a whole curd (5 g casein per litre of mix) takes along, at most.
_GATHERED = {"pulp": 0.96, "pectin": 0.9, "oil": 0.55, "starch": 0.55, "gum": 0.08, "cocoa": 0.8,
             "nut_milk": 0.55, "honey": 0.5, "egg": 0.3, "gelatin": 0.1,
             "wine_protein": 0.25}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Run:
    """The run through the filter.

    ``glasses`` are the mg/L of curd fines in the first, middle and last part; ``fines`` their mean
    as collected; ``hours`` the whole run, ``usual_hours`` what a person expects for that volume.
    """

    glasses: tuple[float, float, float]
    fines: float
    hours: float
    usual_hours: float
    warm_gain: float  # how many times faster a warm spoonful would run
    blocked_by: str  # bed, mash, jelly, small, dry, cold, syrup
    out_ml: float
    possible_ml: float  # what would have come with time and no losses
    held_ml: float
    evaporated: float  # share of the liquid
    weeps: float  # mL still to be had per 100 mL of curd liquid
    trial_hours: float
    trial_usual: float


def gathered(kind: str, wash: Wash) -> float:
    """Share of a haze that the curd takes along: more curd, more of it; dust gathers less."""
    if wash.casein <= 0.0:
        return 0.0
    curd = wash.casein * wash.formed * min(1.0, wash.body_of_curd + 0.15)
    return _GATHERED.get(kind, 0.0) * (1.0 - math.exp(-((curd / 2.6) ** 2)))


def viscosity(
    temperature: float, sugar: float, strength: float, pectin: float, gum: float
) -> float:
    """Against the ordinary drink at 17 degC; water and spirit thicken in the cold."""
    cold = math.exp(-(0.030 + 0.0007 * min(40.0, strength)) * (temperature - 17.0))
    thick = 1.0 + (sugar / 210.0) ** 2.6
    return float(cold * thick * (1.0 + pectin / 900.0 + gum / 500.0))


def strain(made: Making, base: Base, wash: Wash) -> Run:
    """Run the mix through the filter."""
    how = made.straining
    late = 0.35 if how.bed_handling != "left-alone" or how.ran_dry else 0.0
    glasses = _glasses(made, wash)
    first = 0.0 if how.forerun_returned else 0.10
    fines = first * glasses[0] + (0.9 - late) * glasses[1] + (0.1 - first + late) * glasses[2]
    if how.forerun_returned and wash.casein > 0.0:
        glasses = (glasses[1], glasses[1], glasses[2])
    hours, gain, by = _flow(made, base, wash, 1.0)
    small, _, _ = _flow(made, base, wash, how.batch_factor)
    litres = max(0.2, wash.mix_ml / 1000.0)
    usual = _USUAL_HOURS * litres**0.35
    trial = _USUAL_HOURS * max(0.2, litres / how.batch_factor) ** 0.35
    out, possible, held, weeps, gone = _yield(made, wash, hours)
    return Run(
        glasses, fines, hours, usual, gain, by, out, possible, held, gone, weeps, small, trial
    )


def _glasses(made: Making, wash: Wash) -> tuple[float, float, float]:
    how = made.straining
    kind = how.filter_kind
    bare, bed = _BARE[kind], _BED[kind]
    if wash.body_of_curd < 0.15:
        bed = max(bed, 0.5 * bare)  # no curd, no bed
    bed += 0.25 * min(1.0, made.milk.turned if made.milk else 0.0) * bare
    # A bed that forms from dust lets dust through for longer.
    dusty = min(1.0, wash.fines / 4000.0)
    loose = wash.fines + 220.0 * (wash.casein > 0.0)  # rubbing and pressing break grains
    wide = kind == "metal-sieve" or how.open_weave
    if wide:  # holes of half a millimetre pass broken grains as well, and no bed closes over them
        bed = max(bed, 0.35)
    steady = (bed + 0.12 * dusty * bare) * (loose if wide else wash.fines)
    first = bare * max(wash.fines, 700.0 if wash.casein else 0.0)
    last = steady
    if how.bed_handling == "squeezed-or-moved":
        last = loose * bare * 0.75
    elif how.bed_handling == "cloth-changed":
        last = loose * bare * 0.55
    if how.ran_dry:
        last = max(last, loose * bare * 0.45)
    keep = 0.55 ** (how.passes - 1)
    return first * keep, steady * keep, last * keep


def _flow(made: Making, base: Base, wash: Wash, smaller: float) -> tuple[float, float, str]:
    """Hours for the run, gain on warming, and what holds it up. ``smaller`` for a small trial."""
    how = made.straining
    drink = made.drink
    volume = wash.mix_ml / smaller
    area = how.area / smaller**0.9  # a small trial has a filter to match
    if smaller > 1.0 and how.trial_area:
        area = how.trial_area
    share = wash.milk_share
    sugar = base.sugar * (1.0 - share) if drink.sugar_before else 0.0
    pectin = drink.pectin * (1.0 - gathered("pectin", wash))
    gum = drink.gum
    mu = viscosity(how.temperature, sugar, wash.strength, pectin, gum)
    depth = (wash.solids / smaller) * 4.5 / area  # cm of wet curd; 1-2 is meant to be
    grain = max(5.0, 10.0**wash.grain)
    # Kozeny-Carman has the square of the grain; beds of soft grains clog less: power 0.75.
    bed = (depth / 0.75) * (600.0 / grain) ** 0.75 * (1.0 + 1.5 * wash.softness)
    paper = {"metal-sieve": 0.1, "cloth": 0.35, "paper": 1.3, "cloth-then-paper": 1.0,
             "centrifuge": 0.05}[how.filter_kind]  # fmt: skip
    causes = {"bed": 0.55 * bed, "paper": 0.45 * paper}
    papered = how.filter_kind in ("paper", "cloth-then-paper")
    if how.curd_first and how.filter_kind == "paper":
        causes["mash"] = 6.0
    if papered and not how.paper_rinsed:
        causes["dry"] = 0.25
    if papered and how.paper_old:
        causes["dry"] = 1.6
    solids = pectin / 140.0 + drink.starch / 180.0 + gum / 90.0 + 0.12 * drink.pulp
    causes["jelly"] = solids * (1.0 if papered else 0.5)
    causes["silt"] = drink.cocoa * (1.0 - gathered("cocoa", wash)) / 350.0
    total = sum(causes.values())
    pace = area / (400.0 * (volume / 1000.0) ** 0.8) if volume else 1.0
    hours = 0.95 * _USUAL_HOURS * (volume / 1000.0) ** 0.35 * mu * total / max(0.02, pace)
    if how.filter_kind == "centrifuge":
        hours = 0.4
    warm = viscosity(max(28.0, how.temperature), sugar, wash.strength, pectin, gum)
    by = max(causes, key=lambda name: causes[name])
    if mu > 1.55 and max(causes.values()) < 2.0:
        by = "syrup" if sugar > 200.0 else "cold"
    elif pace < 0.45 and total < 3.0:
        by = "small"
    return hours, mu / warm, by


def _yield(made: Making, wash: Wash, hours: float) -> tuple[float, float, float, float, float]:
    """mL out, mL that were to be had, mL held by curd, how it weeps, share evaporated."""
    how = made.straining
    if made.milk is None:
        out = wash.mix_ml * (0.985 - 0.008 * how.papers)
        gone = _evaporation(how.covered, hours)
        return out * (1.0 - gone), wash.mix_ml * 0.97, 0.0, 0.0, gone
    curd = wash.solids / (1.0 - wash.moisture / 100.0)
    # Six recipes lose 11 % of the mix and 0.64 of the milk, three times what the
    # curd's own moisture explains.
    final = 2.9 * curd * wash.moisture / 100.0
    slow = 1.6 + 2.5 * wash.softness + 1.2 * max(0.0, 2.2 - wash.grain)
    wet = 1.15 * math.exp(-how.drain_h / slow)
    if how.bed_handling == "squeezed-or-moved":
        wet *= 0.2
    held = final * (1.0 + wet)
    vessels = 0.055 * wash.mix_ml + 10.0 + 12.0 * how.papers
    if how.curd_first and how.filter_kind == "paper":
        held += 0.05 * wash.mix_ml
    gone = _evaporation(how.covered, hours)
    soaked = made.drink.solids_soak
    out = max(0.03 * wash.mix_ml, (wash.mix_ml - held - vessels - soaked) * (1.0 - gone))
    return out, wash.mix_ml * 0.785, held + soaked, wet, gone


def _evaporation(covered: bool, hours: float) -> float:
    """Share lost into the air: half a per cent an hour from an open funnel (judgement)."""
    return 1.0 - math.exp(-min(30.0, hours) * (0.0006 if covered else 0.005))


def fat_carried(made: Making, wash: Wash) -> float:
    """mg/L of milk fat that passes the curd.

    Whey of direct-acid cheese holds 0.1-0.4 % fat; a bed and paper hold all but some per mille
    of it. Homogenised globules are small and slip by more; warm liquid fat too (judgement).
    """
    used = made.milk
    if used is None:
        return 0.0
    item = milk(used.kind)
    fat = item.fat * item.density * 10.0 * wash.milk_share * 1000.0  # mg/L of mix
    slip = 0.00022 * (2.2 if item.homogenised else 0.7)
    slip *= 1.0 + max(0.0, (wash.temperature - 24.0) / 9.0) + 1.6 * used.frozen
    slip *= 3.0 if made.straining.bed_handling == "squeezed-or-moved" else 1.0
    slip *= {"metal-sieve": 5.0, "cloth": 2.0}.get(made.straining.filter_kind, 1.0)
    if item.fat > 10.0:
        slip *= 1.5
    return fat * slip * (1.0 + 8.0 * (1.0 - wash.formed))
