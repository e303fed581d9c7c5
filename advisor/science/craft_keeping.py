"""Registered calculations on keeping, serves and blind trials."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science._batch import checked, pick, value_of
from advisor.science._guard import bounded
from advisor.science.estimate import Category, Estimate
from advisor.science.registry import Input, calculation

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = ["band", "serves", "trial_p_value"]


@calculation(
    "keeping.band",
    title="how the drink must be kept",
    inputs={
        "final_strength": Input("%vol", low=0.0, high=100.0, about="strength as it will be kept"),
        "final_ph": Input("pH", False, 1.0, 10.0, about="pH of the finished drink, if measured"),
    },
    unit="word",
    choices=("non-tcs", "cold-strong", "cold-middle", "cold-weak"),
    formula="Table B by pH; alcohol only names the cold band (10 and 20 %vol)",
    source="FDA Food Code 1-201.10; the two strength lines are a working rule",
)
def band(*, final_strength: Number, final_ph: Number | None = None) -> Category:
    """``non-tcs``, or a ``cold-`` word; without a pH always a ``cold-`` word."""
    from advisor.science import keeping

    ph: Number = 7.0 if final_ph is None else bounded("final_ph", final_ph, 1.0, 10.0, "pH")
    word = keeping.keeping_band(final_strength, ph)
    centre = keeping.keeping_band(value_of(final_strength), value_of(ph))
    return Category(word, 0.95 if word == centre else 0.6)


@calculation(
    "cost.serves",
    title="whole serves",
    inputs={
        "final_ml": Input("mL", low=1.0, high=1e7, about="finished, strained volume"),
        **pick("serve_ml"),
    },
    unit="",
    formula="volume / serve, rounded down",
    source="arithmetic",
)
def serves(*, final_ml: Number, serve_ml: Number | None = None) -> Estimate:
    """Whole serves; the interval is that of the volume."""
    from advisor.science import cost

    size = value_of(checked("serve_ml", 90.0 if serve_ml is None else serve_ml))
    volume = bounded("final_ml", final_ml, 1.0, 1e7, "mL")
    if not isinstance(volume, Estimate):
        volume = Estimate(volume, volume, volume, "mL")
    low, value, high = (cost.serves(v, size) for v in (volume.low, volume.value, volume.high))
    return Estimate(value, low, high)


@calculation(
    "trial.p_value",
    title="chance of this trial result by guessing",
    inputs={
        "tasters": Input("", low=1.0, high=10_000.0, about="answers given"),
        "right_answers": Input("", low=0.0, high=10_000.0, about="right answers"),
        "trial_method": Input(
            "word",
            False,
            choices=("triangle", "duo-trio", "paired", "paired-two-sided", "3-afc", "tetrad"),
            default="triangle",
        ),
    },
    unit="",
    formula="upper binomial tail at the guessing rate",
    source="exact binomial, as in ISO 4120, ISO 5495 and ISO 10399",
)
def trial_p_value(
    *, tasters: Number, right_answers: Number, trial_method: str | None = None
) -> Estimate:
    """0 to 1; small means that the difference is real."""
    from advisor.science.tasting import p_value

    counts = []
    for name, given in (("right_answers", right_answers), ("tasters", tasters)):
        number = value_of(given)
        if number != int(number):
            raise ValueError(f"{name} must be a whole number, got {number:g}")
        counts.append(int(number))
    p = p_value(trial_method or "triangle", *counts)
    return Estimate(p, p, p)
