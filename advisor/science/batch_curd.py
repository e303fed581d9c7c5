"""Registered calculations on the curd of a batch, and on what is left in the drink."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from advisor.science import curd as _curd
from advisor.science._batch import (
    DEFAULT_KIND,
    DEFAULT_SERVE,
    DEFAULT_TEMPERATURE,
    Recipe,
    checked,
    current_ph,
    pick,
    positive,
    value_of,
    verdict,
)
from advisor.science.curd_yield import (
    curd_mass,
    curd_moisture,
    drink_yield,
    liquid_held,
    whey_protein_left,
)
from advisor.science.estimate import Category, Estimate
from advisor.science.milks import milk
from advisor.science.registry import calculation

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = [
    "calcium_left",
    "expected",
    "haze_zone",
    "held",
    "lactose_per_serve",
    "mass",
    "protein_left",
    "protein_per_serve",
    "whey_left",
    "yielded",
]

_LIMITS = (
    "Zoller 1921 (4.6); Indian Council of Agricultural Research course (5.2); Chandan & Kilara 2011"
    " (hot); Davies & White 1958 and Kim et al. 2013 (alcohol alone)"
)
_CURD = "arithmetic on casein and fat (FAO 2013); moisture by analogy with cottage cheese"
_RECIPE = ("acid_ml", "acid_g", "milk_kind", "mix_temperature", "milk_buffering", "own_acid")
_STATE = pick(
    "drink_ml",
    "milk_ml",
    *_RECIPE,
    "strip_step",
    optional=("drink_strength", "acid_kind", "strip_ph"),
)
_SHARES = {
    "full": Estimate(1.0, 0.92, 1.0),
    "partial": Estimate(0.6, 0.2, 0.9),
    "none": Estimate(0.0, 0.0, 0.15),
    "ethanol-clot": Estimate(0.8, 0.4, 1.0),
}
_UNSAID_SHARE = Estimate(1.0, 0.5, 1.0)
_FINES = Estimate(0.01, 0.0, 0.05)  # casein that passes the filter as fine curd (judgement)


def _share(recipe: Recipe) -> Estimate:
    """Part of the casein that let go; a full split, held loosely, when nothing is said of acid."""
    if milk(recipe.kind).curd == "no":
        return _SHARES["none"]
    if recipe.strip_ph is None and recipe.acid_kind is None:
        return _UNSAID_SHARE
    return _SHARES[verdict(recipe).outcome.value]


def _curd_inputs(recipe: Recipe) -> dict[str, Number]:
    moisture = curd_moisture(value_of(recipe.temperature))
    return {"milk": recipe.milk_ml, "moisture": moisture, "share": _share(recipe)}


@calculation(
    "curd.expected",
    title="will it curdle",
    inputs=_STATE,
    unit="word",
    formula="pH of the mix against the limits of a full split and of the first flakes",
    source=_LIMITS,
    choices=_curd.OUTCOMES,
)
def expected(**given: Any) -> Category:
    """``full``, ``partial``, ``none`` or ``ethanol-clot``; from the reading when there is one."""
    return verdict(Recipe(**given)).outcome


@calculation(
    "curd.mass",
    title="wet curd",
    inputs=_STATE,
    unit="g",
    formula="(casein x 1.15 + 0.96 fat) x share let go / (1 - moisture)",
    source=_CURD,
)
def mass(**given: Any) -> Estimate:
    """g of curd drained in cloth, not pressed."""
    recipe = Recipe(**given)
    return positive(
        lambda milk, moisture, share: curd_mass(milk, recipe.kind, moisture, share),
        _curd_inputs(recipe),
        unit="g",
    )


@calculation(
    "curd.liquid_held",
    title="liquid kept by the curd",
    inputs=_STATE,
    unit="mL",
    formula="curd solids x M / (1 - M)",
    source=_CURD,
)
def held(**given: Any) -> Estimate:
    """mL of drink that stays in the curd."""
    return _held(Recipe(**given))


@lru_cache(maxsize=512)
def _held(recipe: Recipe) -> Estimate:
    return positive(
        lambda milk, moisture, share: liquid_held(milk, recipe.kind, moisture, share),
        _curd_inputs(recipe),
        unit="mL",
    )


@calculation(
    "curd.yield",
    title="finished drink",
    inputs=_STATE,
    unit="mL",
    formula="mix x (0.89 - 0.64 x milk share), recipes 61-82 %; at most mix - liquid held",
    source="six published recipes with volumes; University of Guelph for the curd's moisture",
)
def yielded(**given: Any) -> Estimate:
    """mL after straining. Arithmetic on the curd alone allows up to 94 %: the upper end."""
    recipe = Recipe(**given)
    mix = recipe.mixed()[0]
    kept = min(mix.value, _held(recipe).value)
    centre = drink_yield(mix.value, min(value_of(recipe.milk_ml), mix.value), kept)
    if mix.low == mix.high:
        return centre
    factor = Estimate(1.0, mix.low / mix.value, mix.high / mix.value)
    return positive(lambda y, f: y * f, {"y": centre, "f": factor}, unit="mL")


@calculation(
    "protein.whey_left",
    title="milk protein dissolved in the finished drink",
    inputs=pick(
        "drink_ml", "milk_ml", "milk_kind", "mix_temperature", optional=("drink_strength",)
    ),
    unit="mg/L",
    formula="milk x protein x share left (22 % cold, 10 % hot) / mix",
    source='University of Guelph, "Milk coagulation"; Parnell-Clunies et al. 1985',
)
def whey_left(
    *,
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    drink_strength: Number | None = None,
) -> Estimate:
    """mg of whey protein per litre. Never zero where there was milk, however clear the drink is.

    A plant drink holds none; its own protein is another matter and another allergen.
    """
    drink, poured = checked("drink_ml", drink_ml), checked("milk_ml", milk_ml)
    item = milk(milk_kind or DEFAULT_KIND)
    if not item.casein:
        return Estimate(0.0, 0.0, 0.0, "mg/L")
    del drink_strength  # contraction is below the interval here
    left = whey_protein_left(
        item.id,
        DEFAULT_TEMPERATURE
        if mix_temperature is None
        else value_of(checked("mix_temperature", mix_temperature)),
    )
    return positive(
        lambda drink, milk, left: (
            milk * item.density * item.protein / 100.0 * left / 100.0 * 1e6 / (drink + milk)
        ),
        {"drink": drink, "milk": poured, "left": left},
        unit="mg/L",
    )


@calculation(
    "protein.left",
    title="milk protein in the drink",
    inputs=_STATE,
    unit="mg/L",
    formula="whey protein left + casein that did not let go or slipped through",
    source='University of Guelph, "Milk coagulation"; fines are judgement',
)
def protein_left(**given: Any) -> Estimate:
    """mg of milk protein of any kind per litre: all of it where nothing curdles.

    None from a plant drink.
    """
    recipe = Recipe(**given)
    item = milk(recipe.kind)
    if not item.casein:
        return Estimate(0.0, 0.0, 0.0, "mg/L")
    per_litre = value_of(recipe.milk_ml) * item.density / 100.0 * 1e6
    per_litre /= value_of(recipe.drink_ml) + value_of(recipe.milk_ml)
    if _share(recipe).value == 0.0:
        most, sure = item.protein * per_litre, 1.0 - _share(recipe).high
        low = per_litre * (item.protein - item.casein * (1.0 - sure))
        return Estimate(most, low, most, "mg/L")
    whey = whey_left(
        drink_ml=recipe.drink_ml,
        milk_ml=recipe.milk_ml,
        milk_kind=recipe.kind,
        mix_temperature=recipe.temperature,
    )
    return positive(
        lambda whey, share, fines: whey + item.casein * per_litre * (1.0 - share + share * fines),
        {"whey": whey, "share": _share(recipe), "fines": _FINES},
        unit="mg/L",
    )


@calculation(
    "protein.per_serve",
    title="milk protein in a serve",
    inputs={**_STATE, **pick("serve_ml")},
    unit="mg",
    formula="(whey protein left + casein that did not let go or slipped through) x serve",
    source='University of Guelph, "Milk coagulation"; fines are judgement',
)
def protein_per_serve(**given: Any) -> Estimate:
    """mg of milk protein of any kind in a serve (90 mL if not said); none from a plant drink."""
    recipe = Recipe(**given)
    item = milk(recipe.kind)
    if not item.casein:
        return Estimate(0.0, 0.0, 0.0, "mg")
    return positive(
        lambda left, serve: left * serve / 1000.0,
        {"left": protein_left(**given), "serve": recipe.serve},
        unit="mg",
    )


@calculation(
    "lactose.per_serve",
    title="lactose in a serve",
    inputs=pick("drink_ml", "milk_ml", "milk_kind", "serve_ml"),
    unit="g",
    formula="milk x lactose / mix x serve: lactose stays in the liquid",
    source="FAO 2013, Milk and Dairy Products in Human Nutrition, Table 3.1",
)
def lactose_per_serve(
    *,
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None = None,
    serve_ml: Number | None = None,
) -> Estimate:
    """g of lactose in a serve (90 mL if not said)."""
    item = milk(milk_kind or DEFAULT_KIND)
    half = 0.05 * item.lactose
    residue = 0.1 if item.casein and not item.lactose else 0.0  # "lactose-free": below 0.1 g/100 g
    lactose = Estimate(item.lactose, item.lactose - half, item.lactose + half + residue)
    return positive(
        lambda drink, milk, lactose, serve: (
            milk * item.density * lactose / 100.0 / (drink + milk) * serve
        ),
        {
            "drink": checked("drink_ml", drink_ml),
            "milk": checked("milk_ml", milk_ml),
            "lactose": lactose,
            "serve": checked("serve_ml", DEFAULT_SERVE if serve_ml is None else serve_ml),
        },
        unit="g",
    )


@calculation(
    "calcium.left",
    title="calcium in the finished drink",
    inputs=pick("drink_ml", "milk_ml", "milk_kind"),
    unit="mg/L",
    formula="milk x calcium / mix: acid dissolves the calcium of the casein",
    source="FAO 2013; Fox & McSweeney 1998, p. 260 (colloidal phosphate gone below pH 4.9)",
)
def calcium_left(*, drink_ml: Number, milk_ml: Number, milk_kind: str | None = None) -> Estimate:
    """mg per litre after a full split, 83 to 100 % of the milk's."""
    item = milk(milk_kind or DEFAULT_KIND)
    return positive(
        lambda drink, milk, freed: (
            milk * item.density * item.calcium * 10.0 * freed / (drink + milk)
        ),
        {
            "drink": checked("drink_ml", drink_ml),
            "milk": checked("milk_ml", milk_ml),
            "freed": Estimate(0.93, 0.83, 1.0),
        },
        unit="mg/L",
    )


@calculation(
    "protein.haze_zone",
    title="will dissolved whey protein cloud",
    inputs=_STATE,
    unit="word",
    formula="pH 3.6 or below safe, 4.0 to 5.2 risk, else depends",
    source="LaClair & Etzel 2009, J. Food Sci. 74, doi:10.1111/j.1750-3841.2009.01400.x",
    choices=("clear", "depends", "risk"),
)
def haze_zone(**given: Any) -> Category:
    """The pH zone of the finished drink, from the reading when there is one."""
    return _curd.haze_zone(min(14.0, max(0.0, current_ph(Recipe(**given)).value)))
