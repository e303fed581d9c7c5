"""What to make of each sample and what to pour: quantities, strength, alcohol, cautions.

All samples are brought to the strength of the weakest with water, so that tasters judge the
treatment and not the dilution. Volumes are added plainly; contraction is below 1 % (OIML R 22).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.science import batch_acid, curd, serving
from advisor.science.curd_yield import curd_moisture, drink_yield, liquid_held
from advisor.science.fat import fat_volume, water_brought
from advisor.science.fats import FATS
from advisor.science.labels import labels, milk_ingredient
from advisor.science.wording import Caution
from advisor.technique.trial.dials import DIALS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.technique.trial.model import Base, Sample, Trial

__all__ = ["SITTING", "Pour", "Preparation", "preparation", "title_of"]

SITTING = 18
"""Most coded cups for one taster in one sitting: astringency builds up (judgement)."""

_SPARE = 1.15  # spilt, clinging and for a second look
_LEAST = 50.0  # mL: less drink than this cannot be split and strained as a batch is
_LEAST_WATER = 0.005  # mL for every mL: less cannot be tasted
_MANY_DRINKS = 1.0  # US standard drinks poured for one taster from which spitting is urged


@dataclass(frozen=True, slots=True)
class Pour:
    """One sample: what goes in, in mL and g, and the water that levels it.

    ``water_per_100`` is mL of water for every 100 mL of finished liquid: what comes back from a
    filter varies, so measure that first. ``strength`` is that of the cups (%vol), if known.
    ``need_ml`` is what the cups take with something to spare, ``expect_ml`` what the batch gives.
    """

    sample: str
    title: str
    cups: int
    need_ml: float
    expect_ml: float
    drink_ml: float
    fat_ml: float
    fat_g: float
    steep_h: float
    milk_ml: float
    acid_g: float
    contact_min: float
    whey_ml_per_100: float
    water_per_100: float
    strength: float | None
    remarks: tuple[str, ...]

    @property
    def heading(self) -> str:
        """Its id and what it is."""
        return self.title if self.sample == self.title else f"{self.sample}: {self.title}"


@dataclass(frozen=True, slots=True)
class Preparation:
    """All samples of a trial, what one taster is poured, and what to mind.

    ``alcohol`` is for one taster who swallows everything: standard drinks by basis, empty when
    the strength is not known.
    """

    pours: tuple[Pour, ...]
    drink_ml: float
    cups_each: int
    ml_each: float
    alcohol: Mapping[str, float]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]


def title_of(sample: Sample) -> str:
    """A sample in words: ``milk share 20 %`` or ``control``."""
    from advisor.quantities import say

    if sample.is_control:
        return "control"
    return ", ".join(
        f"{dial.replace('-', ' ')} {say(value, DIALS[dial].unit)}"
        for dial, value in sample.settings.items()
    )


def _set(trial: Trial, sample: Sample) -> dict[str, float]:
    """Every dial of a sample; the control goes without the operation that is tried alone."""
    if not sample.is_control:
        return {**trial.fixed, **sample.settings}
    tried = {DIALS[d].operation for d in trial.dials}
    return {d: v for d, v in trial.fixed.items() if DIALS[d].operation not in tried}


def _strip_share(dials: Mapping[str, float]) -> float:
    return dials.get("milk-share", 0.0) / 100.0


def _per_ml_fat(base: Base) -> float:
    """g of fat in a mL of it, melted."""
    return 1.0 / fat_volume(base.fat_kind, 1.0)


def _kept_share(dials: Mapping[str, float], base: Base) -> float:
    """Base drink in a mL of the finished sample before it is levelled."""
    fat_g = dials.get("fat-rate", 0.0) / 100.0 * _per_ml_fat(base)  # for each mL of spirit
    water = water_brought(base.fat_kind, fat_g).value if fat_g else 0.0
    whey = dials.get("whey-share", 0.0) / 100.0
    return (1.0 - _strip_share(dials)) * (1.0 - whey) / (1.0 + water)


def _up(ml: float) -> float:
    """Up to what a jigger, a cylinder or a syringe can measure."""
    step = 5.0 if ml >= 100.0 else 1.0 if ml >= 10.0 else 0.5
    return math.ceil(ml / step - 1e-9) * step


def _pour(trial: Trial, sample: Sample, weakest: float) -> Pour:
    base, dials = trial.base, _set(trial, sample)
    share, whey = _strip_share(dials), dials.get("whey-share", 0.0) / 100.0
    rate = dials.get("fat-rate", 0.0) / 100.0
    kept_share = _kept_share(dials, base)
    exact_level = kept_share / weakest - 1.0
    level = exact_level if exact_level >= _LEAST_WATER else 0.0
    cups = trial.cups_of(sample.id)
    need = cups * trial.cup_ml * _SPARE
    into_strip = need / (1.0 + level) * (1.0 - whey)
    low, likely = _yields(share, base)
    after_fat = into_strip / low * (1.0 - share)
    kept = FATS[base.fat_kind].kept if rate else (1.0, 1.0)
    drink = _up(max(after_fat / kept[0], _LEAST if share or rate else 0.0))
    into_milk = drink * (kept[0] + kept[1]) / 2
    milk = into_milk * share / (1.0 - share)
    expect = (into_milk + milk) * likely / (1.0 - whey) * (1.0 + level)
    acid = dials.get("acid-dose", 0.0) * milk / 1000.0 if base.acid_kind != "none" else 0.0
    pour = Pour(
        sample=sample.id,
        title=title_of(sample),
        cups=cups,
        need_ml=need,
        expect_ml=expect,
        drink_ml=drink,
        fat_ml=drink * rate,
        fat_g=drink * rate * _per_ml_fat(base) if rate else 0.0,
        steep_h=dials.get("steep-time", 0.0) if rate else 0.0,
        milk_ml=milk,
        acid_g=acid,
        contact_min=dials.get("contact-time", 0.0) if share else 0.0,
        whey_ml_per_100=100.0 * whey / (1.0 - whey),
        water_per_100=100.0 * level,
        strength=None if base.strength is None else base.strength * kept_share / (1.0 + level),
        remarks=(),
    )
    almost = level == 0.0 and exact_level > 1e-9
    return _remarked(trial, pour, into_milk, almost=almost)


def _yields(share: float, base: Base) -> tuple[float, float]:
    """Liquid from a mL of drink and milk: the low end, to plan by, and the likely value."""
    if share == 0.0:
        return 1.0, 1.0
    held = liquid_held(1000.0 * share, base.milk_kind, curd_moisture().value)
    found = drink_yield(1000.0, 1000.0 * share, held)
    return max(0.3, found.low / 1000.0), found.value / 1000.0


def _remarked(trial: Trial, pour: Pour, into_milk: float, *, almost: bool) -> Pour:
    remarks = []
    if almost:
        remarks.append("No water: it is within 0.5 % of the strength of the others already.")
    if 0.0 < pour.acid_g < 1.0:
        remarks.append(
            f"{pour.acid_g:.2g} g of acid is little to weigh: dissolve 10 g in water to 100 ml and "
            f"use {10.0 * pour.acid_g:.2g} ml of that."
        )
    if 0.0 < pour.milk_ml < 5.0:
        remarks.append("Measure so little milk with a syringe, or make five times the amount.")
    if pour.milk_ml and (said := _clots(trial, pour, into_milk)):
        remarks.append(said)
    if pour.milk_ml and (said := _splits(trial, pour, into_milk)):
        remarks.append(said)
    return replace(pour, remarks=tuple(remarks))


def _clots(trial: Trial, pour: Pour, into_milk: float) -> str:
    """Whether alcohol alone clots the milk of this pour; empty where it hardly does."""
    strength = (trial.base.strength or 0.0) * into_milk / (into_milk + pour.milk_ml)
    chance = curd.ethanol_clot_chance(trial.base.milk_kind, strength)
    if chance < 0.1:
        return ""
    word = "will probably" if chance >= 0.5 else "may"
    return (
        f"At {strength:.0f} % vol in the mix this milk {word} clot on alcohol alone, before any "
        "acid: the cup then tells of that and not of the dial. Thin the drink first."
    )


def _splits(trial: Trial, pour: Pour, into_milk: float) -> str:
    """What chemistry expects of the split; empty where it should be full."""
    base = trial.base
    if not pour.acid_g and base.acid is None:
        return (
            "No acid is added and the drink's own is not told: whether the milk splits cannot be "
            "foretold. Split 50 ml first."
        )
    # Volumes in proportion: a sample may be smaller than the smallest batch of the formula.
    drink, milk = max(into_milk, 20.0), pour.milk_ml * max(into_milk, 20.0) / into_milk
    if milk < 1.0:
        return ""
    try:
        ph = batch_acid.mix_ph(
            drink_ml=drink,
            milk_ml=milk,
            milk_kind=base.milk_kind,
            acid_kind=base.acid_kind if pour.acid_g else "none",
            acid_g=pour.acid_g * milk / pour.milk_ml,
            own_acid=base.acid,
        )
        strength = (base.strength or 0.0) * drink / (drink + milk)
        verdict = curd.will_curdle(ph, base.milk_kind, strength=strength)
    except ValueError as error:
        return f"Whether it splits could not be calculated: {error}."
    if verdict.outcome.value == "full":
        return ""
    return (
        f"The mix is expected at pH {ph.value:.1f} ({ph.low:.1f} to {ph.high:.1f}): the split may "
        "not be full, and a cup that failed to split tells nothing about the dial. More acid, or "
        "leave this sample out."
    )


def preparation(trial: Trial) -> Preparation:
    """Quantities for every sample of ``trial``, what a taster is poured, and the cautions."""
    weakest = min(_kept_share(_set(trial, s), trial.base) for s in trial.samples)
    pours = tuple(_pour(trial, sample, weakest) for sample in trial.samples)
    flights = trial.flights_of(trial.tasters[0])
    cups = sum(len(f.cups) + trial.method.reference for f in flights)
    ml = cups * trial.cup_ml
    alcohol: dict[str, float] = {}
    if trial.base.strength is not None:
        strength = trial.base.strength * weakest
        alcohol = {b: serving.standard_drinks(ml, strength, b) for b in ("us", "uk", "au")}
    drink = math.fsum(p.drink_ml for p in pours)
    return Preparation(
        pours, drink, cups, ml, alcohol, _notes(trial, drink, cups), _cautions(trial, alcohol)
    )


def _notes(trial: Trial, drink: float, cups: int) -> tuple[str, ...]:
    notes = []
    have = trial.base.volume
    if have is not None and drink > have:
        notes.append(
            f"The samples take {drink:.0f} ml of your drink and you have {have:.0f} ml: smaller "
            "cups, fewer tasters or fewer levels."
        )
    coded = cups - len(trial.flights_of(trial.tasters[0])) * trial.method.reference
    if coded > SITTING:
        notes.append(
            f"{coded} coded cups are too many for one sitting: at most {SITTING} on a day, because "
            "dryness builds up in the mouth (judgement). The sheets say where to stop."
        )
    if trial.base.strength is None:
        notes.append("The strength of the drink is not told, so no alcohol is counted here.")
    operations = {DIALS[d].operation for d in trial.dials}
    notes += dict.fromkeys(DIALS[d].gives_away for d in trial.dials if trial.sense != "colour")
    if "strip" in operations and "acid-dose" not in (*trial.fixed, *trial.dials):
        notes.append("No acid is added to the milk: the split hangs on the drink's own acid.")
    notes.append(
        "Strain all samples alike, chill or warm them alike, and pour all cups within half an hour."
    )
    return tuple(notes)


def _with_groups(word: str) -> str:
    """An ingredient with what the laws name it for: oat drink holds gluten."""
    groups = frozenset().union(*(label.declare for label in labels([word]).values()))
    named = sorted(groups - {word})
    return f"{word.replace('-', ' ')} ({', '.join(named)})" if named else word.replace("-", " ")


def _cautions(trial: Trial, alcohol: Mapping[str, float]) -> tuple[Caution, ...]:
    law = "EU and UK: Regulation 1169/2011, Annex II; US: FD&C Act, major food allergens"
    contains = set()
    used = {d for s in trial.samples for d in _set(trial, s)}
    if "milk-share" in used:
        contains.add(milk_ingredient(trial.base.milk_kind))
    if "whey-share" in used:
        contains.add("milk")
    if "fat-rate" in used:
        contains |= set(FATS[trial.base.fat_kind].contains)
    cautions = [
        Caution(
            f"The cups contain {said}, however clear they look.",
            f"Ask every taster about allergies before anything is poured; with an allergy to "
            f"{said} they must not take part, not even to smell or sip.",
            law,
            stop=True,
        )
        for said in map(_with_groups, sorted(contains))
    ]
    cautions.append(
        Caution(
            "Tasters do not know which cup holds what.",
            "Tell them all ingredients and ask about allergies before they begin, not after.",
            law,
            stop=not contains,
        )
    )
    if alcohol:
        poured = alcohol["us"]
        urge = "Have spittoons and water; tasters should spit" if poured > _MANY_DRINKS else (
            "Have spittoons and water; tasters may spit"
        )
        cautions.append(
            Caution(
                f"One taster is poured {_drinks(alcohol)}, if all is swallowed.",
                f"{urge}. Nobody drives afterwards, and nobody takes part who should not drink "
                "alcohol: under age, pregnant, or on medicine that forbids it.",
                "; ".join(serving.BASES[b] for b in alcohol),
            )
        )
    return tuple(cautions)


def _drinks(alcohol: Mapping[str, float]) -> str:
    return (
        f"{alcohol['us']:.2g} US standard drinks ({alcohol['uk']:.2g} UK units, "
        f"{alcohol['au']:.2g} Australian standard drinks)"
    )
