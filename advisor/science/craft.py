"""Registered calculations on stripping and whey."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science import strip, whey
from advisor.science._batch import DEFAULT_KIND, INPUTS, checked, mixed, pick, value_of
from advisor.science._guard import bounded
from advisor.science._interval import cut
from advisor.science.estimate import Category, Estimate, propagate
from advisor.science.milks import milk
from advisor.science.mixing import Part, mix
from advisor.science.polyphenols import BASES, SENSES
from advisor.science.registry import Input, calculation
from advisor.science.whey import WHEYS

if TYPE_CHECKING:
    from advisor.science._batch import Number

__all__ = [
    "casein_rate",
    "dose_word",
    "haze_risk",
    "milk_for_reduction",
    "removal",
    "removal_in_two",
    "whey_for_share",
    "whey_share",
    "whey_strength",
]

_BASE = Input(
    "word",
    required=False,
    choices=tuple(BASES),
    default="green-tea",
    about="what the bitterness or tannin mostly comes from",
)
_SENSE = Input(
    "word", required=False, choices=tuple(SENSES), default="tannin", about="what should go"
)
_REDUCTION = Input("%", low=1.0, high=95.0, about="share of it that should go")
_WHEY_ML = Input("mL", low=0.1, high=1e6, about="whey")
_WHEY_KIND = Input("word", choices=tuple(WHEYS), about="kind of whey")
_FINAL_PH = Input("pH", low=1.0, high=10.0, about="pH of the finished drink")
_CURD_TAKES = {
    "yes": Estimate(1.0, 0.9, 1.0),
    "soy": Estimate(0.7, 0.2, 1.0),
    "weak": Estimate(0.6, 0.2, 1.0),
    "no": Estimate(0.05, 0.0, 0.3),
}
_STRIP_SOURCE = (
    "mass action with constants of Hasni et al. 2011, checked against Ye et al. 2013; "
    "intervals and classes without constants by judgement"
)
_BATCH = ("drink_ml", "milk_ml", "milk_kind")


def _casein(kind: str | None) -> tuple[Estimate, Estimate]:
    """g of curdling protein per litre of milk, and the share of it that really curdles."""
    known = milk(kind or DEFAULT_KIND)
    # Plant drinks hold no casein; what little of their protein sets does the stripping.
    protein = known.casein or known.protein
    grams = protein * 10 * known.density
    half = known.spread if kind else max(0.2, known.spread)
    casein = Estimate(grams, grams * (1 - half), grams * (1 + half), "g/L")
    return casein, _CURD_TAKES.get(known.curd, _CURD_TAKES["no"])


def _word(name: str, given: str | None, one: Input) -> str:
    value = str(one.default) if given is None else given
    if value not in one.choices:
        raise ValueError(f"{name} must be one of {', '.join(one.choices)}; got {value!r}")
    return value


def _mix_strength(
    drink: Number, strength: Number | None, poured: Number, kind: str | None
) -> float:
    if strength is None:
        return 0.0
    return mixed(drink, strength, poured, kind or DEFAULT_KIND)[1].value


def _milk_share(drink_ml: Number, milk_ml: Number) -> float:
    drink, poured = value_of(checked("drink_ml", drink_ml)), value_of(checked("milk_ml", milk_ml))
    share = poured / (drink + poured)
    if share > 2 / 3:
        raise ValueError(
            f"milk_ml is {poured:g} mL for {drink:g} mL of drink; it must be at most twice that"
        )
    return share


@calculation(
    "strip.removal",
    title="tannin, bitterness or colour that the curd takes",
    inputs={**pick(*_BATCH, optional=("drink_strength",)), "base_kind": _BASE, "sense": _SENSE},
    unit="%",
    formula="competitive binding on casein; ethanol weakens it",
    source=_STRIP_SOURCE,
)
def removal(
    *,
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None = None,
    drink_strength: Number | None = None,
    base_kind: str | None = None,
    sense: str | None = None,
) -> Estimate:
    """% of the sense that leaves with the curd after a full split; dilution comes on top."""
    casein, curdles = _casein(milk_kind)
    share = _milk_share(drink_ml, milk_ml)
    taken = strip.sense_removal(
        _word("base_kind", base_kind, _BASE),
        _word("sense", sense, _SENSE),
        share,
        casein_per_litre=casein,
        strength=_mix_strength(drink_ml, drink_strength, milk_ml, milk_kind),
        in_curd=curdles,
    )
    if base_kind is None:
        # Nobody said what is being stripped: bases differ by about this much.
        low, high = taken.low * 0.5, min(0.999, taken.high * 1.15)
        taken = Estimate(taken.value, low, max(taken.value, high))
    return Estimate(100 * taken.value, 100 * taken.low, 100 * taken.high, "%")


@calculation(
    "strip.milk_for_reduction",
    title="milk for a wanted reduction",
    inputs={
        **pick("drink_ml", "milk_kind", optional=("drink_strength",)),
        "reduction": _REDUCTION,
        "base_kind": _BASE,
        "sense": _SENSE,
    },
    unit="mL",
    formula="the removal turned round",
    source=_STRIP_SOURCE,
)
def milk_for_reduction(
    *,
    drink_ml: Number,
    reduction: Number,
    milk_kind: str | None = None,
    drink_strength: Number | None = None,
    base_kind: str | None = None,
    sense: str | None = None,
) -> Estimate:
    """mL of milk; ``ValueError`` when one wash cannot reach it."""
    drink = value_of(checked("drink_ml", drink_ml))
    wanted = value_of(bounded("reduction", reduction, 1.0, 95.0, "%")) / 100
    casein, curdles = _casein(milk_kind)
    strength = (
        0.0 if drink_strength is None else value_of(checked("drink_strength", drink_strength))
    )
    share = strip.milk_share_for_sense(
        _word("base_kind", base_kind, _BASE),
        _word("sense", sense, _SENSE),
        wanted,
        casein_per_litre=casein,
        drink_strength=strength,
        in_curd=curdles,
    )
    low, value, high = (drink * s / (1 - s) for s in (share.low, share.value, share.high))
    return Estimate(value, low, high, "mL")


@calculation(
    "strip.removal_in_two",
    title="what the same milk takes in two washes",
    inputs={**pick(*_BATCH), "base_kind": _BASE, "sense": _SENSE},
    unit="%",
    formula="the one-wash removal as an affinity, then two half washes",
    source="IUPAC Gold Book F02503 (repeated extraction) on the binding model",
)
def removal_in_two(
    *,
    drink_ml: Number,
    milk_ml: Number,
    milk_kind: str | None = None,
    base_kind: str | None = None,
    sense: str | None = None,
) -> Estimate:
    """% taken when the same milk is given as two equal washes, strained between."""
    once = removal(
        drink_ml=drink_ml, milk_ml=milk_ml, milk_kind=milk_kind, base_kind=base_kind, sense=sense
    )
    drink, poured = value_of(drink_ml), value_of(milk_ml)
    casein = _casein(milk_kind)[0].value
    dose = casein * poured / (drink + poured)

    def twice(percent: float) -> float:
        gone = min(0.999, percent / 100)
        affinity = gone / (1 - gone) / dose
        return 100 * (1 - strip.repeated_left(affinity, drink, poured, 2, casein))

    return Estimate(twice(once.value), twice(once.low), twice(once.high), "%")


@calculation(
    "strip.casein_rate",
    title="casein against the fining practice of the wine trade",
    inputs=pick(*_BATCH),
    unit="g/hL",
    formula="milk / drink x casein per litre x 100",
    source="arithmetic; 27 CFR 24.246 allows 26 g/hL, fining practice ends at 50 to 100",
)
def casein_rate(*, drink_ml: Number, milk_ml: Number, milk_kind: str | None = None) -> Estimate:
    """g of casein per hectolitre of drink; 650 is a wash of 1 to 4."""
    return cut(
        propagate(
            strip.casein_rate,
            {
                "milk_ml": checked("milk_ml", milk_ml),
                "drink_ml": checked("drink_ml", drink_ml),
                "casein_per_litre": _casein(milk_kind)[0],
            },
            unit="g/hL",
        )
    )


_RATE_WORDS = ("trace", "fining", "strong-fining", "beyond-fining", "full-wash")


@calculation(
    "strip.dose_word",
    title="how big this milk dose is",
    inputs=pick(*_BATCH),
    unit="word",
    choices=_RATE_WORDS,
    formula="casein per hectolitre against fining rates",
    source="27 CFR 24.246; UK wine-skills fining guidance (5-50 g/hL)",
)
def dose_word(*, drink_ml: Number, milk_ml: Number, milk_kind: str | None = None) -> Category:
    """One of trace, fining, strong-fining, beyond-fining, full-wash."""
    rate = casein_rate(drink_ml=drink_ml, milk_ml=milk_ml, milk_kind=milk_kind)
    word = strip.rate_word(rate.value)
    same = sum(strip.rate_word(max(0.0, end)) == word for end in (rate.low, rate.high))
    return Category(word, (0.5, 0.7, 0.95)[same])


@calculation(
    "whey.share",
    title="whey in the drink",
    inputs={"drink_ml": INPUTS["drink_ml"], "whey_ml": _WHEY_ML},
    unit="%",
    formula="whey / (drink + whey)",
    source="arithmetic",
)
def whey_share(*, drink_ml: Number, whey_ml: Number) -> Estimate:
    """% of drink plus whey; practice uses 16 to 65, most often 25 to 27."""
    return cut(
        propagate(
            whey.share,
            {
                "whey_ml": bounded("whey_ml", whey_ml, 0.0, 1e6, "mL"),
                "drink_ml": checked("drink_ml", drink_ml),
            },
            unit="%",
        ),
        0.0,
        100.0,
    )


@calculation(
    "whey.for_share",
    title="whey for a wanted share",
    inputs={
        "drink_ml": INPUTS["drink_ml"],
        "wanted_share": Input("%", low=1.0, high=70.0, about="whey as % of drink plus whey"),
    },
    unit="mL",
    formula="drink x share / (100 - share)",
    source="arithmetic",
)
def whey_for_share(*, drink_ml: Number, wanted_share: Number) -> Estimate:
    """mL of whey."""
    return cut(
        propagate(
            whey.dose_for_share,
            {
                "drink_ml": checked("drink_ml", drink_ml),
                "percent": bounded("wanted_share", wanted_share, 1.0, 70.0, "%"),
            },
            unit="mL",
        )
    )


@calculation(
    "whey.strength_after",
    title="strength after the whey",
    inputs={
        **pick("drink_ml", "drink_strength"),
        "whey_ml": _WHEY_ML,
        "whey_kind": Input("word", False, choices=tuple(WHEYS), default="acid-whey"),
    },
    unit="%vol",
    formula="ethanol conserved; volumes contract",
    source="OIML R 22 mass balance",
)
def whey_strength(
    *,
    drink_ml: Number,
    drink_strength: Number,
    whey_ml: Number,
    whey_kind: str | None = None,
) -> Estimate:
    """%vol of drink plus whey."""
    inert = whey.whey(whey_kind or "acid-whey").inert
    return cut(
        propagate(
            lambda drink, strength, dose: (
                mix((Part(drink, strength), Part(dose, inert=inert))).strength
            ),
            {
                "drink": checked("drink_ml", drink_ml),
                "strength": checked("drink_strength", drink_strength),
                "dose": bounded("whey_ml", whey_ml, 0.0, 1e6, "mL"),
            },
            unit="%vol",
        ),
        0.0,
        100.0,
    )


@calculation(
    "whey.haze_risk",
    title="will whey protein haze the drink",
    inputs={
        "final_ph": _FINAL_PH,
        "tannin": Input("word", False, choices=("yes", "no"), default="no", about="tannin left"),
    },
    unit="word",
    choices=("low", "possible", "high"),
    formula="low to pH 3.6, high from 4.0 (3.6 with tannin) to 5.2, possible elsewhere",
    source="LaClair & Etzel 2009, J. Food Sci. 74; Siebert & Lynn 2000",
)
def haze_risk(*, final_ph: Number, tannin: str | None = None) -> Category:
    """``low``, ``possible`` or ``high``."""
    if tannin not in (None, "yes", "no"):
        raise ValueError(f"tannin must be yes or no; got {tannin!r}")
    return whey.haze_risk(final_ph, tannin=tannin == "yes")
