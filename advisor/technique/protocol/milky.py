"""What every part with milk shares: the milk, its acid, the filter and what they cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.science import batch_dose
from advisor.science.acids import acidulant
from advisor.science.estimate import Estimate, exact, propagate
from advisor.science.filter_bed import bed_area, bed_hours, filter_width, usual_area
from advisor.science.milk_buffer import coagulation_ph, supply
from advisor.science.milks import milk as milk_of
from advisor.technique.protocol.plan import WET, Bought, Ingredient, Plan, scaled
from advisor.technique.protocol.start import milk_kind

if TYPE_CHECKING:
    from advisor.science.acids import Acidulant
    from advisor.science.milks import Milk

__all__ = [
    "HOT",
    "acid_dosed",
    "acid_for",
    "caution",
    "less_wet",
    "milk_amount",
    "milk_bought",
    "milk_checked",
    "positive",
    "spoken",
    "summed",
    "through_filter",
]

HOT = 40.0
"""degC; from here up the milk is warmed on a ring."""

_DEFAULT_ACID = "citric-15"
_ENOUGH = 0.95  # of the dose with its margin: the drink's own acid does it


def positive(estimate: Estimate) -> Estimate:
    """With its ends cut at nothing."""
    return Estimate(
        max(0.0, estimate.value), max(0.0, estimate.low), max(0.0, estimate.high), estimate.unit
    )


def less_wet(volume: Estimate) -> Estimate:
    """A strained volume less what paper and vessel keep whatever the size."""
    found = positive(
        propagate(lambda v, wet: v - wet, {"v": volume, "wet": WET}, unit="mL")
    )
    if found.value <= 0.0:
        raise AdvisorError(
            "batch-size",
            "so small a batch stays in the paper",
            where="batch",
            hint="make it larger",
        )
    return found


def acid_for(
    plan: Plan, kind: Milk, milk_ml: float, temperature: float, *, apart: bool = False
) -> tuple[Acidulant, Estimate, Estimate]:
    """The acid for this milk beyond what the drink brings: (acidulant, amount, g citric needed).

    ``amount`` is an ``Estimate`` in the acid's own measure, nothing where the drink has enough.
    ``apart`` is for milk that is curdled on its own.
    """
    needed = batch_dose.needed_citric(milk_ml, kind.id, temperature)
    dose = batch_dose.next_dose_citric(
        milk_ml=milk_ml, milk_kind=kind.id, mix_temperature=temperature
    )
    own = scaled(plan.drink.acid, plan.drink.volume.value / 1000.0, "g")
    asked_word = plan.brief.word("acid_wanted")
    item = _acid_kind(plan, asked_word)
    asked = plan.asked_amount("acid", "g" if item.form == "powder" else "mL")
    if asked is not None:
        return item, exact(asked, "g" if item.form == "powder" else "mL"), needed
    short = positive(
        propagate(lambda dose, own: dose - own, {"dose": dose, "own": own}, unit="g")
    )
    if short.value <= (1.0 - _ENOUGH) * dose.value or dose.value <= 0.0:
        return item, exact(0.0, "g"), needed
    if asked_word == "none" and not apart:  # apart: it goes off with the whey
        raise AdvisorError(
            "acid-needed",
            f"this milk needs about {short.value:.2g} g more acid (as citric) than the drink "
            "brings, and none may be added",
            where="acid_wanted",
            hint="use less milk, hot milk, a sharper drink, or steep curd that was made apart",
        )
    target = coagulation_ph(temperature, kind.id)
    per = supply(item, 1.0, target)
    if per <= 0.0:
        raise AdvisorError(
            "acid-too-weak",
            f"{item.title} cannot bring milk to pH {target:.1f}",
            where="acid_wanted",
            hint="lemon juice, or citric acid, can",
        )
    ratio = supply(acidulant("citric"), 1.0, target) / per
    unit = "g" if item.form == "powder" else "mL"
    amount = positive(
        propagate(
            lambda short, content: short * ratio / content,
            {"short": short, "content": Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread)},
            unit=unit,
        )
    )
    return item, amount, needed


def _acid_kind(plan: Plan, word: str | None) -> Acidulant:
    if word not in (None, "any", "none", "cola"):
        return acidulant(str(word))
    if plan.holds("has-citrus"):
        return acidulant("lemon-juice")
    return acidulant(_DEFAULT_ACID)


def milk_amount(plan: Plan, kind: Milk, drink: float) -> tuple[float, Estimate]:
    """mL of milk for the share asked for, and the span of practice; as much casein as cow's."""
    whole = milk_of("whole")
    richness = 1.0
    if kind.casein > 0.0 and kind.curd == "yes":
        richness = whole.casein * whole.density / (kind.casein * kind.density)
    asked = plan.asked_amount("milk", "mL")
    share = plan.dial("milk_share")
    setting = plan.settings[-1]

    def of(percent: float) -> float:
        return drink * percent / (100.0 - percent) * richness

    if asked is not None:
        plan.reset("milk_share", 100.0 * asked / (asked + drink), "the milk was asked for")
        return asked, exact(asked, "mL")
    if not 0.95 < richness < 1.05:
        plan.assume(
            f"{kind.title.capitalize()} has {1 / richness:.2g} times the casein of whole cow milk: "
            "its amount is set for the same casein."
        )
    value = of(share)
    return value, Estimate(value, min(value, of(setting.low)), max(value, of(setting.high)), "mL")


def milk_checked(plan: Plan) -> Milk:
    kind = milk_of(milk_kind(plan))
    if kind.curd == "no":
        raise AdvisorError(
            "milk-no-curd",
            f"{kind.title} makes no curd, whatever the acid",
            where="milk_wanted",
            hint="cow, goat, sheep or buffalo milk does, and so does soy drink",
        )
    plan.mark("homogenised", kind.homogenised and kind.fat > 1.0)
    plan.mark("long-life", kind.id in ("long-life", "lactose-free"))
    plan.mark("goat-like", kind.id in ("goat", "sheep", "buffalo"))
    plan.mark("plant-milk", kind.curd == "soy")
    plan.mark("cultured", kind.sour > 0.0)
    plan.mark("dairy", kind.casein > 0.0 or plan.holds("dairy"))
    return kind


def milk_bought(plan: Plan, kind: Milk, milk_ml: float) -> None:
    plan.bought.append(Bought("milk", kind.id, kind.title, exact(milk_ml, "mL")))
    word = {"soy": "soy-drink"}.get(kind.id, "milk")
    plan.ingredients.append(Ingredient(word, kind.title, milk_ml * kind.density))
    if word == "milk":
        plan.processes.append("milk-wash")
        caution(plan, "contains-milk")
        caution(plan, "lactose-note")
    else:
        caution(plan, "nuts-and-seeds")  # soy is an allergen of its own


def caution(plan: Plan, id: str) -> None:
    if id in plan.base.cautions and id not in plan.cautions:
        plan.cautions.append(id)


def spoken(item: Acidulant) -> str:
    """The acid as a sentence names it: fresh lemon juice, 15 % citric acid solution."""
    name, comma, kind = item.title.partition(", ")
    if not comma:
        return name
    kind = kind.removesuffix(" w/v").removesuffix(" w/w")
    return f"{kind} {name}"


def acid_dosed(plan: Plan, item: Acidulant, amount: Estimate, milk_ml: float) -> None:
    added = amount.value > 0.0
    plan.mark("acid-added", added)
    plan.mark("own-acid", not added)
    plan.mark("acid-powder", added and item.form == "powder")
    plan.mark("acid-liquid", added and item.form == "liquid")
    plan.word("acid_name", spoken(item))
    if not added:
        plan.put("acid", amount, exactly=True)
        return
    plan.dose(
        "acid",
        spoken(item),
        amount,
        formula="(citric acid that takes this milk to its working pH x 1.25 (1.15 to 1.6) - acid "
        "the drink brings), in this acid's hydrogen ions at that pH",
        source=f"{batch_dose.BALANCE}; the margin is common practice (7-10 g per litre of milk)",
        footing="given" if amount.low == amount.high else "calculated",
    )
    plan.put("acid_per_litre", scaled(amount, 1000.0 / milk_ml))
    plan.bought.append(Bought("acid", item.id, spoken(item), amount))
    grams = amount.value * (item.density if item.form == "liquid" else 1.0)
    word = "juice" if item.id.endswith("juice") or item.id == "verjus" else "acid"
    word = {"wine": "wine", "vinegar": "acid"}.get(item.id, word)
    plan.ingredients.append(Ingredient(word, spoken(item), grams))


def summed(one: Estimate, other: Estimate, unit: str) -> Estimate:
    return propagate(lambda a, b: a + b, {"a": one, "b": other}, unit=unit)


def through_filter(plan: Plan, mix_ml: float, curd_g: float) -> None:
    depth = plan.dial("bed_depth")
    # Little curd makes a thin bed on a filter of the usual width, not a small filter.
    area = max(10.0, bed_area(curd_g, depth), usual_area(mix_ml))
    hours = bed_hours(mix_ml, curd_g, area)
    plan.put("filter_area", exact(area, "cm2"))
    plan.put("filter_width", exact(filter_width(area), "cm"), exactly=True)
    plan.put("filter_time", hours)
    if plan.has_dial("drain"):
        plan.put("drain", exact(plan.dial("drain"), "h"), exactly=True)
