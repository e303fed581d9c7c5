"""Curd made apart and steeped in the drink; its whey is kept for a later part, or poured off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError
from advisor.science.curd_yield import (
    curd_mass,
    curd_moisture,
    drink_yield,
    liquid_held,
    whey_protein_left,
)
from advisor.science.estimate import Estimate, exact, propagate
from advisor.science.milk_buffer import coagulation_ph
from advisor.science.mixing import Part as Poured
from advisor.science.mixing import mix
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
from advisor.technique.protocol.plan import WET, Liquid, Plan, scaled

if TYPE_CHECKING:
    from advisor.science.milks import Milk

__all__ = ["curd_steep"]


def curd_steep(plan: Plan) -> None:
    """Curd made apart and steeped in the drink; its whey is kept for a later part, or poured off.

    The curd brings the whey it holds and takes as much liquid along again.
    """
    kind = milk_checked(plan)
    if kind.sour > 0.0:
        raise AdvisorError(
            "milk-clotted",
            f"{kind.title} is clotted already: no curd can be made of it apart",
            where="milk_wanted",
            hint="take milk, or wash the drink with it directly (strip)",
        )
    before = plan.drink
    drink = before.volume.value
    milk_ml, span = milk_amount(plan, kind, drink)
    hot = plan.dial("milk_temperature")
    plan.mark("hot-milk", hot >= HOT)
    plan.mark("cold-milk", hot < HOT)
    apart = Plan(
        base=plan.base, brief=plan.brief, technique=plan.technique, overrides=plan.overrides,
        drink=Liquid(exact(0.0, "mL"), exact(0.0, "%vol"), exact(0.0, "g/L")),
        drink_ml=plan.drink_ml, circumstances=plan.circumstances, now=plan.now, used=plan.used,
    )  # fmt: skip
    item, amount, _ = acid_for(apart, kind, milk_ml, hot, apart=True)
    plan.put("drink", exact(drink, "mL"), exactly=True)
    plan.word("milk_name", kind.title)
    plan.dose(
        "milk", kind.title, span,
        formula="drink x share / (100 - share), for as much casein as cow milk has",
        source="arithmetic; the share is common practice; casein: FAO 2013, Table 3.1",
        footing="given" if span.low == span.high else "practice",
    )  # fmt: skip
    plan.put("milk_temperature", exact(hot, "degC"), exactly=True)
    plan.put("rest", exact(plan.dial("rest"), "h"), exactly=True)
    milk_bought(plan, kind, milk_ml)
    acid_dosed(plan, item, amount, milk_ml)
    accept = round(coagulation_ph(hot, kind.id) + 0.1, 1)
    plan.put("split_reading", exact(accept, "pH"), exactly=True)
    plan.put("steep", exact(plan.dial("steep"), "h"), exactly=True)
    moisture = curd_moisture(hot)
    curd = propagate(lambda m: curd_mass(milk_ml, kind.id, m), {"m": moisture}, unit="g")
    held = propagate(lambda m: liquid_held(milk_ml, kind.id, m), {"m": moisture}, unit="mL")
    plan.curd = curd
    poured = amount.value if item.form == "liquid" else 0.0
    kept = positive(
        propagate(
            lambda held, wet: 0.95 * (milk_ml + poured - held) - wet,
            {"held": held, "wet": WET},
            unit="mL",
        )
    )
    plan.whey_kept = kept
    through_filter(plan, drink, curd.value)
    plan.put("curd", curd)
    plan.put("curd_whey", held)
    plan.put("whey_kept", kept)
    after = _steeped(plan, kind, before, milk_ml, held, hot)
    plan.put("yield", after.volume)
    plan.put("yield_least", exact(after.volume.low, "mL"), exactly=True)
    _steep_balance(plan, before, after, held.value)
    plan.drink = after
    plan.ph_measured = False
    plan.told[plan.name] = {
        "operation": "strip",
        "milk_kind": kind.id,
        "milk_volume": f"{milk_ml:.4g} ml",
    }


def _steeped(
    plan: Plan, kind: Milk, before: Liquid, milk_ml: float, held: Estimate, hot: float
) -> Liquid:
    def both(v: float, s: float, whey: float) -> Any:
        return mix((Poured(v, s), Poured(whey, inert=0.04)))

    inputs = {"v": before.volume, "s": before.strength, "whey": held}
    total = propagate(lambda **k: both(**k).volume, inputs, unit="mL")
    strength = positive(propagate(lambda **k: both(**k).strength, inputs, unit="%vol"))
    # The curd takes along what it brought; vessels keep the rest, as without curd.
    left = positive(propagate(lambda t, h: t - h, {"t": total, "h": held}, unit="mL"))
    finished = less_wet(drink_yield(left.value, 0.0, 0.0))
    share = held.value / max(1e-9, total.value)
    protein_left = whey_protein_left(kind.id, hot)
    in_whey = scaled(
        protein_left, kind.density * kind.protein / 100.0 / 100.0 * 1e6 * share, "mg/L"
    )
    half = 0.05 * kind.lactose
    lactose = Estimate(kind.lactose, kind.lactose - half, kind.lactose + half)
    del milk_ml
    return Liquid(
        volume=Estimate(
            finished.value,
            min(finished.value, finished.low),
            max(finished.value, min(finished.high, left.high)),
            "mL",
        ),
        strength=strength,
        acid=scaled(before.acid, 1.0 - share),
        ph=before.ph,
        sugar=None if before.sugar is None else scaled(before.sugar, 1.0 - share),
        protein=summed(scaled(before.protein, 1.0 - share), in_whey, "mg/L"),
        lactose=summed(
            scaled(before.lactose, 1.0 - share),
            scaled(lactose, 10.0 * kind.density * share, "g/L"),
            "g/L",
        ),
    )


def _steep_balance(plan: Plan, before: Liquid, after: Liquid, held: float) -> None:
    together = mix((Poured(before.volume.value, before.strength.value), Poured(held, inert=0.04)))
    share = together.strength / 100.0
    plan.flow("whey in the curd", "in", held, 0.0)
    plan.flow("contraction", "out", before.volume.value + held - together.volume, 0.0)
    in_curd = min(held, together.volume - after.volume.value)
    plan.flow("liquid in the curd", "out", in_curd, in_curd * share)
    rest = together.volume - after.volume.value - in_curd
    plan.flow("cloth, paper and vessels", "out", rest, rest * share)
