"""Allergens of a drink, as a set for each jurisdiction, from what went in and what was done.

Milk is sticky: whatever milk, curd, whey, cream, butter, brown butter, ghee, yoghurt
or casein has touched contains milk. Nothing clears it: not clarity, filtration,
strength or dilution. Lactose is a separate number (``residues``). Being below a
detection limit is not the same as being free of something.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science._guard import within
from advisor.science.allergen_sources import (
    ALSO_DECLARED,
    CHECKS,
    DISTILLABLE,
    FORMS,
    GROUPS,
    INGREDIENTS,
    LISTED_ELSEWHERE,
    MILK_KINDS,
    PROCESSES,
    REFINABLE,
    TREE_NUTS,
)
from advisor.science.wording import Caution

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "LABEL_JURISDICTIONS",
    "Ingredient",
    "Label",
    "cautions",
    "contains_milk",
    "ingredient_list_exempt",
    "labels",
    "milk_ingredient",
]

LABEL_JURISDICTIONS = ("eu", "uk", "us", "canada")
_LAW = {
    "eu": "EU Regulation 1169/2011 Annex II and Art. 9(1)(c)",
    "uk": "UK: retained Regulation 1169/2011",
    "us": "US: FD&C Act, FASTER Act; labelling of alcoholic drinks was still voluntary under TTB",
    "canada": "Canada: priority allergen list",
}
_US_SULPHITES = "sulphites from 10 ppm: 27 CFR 4.32(e), 21 CFR 101.100(a)(4)"
_PLAIN_NAMES = {
    "tree-nuts": "nuts",
    "gluten": "cereals containing gluten",
    "sulphites": "sulphites",
}


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient word and its form: ``plain``, ``refined`` (oil) or ``distilled`` (after)."""

    kind: str
    form: str = "plain"


@dataclass(frozen=True, slots=True)
class Label:
    """What must be declared, what must be checked with the supplier, and what is not known here."""

    jurisdiction: str
    declare: frozenset[str]
    check: frozenset[str]
    unknown: frozenset[str]

    @property
    def statement(self) -> str:
        """The declaration in words; silence is never presented as a clearance."""
        said = []
        if self.declare:
            said.append(f"Contains {_words(self.declare)}.")
        if self.check:
            said.append(f"Check with the supplier for {_words(self.check)}.")
        if self.unknown:
            said.append(f"Not known here, read the label: {', '.join(sorted(self.unknown))}.")
        if not said:
            said.append("None of the listed allergens is among the named ingredients.")
            said.append("Traces from shared kit are possible.")
        return " ".join(said)


def _words(groups: Iterable[str]) -> str:
    return ", ".join(sorted(_PLAIN_NAMES.get(g, g) for g in groups))


def milk_ingredient(milk_kind: str) -> str:
    """The ingredient word of a milk kind: a plant drink by its own, all dairy as ``milk``."""
    return MILK_KINDS.get(milk_kind, "milk")


def _items(ingredients: Iterable[Ingredient | str], steps: Iterable[str]) -> list[Ingredient]:
    items = [i if isinstance(i, Ingredient) else Ingredient(i) for i in ingredients]
    for item in items:
        if item.form not in FORMS:
            raise ValueError(f"form must be one of {', '.join(FORMS)}; got {item.form!r}")
    for step in steps:
        if step not in PROCESSES:
            raise ValueError(f"step must be one of {', '.join(PROCESSES)}; got {step!r}")
        items += [Ingredient(word) for word in PROCESSES[step]]
    return items


def _resolve(groups: Iterable[str], law: str) -> set[str]:
    """Nut words become ``tree-nuts`` where that nut is listed; groups of other laws drop out."""
    found = set()
    for group in groups:
        if group.startswith("nut:"):
            nut = group.removeprefix("nut:")
            if nut == "any" or nut in TREE_NUTS[law]:
                found.add("tree-nuts")
        elif group in GROUPS[law] or group in ALSO_DECLARED.get(law, ()):
            found.add(group)
    return found


def _judge(item: Ingredient, law: str) -> tuple[set[str], set[str]]:
    """What one ingredient makes one law declare, and check."""
    declare = _resolve(INGREDIENTS[item.kind], law)
    check = _resolve(CHECKS.get(item.kind, ()), law)
    check -= LISTED_ELSEWHERE.get((law, item.kind), frozenset())
    if item.form == "distilled" and item.kind in DISTILLABLE:
        return (set(), check) if law == "eu" else (set(), check | declare)
    if item.form == "refined" and item.kind in REFINABLE:
        if law == "us" or (law == "eu" and item.kind == "soybean-oil"):
            return set(), check
        if law == "canada":
            return set(), check | declare
    return declare, check


def labels(
    ingredients: Iterable[Ingredient | str],
    steps: Iterable[str] = (),
    *,
    sulphites: float | None = None,
    jurisdictions: Iterable[str] = LABEL_JURISDICTIONS,
) -> dict[str, Label]:
    """Allergens by jurisdiction.

    ``steps`` are process words (``milk-wash``, ``filter`` ...); they add, never clear.
    ``sulphites`` measured in mg/L as SO2: declared above 10 (EU, UK) or from 10 (Canada; the US,
    27 CFR 4.32(e) and 21 CFR 101.100(a)(4), 130.9). Unknown ingredients are reported, not passed
    over.
    """
    items = _items(ingredients, steps)
    known = [i for i in items if i.kind in INGREDIENTS]
    unknown = frozenset(i.kind for i in items if i.kind not in INGREDIENTS)
    if sulphites is not None:
        within("sulphites", sulphites, 0.0, 1e5, "mg/L")
    result = {}
    for place in jurisdictions:
        if place not in LABEL_JURISDICTIONS:
            raise ValueError(
                f"jurisdiction must be one of {', '.join(LABEL_JURISDICTIONS)}; got {place!r}"
            )
        law = "eu" if place == "uk" else place
        declare: set[str] = set()
        check: set[str] = set()
        for item in known:
            more, maybe = _judge(item, law)
            declare |= more
            check |= maybe
        if sulphites is not None:
            check.discard("sulphites")
            if sulphites > 10 or (law in ("canada", "us") and sulphites >= 10):
                declare.add("sulphites")
        result[place] = Label(place, frozenset(declare), frozenset(check - declare), unknown)
    return result


def contains_milk(ingredients: Iterable[Ingredient | str], steps: Iterable[str] = ()) -> bool:
    """Has milk in any form touched the drink? No later step can make this false.

    Whey that was *distilled afterwards* into a spirit is the one form not counted.
    """
    return any(
        "milk" in INGREDIENTS.get(item.kind, ())
        and not (item.form == "distilled" and item.kind in DISTILLABLE)
        for item in _items(ingredients, steps)
    )


def ingredient_list_exempt(strength: float, jurisdiction: str) -> bool:
    """Does the strength lift the duty to list ingredients? It never lifts the allergens.

    EU and UK: above 1.2 %vol (Art. 16(4)). Elsewhere no such rule is known here.
    """
    within("strength", strength, 0.0, 100.0, "%vol")
    if jurisdiction not in LABEL_JURISDICTIONS:
        raise ValueError(
            f"jurisdiction must be one of {', '.join(LABEL_JURISDICTIONS)}; got {jurisdiction!r}"
        )
    return jurisdiction in ("eu", "uk") and strength > 1.2


def cautions(label: Label) -> tuple[Caution, ...]:
    """What to tell guests and staff about one label, the milk caution first."""
    law = _LAW[label.jurisdiction]
    if label.jurisdiction == "us" and "sulphites" in label.declare | label.check:
        law += f"; {_US_SULPHITES}"
    said = []
    if "milk" in label.declare:
        said.append(
            Caution(
                "This drink was made with milk, whey, butter or another milk product. It contains "
                "milk protein, however clear it is.",
                "Tell guests with milk allergy not to drink it.",
                law,
                stop=True,
            )
        )
    others = label.declare - {"milk"}
    if others:
        said.append(
            Caution(
                f"This drink contains {_words(others)}.",
                "Say so on the label or menu and when asked.",
                law,
            )
        )
    if label.check or label.unknown:
        said.append(
            Caution(
                label.statement,
                "Treat it as present until the supplier's specification says otherwise.",
                law,
            )
        )
    return tuple(said)
