"""The amounts of a milk wash: milk, acid, curd, filter, and the drink that comes through."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError
from advisor.science import batch_acid, batch_curd
from advisor.science._batch import Recipe, verdict
from advisor.science.acids import acidulant
from advisor.science.curd import ethanol_clot_chance
from advisor.science.estimate import Estimate, exact, propagate
from advisor.science.heat import heating_minutes, mixed_temperature
from advisor.science.milk_buffer import STRIP_BIAS, supply
from advisor.science.mixing import Part as Poured
from advisor.science.mixing import mix, water_to_dilute
from advisor.technique.protocol.milky import (
    HOT,
    acid_dosed,
    acid_for,
    less_wet,
    milk_amount,
    milk_bought,
    milk_checked,
    positive,
    summed,
    through_filter,
)
from advisor.technique.protocol.plan import Liquid, Plan, scaled

if TYPE_CHECKING:
    from advisor.science.acids import Acidulant
    from advisor.science.milks import Milk

__all__ = ["strip"]

_ROOM = 20.0
_TOO_MUCH_LIQUID = 0.5  # of the drink: another acid is wanted then
_MUCH_LIQUID = 0.15
_PER_LITRE_POUR = 1.5  # min
_LIKELY = 0.8  # chance of a clot by alcohol alone, from which the steps are not written


def _recipe(
    plan: Plan, kind: Milk, drink_ml: Estimate, strength: Estimate, milk_ml: float,
    item: Acidulant, amount: Estimate, temperature: float,
) -> dict[str, Any]:  # fmt: skip
    own = plan.drink.acid
    if drink_ml.value > 0.0:
        own = scaled(own, plan.drink.volume.value / drink_ml.value)
    given: dict[str, Any] = {
        "drink_ml": drink_ml,
        "milk_ml": milk_ml,
        "milk_kind": kind.id,
        "mix_temperature": temperature,
        "own_acid": own,
        "acid_kind": "none",
        "drink_strength": strength,
    }
    if plan.own_kind and own.value > 0.0:
        given["own_kind"] = plan.own_kind
    if amount.value > 0.0:
        given["acid_kind"] = item.id
        given["acid_g" if item.form == "powder" else "acid_ml"] = amount
    return given


def _without_interval(given: dict[str, Any]) -> dict[str, Any]:
    """The dose as it is measured out: the drink's own acid keeps its interval."""
    plain = dict(given)
    for key in ("acid_g", "acid_ml"):
        if key in plain:
            plain[key] = plain[key].value
    return plain


def strip(plan: Plan) -> None:
    """Milk, acid, curd, filter and what is left; the drink in the jug becomes the strained one.

    ``AdvisorError`` for a drink that makes no curd, an acid that may not be added, or amounts
    that cannot be.
    """
    kind = milk_checked(plan)
    before = plan.drink
    drink = before.volume.value
    milk_ml, milk_span = milk_amount(plan, kind, drink)
    hot = plan.dial("milk_temperature")
    plan.mark("hot-milk", hot >= HOT)
    plan.mark("cold-milk", hot < HOT)
    temperature = mixed_temperature(((drink, before.strength.value, _ROOM), (milk_ml, 0.0, hot)))
    item, amount, needed = acid_for(plan, kind, milk_ml, temperature)
    poured = amount.value if item.form == "liquid" else 0.0
    if poured > _TOO_MUCH_LIQUID * drink:
        raise AdvisorError(
            "acid-too-weak",
            f"it would take {poured:.0f} ml of {item.title} for {drink:.0f} ml of drink",
            where="acid_wanted",
            hint="choose a stronger acid, such as lemon juice or citric acid",
        )
    if poured > _MUCH_LIQUID * drink:
        plan.warn(
            f"{poured:.0f} ml of {item.title} thins the drink by "
            f"{100 * poured / (drink + poured):.0f} %."
        )
    _doses(plan, kind, milk_ml, milk_span, hot, temperature)
    acid_dosed(plan, item, amount, milk_ml)
    wet_drink, strength = _with_acid(before, poured)
    given = _without_interval(
        _recipe(plan, kind, wet_drink, strength, milk_ml, item, amount, temperature)
    )
    _split(plan, kind, given, temperature)
    after = _strained(plan, kind, given, needed, item, amount)
    _balance(plan, before, poured, milk_ml, given, after)
    plan.drink = after
    plan.ph_measured = False
    _told(plan, before, given, item, hot)


def _doses(
    plan: Plan, kind: Milk, milk_ml: float, span: Estimate, hot: float, temperature: float
) -> None:
    drink = plan.drink.volume
    plan.put("drink", exact(drink.value, "mL"), exactly=True)
    plan.word("milk_name", kind.title)
    plan.dose(
        "milk",
        kind.title,
        span,
        formula="drink x share / (100 - share), for as much casein as cow milk has",
        source="arithmetic; the share is common practice; casein: FAO 2013, Table 3.1",
        footing="given" if span.low == span.high else "practice",
    )
    plan.put("milk_per_litre", exact(1000.0 * milk_ml / drink.value, "mL"))
    plan.put("milk_temperature", exact(hot, "degC"), exactly=True)
    plan.put("mix_temperature", exact(temperature, "degC"))
    pour = max(1.0, _PER_LITRE_POUR * drink.value / 1000.0)
    plan.put("pour_time", exact(pour, "min"), exactly=True)
    if plan.has_dial("mingle"):
        plan.put("mingle_time", exact(plan.dial("mingle"), "min"), exactly=True)
    plan.put("rest", exact(plan.dial("rest"), "h"), exactly=True)
    plan.put("warming", heating_minutes(milk_ml, 5.0, max(5.0, hot)))
    milk_bought(plan, kind, milk_ml)


def _with_acid(before: Liquid, poured: float) -> tuple[Estimate, Estimate]:
    """Volume and strength of the drink once a liquid acid is in."""
    if poured <= 0.0:
        return before.volume, before.strength
    volume = propagate(
        lambda v, s: mix((Poured(v, s), Poured(poured))).volume,
        {"v": before.volume, "s": before.strength},
        unit="mL",
    )
    strength = positive(
        propagate(
            lambda v, s: mix((Poured(v, s), Poured(poured))).strength,
            {"v": before.volume, "s": before.strength},
            unit="%vol",
        )
    )
    return volume, strength


def _split(plan: Plan, kind: Milk, given: dict[str, Any], temperature: float) -> None:
    """Will it curdle; what the strip should read."""
    recipe = Recipe(**given)
    found = verdict(recipe)
    strength = recipe.mixed()[1].value
    accept = found.full_below + 0.1 + STRIP_BIAS.value * strength
    plan.put("split_reading", exact(round(accept, 1), "pH"), exactly=True)
    plan.put("expected_reading", batch_acid.expected_reading(**given))
    if found.outcome.value == "none":
        plan.warn(
            "As far as the sums go this mix stays short of a split: "
            + "; ".join(found.reasons or ("its pH is too high",))
            + ". Do the spoon test before the milk is spent."
        )
    elif found.outcome.value == "partial":
        plan.warn(
            "As far as the sums go this mix lands between the first flakes and a full split: have "
            "acid at hand and go by the spoon test."
        )
    elif found.outcome.value == "ethanol-clot":
        plan.warn("Alcohol alone clots this milk; its curd is coarse and binds less.")
    if kind.clot and strength >= kind.clot[0] and temperature <= 30.0:
        drink = plan.drink.strength.value
        _clots_on_alcohol(plan, kind, strength, drink * kind.clot[0] / strength)


def _clots_on_alcohol(plan: Plan, kind: Milk, strength: float, thinned: float) -> None:
    """Alcohol alone may clot this milk; where it is likely, no step with whole milk holds."""
    drink = plan.drink.strength.value
    water = water_to_dilute(1000.0, drink, thinned)
    thin = f"thin the drink to about {thinned:.0f} % vol first, {water:.0f} ml of water to a litre"
    if plan.holds("acid-added") and ethanol_clot_chance(kind.id, strength) >= _LIKELY:
        raise AdvisorError(
            "milk-clots-on-alcohol",
            f"the mix has {strength:.0f} % vol, and {kind.title} clots on alcohol alone from about "
            f"{kind.clot[0] if kind.clot else 0.0:.0f}: it breaks before the acid goes in, into a "
            "coarse curd that binds little",
            where="base_strength",
            hint=f"{thin}, and give that as base_strength; less milk makes it worse",
        )
    plan.warn(
        f"The mix has {strength:.0f} % vol, and this milk may clot on alcohol alone from "
        f"{kind.clot[0] if kind.clot else 0.0:.0f}: {thin}, or have the milk fridge-cold "
        "(milk_temperature 4 °C) and pour slowly."
    )


def _strained(
    plan: Plan, kind: Milk, given: dict[str, Any], needed: Estimate, item: Acidulant,
    amount: Estimate,
) -> Liquid:  # fmt: skip
    recipe = Recipe(**given)
    mixed, strength = recipe.mixed()
    curd = batch_curd.mass(**given)
    plan.curd = curd if plan.curd is None else Estimate(
        plan.curd.value + curd.value, plan.curd.low + curd.low, plan.curd.high + curd.high, "g"
    )
    through_filter(plan, mixed.value, curd.value)
    finished = less_wet(batch_curd.yielded(**given))
    plan.put("mix", mixed)
    plan.put("curd", curd)
    plan.put("forerun", exact(max(5.0, 0.1 * mixed.value), "mL"), exactly=True)
    plan.put("yield", finished)
    plan.put("yield_least", exact(finished.low, "mL"), exactly=True)
    milk_ml = float(given["milk_ml"])
    share = milk_ml / mixed.value
    protein = batch_curd.whey_left(
        drink_ml=given["drink_ml"],
        milk_ml=milk_ml,
        milk_kind=kind.id,
        mix_temperature=given["mix_temperature"],
    )
    if verdict(recipe).outcome.value in ("none", "partial"):
        protein = batch_curd.protein_left(**given)  # curd that stays in solution is not strained
    before = plan.drink
    kept = 1.0 - share
    half = 0.05 * kind.lactose
    lactose = Estimate(kind.lactose, kind.lactose - half, kind.lactose + half)
    new_lactose = scaled(lactose, 10.0 * kind.density * share, "g/L")
    total_own = before.acid.value * before.volume.value / 1000.0
    given_citric = total_own + _citric(item, amount)
    spare = max(0.0, given_citric - needed.value) * 1000.0 / mixed.value
    plan.put("acid_needed", needed)
    if needed.value > 0.0:
        plan.acid_excess = positive(
            propagate(
                lambda own, need: (own + _citric(item, amount)) / max(1e-9, need),
                {"own": scaled(before.acid, before.volume.value / 1000.0), "need": needed},
                unit="ratio",
            )
        )
    return Liquid(
        volume=finished,
        strength=strength,
        acid=Estimate(spare, 0.5 * spare, max(spare, 1.3 * spare), "g/L"),
        ph=batch_acid.mix_ph(**{k: v for k, v in given.items() if k != "drink_strength"}),
        sugar=None if before.sugar is None else scaled(before.sugar, kept),
        protein=summed(scaled(before.protein, kept), protein, "mg/L"),
        lactose=summed(scaled(before.lactose, kept), new_lactose, "g/L"),
    )


def _citric(item: Acidulant, amount: Estimate) -> float:
    if amount.value <= 0.0:
        return 0.0
    at = 4.6
    return amount.value * max(0.0, supply(item, 1.0, at)) / supply(acidulant("citric"), 1.0, at)


def _balance(
    plan: Plan, before: Liquid, poured: float, milk_ml: float, given: dict[str, Any], after: Liquid
) -> None:
    """Everything in, everything out, at the central values; ethanol balances exactly."""
    mixed = Recipe(**given).mixed()
    held = min(mixed[0].value, batch_curd.held(**given).value)
    share = mixed[1].value / 100.0
    plan.flow("milk", "in", milk_ml, 0.0)
    plan.flow("acid", "in", poured, 0.0)
    shrink = before.volume.value + poured + milk_ml - mixed[0].value
    plan.flow("contraction", "out", shrink, 0.0)
    lost = mixed[0].value - after.volume.value
    in_curd = min(held, lost)
    plan.flow("liquid in the curd", "out", in_curd, in_curd * share)
    plan.flow("curd solids, paper and vessels", "out", lost - in_curd, (lost - in_curd) * share)


def _told(
    plan: Plan, before: Liquid, given: dict[str, Any], item: Acidulant, hot: float
) -> None:
    """What the diagnosis is told of a batch made so."""
    findings = plan.base.findings
    told = {
        "operation": "strip",
        "drink_volume": f"{float(given['drink_ml'].value):.4g} ml",
        "drink_strength": f"{before.strength.value:.3g}",
        "milk_volume": f"{float(given['milk_ml']):.4g} ml",
        "milk_kind": str(given["milk_kind"]),
    }
    if given["acid_kind"] != "none" and item.id in findings["acid_kind"].words:
        told["acid_kind"] = item.id
        if "acid_g" in given:
            told["acid_mass"] = f"{given['acid_g']:.4g} g"
        else:
            told["acid_volume"] = f"{given['acid_ml']:.4g} ml"
    if before.acid.value > 0.0:
        told["own_acid"] = f"{before.acid.value:.3g}"
    told["milk_temperature"] = (
        "hot" if hot >= 60.0 else "warm" if hot >= HOT else "room" if hot >= 12.0 else "cold"
    )
    plan.told[plan.name] = told
