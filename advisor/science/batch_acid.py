"""Registered calculations on the acid of a batch: its pH, its dose, and what is still short.

pH is on the water scale of ``milk_buffer``: as if the alcohol were water.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.science import _batch
from advisor.science._batch import (
    acid_amount,
    checked,
    current_ph,
    mixed,
    mixed_ph,
    pick,
    scale_of,
    temperature_of,
    value_of,
)
from advisor.science.acids import CITRIC_MASS, acidulant, citric_equivalent
from advisor.science.estimate import Estimate, propagate
from advisor.science.milk_buffer import (
    STRIP_BIAS,
    coagulation_ph,
    heat_release,
    milk_sites,
    supply,
)
from advisor.science.milks import milk
from advisor.science.registry import calculation

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.science._batch import Number
    from advisor.science.registry import Input

__all__ = [
    "excess",
    "expected_reading",
    "mix_ph",
    "next_dose_citric",
    "next_dose_juice",
    "per_litre_milk",
    "read_ph",
    "still_needed_citric",
    "still_needed_juice",
]

_BALANCE = (
    "Davies charge balance; milk buffer set by the glucono-delta-lactone dose (J. Dairy Sci. 1960)"
    " and Lucey, Gorry & Fox 1993"
)
_DOSE_MARGIN = Estimate(1.25, 1.15, 1.6)  # practice gives 7-10 g/L where 6 would just do
_TARGET_HALF = 0.15  # pH, of the working rule
_ACID = ("acid_kind",)
_AMOUNT = ("acid_ml", "acid_g")
_MILK = ("milk_kind", "mix_temperature", "milk_buffering", "own_acid")
_EVERYTHING = pick(
    "drink_ml", "milk_ml", *_AMOUNT, *_MILK, "strip_step",
    optional=("drink_strength", "acid_kind", "strip_ph"),
)  # fmt: skip


@calculation(
    "acid.mix_ph",
    title="pH of the mix",
    inputs=pick("drink_ml", "milk_ml", *_ACID, *_AMOUNT, *_MILK),
    unit="pH",
    formula="charges of milk, acid and water balance; alcohol counted as water",
    source=_BALANCE,
)
def mix_ph(
    *,
    drink_ml: Number,
    milk_ml: Number,
    acid_kind: str,
    acid_ml: Number | None = None,
    acid_g: Number | None = None,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
    own_acid: Number | None = None,
) -> Estimate:
    """pH on the water scale, the one the curd's limits are on; a strip reads higher by the alcohol."""
    return mixed_ph(
        drink_ml, milk_ml, milk_kind, acid_kind, acid_ml, acid_g, mix_temperature,
        milk_buffering, own_acid,
    )  # fmt: skip


@calculation(
    "acid.read_ph",
    title="pH behind a strip or meter reading",
    inputs=pick(
        "strip_ph", "strip_step", optional=("drink_ml", "drink_strength", "milk_ml")
    ),
    unit="pH",
    formula="reading - (0.006 to 0.014) x strength of the mix; half a step as interval",
    source="Prenesti et al. 2012, The Scientific World Journal 249041, Table 4",
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
    return _batch.read_ph(strip_ph, strip_step, drink_ml, drink_strength, milk_ml)


@calculation(
    "acid.expected_reading",
    title="what a strip or meter should show",
    inputs=pick("drink_ml", "drink_strength", "milk_ml", *_ACID, *_AMOUNT, *_MILK),
    unit="pH",
    formula="pH of the mix + (0.006 to 0.014) x strength of the mix",
    source="Prenesti et al. 2012, The Scientific World Journal 249041, Table 4",
)
def expected_reading(
    *,
    drink_ml: Number,
    drink_strength: Number,
    milk_ml: Number,
    acid_kind: str,
    acid_ml: Number | None = None,
    acid_g: Number | None = None,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
    own_acid: Number | None = None,
) -> Estimate:
    """The calculated pH with the alcohol's upward push put back."""
    ph = mixed_ph(
        drink_ml, milk_ml, milk_kind, acid_kind, acid_ml, acid_g, mix_temperature,
        milk_buffering, own_acid,
    )  # fmt: skip
    strength = mixed(drink_ml, drink_strength, milk_ml, milk_kind or _batch.DEFAULT_KIND)[1]
    return propagate(
        lambda ph, per, strength: ph + per * strength,
        {"ph": ph, "per": STRIP_BIAS, "strength": strength},
        unit="pH",
    )


def _supplied(item_id: str, amount: Number, drink_ml: Number, own: Number | None) -> Estimate:
    """Grams of citric acid that the named acid and the drink's own are worth."""
    item = acidulant(item_id)
    per = citric_equivalent(item, 1.0)
    content = Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread)
    return propagate(
        lambda amount, content, drink, own: amount * content * per + own * drink / 1000.0,
        {"amount": amount, "content": content, "drink": drink_ml, "own": own or 0.0},
        unit="g",
    )


@calculation(
    "acid.per_litre_milk",
    title="acid per litre of milk, as citric acid",
    inputs=pick("milk_ml", *_ACID, *_AMOUNT, "own_acid", optional=("drink_ml",)),
    unit="g/L",
    formula="grams of anhydrous citric acid with the same hydrogen ions at pH 4.6, per litre of milk",
    source="pKa of section-wise handbooks (CRC); Penniston et al. 2008 for juices",
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
    """g citric acid, anhydrous, per litre of milk. A juice counts by its acid alone, as in the trade."""
    item, amount = acid_amount(acid_kind, acid_ml, acid_g)
    grams = _supplied(item.id, amount, drink_ml or 0.0, own_acid)
    return propagate(
        lambda grams, milk: 1000.0 * grams / milk,
        {"grams": grams, "milk": checked("milk_ml", milk_ml)},
        unit="g/L",
    )


def _need_per_ml(kind: str, ph: float, temperature: float, scale: float) -> float:
    """mmol H+ per mL of milk from natural pH to ``ph``."""
    released = heat_release(temperature, milk(kind).casein > 0.0)
    return scale * milk_sites(kind).bound(ph) - released


def _target(kind: str, temperature: Number) -> Estimate:
    ph = coagulation_ph(value_of(temperature), kind)
    return Estimate(ph, ph - _TARGET_HALF, ph + _TARGET_HALF, "pH")


def _must_curdle(kind: str) -> None:
    if milk(kind).curd == "no":
        raise ValueError(f"milk_kind is {kind!r}; it makes no curd, whatever the acid")


@lru_cache(maxsize=512)
def _needed_citric(
    milk_ml: Number, milk_kind: str | None, temperature: Number, buffering: Number | None
) -> Estimate:
    """Grams of anhydrous citric acid to take the milk alone to its working pH."""
    kind, scale = scale_of(milk_kind, buffering)
    _must_curdle(kind)
    citric = acidulant("citric")

    def grams(milk: float, scale: float, target: float, temperature: float) -> float:
        need = milk * _need_per_ml(kind, target, temperature, scale)
        return max(0.0, need / supply(citric, 1.0, target))

    return propagate(
        grams,
        {
            "milk": checked("milk_ml", milk_ml),
            "scale": scale,
            "target": _target(kind, temperature),
            "temperature": temperature,
        },
        unit="g",
    )


@calculation(
    "acid.excess",
    title="acid supplied over acid needed",
    inputs=pick(
        "milk_ml", *_ACID, *_AMOUNT, *_MILK, optional=("drink_ml",)
    ),
    unit="ratio",
    formula="citric equivalent of the dose / citric acid that takes the milk to its working pH",
    source=_BALANCE,
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
    item, amount = acid_amount(acid_kind, acid_ml, acid_g)
    given = _supplied(item.id, amount, drink_ml or 0.0, own_acid)
    needed = _needed_citric(milk_ml, milk_kind, temperature_of(mix_temperature), milk_buffering)
    if needed.value <= 0.0:
        raise ValueError(f"milk_kind is {milk_kind!r}; it is sour enough by itself to need no acid")
    floor = 0.25 * needed.value
    return propagate(
        lambda given, needed: given / max(floor, needed),
        {"given": given, "needed": needed},
        unit="ratio",
    )


def _still_needed(per_id: str, unit: str, given: Mapping[str, Number | str | None]) -> Estimate:
    """Dose of ``per_id`` (its g or mL) that takes the mix from where it is to its working pH."""
    word = given.get("milk_kind")
    kind, scale = scale_of(str(word) if word else None, _number(given.get("milk_buffering")))
    _must_curdle(kind)
    temperature = temperature_of(_number(given.get("mix_temperature")))
    tool = acidulant(per_id)
    acid_kind = given.get("acid_kind")
    item, amount = acidulant("none"), 0.0
    if acid_kind is not None:
        item, dosed = acid_amount(
            str(acid_kind), _number(given.get("acid_ml")), _number(given.get("acid_g"))
        )
        amount = value_of(dosed)
    measured = given.get("strip_ph") is not None
    if not measured and acid_kind is None:
        raise ValueError("acid_kind is missing, and so is strip_ph: one of them must be given")
    drink = value_of(_required(given, "drink_ml"))
    own = _number(given.get("own_acid"))
    own_grams = value_of(own) * drink / 1000.0 if own is not None else 0.0
    citric = acidulant("citric")
    now: Number = 7.0
    if measured:
        now = current_ph(**{k: v for k, v in given.items() if k in _CURRENT})  # type: ignore[arg-type]

    def gives(ph: float, content: float) -> float:
        mmol = supply(item, amount * content, ph) if amount else 0.0
        return (mmol + supply(citric, own_grams, ph) if own_grams else mmol) / 1000.0

    def dose(
        milk: float, scale: float, target: float, content: float, now: float, temperature: float
    ) -> float:
        need = milk * _need_per_ml(kind, target, temperature, scale) / 1000.0
        have = gives(target, content)
        if measured:
            if now <= target:
                return 0.0
            # What the mix has taken up so far is known by its pH, not by the recipe.
            need -= milk * _need_per_ml(kind, now, temperature, scale) / 1000.0
            have -= gives(now, content)
        free = (drink + milk) / 1000.0 * (10.0**-target)
        return max(0.0, 1000.0 * (need + free - have) / supply(tool, 1.0, target))

    return propagate(
        dose,
        {
            "milk": _required(given, "milk_ml"),
            "scale": scale,
            "target": _target(kind, temperature),
            "content": Estimate(1.0, 1.0 - item.spread, 1.0 + item.spread),
            "now": now,
            "temperature": temperature,
        },
        unit=unit,
    )


_CURRENT = frozenset(
    {"strip_ph", "strip_step", "drink_ml", "drink_strength", "milk_ml"}
)


def _number(given: Number | str | None) -> Number | None:
    if isinstance(given, str):
        raise ValueError(f"a number is {given!r}; it must be a number")
    return given


def _required(given: Mapping[str, Number | str | None], name: str) -> Number:
    number = _number(given.get(name))
    if number is None:
        raise ValueError(f"{name} is missing")
    return checked(name, number)


def _still_inputs() -> dict[str, Input]:
    return dict(_EVERYTHING)


_STILL_FORMULA = (
    "(hydrogen ions the milk takes up to its working pH - those already there) / those given up "
    "by a gram (mL) at that pH; from the reading when there is one"
)


@calculation(
    "acid.still_needed_citric",
    title="citric acid to finish the split",
    inputs=_still_inputs(),
    unit="g",
    formula=_STILL_FORMULA,
    source=_BALANCE,
)
def still_needed_citric(**given: Number | str | None) -> Estimate:
    """g of anhydrous citric acid; 0 when there is enough. Takes a reading in place of the recipe."""
    return _still_needed("citric", "g", given)


@calculation(
    "acid.still_needed_juice",
    title="fresh lemon juice to finish the split",
    inputs=_still_inputs(),
    unit="mL",
    formula=_STILL_FORMULA,
    source=f"{_BALANCE}; Penniston et al. 2008",
)
def still_needed_juice(**given: Number | str | None) -> Estimate:
    """mL of fresh lemon juice (48 g/L citric acid, its potassium counted); 0 when there is enough."""
    return _still_needed("lemon-juice", "mL", given)


_NEXT = pick("milk_ml", "milk_kind", "mix_temperature", "milk_buffering")


@calculation(
    "acid.next_dose_citric",
    title="citric acid for this much milk next time",
    inputs=_NEXT,
    unit="g",
    formula="citric acid that takes the milk to its working pH x 1.25 (1.15 to 1.6)",
    source=f"{_BALANCE}; the margin is common practice (7-10 g per litre of milk)",
)
def next_dose_citric(
    *,
    milk_ml: Number,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
) -> Estimate:
    """g of anhydrous citric acid for a drink without acid of its own."""
    needed = _needed_citric(milk_ml, milk_kind, temperature_of(mix_temperature), milk_buffering)
    return propagate(
        lambda needed, margin: needed * margin,
        {"needed": needed, "margin": _DOSE_MARGIN},
        unit="g",
    )


@calculation(
    "acid.next_dose_juice",
    title="fresh lemon juice for this much milk next time",
    inputs=_NEXT,
    unit="mL",
    formula="lemon juice that takes the milk to its working pH x 1.25 (1.15 to 1.6)",
    source=f"{_BALANCE}; Penniston et al. 2008; the margin is common practice",
)
def next_dose_juice(
    *,
    milk_ml: Number,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
) -> Estimate:
    """mL of fresh lemon juice for a drink without acid of its own."""
    temperature = temperature_of(mix_temperature)
    needed = _needed_citric(milk_ml, milk_kind, temperature, milk_buffering)
    target = _target(milk_kind or _batch.DEFAULT_KIND, temperature).value
    juice = acidulant("lemon-juice")
    per_gram = supply(acidulant("citric"), 1.0, target) / supply(juice, 1.0, target)
    content = Estimate(1.0, 1.0 - juice.spread, 1.0 + juice.spread)
    return propagate(
        lambda needed, margin, content: needed * margin * per_gram / content,
        {"needed": needed, "margin": _DOSE_MARGIN, "content": content},
        unit="mL",
    )


# One gram of citric acid, for whoever turns a dose into hydrogen ions.
CITRIC_MMOL_PER_G = 1000.0 / CITRIC_MASS
