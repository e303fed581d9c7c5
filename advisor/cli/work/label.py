"""``curdwise work label``: the allergens to declare."""

from __future__ import annotations

import click

from advisor.cli.work.job import job
from advisor.cli.work.options import Kind, amount, kind
from advisor.cli.work.doses import middle
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError

__all__ = ["label"]


@job(name="label")
@click.argument("ingredients", nargs=-1, required=True, metavar="INGREDIENT...")
@kind("--step", "steps", "step", "What was done to the drink; may be repeated", multiple=True)
@kind("--place", "places", "label-place", "Only this place; may be repeated", multiple=True)
@amount("--sulphites", "sulphites", "mg/L", "Sulphites as measured, as SO2.")
@amount("--strength", "strength", "%vol", "Strength, for the list of ingredients.")
def label(
    ingredients: tuple[str, ...], steps: tuple[str, ...], places: tuple[str, ...],
    sulphites: float | None, strength: float | None,
) -> Sheet:
    """What to declare in the EU, the UK, the US and Canada, and what to check.

    An INGREDIENT may say its form: peanut-oil:refined, whey:distilled.

    \b
    curdwise work label gin lemon whole-milk --step milk-wash
    curdwise work label rum peanut-oil:refined --step fat-wash --place us --place eu
    """
    from advisor.science import labels

    items = [_item(text) for text in ingredients]
    places = places or labels.LABEL_JURISDICTIONS
    found = labels.labels(
        items, steps, jurisdictions=places,
        sulphites=None if sulphites is None else middle(sulphites),
    )
    sheet = Sheet()
    for place, one in found.items():
        cautions = labels.cautions(one)
        law = cautions[0].jurisdiction if cautions else "no listed allergen"
        sheet.add(f"label_{place}", place.upper() if len(place) == 2 else place.capitalize(),
                  one.statement, formula="ingredients and steps; no step takes an allergen away",
                  source=law)
        if strength is not None:
            exempt = labels.ingredient_list_exempt(middle(strength), place)
            sheet.add(f"ingredient_list_{place}", "  list of ingredients",
                      "not required" if exempt else "as local law says",
                      formula="above 1.2 %vol in the EU and the UK",
                      source="EU Regulation 1169/2011 Art. 16(4)")
        sheet.cautions += cautions
    milk = labels.contains_milk(items, steps)
    sheet.add("contains_milk", "milk has touched it", "yes" if milk else "not by what was named",
              formula="any form of milk, at any step", source="CXS 1-1985; see the laws above")
    return sheet


def _item(text: str) -> object:
    return text
