"""The inputs of a batch, named once, and the states that several calculations share."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.science._guard import bounded
from advisor.science.acids import ACIDULANTS, Acidulant, acidulant
from advisor.science.curd import Verdict, will_curdle
from advisor.science.estimate import Estimate, propagate
from advisor.science.milk_buffer import STRIP_BIAS, citric_less_salts, mix_ph
from advisor.science.milks import MILKS, milk
from advisor.science.mixing import Part, mix
from advisor.science.registry import ContradictionError, Input

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = [
    "DEFAULT_KIND",
    "DEFAULT_SERVE",
    "DEFAULT_TEMPERATURE",
    "INPUTS",
    "Number",
    "Recipe",
    "acid_amount",
    "checked",
    "content_of",
    "current_ph",
    "exactly",
    "mixed",
    "mixed_ph",
    "pick",
    "positive",
    "scale_of",
    "true_ph",
    "value_of",
    "verdict",
]

Number = Estimate | float

_ACIDS = tuple(sorted(ACIDULANTS))
_KINDS = tuple(sorted(MILKS))
DEFAULT_KIND, DEFAULT_TEMPERATURE, DEFAULT_SERVE, DEFAULT_STEP = "whole", 20.0, 90.0, 0.5
_UNSAID_STRENGTH = Estimate(20.0, 0.0, 45.0, "%vol")
_NUMBERS = (
    "drink_ml",
    "milk_ml",
    "drink_strength",
    "acid_ml",
    "acid_g",
    "mix_temperature",
    "milk_buffering",
    "own_acid",
    "strip_ph",
    "strip_step",
    "serve_ml",
)
_UNSAID_ACID = Estimate(0.0, 0.0, 0.5, "g/L")  # tea, sugar, bitters and the like
_MODEL_PH = 0.12  # shape of the milk curve between its anchors, pH

INPUTS: dict[str, Input] = {
    "drink_ml": Input("mL", low=1.0, high=1e6, about="everything but the milk, juice included"),
    "drink_strength": Input("%vol", low=0.0, high=100.0, about="strength of the drink"),
    "milk_ml": Input("mL", low=1.0, high=1e6, about="milk"),
    "milk_kind": Input(
        "word", required=False, choices=_KINDS, default=DEFAULT_KIND, about="kind of milk"
    ),
    "acid_kind": Input("word", choices=_ACIDS, about="acid or juice in the drink, or none"),
    "acid_ml": Input("mL", required=False, low=0.0, high=1e6, about="juice or solution"),
    "acid_g": Input("g", required=False, low=0.0, high=1e5, about="powder, or liquid by weight"),
    "mix_temperature": Input(
        "degC",
        required=False,
        low=-2.0,
        high=100.0,
        default=DEFAULT_TEMPERATURE,
        about="temperature at the split",
    ),
    "strip_ph": Input("pH", low=0.0, high=14.0, about="reading of the liquid between the curds"),
    "strip_step": Input(
        "pH", required=False, low=0.001, high=2.0, default=0.5, about="step of the strip or meter"
    ),
    "milk_buffering": Input(
        "ratio",
        required=False,
        low=0.2,
        high=4.0,
        default=1.0,
        about="buffering of this milk against the table, from a titration",
    ),
    "own_acid": Input(
        "g/L",
        required=False,
        low=0.0,
        high=100.0,
        default=0.0,
        about="acid of the drink beside the named one, as citric acid per litre of drink",
    ),
    "serve_ml": Input("mL", required=False, low=1.0, high=5000.0, default=90.0, about="one serve"),
}


def pick(*names: str, optional: tuple[str, ...] = ()) -> dict[str, Input]:
    """The named inputs; those in ``optional`` are not required here."""
    chosen = {name: INPUTS[name] for name in names}
    for name in optional:
        one = INPUTS[name]
        chosen[name] = Input(
            one.unit, False, one.low, one.high, one.choices, one.default, one.about
        )
    return chosen


def checked(name: str, given: Number) -> Number:
    """An input inside its range, or ``ValueError``."""
    one = INPUTS[name]
    return bounded(
        name,
        given,
        one.low if one.low is not None else -1e12,
        one.high if one.high is not None else 1e12,
        one.unit,
    )


def positive(
    formula: Callable[..., float],
    inputs: Mapping[str, Number],
    *,
    unit: str,
    model: float = 0.0,
) -> Estimate:
    """``propagate`` for what cannot be negative, nor above 100 when it is a percentage.

    Quadrature knows nothing of such ends; the interval is cut to them.
    """
    found = propagate(formula, inputs, unit=unit, model=model)
    most = 100.0 if unit in ("%", "%vol") else math.inf
    if found.low >= 0.0 and found.high <= most:
        return found
    value = min(most, max(0.0, found.value))
    return Estimate(value, max(0.0, found.low), min(most, max(0.0, found.high)), unit)


def exactly(given: Number) -> bool:
    """Whether it is known without an interval."""
    return not isinstance(given, Estimate) or given.low == given.high


def value_of(given: Number) -> float:
    return given.value if isinstance(given, Estimate) else float(given)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """One batch as far as it is known; checked when made, and a key for what was worked out.

    ``own_kind`` is the acidulant that ``own_acid`` is of, citric acid if not said: a wine or a
    juice brings its salts along with its acid.

    ``ValueError`` for a number out of range or an unknown word, ``TypeError`` for an unknown name.
    """

    drink_ml: Number
    milk_ml: Number
    drink_strength: Number | None = None
    milk_kind: str | None = None
    acid_kind: str | None = None
    acid_ml: Number | None = None
    acid_g: Number | None = None
    mix_temperature: Number | None = None
    milk_buffering: Number | None = None
    own_acid: Number | None = None
    own_kind: str | None = None
    strip_ph: Number | None = None
    strip_step: Number | None = None
    serve_ml: Number | None = None

    def __post_init__(self) -> None:
        for name in _NUMBERS:
            given = getattr(self, name)
            if given is not None:
                object.__setattr__(self, name, checked(name, given))
        milk(self.kind)
        if self.own_kind is not None and not (own := acidulant(self.own_kind)).acids:
            raise ValueError(f"own_kind is {own.id!r}; the drink's own acid needs the name of one")
        if self.acid_kind is not None:
            item = acidulant(self.acid_kind)
            poured = self.acid_ml
            if item.form == "liquid" and poured and value_of(poured) > value_of(self.drink_ml):
                raise ContradictionError(
                    f"acid_ml is {value_of(poured):g} mL, but drink_ml is "
                    f"{value_of(self.drink_ml):g} mL and includes it"
                )

    @property
    def kind(self) -> str:
        """The milk, whole if not said."""
        return self.milk_kind or DEFAULT_KIND

    @property
    def temperature(self) -> Number:
        """degC of the mix, 20 if not said."""
        return DEFAULT_TEMPERATURE if self.mix_temperature is None else self.mix_temperature

    @property
    def serve(self) -> Number:
        """mL of a serve, 90 if not said."""
        return DEFAULT_SERVE if self.serve_ml is None else self.serve_ml

    def mixed(self) -> tuple[Estimate, Estimate]:
        """Volume (mL) and strength (%vol) of the mix; 20 %vol is assumed of a drink not said."""
        strength = _UNSAID_STRENGTH if self.drink_strength is None else self.drink_strength
        return mixed(self.drink_ml, strength, self.milk_ml, self.kind)


def scale_of(kind: str | None, buffering: Number | None) -> tuple[str, Number]:
    """The milk's kind, and its buffering against the table with the interval it deserves."""
    known = milk(kind or DEFAULT_KIND)
    if buffering is not None:
        return known.id, buffering
    half = known.spread if kind else max(0.25, known.spread)
    return known.id, Estimate(1.0, 1.0 - half, 1.0 + half, "ratio")


def acid_amount(kind: str, ml: Number | None, grams: Number | None) -> tuple[Acidulant, Number]:
    """The acid and its dose in its own measure (g of a powder, mL of a liquid).

    ``ValueError`` when the dose is missing, or a powder was given in mL.
    """
    item = acidulant(kind)
    if not item.acids:
        return item, 0.0
    if item.form == "powder":
        if ml is not None and value_of(ml) > 0.0:
            raise ValueError(
                f"acid_ml is {value_of(ml):g} mL, but {item.title} is a powder: give acid_g, "
                "or name a solution such as citric-15"
            )
        if grams is None:
            raise ValueError(f"acid_g is missing; {item.title} is dosed in g")
        return item, grams
    if ml is None and grams is None:
        raise ValueError(f"acid_ml is missing; {item.title} is dosed in mL")
    if grams is None or value_of(grams) == 0.0:
        return item, ml if ml is not None else 0.0
    poured = positive(
        lambda ml, grams: ml + grams / item.density, {"ml": ml or 0.0, "grams": grams}, unit="mL"
    )
    return item, poured


@lru_cache(maxsize=1024)
def mixed(
    drink_ml: Number, drink_strength: Number, milk_ml: Number, kind: str
) -> tuple[Estimate, Estimate]:
    """Volume (mL) and strength (%vol) of drink and milk, contraction counted."""
    item = milk(kind)
    inert = min(0.6, item.solids_volume)
    inputs = {
        "drink": drink_ml,
        "strength": drink_strength,
        "milk": milk_ml,
    }

    def volume(drink: float, strength: float, milk: float) -> float:
        return mix((Part(drink, strength), Part(milk, inert=inert))).volume

    def share(drink: float, strength: float, milk: float) -> float:
        return mix((Part(drink, strength), Part(milk, inert=inert))).strength

    total = positive(volume, inputs, unit="mL")
    # What holds no alcohol gets none from the milk.
    model = 0.15 if value_of(drink_strength) > 0.0 or not exactly(drink_strength) else 0.0
    strength = positive(share, inputs, unit="%vol", model=model)
    return total, strength


def mixed_ph(recipe: Recipe) -> Estimate:
    """pH of the mix on the water scale, from the recipe alone."""
    if recipe.acid_kind is None:
        raise ValueError("acid_kind is missing; name the acid, or none")
    item, amount = acid_amount(recipe.acid_kind, recipe.acid_ml, recipe.acid_g)
    return _mixed_ph(
        recipe.drink_ml,
        recipe.milk_ml,
        recipe.milk_kind,
        item.id,
        amount,
        recipe.temperature,
        recipe.milk_buffering,
        _UNSAID_ACID if recipe.own_acid is None else recipe.own_acid,
        recipe.own_kind or "citric",
    )


@lru_cache(maxsize=1024)
def _mixed_ph(
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None,
    acid_kind: str,
    amount: Number,
    temperature: Number,
    buffering: Number | None,
    own_acid: Number,
    own_kind: str,
) -> Estimate:
    kind, scale = scale_of(milk_kind, buffering)
    item = acidulant(acid_kind)
    start = 4.6 if item.acids else 6.5
    own_per = 1.0 / citric_less_salts(own_kind, 1.0)  # of that acid for each g as citric

    def ph(
        drink: float,
        milk: float,
        amount: float,
        content: float,
        scale: float,
        own: float,
        temperature: float,
    ) -> float:
        nonlocal start
        doses = ((item.id, amount * content), (own_kind, own_per * own * drink / 1000.0))
        start = mix_ph(
            drink,
            milk,
            kind,
            doses,
            temperature=temperature,
            scale=scale,
            guess=start,
            tolerance=1e-4,
        ).ph
        return start

    return propagate(
        ph,
        {
            "drink": drink_ml,
            "milk": milk_ml,
            "amount": amount,
            "content": content_of(item),
            "scale": scale,
            "own": own_acid,
            "temperature": temperature,
        },
        unit="pH",
        model=_MODEL_PH,
    )


def content_of(item: Acidulant) -> Number:
    """The acid in an acidulant against its table value."""
    return Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread) if item.acids else 1.0


def true_ph(reading: Number, step: Number | None, strength: Number) -> Estimate:
    """pH on the water scale behind a reading; half a step and 0.05 of the tool as interval."""
    fineness = value_of(DEFAULT_STEP if step is None else step)
    return propagate(
        lambda reading, strength, per: reading - per * strength,
        {"reading": reading, "strength": strength, "per": STRIP_BIAS},
        unit="pH",
        model=((fineness / 2.0) ** 2 + 0.05**2) ** 0.5,
    )


@lru_cache(maxsize=1024)
def current_ph(recipe: Recipe) -> Estimate:
    """The measured pH when there is one, else the calculated one; ``ValueError`` without either."""
    if recipe.strip_ph is not None:
        return true_ph(recipe.strip_ph, recipe.strip_step, recipe.mixed()[1])
    if recipe.acid_kind is None:
        raise ValueError("acid_kind is missing, and so is strip_ph: one of them must be given")
    return mixed_ph(recipe)


@lru_cache(maxsize=1024)
def verdict(recipe: Recipe) -> Verdict:
    """What to expect of the mix at its present pH."""
    strength = 0.0 if recipe.drink_strength is None else recipe.mixed()[1].value
    return will_curdle(
        current_ph(recipe),
        recipe.kind,
        strength=strength,
        temperature=value_of(recipe.temperature),
    )
