"""What should come of it: volume, strength, protein, keeping, cost; and what does not scale."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from advisor.science import cost as costs
from advisor.science.estimate import Estimate, propagate
from advisor.science.keeping import keeping_band
from advisor.science.serving import BASES, standard_drinks
from advisor.technique.protocol.model import Cost, Expected
from advisor.technique.protocol.plan import WET
from advisor.technique.protocol.start import serve_ml

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.technique.protocol.plan import Plan

__all__ = ["days_if_measured", "expected", "keeping", "not_linear"]

_TCS_DAYS = 7
_STRONG_DAYS = 14
_CLEAR_DAYS = 28
_IF_MEASURED = (
    "{days} days only once a calibrated pH meter has read below 4.2 in the finished drink (US: "
    "Food Code Table B)"
)
_PER = 1000.0  # prices are per litre or per kilogram


def expected(plan: Plan, prices: Mapping[str, float]) -> Expected:
    """The finished drink, with intervals."""
    drink = plan.drink
    serve = serve_ml(plan.brief)
    days, band, why = keeping(plan)
    milky = plan.holds("dairy")
    serves = tuple(
        costs.serves(volume, serve)
        for volume in (drink.volume.low, drink.volume.value, drink.volume.high)
    )
    return Expected(
        volume=drink.volume,
        strength=drink.strength,
        ph=drink.ph,
        curd=plan.curd,
        acid_excess=plan.acid_excess,
        whey_protein=drink.protein if milky else None,
        protein_per_serve=_per_serve(drink.protein, serve, "mg") if milky else None,
        lactose_per_serve=_per_serve(drink.lactose, serve, "g") if milky else None,
        sugar=drink.sugar,
        serve_ml=serve,
        serves=(serves[0], serves[1], serves[2]),
        drinks={
            basis: propagate(
                lambda s, basis=basis: standard_drinks(serve, max(0.0, min(100.0, s)), basis),
                {"s": drink.strength},
                unit="drinks",
            )
            for basis in BASES
        },
        keep_days=days,
        keep_band=band,
        keep_why=why,
        cost=_cost(plan, prices, serves[1]),
    )


def _per_serve(per_litre: Estimate, serve: float, unit: str) -> Estimate:
    factor = serve / 1000.0
    return Estimate(
        per_litre.value * factor,
        max(0.0, per_litre.low) * factor,
        per_litre.high * factor,
        unit,
    )


def keeping(plan: Plan) -> tuple[int, str, tuple[str, ...]]:
    """Days in the fridge, counting the day of making as day 1; the band; and why.

    The pH tables of the FDA Food Code and its seven days come first; practice shortens them,
    alcohol never lengthens them for what holds milk or egg. Only a pH that was measured counts
    in the tables, never one that was worked out.
    """
    ph = plan.drink.ph
    strength = _strength(plan)
    band = keeping_band(strength, ph if ph is not None and plan.ph_measured else 7.0)
    perishable = plan.holds("dairy") or any(
        i.word in ("egg", "egg-white") for i in plan.ingredients
    )
    limits = list(plan.keeps)
    if band == "non-tcs":
        limits.append(
            (_CLEAR_DAYS, "sharp enough to fall outside the US pH table (Food Code Table B): "
             "quality, not safety, sets this; common practice")
        )  # fmt: skip
        if strength.low < 10.0:
            limits.append((_TCS_DAYS, "under 10 % vol: treated as perishable (working rule)"))
    elif band == "cold-strong" and not perishable:
        limits.append(
            (_STRONG_DAYS, "strong and without milk or egg; its pH is above the US table or not "
             "known, so it stays cold; two weeks is common practice")
        )  # fmt: skip
    else:
        known = (
            "its pH is not known" if ph is None
            else "its pH is not below 4.2 for certain" if plan.ph_measured
            else f"its pH is a sum (about {ph.value:.1f}), not a reading"
        )  # fmt: skip
        limits.append(
            (_TCS_DAYS, f"{known}: 7 days at 5 °C or below, day of making = day 1 (US: FDA Food "
             "Code 3-501.17)")
        )  # fmt: skip
    days = min(limit for limit, _ in limits)
    later = days_if_measured(plan, days)
    wanted = plan.brief.number("keep_wanted")
    if wanted is not None and wanted > days:
        plan.warn(
            f"It is wanted for {wanted:g} days; {days} is what can be said for it. "
            + (f"Measure its pH: {_IF_MEASURED.format(days=later)}. " if later else "")
            + "Freeze part of it, or make it in smaller lots."
        )
    because = [why for limit, why in sorted(limits) if limit == days]
    if later:
        because.append(_IF_MEASURED.format(days=later))
    return days, band, tuple(because)


def days_if_measured(plan: Plan, days: int) -> int:
    """Days once a meter has read below pH 4.2 in the finished drink; 0 where that adds none.

    Only for a drink of 10 % vol or more whose worked-out pH lies below 4.2.
    """
    ph = plan.drink.ph
    if plan.ph_measured or ph is None or ph.value >= 4.2 or _strength(plan).low < 10.0:
        return 0
    later = min((_CLEAR_DAYS, *(limit for limit, _ in plan.keeps)))
    return later if later > days else 0


def _strength(plan: Plan) -> Estimate:
    given = plan.drink.strength
    return Estimate(given.value, max(0.0, given.low), min(100.0, given.high), "%vol")


def _cost(plan: Plan, prices: Mapping[str, float], serves: int) -> Cost | None:
    known = dict(prices)
    base = plan.brief.number("base_cost")
    if base is not None:
        known.setdefault("drink", base)
    if not known:
        return None
    items: dict[str, float] = {}
    missing: list[str] = []
    for bought in plan.bought:
        price = known.get(bought.item, known.get(bought.group))
        if bought.amount is None:
            continue
        if price is None:
            missing.append(bought.text)
            continue
        items[bought.item] = items.get(bought.item, 0.0) + bought.amount.value / _PER * price
    if not items:
        return None  # none of the prices is of anything here: no cost is known, not a cost of 0
    total = math.fsum(items.values())
    litres = plan.drink.volume.value / 1000.0
    per_litre = total / litres
    limit = plan.brief.number("cost_limit")
    if limit is not None and per_litre > limit:
        plan.warn(f"A litre comes to {per_litre:.2f}, over the limit of {limit:g}.")
    return Cost(
        total,
        per_litre,
        costs.cost_per_serve(items, serves) if serves >= 1 else None,
        items,
        tuple(missing),
    )


def not_linear(plan: Plan) -> tuple[str, ...]:
    """What does not follow the amount of drink, with the numbers of this batch."""
    said = [
        f"Losses: paper, cloth and vessel keep about {WET.value:g} ml ({WET.low:g} to "
        f"{WET.high:g}) at each straining, whatever the size; of this batch that is "
        f"{100 * WET.value / plan.drink_ml:.2g} % each time."
    ]
    by_name = {key.partition(".")[2]: q for key, q in plan.quantities.items()}
    area = by_name.get("filter_area")
    if area is not None and area.amount is not None:
        said.append(
            f"Filter: {area.amount.value:.0f} cm² here; the area has to grow with the batch. On "
            "one and the same filter twice the batch takes four times as long, because the bed is "
            "twice as deep as well (Darcy's law)."
        )
    least = by_name.get("least_cold")
    if least is not None and least.amount is not None:
        said.append(
            f"Cold: this jar takes {least.amount.low / 60:.2g} to {least.amount.high / 60:.2g} h "
            "to get cold; a jar of the same shape with eight times the volume takes twice as long. "
            "Several small jars cool like one small jar."
        )
    warming = by_name.get("warming")
    if warming is not None and warming.amount is not None and plan.holds("hot-milk"):
        said.append(
            f"Heat: the milk takes about {max(1.0, warming.amount.value):.2g} min on a ring of "
            "1.5 kW, and on the same ring as much longer as there is more of it; it catches on the "
            "bottom sooner in a tall pot."
        )
    if "height" in by_name or "stand" in by_name:
        said.append(
            "Settling: time goes with the height of the jar, not with the volume. Eight times the "
            "volume in a jar of the same shape is twice as tall and takes twice as long."
        )
    if "pour_time" in by_name:
        said.append(
            "Pouring: 1 to 2 minutes a litre, so a large batch is poured for long; in a large "
            "vessel stir slowly once round, for acid hides in dead corners."
        )
    said.append("The glass set aside is 10 to 100 ml, not a share of the batch.")
    said += [n for n in costs.not_linear(plan.litres) if n.startswith(("Zest", "Acid"))]
    if plan.holds("large"):
        said.append("Above 5 litres run a 500 ml batch first: nothing else shows what changes.")
    return tuple(said)
