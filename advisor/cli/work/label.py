"""``curdwise work label``: the allergens to declare."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.work.doses import ends
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, kind
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate
    from advisor.science.labels import Ingredient

    Number = Estimate | float

__all__ = ["label"]


@job(name="label")
@click.argument("ingredients", nargs=-1, required=True, metavar="INGREDIENT...")
@kind("--step", "steps", "step", "What was done to the drink; may be repeated", multiple=True)
@kind("--place", "places", "label-place", "Only this place; may be repeated", multiple=True)
@amount("--sulphites", "sulphites", "mg/L", "Sulphites as measured, as SO2.")
@amount("--strength", "strength", "%vol", "Strength, for the list of ingredients.")
def label(
    ingredients: tuple[str, ...], steps: tuple[str, ...], places: tuple[str, ...],
    sulphites: Number | None, strength: Number | None,
) -> Sheet:
    """What to declare in the EU, the UK, the US and Canada, and what to check.

    An INGREDIENT may say its form: peanut-oil:refined, whey:distilled.

    \b
    curdwise work label gin lemon milk --step milk-wash
    curdwise work label rum peanut-oil:refined --step fat-wash --place us --place eu
    """
    from advisor.science import labels

    items = [_item(text) for text in ingredients]
    places = places or labels.LABEL_JURISDICTIONS
    found = labels.labels(
        items, steps, jurisdictions=places,
        # what is declared follows the high end of a reading, what is spared the low end
        sulphites=None if sulphites is None else ends(sulphites)[1],
    )
    sheet = Sheet()
    for place, one in found.items():
        cautions = labels.cautions(one)
        law = cautions[0].jurisdiction if cautions else "no listed allergen"
        sheet.add(f"label_{place}", place.upper() if len(place) == 2 else place.capitalize(),
                  one.statement, formula="ingredients and steps; no step takes an allergen away",
                  source=law)
        if strength is not None:
            exempt = labels.ingredient_list_exempt(ends(strength)[0], place)
            sheet.add(f"ingredient_list_{place}", "  list of ingredients",
                      "not required" if exempt else "as local law says",
                      formula="above 1.2 %vol in the EU and the UK",
                      source="EU Regulation 1169/2011 Art. 16(4)")
        sheet.cautions += cautions
    sheet.notes += _near(frozenset().union(*(one.unknown for one in found.values())))
    milk = labels.contains_milk(items, steps)
    sheet.add("contains_milk", "milk has touched it", "yes" if milk else "not by what was named",
              formula="any form of milk, at any step", source="the laws above: milk in any form")
    return sheet


def _item(text: str) -> Ingredient:
    from advisor.science.labels import Ingredient

    word, _, form = text.strip().lower().partition(":")
    if not word or len(word) > 60:
        raise AdvisorError("word", f"{text[:40]!r} is not an ingredient", where="INGREDIENT")
    return Ingredient(word.replace(" ", "-"), form or "plain")


def _near(unknown: frozenset[str]) -> list[str]:
    """For ingredients that are not known here, what may have been meant."""
    from advisor.cli.work.words import WORDS

    known = list(WORDS["ingredient"]())
    hints = ((word, did_you_mean(word, known)) for word in sorted(unknown))
    return [f"{word} is not known here: {hint or 'read its label'}" for word, hint in hints]
