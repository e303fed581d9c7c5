"""What is in the liquid: between the curds, through the filter, with whey, aged, poured.

Amounts follow from what went in; shares passed or kept are judgement unless said otherwise.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.science.curd import onset_ph
from advisor.science.curd_yield import whey_protein_left
from advisor.science.milks import milk
from advisor.simulator.base import sense
from advisor.simulator.bottle import juice_pulp
from advisor.simulator.liquid import Liquid, fat_solubility
from advisor.simulator.straining import fat_carried, gathered

if TYPE_CHECKING:
    from advisor.simulator.base import Base
    from advisor.simulator.bottle import Kept
    from advisor.simulator.dosing import Dosed
    from advisor.simulator.fatwash import FatWash
    from advisor.simulator.making import Drink, Making
    from advisor.simulator.straining import Run
    from advisor.simulator.wash import Wash

__all__ = ["aged", "between", "poured", "through", "with_whey"]

_HAZES = ("pulp", "pectin", "gum", "starch", "cocoa", "nut_milk", "oil", "honey", "egg",
          "gelatin", "wine_protein")  # fmt: skip
_THROUGH = {"metal-sieve": 0.9, "cloth": 0.4, "paper": 0.05, "cloth-then-paper": 0.04,
            "centrifuge": 0.05}  # fmt: skip


def between(made: Making, base: Base, wash: Wash, washed: FatWash | None) -> Liquid:
    """The liquid between the curds, before any filter."""
    drink = made.drink
    left = 1.0 - wash.milk_share
    amounts: dict[str, float] = {"fines": wash.fines}
    for kind in _HAZES:
        amount = _own_haze(drink, kind)
        if amount > 0.0:
            # Grape protein is in solution at first and comes out with the days (``aged``).
            name = "wine_dissolved" if kind == "wine_protein" else kind
            amounts[name] = amount * left * (1.0 - gathered(kind, wash))
    amounts["milk_fat"] = fat_carried(made, wash)
    if washed is not None:
        kept = left * (0.3 if made.milk is not None else 1.0)
        amounts["wash_fat"] = washed.carried * kept
        amounts["fat_emulsion"] = washed.fine * kept
        amounts["nut_solids"] = washed.solids * kept
        amounts["bits"] = washed.bits * kept
    _milk_extras(made, wash, amounts)
    dissolved = _dissolved_fat(made, wash, washed)
    protein = 0.0
    if made.milk is not None:
        item = milk(made.milk.kind)
        stays = whey_protein_left(made.milk.kind, wash.temperature).value / 100.0
        protein = item.protein * item.density * 10.0 * wash.milk_share * stays
        if item.casein == 0.0:
            protein *= 1.0 if item.curd == "no" else 0.6
        amounts["lactose"] = item.lactose * item.density * 10.0 * wash.milk_share * 1000.0
    casein = wash.casein_left
    return Liquid(
        amounts=amounts, casein=casein, whey_protein=protein,
        tannin=sense(wash.polyphenols, "tannin"), strength=wash.strength, ph=wash.ph,
        acid=wash.acid, sugar=base.sugar * left, full=wash.full_ph,
        onset=max(wash.onset, onset_ph(20.0)), dissolved_fat=dissolved,
        air=1.0 if made.serving.shaken and made.plan.moment in ("straining", "fresh") else 0.0,
    )  # fmt: skip


def _own_haze(drink: Drink, kind: str) -> float:
    if kind == "wine_protein":
        return drink.spoilt_wine_protein
    if kind == "pulp":
        return drink.pulp * 1000.0
    return float(getattr(drink, kind))


def _milk_extras(made: Making, wash: Wash, amounts: dict[str, float]) -> None:
    used = made.milk
    if used is None:
        return
    item = milk(used.kind)
    share = wash.milk_share
    if used.lumps:
        amounts["lumps"] = used.lumps * share * 1000.0
    if used.powder_g_per_l:
        amounts["whey_fines"] = amounts.get("whey_fines", 0.0) + 2.5 * used.powder_g_per_l * share
    if used.gums:
        amounts["gum"] = amounts.get("gum", 0.0) + (350.0 if item.casein else 800.0) * share
    if item.curd == "no" or item.casein == 0.0:
        # A plant drink is an emulsion and a fine suspension that nothing gathers.
        fat = item.fat * item.density * 10.0 * 1000.0 * share
        amounts["nut_milk"] = amounts.get("nut_milk", 0.0) + fat * (
            0.02 if item.curd == "soy" else 0.25
        )
        if used.kind in ("oat", "rice"):
            amounts["starch"] = amounts.get("starch", 0.0) + 1800.0 * share


def _dissolved_fat(made: Making, wash: Wash, washed: FatWash | None) -> float:
    if washed is not None:
        return washed.dissolved * (0.15 if made.milk is not None else 1.0)
    if made.milk is None or milk(made.milk.kind).fat < 0.5:
        return 0.0
    # Milk fat is held in its globules: only a part meets the spirit (judgement).
    warm = max(wash.temperature, made.straining.temperature)
    return 0.28 * fat_solubility(wash.strength, min(60.0, warm))


def through(made: Making, mix: Liquid, run: Run) -> Liquid:
    """What the filter lets through."""
    how = made.straining
    open_share = _THROUGH[how.filter_kind] * 0.6 ** (how.passes - 1)
    amounts = dict(mix.amounts)
    if made.milk is not None:
        amounts["fines"] = run.fines
    for kind in ("pulp", "cocoa", "whey_fines", "lumps"):
        if kind in amounts:
            amounts[kind] *= {"cocoa": min(1.0, 2.5 * open_share + 0.12)}.get(kind, open_share)
    if how.cloth_lint:
        amounts["lint"] = how.cloth_lint * (0.15 if how.filter_kind == "cloth-then-paper" else 1.0)
    cold = how.temperature < 7.0 and made.fat is None
    if cold:
        amounts["milk_fat"] = amounts.get("milk_fat", 0.0) * 0.35
    dissolved = mix.dissolved_fat * (0.35 if cold else 1.0)
    return replace(mix, amounts=amounts, dissolved_fat=dissolved)


def with_whey(fresh: Liquid, dosed: Dosed) -> Liquid:
    thin = fresh.thinned(dosed.share / (1.0 - dosed.share))
    amounts = dict(thin.amounts)
    amounts["whey_fines"] = amounts.get("whey_fines", 0.0) + dosed.fines
    amounts["milk_fat"] = amounts.get("milk_fat", 0.0) + dosed.fat
    amounts["grains"] = dosed.grains
    amounts["fines"] = amounts.get("fines", 0.0) + dosed.flakes
    amounts["lactose"] = amounts.get("lactose", 0.0) + 1000.0 * dosed.lactose
    return replace(
        thin, amounts=amounts, ph=dosed.ph, casein=thin.casein + dosed.casein_left,
        whey_protein=thin.whey_protein + dosed.protein, dosed_protein=dosed.protein,
        strength=dosed.strength, full=4.7, onset=5.3,
    )  # fmt: skip


def aged(fresh: Liquid, kept: Kept, made: Making) -> Liquid:
    """After its days: grains on the floor, feathers and flakes where they formed."""
    if made.keeping.days <= 0.0:
        return fresh
    amounts = dict(fresh.amounts)
    amounts["fines"] = max(0.0, amounts.get("fines", 0.0) - kept.floor)
    if kept.clumps or kept.flakes:
        amounts["clumps"] = kept.clumps + kept.flakes
    if kept.calcium:
        amounts["salts"] = kept.calcium
    if "wine_dissolved" in amounts:
        amounts["wine_protein"] = amounts["wine_dissolved"] * min(1.0, made.keeping.days / 5.0)
    if made.serving.juice_where == "the-bottle":
        amounts["pulp"] = amounts.get("pulp", 0.0) + juice_pulp(made)
    return replace(fresh, amounts=amounts)


def poured(made: Making, bottle: Liquid) -> tuple[Liquid, float]:
    """The glass, and mg/L of flakes from casein that met fresh acid, or a mixer that did."""
    serving = made.serving
    glass = bottle.thinned(serving.ice + serving.with_water)
    amounts = dict(glass.amounts)
    flakes = 0.0
    juice = serving.juice_ml_per_100 if serving.juice_where == "each-glass" else 0.0
    if juice:
        amounts["pulp"] = amounts.get("pulp", 0.0) + juice_pulp(made)
        ph = min(glass.ph, max(3.0, glass.ph - 0.09 * juice))
        glass = replace(glass, ph=ph)
    if (juice or serving.with_water) and glass.casein > 0.0 and juice:
        flakes = 1000.0 * glass.casein * 0.9
    if serving.mixer_dairy:
        flakes += 3000.0 * (bottle.ph < 5.0)
    if flakes:
        amounts["flakes"] = flakes
    if serving.ice_minerals:
        amounts["salts"] = amounts.get("salts", 0.0) + 120.0 * serving.ice_minerals
    air = 1.0 if serving.shaken else 0.0
    return replace(glass, amounts=amounts, air=air), flakes
