"""Registered calculations on the acid a batch still needs, or will need next time."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from advisor.science._batch import (
    DEFAULT_KIND,
    DEFAULT_TEMPERATURE,
    Recipe,
    acid_amount,
    checked,
    content_of,
    current_ph,
    pick,
    positive,
    scale_of,
    value_of,
)
from advisor.science.acids import acidulant
from advisor.science.estimate import Estimate
from advisor.science.milk_buffer import coagulation_ph, heat_release, milk_sites, supply
from advisor.science.milks import milk
from advisor.science.registry import calculation

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = [
    "BALANCE",
    "needed_citric",
    "next_dose_citric",
    "next_dose_juice",
    "still_needed_citric",
    "still_needed_juice",
]

BALANCE = (
    "Davies charge balance; milk buffer set by the glucono-delta-lactone dose (J. Dairy Sci. 1960)"
    " and Lucey, Gorry & Fox 1993"
)
_DOSE_MARGIN = Estimate(1.25, 1.15, 1.6)  # practice gives 7-10 g/L where 6 would just do
_TARGET_HALF = 0.15  # pH, of the working rule


def _needs(kind: str, ph: float, temperature: float, scale: float) -> float:
    """mmol H+ per mL of milk from natural pH to ``ph``."""
    return scale * milk_sites(kind).bound(ph) - heat_release(temperature, milk(kind).casein > 0.0)


def _target(kind: str, temperature: Number) -> Estimate:
    ph = coagulation_ph(value_of(temperature), kind)
    return Estimate(ph, ph - _TARGET_HALF, ph + _TARGET_HALF, "pH")


def _must_curdle(kind: str) -> None:
    if milk(kind).curd == "no":
        raise ValueError(f"milk_kind is {kind!r}; it makes no curd, whatever the acid")


def needed_citric(
    milk_ml: Number,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
) -> Estimate:
    """Grams of anhydrous citric acid that take the milk alone to its working pH.

    ``ValueError`` for a drink that makes no curd.
    """
    given = DEFAULT_TEMPERATURE if mix_temperature is None else mix_temperature
    return _needed_citric(
        checked("milk_ml", milk_ml),
        milk_kind,
        checked("mix_temperature", given),
        None if milk_buffering is None else checked("milk_buffering", milk_buffering),
    )


@lru_cache(maxsize=512)
def _needed_citric(
    milk_ml: Number, milk_kind: str | None, temperature: Number, buffering: Number | None
) -> Estimate:
    kind, scale = scale_of(milk_kind, buffering)
    _must_curdle(kind)
    citric = acidulant("citric")

    def grams(milk: float, scale: float, target: float, temperature: float) -> float:
        need = milk * _needs(kind, target, temperature, scale)
        return max(0.0, need / supply(citric, 1.0, target))

    return positive(
        grams,
        {
            "milk": milk_ml,
            "scale": scale,
            "target": _target(kind, temperature),
            "temperature": temperature,
        },
        unit="g",
    )


@lru_cache(maxsize=512)
def _still_needed(per_id: str, unit: str, recipe: Recipe) -> Estimate:
    """Dose of ``per_id`` (its g or mL) that takes the mix from where it is to its working pH."""
    kind, scale = scale_of(recipe.milk_kind, recipe.milk_buffering)
    _must_curdle(kind)
    measured = recipe.strip_ph is not None
    tool, citric = acidulant(per_id), acidulant("citric")
    item = acidulant("none")
    amount: Number = 0.0
    if recipe.acid_kind is not None and _dose_known(recipe, measured):
        item, amount = acid_amount(recipe.acid_kind, recipe.acid_ml, recipe.acid_g)
    now: Number = current_ph(recipe) if measured else 7.0
    if not measured and recipe.acid_kind is None:
        raise ValueError("acid_kind is missing, and so is strip_ph: one of them must be given")

    def gives(ph: float, acid: float, own: float) -> float:
        mmol = supply(item, acid, ph) if acid else 0.0
        return mmol + supply(citric, own, ph) if own else mmol

    def dose(
        drink: float,
        milk: float,
        scale: float,
        target: float,
        amount: float,
        content: float,
        own: float,
        now: float,
        temperature: float,
    ) -> float:
        own *= drink / 1000.0
        acid = amount * content
        need = milk * _needs(kind, target, temperature, scale) - gives(target, acid, own)
        free: float = 10.0**-target
        if measured:
            if now <= target:
                return 0.0
            # What the mix has taken up so far is known by its pH, not by the recipe.
            need -= milk * _needs(kind, now, temperature, scale) - gives(now, acid, own)
            free -= 10.0**-now
        return max(0.0, (need + (drink + milk) * free) / supply(tool, 1.0, target))

    return positive(
        dose,
        {
            "drink": recipe.drink_ml,
            "milk": recipe.milk_ml,
            "scale": scale,
            "target": _target(kind, recipe.temperature),
            "amount": amount,
            "content": content_of(item),
            "own": recipe.own_acid or 0.0,
            "now": now,
            "temperature": recipe.temperature,
        },
        unit=unit,
    )


def _dose_known(recipe: Recipe, measured: bool) -> bool:
    """With a reading, a recipe without its dose still serves: the milk's own buffering decides."""
    return not measured or recipe.acid_ml is not None or recipe.acid_g is not None


_STILL = pick(
    "drink_ml",
    "milk_ml",
    "acid_ml",
    "acid_g",
    "milk_kind",
    "mix_temperature",
    "milk_buffering",
    "own_acid",
    "strip_step",
    optional=("drink_strength", "acid_kind", "strip_ph"),
)
_STILL_FORMULA = (
    "(hydrogen ions the milk takes up to its working pH - those already there) / those given up "
    "by a gram (mL) at that pH; from the reading when there is one"
)


@calculation(
    "acid.still_needed_citric",
    title="citric acid to finish the split",
    inputs=_STILL,
    unit="g",
    formula=_STILL_FORMULA,
    source=BALANCE,
)
def still_needed_citric(**given: Any) -> Estimate:
    """g of anhydrous citric acid; 0 when there is enough. A reading goes before the recipe."""
    return _still_needed("citric", "g", Recipe(**given))


@calculation(
    "acid.still_needed_juice",
    title="fresh lemon juice to finish the split",
    inputs=_STILL,
    unit="mL",
    formula=_STILL_FORMULA,
    source=f"{BALANCE}; Penniston et al. 2008",
)
def still_needed_juice(**given: Any) -> Estimate:
    """mL of fresh lemon juice (48 g/L citric acid, potassium counted); 0 when there is enough."""
    return _still_needed("lemon-juice", "mL", Recipe(**given))


_NEXT = {
    **pick("milk_ml", "milk_kind", "mix_temperature", "milk_buffering"),
    **pick(
        optional=(
            "drink_ml", "drink_strength", "acid_kind", "acid_ml", "acid_g", "own_acid",
            "strip_ph", "strip_step",
        )
    ),
}  # fmt: skip
_NEXT_FORMULA = (
    "that takes the milk to its working pH x 1.25 (1.15 to 1.6); no less than what went in and "
    "what a reading shows to be still needed"
)


@calculation(
    "acid.next_dose_citric",
    title="citric acid for this much milk next time",
    inputs=_NEXT,
    unit="g",
    formula=f"citric acid {_NEXT_FORMULA}",
    source=f"{BALANCE}; the margin is common practice (7-10 g per litre of milk)",
)
def next_dose_citric(
    *,
    milk_ml: Number,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
    **batch: Any,
) -> Estimate:
    """g of anhydrous citric acid for a drink without acid of its own.

    Where this drink was read and took more than the sum, what it took: ``batch`` holds the
    inputs of ``acid.still_needed_citric``.
    """
    needed = needed_citric(milk_ml, milk_kind, mix_temperature, milk_buffering)
    planned = positive(
        lambda needed, margin: needed * margin,
        {"needed": needed, "margin": _DOSE_MARGIN},
        unit="g",
    )
    return _no_less_than_it_took(
        planned, "citric", "g",
        dict(milk_ml=milk_ml, milk_kind=milk_kind, mix_temperature=mix_temperature,
             milk_buffering=milk_buffering, **batch),
    )  # fmt: skip


@calculation(
    "acid.next_dose_juice",
    title="fresh lemon juice for this much milk next time",
    inputs=_NEXT,
    unit="mL",
    formula=f"lemon juice {_NEXT_FORMULA}",
    source=f"{BALANCE}; Penniston et al. 2008; the margin is common practice",
)
def next_dose_juice(
    *,
    milk_ml: Number,
    milk_kind: str | None = None,
    mix_temperature: Number | None = None,
    milk_buffering: Number | None = None,
    **batch: Any,
) -> Estimate:
    """mL of fresh lemon juice for a drink without acid of its own; see ``next_dose_citric``."""
    needed = needed_citric(milk_ml, milk_kind, mix_temperature, milk_buffering)
    temperature = DEFAULT_TEMPERATURE if mix_temperature is None else mix_temperature
    target = _target(milk_kind or DEFAULT_KIND, temperature).value
    juice = acidulant("lemon-juice")
    per_gram = supply(acidulant("citric"), 1.0, target) / supply(juice, 1.0, target)
    content = Estimate(1.0, 1.0 - juice.spread, 1.0 + juice.spread)
    planned = positive(
        lambda needed, margin, content: needed * margin * per_gram / content,
        {"needed": needed, "margin": _DOSE_MARGIN, "content": content},
        unit="mL",
    )
    return _no_less_than_it_took(
        planned, "lemon-juice", "mL",
        dict(milk_ml=milk_ml, milk_kind=milk_kind, mix_temperature=mix_temperature,
             milk_buffering=milk_buffering, **batch),
    )  # fmt: skip


def _no_less_than_it_took(
    planned: Estimate, per_id: str, unit: str, batch: dict[str, Any]
) -> Estimate:
    """The plan, or what went in and what the reading asks for on top, whichever is more."""
    told = {key: value for key, value in batch.items() if value is not None}
    if not {"strip_ph", "drink_ml", "acid_kind"} <= told.keys() or not told.keys() & {
        "acid_ml", "acid_g",
    }:  # fmt: skip
        return planned
    recipe = Recipe(**told)
    more = _still_needed(per_id, unit, recipe)
    if more.value <= 0.0:
        return planned
    item, amount = acid_amount(recipe.acid_kind or "none", recipe.acid_ml, recipe.acid_g)
    target = _target(recipe.kind, recipe.temperature).value
    worth = supply(item, 1.0, target) / supply(acidulant(per_id), 1.0, target)
    return positive(
        lambda planned, amount, content, more: max(planned, amount * content * worth + more),
        {"planned": planned, "amount": amount, "content": content_of(item), "more": more},
        unit=unit,
    )
