"""The label card and the shopping list."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.science.allergen_sources import INGREDIENTS
from advisor.science.keeping import cold_limit
from advisor.science.labels import (
    LABEL_JURISDICTIONS,
    Ingredient,
    contains_milk,
    ingredient_list_exempt,
    labels,
)
from advisor.science.wording import DEFERRAL
from advisor.technique.protocol.model import LabelCard, Purchase

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.science.labels import Label
    from advisor.technique.protocol.model import Expected, Step
    from advisor.technique.protocol.plan import Bought, Plan

__all__ = ["allergens", "label_card", "refuse_limits", "shopping_list"]

_LIMITS = {
    "no_dairy": ("milk", "milk"),
    "no_nuts": ("nuts or peanuts", "tree-nuts", "peanuts"),
    "no_sesame": ("sesame", "sesame"),
    "no_egg": ("egg", "eggs"),
    "no_soy": ("soy", "soy"),
    "no_meat": ("fish", "fish"),
}
_ANIMAL = frozenset(("milk", "eggs", "fish", "crustaceans", "molluscs"))
_MEATS = frozenset(
    (
        "bacon-fat", "lard", "beef-tallow", "duck-fat", "goose-fat", "chicken-fat", "pork-fat",
        "gelatine", "beef-gelatine", "pork-gelatine",
    )
)  # fmt: skip
_GROUPS = ("drink", "milk", "acid", "fat", "clarifier", "other", "kit")
_SPARE = {"drink": 1.0, "milk": 1.1, "acid": 1.1, "fat": 1.1, "clarifier": 1.2, "other": 1.1}
_LEAST_ITEM = {"g": 0.1, "mL": 0.5}


def allergens(plan: Plan) -> dict[str, Label]:
    """What each law makes of everything that went in."""
    words = [Ingredient(i.word, i.form) for i in plan.ingredients]
    return labels(words, plan.processes)


def refuse_limits(plan: Plan) -> None:
    """``AdvisorError`` when something that the brief rules out would be in the drink."""
    found = allergens(plan)
    everywhere = frozenset().union(*(label.declare for label in found.values()))
    for limit, (name, *groups) in _LIMITS.items():
        if plan.brief.yes(limit) and everywhere & set(groups):
            raise _broken(plan, limit, name)
    animal = everywhere & _ANIMAL
    meat = [i.name for i in plan.ingredients if i.word in _MEATS]
    honey = [i.name for i in plan.ingredients if i.word == "honey"]
    if plan.brief.yes("no_animal") and (animal or meat or honey):
        raise _broken(plan, "no_animal", ", ".join(sorted(animal)) or (meat + honey)[0])
    if plan.brief.yes("no_meat") and meat:
        raise _broken(plan, "no_meat", meat[0])


def _broken(plan: Plan, limit: str, name: str) -> AdvisorError:
    from_what = [i.name for i in plan.ingredients if _brings(i.word, limit)]
    because = f" (from {', '.join(from_what)})" if from_what else ""
    return AdvisorError(
        "limit-broken",
        f"this way brings {name} into the drink{because}, and that is ruled out",
        where=limit,
        hint="no step takes it out again: use another ingredient, or a technique without it",
    )


def _brings(word: str, limit: str) -> bool:
    groups = set(_LIMITS.get(limit, ("",))[1:]) or set(_ANIMAL)
    own = {"tree-nuts" if g.startswith("nut:") else g for g in INGREDIENTS.get(word, ())}
    return bool(own & groups) or (limit in ("no_meat", "no_animal") and word in _MEATS)


def label_card(plan: Plan, outcome: Expected, title: str, made: str) -> LabelCard:
    """The card for the bottle. ``made`` is a date (YYYY-MM-DD), or empty for a blank to fill in."""
    found = allergens(plan)
    strength = outcome.strength
    milky = contains_milk([Ingredient(i.word, i.form) for i in plan.ingredients], plan.processes)
    use_by = ""
    if made:
        use_by = (_date(made) + timedelta(days=outcome.keep_days - 1)).isoformat()
    england = cold_limit("england").fact
    storage = [f"Keep closed, dark and cold, at 5 °C or below. {england} (England)"]
    storage += [why[:1].upper() + why[1:] + "." for why in outcome.keep_why]
    return LabelCard(
        name=title,
        ingredients=_ingredients(plan),
        statements={place: found[place].statement for place in LABEL_JURISDICTIONS},
        list_exempt={
            place: ingredient_list_exempt(max(0.0, min(100.0, strength.value)), place)
            for place in LABEL_JURISDICTIONS
        },
        contains_milk=milky,
        strength=strength,
        serve_ml=outcome.serve_ml,
        drinks=outcome.drinks,
        lactose=outcome.lactose_per_serve,
        storage=tuple(storage),
        made=made,
        use_by=use_by,
        deferral=DEFERRAL,
    )


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise AdvisorError(
            "date", f"{text!r} is not a date", where="made", hint="write it as 2026-11-25"
        ) from None


def _ingredients(plan: Plan) -> tuple[str, ...]:
    """Names, heaviest first; what is taken out again stands last, as what it was treated with."""
    weights: dict[str, float] = {}
    for one in plan.ingredients:
        if not one.aid:
            weights[one.name] = weights.get(one.name, 0.0) + one.grams
    names = sorted(weights, key=lambda n: -weights[n])
    aids = dict.fromkeys(f"treated with {i.name}" for i in plan.ingredients if i.aid)
    return (*names, *aids)


def shopping_list(plan: Plan, steps: Sequence[Step]) -> tuple[Purchase, ...]:
    """What to get, grouped, with a spare for what sticks and spills; then the kit."""
    merged: dict[tuple[str, str], Bought] = {}
    totals: dict[tuple[str, str], list[float]] = {}
    for bought in plan.bought:
        key = (bought.group, bought.item)
        merged.setdefault(key, bought)
        if bought.amount is not None:
            sums = totals.setdefault(key, [0.0, 0.0, 0.0])
            for i, n in enumerate((bought.amount.value, bought.amount.low, bought.amount.high)):
                sums[i] += n
    lines = []
    for key, bought in merged.items():
        if bought.amount is None:
            lines.append(Purchase(bought.group, bought.item, bought.text, note=bought.note))
            continue
        value, low, high = totals[key]
        unit = bought.amount.unit
        most = high if bought.group == "acid" else value
        wanted = max(value, most) * _SPARE.get(bought.group, 1.1)
        lines.append(
            Purchase(
                bought.group,
                bought.item,
                bought.text,
                type(bought.amount)(value, low, high, unit),
                max(wanted, _LEAST_ITEM.get(unit, 0.0)),
                unit,
                _note(bought),
            )
        )
    kit = dict.fromkeys(tool for step in steps for tool in step.kit)
    lines += [Purchase("kit", tool, tool) for tool in kit]
    return tuple(sorted(lines, key=lambda p: _GROUPS.index(p.group)))


def _note(bought: Bought) -> str:
    if bought.item == "citric-15":
        return "15 g citric acid, made up to 100 ml with water"
    if bought.item == "butter":
        return "loses water and a little in the pan as it browns"
    return bought.note
