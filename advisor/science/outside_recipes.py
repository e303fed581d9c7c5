"""Outside checks against published recipes: do they curdle, and with how much acid to spare.

Thirty recipes by their quantities: drink and milk in mL, acid as g citric acid per litre of milk,
and how warm the milk was. Their strengths were not all given, so none is assumed here.
"""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from advisor.science.batch_acid import excess
from advisor.science.curd import will_curdle
from advisor.science.milk_buffer import mix_ph
from advisor.science.outside import OutsideCheck

__all__ = ["RECIPES", "UNDECIDED", "Recorded", "checks", "outcome"]


class Recorded(NamedTuple):
    """A recipe: id, kind of drink, mL of drink and milk, g/L of acid, milk kind, milk's degC."""

    id: str
    what: str
    drink: float
    milk: float
    acid: float
    kind: str = "whole"
    milk_at: float = 20.0


RECIPES = (
    Recorded("R01", "citrus punch, basic", 600, 120, 60),
    Recorded("R02", "pineapple punch, little milk", 2176, 237, 68, milk_at=5.0),
    Recorded("R03", "orange and tea rye punch", 673, 355, 14),
    Recorded("R04", "brandy lemon punch, published 1763", 2984, 711, 40, milk_at=98.0),
    Recorded("R05", "brandy punch, published 1711", 9436, 7568, 3, milk_at=80.0),
    Recorded("R06", "mixed punch, published 1862", 2658, 946, 17, milk_at=70.0),
    Recorded("R07", "brandy and rum tea punch", 3249, 946, 19, milk_at=70.0),
    Recorded("R08", "bourbon, cognac and sweet-potato punch", 2949, 946, 14, milk_at=60.0),
    Recorded("R09", "tea, fortified wine and rum punch", 1051, 237, 15),
    Recorded("R10", "neutral spirit washed alone, citric powder", 240, 60, 67),
    Recorded("R11", "neutral spirit with black tea, acid last", 1000, 250, 10),
    Recorded("R12", "neutral spirit with black tea, lemon last", 468, 117, 8),
    Recorded("R13", "bitters concentrate, equal milk", 2100, 2100, 3, milk_at=5.0),
    Recorded("R14", "coconut pineapple rum", 570, 120, 30),
    Recorded("R15", "coconut pineapple rum, more milk", 251, 118, 28, milk_at=5.0),
    Recorded("R16", "coconut pineapple rum, rice vinegar", 1020, 250, 14),
    Recorded("R17", "nut liqueur drink with almond drink", 858, 250, 6, "almond"),
    Recorded("R18", "gin and green tea with soy drink", 865, 250, 39, "soy"),
    Recorded("R19", "whiskey and chamomile punch", 2661, 710, 60, milk_at=5.0),
    Recorded("R20", "coconut pineapple punch, large", 1514, 375, 19, milk_at=5.0),
    Recorded("R21", "cognac punch, simmering milk", 1478, 355, 40, milk_at=95.0),
    Recorded("R22", "lemon aperitif base", 148, 44, 20),
    Recorded("R23", "agave and sherry, rehydrated powder", 680, 237, 0, "powder"),
    Recorded("R24", "whiskey sour with wine, sharp", 711, 118, 90, milk_at=5.0),
    Recorded("R25", "whiskey sour with wine, measured yield", 414, 103, 51),
    Recorded("R26", "rum and bitter aperitif, single serve", 142, 45, 28),
    Recorded("R27", "bourbon citrus with cream", 118, 118, 15, "cream", 5.0),
    Recorded("R28", "1711-style punch in a pan", 2149, 1892, 10, milk_at=70.0),
    Recorded("R29", "milk liqueur with chocolate and lemon", 840, 474, 3),
    Recorded("R30", "tea syrup without alcohol", 479, 930, 8, milk_at=20.0),
)

# Recorded as curdled, but not to be had from the quantities on record.
UNDECIDED = {
    "R13": "3 g acid per litre of milk is half of what cold milk needs; its bitters bring alcohol "
    "and tannin that are not on record",
    "R17": "almond drink has no casein; whether it washes is disputed",
    "R23": "no citrus; the acid of the sherry is not on record",
    "R29": "3 g acid per litre of milk, ten days of contact and a strength not on record",
}
_COUNTED = "quantities of published recipes"
# Milk mL, citric g, and the excess over 6.0 g per litre, cold.
_FOUR = (
    ("tea-and-vodka wash, 15 mL of 15 % citric in 250 mL milk", 250.0, 2.25, 1.5),
    ("arrack punch, 75 mL lemon juice to 235 mL milk", 235.0, 3.6, 2.6),
    ("1763 punch, 2 quarts lemon juice to 3 of milk", 3000.0, 96.0, 5.3),
    ("home recipe, 4 g citric in 60 mL milk", 60.0, 4.0, 11.0),
)


def outcome(recipe: Recorded) -> str:
    """The expected outcome of a recorded recipe; its drink is taken at 20 degC."""
    total = recipe.drink + recipe.milk
    temperature = (recipe.drink * 20.0 + recipe.milk * recipe.milk_at) / total
    dose = (("citric", recipe.acid * recipe.milk / 1000.0),)
    solved = mix_ph(recipe.drink, recipe.milk, recipe.kind, dose, temperature=temperature)
    return will_curdle(solved.ph, recipe.kind, temperature=temperature).outcome.value


def _splits(recipe: Recorded) -> float:
    return float(outcome(recipe) in ("full", "partial"))


def _excess(milk: float, grams: float) -> float:
    return excess(milk_ml=milk, acid_kind="citric", acid_g=grams, milk_kind="whole").value


def checks() -> tuple[OutsideCheck, ...]:
    """The recipes that must come out as recorded, and the four worked excesses."""
    split = tuple(
        OutsideCheck(
            f"recipe-{r.id}", f"{r.what} curdles", partial(_splits, r), 1.0, 0.0, _COUNTED, "seen"
        )
        for r in RECIPES
        if r.id not in UNDECIDED
    )
    spare = tuple(
        OutsideCheck(
            f"excess-{wanted:g}", f"acid over need: {what}", partial(_excess, milk, grams), wanted,
            0.1 * wanted, _COUNTED, "derived",
        )
        for what, milk, grams, wanted in _FOUR
    )  # fmt: skip
    return (*split, *spare)
