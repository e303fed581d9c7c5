"""Registered calculations on a batch: volumes and strengths. See also ``batch_acid``,
``batch_curd`` and ``batch_spirit``.

Every number may be an ``Estimate`` or a plain number; intervals are carried through. Missing
optional inputs fall back to a default with a wider interval; ``ValueError`` names an input
that is out of range.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science._batch import DEFAULT_KIND, Recipe, checked, mixed, pick, positive, value_of
from advisor.science._guard import bounded, within
from advisor.science.curd_yield import curd_moisture, drink_yield, liquid_held
from advisor.science.estimate import Estimate
from advisor.science.mixing import spirit_to_raise
from advisor.science.registry import ContradictionError, Input, calculation
from advisor.science.serving import BASES, standard_drinks

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = [
    "drink_per_milk",
    "milk_share",
    "mix_strength",
    "mix_volume",
    "overbuild",
    "overbuild_share",
    "per_serve_au",
    "per_serve_uk",
    "per_serve_us",
    "share_back",
    "strength_off",
    "top_up",
]

_OIML = "OIML R 22 (1973); Council Directive 76/766/EEC"
_ARITHMETIC = "arithmetic"
_UNKNOWN_STRENGTH = Estimate(25.0, 0.0, 45.0, "%vol")
_BOTTLED = Input("mL", required=False, low=1.0, high=1e6, about="strained drink, if measured")
_CAME_OUT = Input("mL", low=1.0, high=1e6, about="strained drink, as measured")


@calculation(
    "batch.mix_volume",
    title="volume of drink and milk together",
    inputs=pick("drink_ml", "milk_ml", "milk_kind", optional=("drink_strength",)),
    unit="mL",
    formula="mass of ethanol and water over the density of the mixture, plus the milk's solids",
    source=_OIML,
)
def mix_volume(
    *,
    drink_ml: Number,
    milk_ml: Number,
    drink_strength: Number | None = None,
    milk_kind: str | None = None,
) -> Estimate:
    """mL of mix at 20 degC, contraction counted."""
    strength = _UNKNOWN_STRENGTH if drink_strength is None else drink_strength
    return Recipe(
        drink_ml=drink_ml, drink_strength=strength, milk_ml=milk_ml, milk_kind=milk_kind
    ).mixed()[0]


@calculation(
    "batch.mix_strength",
    title="strength after the milk",
    inputs=pick("drink_ml", "drink_strength", "milk_ml", "milk_kind"),
    unit="%vol",
    formula="ethanol is conserved; volume of the mix with contraction",
    source=_OIML,
)
def mix_strength(
    *, drink_ml: Number, drink_strength: Number, milk_ml: Number, milk_kind: str | None = None
) -> Estimate:
    """%vol of the mix, and of the strained drink: the curd keeps liquid of the same strength."""
    return Recipe(
        drink_ml=drink_ml, drink_strength=drink_strength, milk_ml=milk_ml, milk_kind=milk_kind
    ).mixed()[1]


_MEASURED = Input("%vol", low=0.0, high=100.0, about="finished drink, as measured")
# A reading may be this far off by its own fault and the recipe's.
_READING = 1.0


@calculation(
    "batch.strength_off",
    title="measured strength beyond what drink and milk come to",
    inputs={
        **pick("drink_ml", "drink_strength", "milk_ml", "milk_kind"),
        "measured_strength": _MEASURED,
    },
    unit="%vol",
    formula="measured - strength of the mix, ethanol conserved",
    source=_OIML,
    signed=True,
)
def strength_off(
    *,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number,
    measured_strength: Number,
    milk_kind: str | None = None,
) -> Estimate:
    """Points of strength above (+) or below (-) the sum of drink and milk.

    ``ContradictionError`` when the drink is said to be stronger after the milk than before it.
    """
    read = bounded("measured_strength", measured_strength, 0.0, 100.0, "%vol")
    before = value_of(drink_strength)
    if value_of(read) > before + _READING:
        raise ContradictionError(
            f"measured_strength is {value_of(read):g} %vol; milk cannot make a drink of "
            f"{before:g} %vol stronger"
        )
    mixed_to = Recipe(
        drink_ml=drink_ml, drink_strength=drink_strength, milk_ml=milk_ml, milk_kind=milk_kind
    ).mixed()[1]
    low = read.low if isinstance(read, Estimate) else read
    high = read.high if isinstance(read, Estimate) else read
    return Estimate(
        value_of(read) - mixed_to.value, low - mixed_to.high, high - mixed_to.low, "%vol"
    )


@calculation(
    "batch.milk_share",
    title="milk in the mix",
    inputs=pick("drink_ml", "milk_ml"),
    unit="%",
    formula="100 x milk / (drink + milk)",
    source=_ARITHMETIC,
)
def milk_share(*, drink_ml: Number, milk_ml: Number) -> Estimate:
    """Milk as % of drink and milk."""
    return positive(
        lambda drink, milk: 100.0 * milk / (drink + milk),
        {"drink": checked("drink_ml", drink_ml), "milk": checked("milk_ml", milk_ml)},
        unit="%",
    )


@calculation(
    "batch.share_back",
    title="what came back of drink and milk",
    inputs={**pick("drink_ml", "milk_ml"), "bottled_ml": _CAME_OUT},
    unit="%",
    formula="100 x strained drink / (drink + milk)",
    source=_ARITHMETIC,
)
def share_back(*, drink_ml: Number, milk_ml: Number, bottled_ml: Number) -> Estimate:
    """Strained drink as % of drink and milk; published recipes with volumes give 61-82 %.

    ``ContradictionError`` when more is said to have come out than went in.
    """
    came = bounded("bottled_ml", bottled_ml, 1.0, 1e6, "mL")
    went = value_of(drink_ml) + value_of(milk_ml)
    if value_of(came) > 1.1 * went:
        raise ContradictionError(
            f"bottled_ml is {value_of(came):g} mL; no more can come out than the {went:g} mL "
            "of drink and milk that went in"
        )
    return positive(
        lambda drink, milk, out: 100.0 * out / (drink + milk),
        {
            "drink": checked("drink_ml", drink_ml),
            "milk": checked("milk_ml", milk_ml),
            "out": came,
        },
        unit="%",
    )


@calculation(
    "batch.drink_per_milk",
    title="drink to milk",
    inputs=pick("drink_ml", "milk_ml"),
    unit="ratio",
    formula="drink / milk",
    source=_ARITHMETIC,
)
def drink_per_milk(*, drink_ml: Number, milk_ml: Number) -> Estimate:
    """Volumes of drink to one of milk; 4 is the trade's habit."""
    return positive(
        lambda drink, milk: drink / milk,
        {"drink": checked("drink_ml", drink_ml), "milk": checked("milk_ml", milk_ml)},
        unit="ratio",
    )


@calculation(
    "batch.overbuild",
    title="how much stronger to build the drink so that milk brings it back",
    inputs=pick("drink_ml", "milk_ml"),
    unit="ratio",
    formula="(drink + milk) / drink",
    source=_ARITHMETIC,
)
def overbuild(*, drink_ml: Number, milk_ml: Number) -> Estimate:
    """Factor on the target strength; 1.25 at 4 : 1. Contraction (about 0.5 %) is left out."""
    return positive(
        lambda drink, milk: (drink + milk) / drink,
        {"drink": checked("drink_ml", drink_ml), "milk": checked("milk_ml", milk_ml)},
        unit="ratio",
    )


@calculation(
    "batch.overbuild_share",
    title="how much stronger to build the drink so that milk brings it back, in per cent",
    inputs=pick("drink_ml", "milk_ml"),
    unit="%",
    formula="100 x milk / drink",
    source=_ARITHMETIC,
)
def overbuild_share(*, drink_ml: Number, milk_ml: Number) -> Estimate:
    """% on top of the wanted strength; 25 at 4 : 1. Contraction (about 0.5 %) is left out.

    ``ValueError`` for more milk than drink, which no share tells well.
    """
    if value_of(milk_ml) > value_of(drink_ml):
        raise ValueError(
            f"milk_ml is {value_of(milk_ml):g} mL; it must be at most the drink, "
            f"{value_of(drink_ml):g} mL"
        )
    return positive(
        lambda drink, milk: min(100.0, 100.0 * milk / drink),
        {"drink": checked("drink_ml", drink_ml), "milk": checked("milk_ml", milk_ml)},
        unit="%",
    )


_STRONG = Input(
    "%vol", required=False, low=1.0, high=100.0, default=60.0, about="spirit to strengthen with"
)
_TARGET = Input("%vol", required=False, low=0.0, high=99.0, about="wanted; the drink's own if not")


@calculation(
    "ethanol.top_up",
    title="strong spirit to bring the strained drink back to strength",
    inputs={
        **pick("drink_ml", "drink_strength", "milk_ml", "milk_kind"),
        "top_up_strength": _STRONG,
        "target_strength": _TARGET,
        "bottled_ml": _BOTTLED,
        "measured_strength": Input(
            "%vol", required=False, low=0.0, high=100.0, about="finished drink, if measured"
        ),
    },
    unit="mL",
    formula="mass balance of ethanol and water at the target strength",
    source=_OIML,
)
def top_up(
    *,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number,
    milk_kind: str | None = None,
    top_up_strength: Number | None = None,
    target_strength: Number | None = None,
    bottled_ml: Number | None = None,
    measured_strength: Number | None = None,
) -> Estimate:
    """mL of spirit (60 %vol if not said) for the strained volume (estimated if not measured).

    A measured strength takes the place of the calculated one. ``ValueError`` when the spirit is
    not stronger than the target, ``ContradictionError`` when the drink is said to have become
    stronger.
    """
    recipe = Recipe(
        drink_ml=drink_ml, drink_strength=drink_strength, milk_ml=milk_ml, milk_kind=milk_kind
    )
    kind = recipe.kind
    volume, strength = recipe.mixed()
    spirit = 60.0 if top_up_strength is None else value_of(top_up_strength)
    target = value_of(drink_strength if target_strength is None else target_strength)
    if not target < spirit:
        raise ValueError(
            f"top_up_strength is {spirit:g} %vol; it must be above the target of {target:g} %vol"
        )
    if bottled_ml is None:
        milk = min(value_of(milk_ml), volume.value)
        held = liquid_held(milk, kind, curd_moisture().value)
        bottled: Number = drink_yield(volume.value, milk, held)
    else:
        bottled = bounded("bottled_ml", bottled_ml, 1.0, 1e6, "mL")
    spirit = within("top_up_strength", spirit, 1.0, 100.0, "%vol")
    target = within("target_strength", target, 0.0, 99.0, "%vol")
    if measured_strength is not None:
        off = strength_off(
            drink_ml=drink_ml, drink_strength=drink_strength, milk_ml=milk_ml,
            measured_strength=measured_strength, milk_kind=milk_kind,
        )  # fmt: skip
        strength = Estimate(
            max(0.0, strength.value + off.value),
            max(0.0, strength.high + off.low),
            max(0.0, strength.low + off.high),
            "%vol",
        )
    have = Estimate(
        min(target, strength.value), min(target, strength.low), min(target, strength.high), "%vol"
    )
    return positive(
        lambda volume, strength: spirit_to_raise(volume, strength, target, spirit),
        {"volume": bottled, "strength": have},
        unit="mL",
    )


def _per_serve(
    basis: str,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number | None,
    serve_ml: Number | None,
) -> Estimate:
    poured: Number = 0.0
    if milk_ml is not None and value_of(milk_ml) > 0.0:
        poured = checked("milk_ml", milk_ml)
    strength = mixed(
        checked("drink_ml", drink_ml),
        checked("drink_strength", drink_strength),
        poured,
        DEFAULT_KIND,
    )[1]
    serve = checked("serve_ml", 90.0 if serve_ml is None else serve_ml)
    return positive(
        lambda serve, strength: standard_drinks(serve, strength, basis),
        {"serve": serve, "strength": strength},
        unit="drinks",
    )


_SERVE = pick("drink_ml", "drink_strength", "serve_ml", optional=("milk_ml",))
_SERVE_FORMULA = "serve x strength x 0.78924 g/mL over the grams of one standard drink"


@calculation(
    "ethanol.per_serve_us",
    title="US standard drinks in a serve",
    inputs=_SERVE,
    unit="drinks",
    formula=_SERVE_FORMULA,
    source=BASES["us"],
)
def per_serve_us(
    *,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number | None = None,
    serve_ml: Number | None = None,
) -> Estimate:
    """By 14 g of ethanol; a serve of 90 mL if not said."""
    return _per_serve("us", drink_ml, drink_strength, milk_ml, serve_ml)


@calculation(
    "ethanol.per_serve_uk",
    title="UK units in a serve",
    inputs=_SERVE,
    unit="drinks",
    formula=_SERVE_FORMULA,
    source=BASES["uk"],
)
def per_serve_uk(
    *,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number | None = None,
    serve_ml: Number | None = None,
) -> Estimate:
    """By 10 mL of ethanol; a serve of 90 mL if not said."""
    return _per_serve("uk", drink_ml, drink_strength, milk_ml, serve_ml)


@calculation(
    "ethanol.per_serve_au",
    title="Australian standard drinks in a serve",
    inputs=_SERVE,
    unit="drinks",
    formula=_SERVE_FORMULA,
    source=BASES["au"],
)
def per_serve_au(
    *,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number | None = None,
    serve_ml: Number | None = None,
) -> Estimate:
    """By 10 g of ethanol; a serve of 90 mL if not said."""
    return _per_serve("au", drink_ml, drink_strength, milk_ml, serve_ml)
