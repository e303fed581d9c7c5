"""The inputs of a batch, named once, and the states that several calculations share."""

from __future__ import annotations

from functools import lru_cache

from advisor.science._guard import bounded
from advisor.science.acids import ACIDULANTS, Acidulant, acidulant
from advisor.science.curd import Verdict, will_curdle
from advisor.science.estimate import Estimate, propagate
from advisor.science.milk_buffer import STRIP_BIAS, mix_ph
from advisor.science.milks import MILKS, milk
from advisor.science.mixing import Part, mix
from advisor.science.registry import Input

__all__ = [
    "INPUTS",
    "Number",
    "acid_amount",
    "current_ph",
    "mixed",
    "mixed_ph",
    "pick",
    "read_ph",
    "scale_of",
    "verdict",
]

Number = Estimate | float

_ACIDS = tuple(sorted(ACIDULANTS))
_KINDS = tuple(sorted(MILKS))
DEFAULT_KIND, DEFAULT_TEMPERATURE = "whole", 20.0
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
        "degC", required=False, low=-2.0, high=100.0, default=DEFAULT_TEMPERATURE,
        about="temperature at the split",
    ),  # fmt: skip
    "strip_ph": Input("pH", low=0.0, high=14.0, about="reading of the liquid between the curds"),
    "strip_step": Input(
        "pH", required=False, low=0.001, high=2.0, default=0.5, about="step of the strip or meter"
    ),
    "milk_buffering": Input(
        "ratio", required=False, low=0.2, high=4.0, default=1.0,
        about="buffering of this milk against the table, from a titration",
    ),  # fmt: skip
    "own_acid": Input(
        "g/L", required=False, low=0.0, high=100.0, default=0.0,
        about="acid of the drink beside the named one, as citric acid per litre of drink",
    ),  # fmt: skip
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


def value_of(given: Number) -> float:
    return given.value if isinstance(given, Estimate) else float(given)


def scale_of(kind: str | None, buffering: Number | None) -> tuple[str, Number]:
    """The milk's kind, and its buffering against the table with the interval it deserves."""
    known = milk(kind or DEFAULT_KIND)
    if buffering is not None:
        return known.id, checked("milk_buffering", buffering)
    half = known.spread if kind else max(0.25, known.spread)
    return known.id, Estimate(1.0, 1.0 - half, 1.0 + half, "ratio")


def temperature_of(given: Number | None) -> Number:
    return DEFAULT_TEMPERATURE if given is None else checked("mix_temperature", given)


def acid_amount(
    kind: str, ml: Number | None, grams: Number | None
) -> tuple[Acidulant, Number]:
    """The acid and its dose in its own measure (g of a powder, mL of a liquid).

    ``ValueError`` when the dose is missing, or a powder was given in mL.
    """
    item = acidulant(kind)
    if not item.acids:
        return item, 0.0
    ml = None if ml is None else checked("acid_ml", ml)
    grams = None if grams is None else checked("acid_g", grams)
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
    poured = propagate(
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
        "drink": checked("drink_ml", drink_ml),
        "strength": checked("drink_strength", drink_strength),
        "milk": 0.0 if value_of(milk_ml) == 0.0 else checked("milk_ml", milk_ml),
    }

    def volume(drink: float, strength: float, milk: float) -> float:
        return mix((Part(drink, strength), Part(milk, inert=inert))).volume

    def share(drink: float, strength: float, milk: float) -> float:
        return mix((Part(drink, strength), Part(milk, inert=inert))).strength

    total = propagate(volume, inputs, unit="mL")
    strength = propagate(share, inputs, unit="%vol", model=0.15)
    if strength.low < 0.0 or value_of(drink_strength) == 0.0:
        strength = Estimate(strength.value, max(0.0, strength.low), strength.high, "%vol")
    return total, strength


@lru_cache(maxsize=1024)
def mixed_ph(
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None,
    acid_kind: str,
    acid_ml: Number | None,
    acid_g: Number | None,
    mix_temperature: Number | None,
    milk_buffering: Number | None,
    own_acid: Number | None,
) -> Estimate:
    """pH of the mix on the water scale."""
    kind, scale = scale_of(milk_kind, milk_buffering)
    item, amount = acid_amount(acid_kind, acid_ml, acid_g)
    own = _UNSAID_ACID if own_acid is None else checked("own_acid", own_acid)
    start = 4.6 if item.acids else 6.5

    def ph(
        drink: float, milk: float, amount: float, content: float, scale: float, own: float,
        temperature: float,
    ) -> float:  # fmt: skip
        nonlocal start
        doses = ((item.id, amount * content), ("citric", own * drink / 1000.0))
        solved = mix_ph(
            drink, milk, kind, doses, temperature=temperature, scale=scale, guess=start
        ).ph
        start = solved
        return solved

    content: Number = 1.0
    if item.acids:
        content = Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread)
    return propagate(
        ph,
        {
            "drink": checked("drink_ml", drink_ml),
            "milk": checked("milk_ml", milk_ml),
            "amount": amount,
            "content": content,
            "scale": scale,
            "own": own,
            "temperature": temperature_of(mix_temperature),
        },
        unit="pH",
        model=_MODEL_PH,
    )


@lru_cache(maxsize=1024)
def read_ph(
    strip_ph: Number,
    strip_step: Number | None,
    drink_ml: Number | None,
    drink_strength: Number | None,
    milk_ml: Number | None,
) -> Estimate:
    """pH on the water scale from a reading."""
    step = value_of(checked("strip_step", 0.5 if strip_step is None else strip_step))
    reading = checked("strip_ph", strip_ph)
    strength = Estimate(20.0, 0.0, 40.0, "%vol")
    if drink_strength is not None:
        if drink_ml is not None and milk_ml is not None:
            strength = mixed(drink_ml, drink_strength, milk_ml, DEFAULT_KIND)[1]
        else:
            most = value_of(checked("drink_strength", drink_strength))
            strength = Estimate(0.8 * most, 0.33 * most, most, "%vol")
    return propagate(
        lambda reading, strength, per: reading - per * strength,
        {"reading": reading, "strength": strength, "per": STRIP_BIAS},
        unit="pH",
        model=((step / 2.0) ** 2 + 0.05**2) ** 0.5,
    )


def current_ph(
    *,
    strip_ph: Number | None = None,
    strip_step: Number | None = None,
    drink_ml: Number,
    drink_strength: Number | None = None,
    milk_ml: Number,
    milk_kind: str | None = None,
    acid_kind: str | None = None,
    acid_ml: Number | None = None,
    acid_g: Number | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
    own_acid: Number | None = None,
) -> Estimate:
    """The measured pH when there is one, else the calculated one; ``ValueError`` without either."""
    if strip_ph is not None:
        return read_ph(strip_ph, strip_step, drink_ml, drink_strength, milk_ml)
    if acid_kind is None:
        raise ValueError("acid_kind is missing, and so is strip_ph: one of them must be given")
    return mixed_ph(
        drink_ml, milk_ml, milk_kind, acid_kind, acid_ml, acid_g, mix_temperature,
        milk_buffering, own_acid,
    )  # fmt: skip


def verdict(
    ph: Estimate,
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None,
    drink_strength: Number | None,
    mix_temperature: Number | None,
) -> Verdict:
    """What to expect of the mix at that pH."""
    kind = milk_kind or DEFAULT_KIND
    strength = 0.0
    if drink_strength is not None:
        strength = mixed(drink_ml, drink_strength, milk_ml, kind)[1].value
    temperature = value_of(temperature_of(mix_temperature))
    return will_curdle(ph, kind, strength=strength, temperature=temperature)
