"""Keeping, service, guests and sums, as people tell it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.fats import fat as fat_data
from advisor.simulator.facts._say import made, served, yes
from advisor.simulator.state import reached

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

    _Facts = Mapping[str, Callable[[State, Chance], str | None]]


def _days(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "fresh"):
        return None
    days = state.made.keeping.days
    return f"{round(days * (1.0 + chance.normal(0.05))):g} days" if days >= 1.0 else "0 days"


def _warm_hours(state: State, chance: Chance) -> str | None:
    hours = state.made.keeping.hours_warm * (1.0 + chance.normal(0.1))
    return f"{round(hours, 1) if hours < 5.0 else round(hours):g} h"


def _kept(read: Callable[[State], str | None]) -> Callable[[State, Chance], str | None]:
    return made(lambda s: read(s) if s.made.keeping.days > 2.0 else None)


def _noticed(read: Callable[[State], float], limit: float) -> Callable[[State, Chance], str]:
    def fact(state: State, chance: Chance) -> str:
        return yes(chance.seen(read(state), limit))

    return fact


def _swirl(state: State, chance: Chance) -> str | None:
    if not reached(state.made, "days"):
        return None
    if not state.made.serving.bottle_mixed:
        return "yes"
    return "no" if state.kept.ring + state.kept.floor + state.kept.clumps > 30.0 else None


def _serve(state: State, chance: Chance) -> str:
    return f"{state.made.serving.serve_ml:g} ml"


def _first_pour(state: State) -> str | None:
    if state.made.serving.jug_mixed:
        return "alike"
    return "first-weak-last-sweet" if state.fresh.sugar > 20.0 else "first-strong"


def _nuts(state: State) -> str:
    made = state.made
    nutty = made.fat is not None and bool(
        {"peanuts", "tree-nuts", "sesame", "soy"} & set(fat_data(made.fat.species).contains)
    )
    milk = made.milk is not None and made.milk.kind in ("almond", "soy")
    return yes(nutty or milk or made.drink.nut_milk > 0.0 or made.people.allergen_oil != "none")


def _oil(state: State) -> str | None:
    made = state.made
    if made.people.allergen_oil != "none":
        return made.people.allergen_oil
    if made.fat is None:
        return "none"
    words = {"sesame-oil": "sesame-oil", "toasted-sesame-oil": "sesame-oil",
             "coconut-oil": "coconut-oil", "nut-paste": "tree-nut-oil",
             "peanut-butter": "peanut-oil"}  # fmt: skip
    return words.get(made.fat.kind, "none")


def _ice_look(state: State) -> str:
    return "white-core" if state.made.serving.ice_minerals > 0.4 else "clear"


def _hot_plan(state: State) -> str | None:
    plan = state.made.people.hazard_plan
    return plan if plan in ("hot-fat", "centrifuge", "cryogen") else None


def _label(state: State) -> str:
    drink = state.made.drink
    gap = drink.spirit_strength - drink.said_spirit_strength
    if drink.water_by_volume:
        return "same"  # the strong bottle is what the recipe says; what was cut has no label
    return "weaker" if gap < -0.6 else "stronger" if gap > 0.6 else "same"


KEEPING: _Facts = {
    "kept_where": made(lambda s: s.made.keeping.where if reached(s.made, "fresh") else None),
    "kept_days": _days,
    "hours_warm": _warm_hours,
    "half_empty_bottle": _kept(lambda s: yes(s.made.keeping.half_empty)),
    "light_exposed": _kept(lambda s: yes(s.made.keeping.light)),
    "gas_or_film": _noticed(lambda s: max(s.kept.gas, s.kept.film), 0.25),
    "new_sour_smell": _noticed(lambda s: max(s.kept.sour_smell, 0.7 * s.kept.vinegar * (
        s.made.drink.acid_kind != "vinegar") * (s.made.drink.wine_sulphur == 0.0)), 0.4),
    "swirl_mends_it": _swirl,
    "juice_added_after": made(lambda s: yes(
        s.made.serving.juice_ml_per_100 > 0.0) if reached(s.made, "service") else None),
    "vessel_kind": made(lambda s: "bare-metal" if s.made.keeping.metal
                         else s.made.keeping.vessel),
    "metal_touched": made(lambda s: yes(bool(s.made.keeping.metal))),
    "live_culture_or_juice": made(lambda s: yes(s.made.keeping.live_culture or (
        s.made.serving.juice_where == "the-bottle" and s.made.serving.juice_ml_per_100 > 0.0))),
    "was_carbonated": made(lambda s: yes(s.made.serving.carbonated)),
}  # fmt: skip

SERVICE: _Facts = {
    "tannin_added_after": served(lambda s: yes(s.made.serving.tannic_after > 0.0)),
    "bitter_before_addition": served(lambda s: (
        yes(s.taste.bite - s.made.serving.tannic_after > 0.12)
        if s.made.serving.tannic_after > 0.0 else None)),
    "serve_volume": _serve,
    "ice_look": served(_ice_look),
    "shaken_or_blended": made(lambda s: yes(s.made.serving.shaken)
                               if reached(s.made, "straining") else None),
    "mixer_dairy": served(lambda s: yes(s.made.serving.mixer_dairy)),
    "juice_went_into": served(lambda s: s.made.serving.juice_where
                               if s.made.serving.juice_ml_per_100 else None),
    "juice_strained": served(lambda s: s.made.serving.juice_strained
                              if s.made.serving.juice_ml_per_100 else None),
    "first_pour": served(_first_pour),
    "filled_warm": served(lambda s: yes(s.made.serving.filled_warm)
                           if s.made.serving.carbonated else None),
}  # fmt: skip

PEOPLE: _Facts = {
    "guest_question": made(lambda s: s.made.people.guest),
    "menu_claim": made(lambda s: s.made.people.claim),
    "diet_claim": made(lambda s: s.made.people.diet_claim),
    "nut_or_seed_used": made(_nuts),
    "allergen_oil": made(_oil),
    "oil_refining": made(lambda s: s.made.people.oil_refining if _oil(s) != "none" else None),
    "hot_fat_plan": made(_hot_plan),
    "cryogen_used": made(lambda s: yes(s.made.people.hazard_plan == "cryogen")),
    "shared_kit": made(lambda s: yes(s.made.people.shared_kit)),
    "bottled_for_sale": made(lambda s: yes(s.made.people.bottled_for_sale)),
    "strength_from": made(lambda s: s.made.people.strength_from),
    "country": made(lambda s: s.made.people.country),
    "leftovers_offered": made(lambda s: yes(s.made.people.leftovers)),
    "strength_read_with": made(lambda s: s.made.plan.strength_tool),
    "sheet_recheck": made(lambda s: s.made.plan.sheet),
    "spirit_label": made(lambda s: _label(s)),
}
