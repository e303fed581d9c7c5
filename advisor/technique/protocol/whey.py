"""Whey: how much is needed, how it is made, and the drink once it is in."""

from __future__ import annotations

from advisor.errors import AdvisorError
from advisor.science import whey as wheys
from advisor.science.blend import blend_ph, citric_drink, whey_like
from advisor.science.curd_yield import curd_mass, curd_moisture
from advisor.science.estimate import Estimate, exact, propagate
from advisor.science.mixing import Part as Poured
from advisor.science.mixing import mix
from advisor.technique.protocol.milky import (
    acid_dosed,
    acid_for,
    caution,
    milk_bought,
    milk_checked,
    positive,
    summed,
    through_filter,
)
from advisor.technique.protocol.plan import Bought, Ingredient, Liquid, Plan, scaled

__all__ = ["whey_dose", "whey_make"]

_KIND = "acid-whey"
_SPARE = 1.15  # what sticks to cloth, and the trial
_HANGS = Estimate(0.40, 0.30, 0.50)  # whey from hung yoghurt, share of its volume: judgement
_WHEY_DAYS = 5


def wanted_whey(plan: Plan, share: float) -> float:
    """mL of whey for ``share`` % of drink and whey together."""
    return wheys.dose_for_share(plan.drink.volume.value, share)


def whey_make(plan: Plan) -> None:
    """Whey from milk and acid, or from hung yoghurt, for the dose that comes after it."""
    need = plan.whey_needed * _SPARE
    plan.put("whey", exact(need, "mL"))
    yoghurt = plan.brief.word("milk_wanted") == "yoghurt"
    plan.mark("from-yoghurt", yoghurt)
    plan.mark("from-milk", not yoghurt)
    plan.put("drain", exact(plan.dial("drain"), "h"), exactly=True)
    plan.told[plan.name] = {
        "operation": "whey-dose" if yoghurt else "several",  # curdling milk is half a strip
        "whey_kind": "yoghurt-hung" if yoghurt else "acid",
    }
    if yoghurt:
        amount = Estimate(need / _HANGS.value, need / _HANGS.high, need / _HANGS.low, "mL")
        plan.dose(
            "yoghurt",
            "plain whole yoghurt without thickener",
            amount,
            formula="whey wanted / share that hangs out (30 to 50 %)",
            source="common practice, no source",
            footing="practice",
        )
        plan.bought.append(
            Bought("milk", "yoghurt", "plain whole yoghurt", exact(amount.value, "mL"))
        )
        plan.ingredients.append(Ingredient("yoghurt", "whey from yoghurt", need))
        _dairy(plan)
        return
    kind = milk_checked(plan)
    if kind.curd != "yes":
        raise AdvisorError(
            "milk-no-whey",
            f"{kind.title} gives no whey to speak of",
            where="milk_wanted",
            hint="cow, goat, sheep or buffalo milk does, and so does yoghurt",
        )
    hot = plan.dial("milk_temperature")
    moisture = curd_moisture(hot).value
    out = 1.0 - curd_mass(1000.0, kind.id, moisture) / 1.05 / 1000.0
    milk_ml = need / max(0.2, 0.95 * out)
    span = Estimate(milk_ml, milk_ml * 0.9, milk_ml * 1.2, "mL")
    plan.word("milk_name", kind.title)
    plan.dose(
        "milk",
        kind.title,
        span,
        formula="whey wanted x 1.15 / (milk less its drained curd, and 5 % for the cloth)",
        source="casein and fat: FAO 2013; moisture by analogy with cottage cheese (Guelph)",
    )
    apart = Plan(
        base=plan.base, brief=plan.brief, technique=plan.technique, overrides=plan.overrides,
        drink=Liquid(exact(0.0, "mL"), exact(0.0, "%vol"), exact(0.0, "g/L")),
        drink_ml=plan.drink_ml, circumstances=plan.circumstances, now=plan.now, used=plan.used,
    )  # fmt: skip
    item, amount, _ = acid_for(apart, kind, milk_ml, hot, apart=True)
    milk_bought(plan, kind, milk_ml)
    acid_dosed(plan, item, amount, milk_ml)
    plan.put("milk_temperature", exact(hot, "degC"), exactly=True)
    plan.put("rest", exact(plan.dial("rest"), "h"), exactly=True)
    through_filter(plan, milk_ml, curd_mass(milk_ml, kind.id, moisture))
    _dairy(plan)


def _dairy(plan: Plan) -> None:
    plan.mark("dairy")
    plan.processes.append("whey-dose")
    caution(plan, "contains-milk")
    caution(plan, "lactose-note")


def whey_dose(plan: Plan) -> None:
    """Whey into the drink: strength, pH, protein, and whether it will haze.

    ``AdvisorError`` when the whey that was kept is not enough for the dose asked for.
    """
    before = plan.drink
    drink = before.volume.value
    asked = plan.asked_amount("whey", "mL")
    share = plan.dial("whey_share")
    setting = plan.settings[-1]
    dose = wanted_whey(plan, share) if asked is None else asked
    if asked is not None:
        plan.reset("whey_share", wheys.share(asked, drink), "the whey was asked for")
    kept = plan.whey_kept
    if kept is not None and dose > kept.value:
        if setting.footing == "given" or asked is not None:
            raise AdvisorError(
                "whey-short",
                f"{dose:.0f} ml of whey are wanted, and about {kept.value:.0f} ml are kept",
                where="set whey_share",
                hint="use more milk for the curd (set milk_share), or less whey",
            )
        dose = kept.value
        plan.reset("whey_share", wheys.share(dose, drink), "as much whey as the curd gives")
    plan.mark("whey-kept", kept is not None)
    data = wheys.whey(_KIND)
    span = Estimate(
        dose,
        min(dose, wheys.dose_for_share(drink, setting.low)),
        max(dose, wheys.dose_for_share(drink, setting.high)),
        "mL",
    )
    plan.put("drink", before.volume)
    plan.dose(
        "whey",
        "whey",
        exact(dose, "mL") if asked is not None else span,
        formula="drink x share / (100 - share)",
        source="arithmetic; the share is common practice (16 to 65 % of the undiluted drink)",
        footing="practice" if asked is None else "given",
    )
    plan.put("whey_per_litre", exact(1000.0 * dose / drink, "mL"))
    plan.put("whey_share", exact(wheys.share(dose, drink), "%"))
    plan.put("trial_whey", exact(50.0 * dose / drink, "mL"), exactly=True)
    _mixed_in(plan, before, dose, data)
    plan.keeps.append((_WHEY_DAYS, "whey: 3 to 5 days cold, and foam fades sooner"))
    washed = any(told["operation"] in ("strip", "fat-wash") for told in plan.told.values())
    plan.told[plan.name] = {
        "operation": "several" if washed else "whey-dose",
        "whey_kind": "yoghurt-hung" if plan.holds("from-yoghurt") else "acid",
        "whey_volume": f"{dose:.4g} ml",
        "drink_volume": f"{drink:.4g} ml",
    }
    if before.strength.value > 0:
        plan.told[plan.name]["drink_strength"] = f"{before.strength.value:.3g}"


def _mixed_in(plan: Plan, before: Liquid, dose: float, data: wheys.Whey) -> None:
    drink = before.volume.value

    def poured(v: float, s: float) -> tuple[float, float]:
        mixed = mix((Poured(v, s), Poured(dose, inert=data.inert)))
        return mixed.volume, mixed.strength

    inputs = {"v": before.volume, "s": before.strength}
    volume = propagate(lambda v, s: poured(v, s)[0], inputs, unit="mL")
    strength = positive(propagate(lambda v, s: poured(v, s)[1], inputs, unit="%vol"))
    plan.flow("whey", "in", dose, 0.0)
    plan.flow("contraction", "out", drink + dose - volume.value, 0.0)
    part = dose / volume.value
    ph = _ph(before, dose, data)
    if ph is not None:
        plan.put("final_ph", ph)
        risk = wheys.haze_risk(ph, tannin=plan.holds("much-tannin") or plan.holds("some-tannin"))
        if risk.value != "low":
            plan.warn(
                f"Whey may haze this drink: about pH {ph.value:.1f} once it is in, and up to 3.6 "
                "whey stays clear. Try 50 ml first."
            )
    elif "whey_dose.final_ph" not in plan.quantities:
        plan.put("final_ph", Estimate(4.5, 3.5, 5.5, "pH"))
        plan.warn(
            "The pH of the drink is not known, so neither is whether whey hazes it: try 50 ml."
        )
    plan.ph_measured = False
    plan.drink = Liquid(
        volume=volume,
        strength=strength,
        acid=scaled(before.acid, 1.0 - part),
        ph=ph or before.ph,
        sugar=None if before.sugar is None else scaled(before.sugar, 1.0 - part),
        protein=summed(
            scaled(before.protein, 1.0 - part), scaled(data.protein, 1000.0 * part), "mg/L"
        ),
        lactose=summed(
            scaled(before.lactose, 1.0 - part), exact(data.lactose * part, "g/L"), "g/L"
        ),
    )


def _ph(before: Liquid, dose: float, data: wheys.Whey) -> Estimate | None:
    """pH of drink and whey; ``None`` when nothing is known of the drink's own."""
    if before.ph is None:
        return None
    acid = max(before.acid.value, 0.0)

    def both(drink_ph: float, whey_ph: float, lactic: float) -> float:
        return blend_ph(
            (
                citric_drink(before.volume.value, acid, drink_ph),
                whey_like(dose, lactic, whey_ph),
            )
        )

    return propagate(
        both,
        {
            "drink_ph": before.ph,
            "whey_ph": data.ph,
            "lactic": data.acid,
        },
        unit="pH",
        model=0.2,
    )

