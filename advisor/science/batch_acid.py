"""Registered calculations on the acid of a batch: its pH and how much there is.

pH is on the water scale of ``milk_buffer``: as if the alcohol were water. Doses still
to give are in ``batch_dose``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.science._batch import (
    DEFAULT_STEP,
    Recipe,
    acid_amount,
    checked,
    mixed_ph,
    pick,
    positive,
    true_ph,
    value_of,
)
from advisor.science.acids import acidulant, citric_equivalent
from advisor.science.batch_dose import BALANCE, needed_citric
from advisor.science.estimate import Estimate, propagate
from advisor.science.milk_buffer import STRIP_BIAS, citric_less_salts
from advisor.science.registry import calculation

if TYPE_CHECKING:
    from advisor.science._batch import Number
    from advisor.science.acids import Acidulant

__all__ = ["excess", "expected_reading", "mix_ph", "per_litre_milk", "read_ph"]

_PRENESTI = "Prenesti et al. 2012, The Scientific World Journal 249041, Table 4"
_UNSAID_STRENGTH = Estimate(20.0, 0.0, 45.0, "%vol")
_AMOUNT = ("acid_ml", "acid_g")
_MILK = ("milk_kind", "mix_temperature", "milk_buffering", "own_acid")


@calculation(
    "acid.mix_ph",
    title="pH of the mix",
    inputs=pick("drink_ml", "milk_ml", "acid_kind", *_AMOUNT, *_MILK),
    unit="pH",
    formula="charges of milk, acid and water balance; alcohol counted as water",
    source=BALANCE,
)
def mix_ph(**given: Any) -> Estimate:
    """pH on the water scale, that of the curd's limits; a strip reads higher by the alcohol."""
    return mixed_ph(Recipe(**given))


@calculation(
    "acid.read_ph",
    title="pH behind a strip or meter reading",
    inputs=pick("strip_ph", "strip_step", optional=("drink_ml", "drink_strength", "milk_ml")),
    unit="pH",
    formula="reading - (0.006 to 0.014) x strength of the mix; half a step as interval",
    source=_PRENESTI,
)
def read_ph(
    *,
    strip_ph: Number,
    strip_step: Number | None = None,
    drink_ml: Number | None = None,
    drink_strength: Number | None = None,
    milk_ml: Number | None = None,
) -> Estimate:
    """pH on the water scale; a strip of 0.5 steps and about 20 %vol are assumed if not said."""
    reading = checked("strip_ph", strip_ph)
    step = checked("strip_step", DEFAULT_STEP if strip_step is None else strip_step)
    strength: Number = _UNSAID_STRENGTH
    if drink_strength is not None:
        strength = checked("drink_strength", drink_strength)
        if drink_ml is not None and milk_ml is not None:
            recipe = Recipe(drink_ml=drink_ml, drink_strength=strength, milk_ml=milk_ml)
            strength = recipe.mixed()[1]
        else:
            # Somewhere between much milk and hardly any.
            most = value_of(strength)
            strength = Estimate(0.8 * most, 0.33 * most, most, "%vol")
    return true_ph(reading, step, strength)


@calculation(
    "acid.expected_reading",
    title="what a strip or meter should show",
    inputs=pick("drink_ml", "drink_strength", "milk_ml", "acid_kind", *_AMOUNT, *_MILK),
    unit="pH",
    formula="pH of the mix + (0.006 to 0.014) x strength of the mix",
    source=_PRENESTI,
)
def expected_reading(**given: Any) -> Estimate:
    """The calculated pH with the alcohol's upward push put back."""
    recipe = Recipe(**given)
    if recipe.drink_strength is None:
        raise ValueError("drink_strength is missing; without it the reading cannot be foretold")
    return propagate(
        lambda ph, per, strength: ph + per * strength,
        {"ph": mixed_ph(recipe), "per": STRIP_BIAS, "strength": recipe.mixed()[1]},
        unit="pH",
    )


def _dose(kind: str, ml: Number | None, grams: Number | None) -> tuple[Acidulant, Number]:
    return acid_amount(
        kind,
        None if ml is None else checked("acid_ml", ml),
        None if grams is None else checked("acid_g", grams),
    )


def _supplied(
    item_id: str, amount: Number, drink_ml: Number | None, own: Number | None, *, salts: bool
) -> Estimate:
    """Grams of citric acid that the named acid and the drink's own are worth.

    With ``salts`` less what the potassium of a wine or juice holds of it: what the milk gets.
    """
    item = acidulant(item_id)
    if own is not None:
        own = checked("own_acid", own)
        if value_of(own) > 0.0 and drink_ml is None:
            raise ValueError("drink_ml is missing; own_acid is per litre of drink")
    per = max(0.0, citric_less_salts(item.id, 1.0)) if salts else citric_equivalent(item, 1.0)
    content = Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread)
    return positive(
        lambda amount, content, drink, own: amount * content * per + own * drink / 1000.0,
        {"amount": amount, "content": content, "drink": drink_ml or 0.0, "own": own or 0.0},
        unit="g",
    )


@calculation(
    "acid.per_litre_milk",
    title="acid per litre of milk, as citric acid",
    inputs=pick("milk_ml", "acid_kind", *_AMOUNT, "own_acid", optional=("drink_ml",)),
    unit="g/L",
    formula="anhydrous citric acid with the same hydrogen ions at pH 4.6, per litre of milk",
    source="pKa from the CRC Handbook; Penniston et al. 2008 for juices",
)
def per_litre_milk(
    *,
    milk_ml: Number,
    acid_kind: str,
    acid_ml: Number | None = None,
    acid_g: Number | None = None,
    own_acid: Number | None = None,
    drink_ml: Number | None = None,
) -> Estimate:
    """g of anhydrous citric acid per litre of milk; a juice counts by its acid alone."""
    item, amount = _dose(acid_kind, acid_ml, acid_g)
    grams = _supplied(item.id, amount, drink_ml, own_acid, salts=False)
    return positive(
        lambda grams, milk: 1000.0 * grams / milk,
        {"grams": grams, "milk": checked("milk_ml", milk_ml)},
        unit="g/L",
    )


@calculation(
    "acid.excess",
    title="acid supplied over acid needed",
    inputs=pick("milk_ml", "acid_kind", *_AMOUNT, *_MILK, optional=("drink_ml",)),
    unit="ratio",
    formula="citric equivalent of the dose, its salts counted / citric acid that takes the milk to "
    "its working pH",
    source=BALANCE,
)
def excess(
    *,
    milk_ml: Number,
    acid_kind: str,
    acid_ml: Number | None = None,
    acid_g: Number | None = None,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
    own_acid: Number | None = None,
    drink_ml: Number | None = None,
) -> Estimate:
    """1 is just enough; above about 5 is over-acid. ``ValueError`` for milk that needs none."""
    item, amount = _dose(acid_kind, acid_ml, acid_g)
    given = _supplied(item.id, amount, drink_ml, own_acid, salts=True)
    needed = needed_citric(milk_ml, milk_kind, mix_temperature, milk_buffering)
    if needed.value <= 0.0:
        raise ValueError(f"milk_kind is {milk_kind!r}; it is sour enough by itself to need no acid")
    floor = 0.25 * needed.value
    return positive(
        lambda given, needed: given / max(floor, needed),
        {"given": given, "needed": needed},
        unit="ratio",
    )
