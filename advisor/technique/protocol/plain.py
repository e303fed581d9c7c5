"""The amounts of everything that is neither milk, fat nor whey: setting aside, adding, settling,
spinning, standing and bottling."""

from __future__ import annotations

import math

from advisor.errors import AdvisorError
from advisor.science.estimate import Estimate, exact, propagate
from advisor.science.filter_bed import filter_width
from advisor.science.hazards import centrifuge
from advisor.science.mixing import Part as Poured
from advisor.science.mixing import mix, water_to_dilute
from advisor.science.separation import rise_time, rpm_for, spin_time
from advisor.technique.protocol.milky import caution, less_wet, positive
from advisor.technique.protocol.plan import Bought, Ingredient, Liquid, Plan, scaled
from advisor.technique.protocol.start import SPIRIT, serve_ml

__all__ = ["add", "finish", "polish", "prepare", "settle", "spin"]

_PULP, _PULP_DENSITY, _VISCOSITY = 20.0, 40.0, 2.0  # um, kg/m3, mPa s: fine pulp, judgement
_FINES = 2.0  # um, what a spin is for
_TALL = 3.0  # height over width of a settling jar
_PAPER_LOAD = 15.0  # mL of drink to each cm2 of paper at a time: judgement
_STRONG_FOR_ENZYME = 18.0


def prepare(plan: Plan) -> None:
    """The drink, and the glass set aside untreated."""
    control = min(100.0, max(10.0, 0.1 * plan.drink_ml))
    total = plan.drink_ml + control
    plan.put("drink", exact(plan.drink_ml, "mL"), exactly=True)
    plan.put("drink_strength", plan.drink.strength)
    plan.put("control", exact(control, "mL"), exactly=True)
    if plan.holds("spirit-apart"):
        spirit = total * plan.drink.strength.value / SPIRIT.value
        rest = water_to_dilute(spirit, SPIRIT.value, plan.drink.strength.value)
        plan.put("spirit_part", exact(spirit, "mL"), exactly=True)
        plan.put("rest_part", exact(rest, "mL"), exactly=True)
    plan.dose(
        "total",
        "drink, with the glass set aside",
        exact(total, "mL"),
        formula="drink to treat + control",
        source="the batch asked for",
        footing="given",
        linear=False,
    )
    name = plan.ingredients[0].name if plan.ingredients else "drink"
    plan.bought.append(Bought("drink", "drink", f"drink to treat ({name} ...)", exact(total, "mL")))
    plan.flow("drink", "in", plan.drink_ml, plan.drink.ethanol)


def _kept(plan: Plan, before: Liquid, volume: Estimate, loss: float, what: str) -> Estimate:
    """What comes through when ``loss`` % (0 to 3 times that) and the fixed wetting stay behind."""
    share = Estimate(loss, 0.3 * loss, min(95.0, 2.0 * loss))
    kept = propagate(
        lambda v, loss: v * (1.0 - loss / 100.0), {"v": volume, "loss": share}, unit="mL"
    )
    finished = less_wet(kept) if loss > 0.0 else volume
    lost = volume.value - finished.value
    plan.flow(what, "out", lost, lost * before.strength.value / 100.0)
    plan.put("yield", finished)
    plan.put("yield_least", exact(finished.low, "mL"), exactly=True)
    return finished


def add(plan: Plan) -> None:
    """Something stirred in: dissolved, set, or settled out again.

    Dials: ``dose`` (per litre of drink), and where the part has them ``carrier`` (mL of water per
    litre), ``loss`` (%), ``hold`` and ``settle`` (h), ``warmth`` (degC), ``each`` (mL per serve).
    """
    item = plan.part.item
    if item is None:
        raise LookupError(f"{plan.part.id} names no item")
    before = plan.drink
    drink = before.volume.value
    if plan.part.id == "part-enzyme" and before.strength.value > _STRONG_FOR_ENZYME:
        plan.warn(
            f"Spirit slows pectic enzyme down: at {before.strength.value:.0f} % vol treat the "
            "juice before it is mixed, or give it days."
        )
    plan.word("item_name", item.name)
    plan.put("drink", exact(drink, "mL"), exactly=True)
    if plan.has_dial("each"):
        _per_serve(plan)
        return
    value = plan.dial("dose")
    setting = plan.settings[-1]
    asked = plan.asked_amount("amount", item.unit)
    litres = drink / 1000.0
    dose = value * litres if asked is None else asked
    span = Estimate(
        dose, min(dose, setting.low * litres), max(dose, setting.high * litres), item.unit
    )
    plan.dose(
        "dose",
        item.name,
        exact(dose, item.unit) if asked is not None else span,
        formula="drink x dose per litre",
        source="the dose per litre is common practice or the packet's; see the setting",
        footing="given" if asked is not None or setting.footing == "given" else "practice",
    )
    plan.put("dose_per_litre", exact(dose / litres, item.unit), exactly=True)
    plan.bought.append(
        Bought("clarifier" if item.aid else "other", item.id, item.name, exact(dose, item.unit))
    )
    plan.ingredients.append(Ingredient(item.contains or item.name, item.name, dose, aid=item.aid))
    if item.contains in ("milk", "skim-milk"):
        plan.mark("dairy")
        plan.processes.append("milk-wash")
        caution(plan, "contains-milk")
    if item.contains == "egg-white":
        caution(plan, "egg")
    if "gelatine" in item.contains:
        caution(plan, "fish-or-gelatine")
    for name, unit in (("hold", "h"), ("settle", "h"), ("warmth", "degC")):
        if plan.has_dial(name):
            plan.put(name, exact(plan.dial(name), unit), exactly=True)
    liquid = dose if item.unit == "mL" else 0.0
    plan.drink = _carried(plan, before, liquid, item.unit)


def _carried(plan: Plan, before: Liquid, liquid: float, unit: str) -> Liquid:
    """The drink with what was stirred in and the water that carried it, less what stays behind."""
    drink = before.volume.value
    carrier = 0.0
    if plan.has_dial("carrier"):
        boils = before.strength.value < 0.5
        share = plan.dial("carrier")
        carrier = share * drink / 1000.0
        plan.mark("boils-drink", boils)
        plan.mark("carrier-water", not boils)
        plan.put("rest_of_drink", exact(drink - (carrier if boils else 0.0), "mL"), exactly=True)
        if boils:
            plan.put("carrier", exact(carrier, "mL"), exactly=True)
            carrier = 0.0
        else:
            plan.dose(
                "carrier", "water to carry it", exact(carrier, "mL"),
                formula="drink x water per litre", source="common practice", footing="practice",
            )  # fmt: skip
    del unit
    poured = liquid + carrier
    inputs = {"v": before.volume, "s": before.strength}
    volume, strength = before.volume, before.strength
    if poured > 0.0:
        volume = propagate(
            lambda v, s: mix((Poured(v, s), Poured(poured))).volume, inputs, unit="mL"
        )
        strength = positive(
            propagate(
                lambda v, s: mix((Poured(v, s), Poured(poured))).strength, inputs, unit="%vol"
            )
        )
        plan.ph_measured = False
        plan.flow("stirred in", "in", poured, 0.0)
        plan.flow("contraction", "out", before.volume.value + poured - volume.value, 0.0)
    thinner = before.volume.value / volume.value
    mixed = Liquid(
        volume=volume,
        strength=strength,
        acid=scaled(before.acid, thinner),
        ph=before.ph,
        sugar=None if before.sugar is None else scaled(before.sugar, thinner),
        protein=before.protein,
        lactose=before.lactose,
    )
    loss = plan.dial("loss") if plan.has_dial("loss") else 0.0
    finished = _kept(plan, mixed, volume, loss, "left behind")
    return Liquid(
        finished, strength, mixed.acid, mixed.ph, mixed.sugar, mixed.protein, mixed.lactose
    )


def _per_serve(plan: Plan) -> None:
    """Something that goes into each drink as it is made, never into the bottle."""
    item = plan.part.item
    assert item is not None  # noqa: S101  checked by add
    serve = serve_ml(plan.brief)
    each = plan.dial("each")
    setting = plan.settings[-1]
    serves = math.floor(plan.drink.volume.value / serve + 1e-9)
    plan.dose(
        "each_serve",
        f"{item.name}, in each drink",
        Estimate(each, min(each, setting.low), max(each, setting.high), item.unit),
        formula="per drink, whatever the batch",
        source="common practice",
        footing="practice",
        linear=False,
    )
    total = each * max(1, serves)
    plan.put("dose", exact(total, item.unit))
    plan.put("yield", plan.drink.volume)
    plan.put("yield_least", exact(plan.drink.volume.low, "mL"), exactly=True)
    plan.bought.append(Bought("other", item.id, item.name, exact(total, item.unit)))
    plan.ingredients.append(Ingredient(item.contains or item.name, item.name, total))
    if item.contains == "egg-white":
        caution(plan, "egg")
        plan.assume("Egg white goes into each drink and never into the bottle.")


def settle(plan: Plan) -> None:
    """Standing cold and drawing off; the taller the jar, the longer."""
    before = plan.drink
    drink = before.volume.value
    width = (4.0 * drink / (math.pi * _TALL)) ** (1.0 / 3.0)
    height = 10.0 * _TALL * width  # mm
    calculated = rise_time(_PULP, _PULP_DENSITY, _VISCOSITY, height)
    hours = plan.dial("settle")
    if hours < calculated and plan.settings[-1].footing != "given":
        hours = calculated
        plan.reset("settle", hours, "in a jar so tall fine pulp takes this long to fall")
    plan.put("drink", exact(drink, "mL"), exactly=True)
    plan.put("height", exact(height, "mm"))
    plan.put("settle", exact(hours, "h"), exactly=True)
    plan.put("settle_calculated", Estimate(calculated, 0.3 * calculated, 3.0 * calculated, "h"))
    area = max(60.0, drink / _PAPER_LOAD)
    plan.put("filter_width", exact(filter_width(area), "cm"), exactly=True)
    finished = _kept(plan, before, before.volume, plan.dial("loss"), "floor and paper")
    plan.drink = Liquid(
        finished, before.strength, before.acid, before.ph, before.sugar, before.protein,
        before.lactose,
    )  # fmt: skip


def spin(plan: Plan) -> None:
    """A centrifuge, for what holds no alcohol. ``AdvisorError`` from 5 % vol up."""
    before = plan.drink
    stops = [c for c in centrifuge(before.strength.value) if c.stop]
    if stops:
        raise AdvisorError(
            "centrifuge-alcohol",
            f"{before.strength.value:.0f} % vol counts as a flammable liquid: "
            f"{stops[0].fact[:1].lower()}{stops[0].fact[1:]}",
            where="base_strength",
            hint="spin the juice before the spirit goes in (a brief with base_kind: juice), or "
            "take another technique",
        )
    drink = before.volume.value
    pull, outer = plan.dial("pull"), plan.dial("radius")
    speed = rpm_for(pull, outer)
    inner = 0.5 * outer
    calculated = spin_time(_FINES, _PULP_DENSITY, _VISCOSITY, inner, outer, speed)
    minutes = max(plan.dial("spin"), calculated)
    load = plan.dial("load")
    runs = math.ceil(drink / load - 1e-9)
    plan.put("drink", exact(drink, "mL"), exactly=True)
    plan.put("pull", exact(pull), exactly=True)
    plan.word("pull", f"{pull:.0f} x g")
    plan.word("speed", f"{speed:.0f} rpm")
    plan.put("spin", exact(minutes, "min"), exactly=True)
    plan.word("load", f"{runs} run{'s' if runs != 1 else ''} of {min(load, drink):.0f} ml")
    finished = _kept(plan, before, before.volume, plan.dial("loss"), "pellet")
    plan.put("run_time", exact(runs * minutes, "min"))
    caution(plan, "centrifuge-fire")
    plan.drink = Liquid(
        finished, before.strength, before.acid, before.ph, before.sugar, before.protein,
        before.lactose,
    )  # fmt: skip


def polish(plan: Plan) -> None:
    """A cold stand, and drawing off from the floor."""
    before = plan.drink
    plan.put("drink", before.volume)
    plan.put("stand", exact(plan.dial("stand"), "h"), exactly=True)
    finished = _kept(plan, before, before.volume, plan.dial("loss"), "floor of the jar")
    plan.drink = Liquid(
        finished, before.strength, before.acid, before.ph, before.sugar, before.protein,
        before.lactose,
    )  # fmt: skip


def finish(plan: Plan) -> None:
    """Measuring, bottling, labelling: nothing is added or lost."""
    drink = plan.drink
    serve = serve_ml(plan.brief)
    count = math.floor(drink.volume.value / serve + 1e-9)
    plan.word("serves", str(count) if count else "less than one")
    plan.put("proof", exact(min(50.0, max(5.0, 0.05 * drink.volume.value)), "mL"), exactly=True)
    ph = drink.ph
    plan.put("expected_reading", ph if ph is not None else Estimate(4.0, 2.5, 6.5, "pH"))
    caution(plan, "strength-on-label")
    caution(plan, "alcohol-serving")
    caution(plan, "keep-cold")
    caution(plan, "local-code")
