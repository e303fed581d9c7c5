"""Too little acid, too much, the wrong acid, acid in the wrong place, and a misread strip."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.base import base_of
from advisor.simulator.draw import set_acid
from advisor.simulator.faults._kit import UnsuitableError, fault, milk_in, not_past, until
from advisor.simulator.wash import milk_wash

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_STRIP = "strip several"


def _as_said(made: Making) -> None:
    made.drink.said_acid_kind = made.drink.acid_kind
    made.drink.said_acid_amount = made.drink.acid_amount


def _plain_spirit(made: Making) -> None:
    """A drink that has no acid but what is dosed for the milk."""
    drink = made.drink
    if drink.acid_kind in ("lemon-juice", "lime-juice"):
        drink.water_ml += drink.acid_amount
    drink.wine_ml = 0.0


def _leave_casein(made: Making, kind: str, share: float) -> None:
    """Dose so little less than a full split that this share of the casein stays dissolved."""
    low, high = 0.5, 1.6
    for _ in range(11):
        middle = 0.5 * (low + high)
        set_acid(made, kind, middle)
        wash = milk_wash(made, base_of(made.drink), 600.0)
        if 1.0 - wash.formed_later > share:
            low = middle
        else:
            high = middle


# Twins: the same missing acid, noticed as a web in the jar, or when fresh acid finishes the
# split in the glass.
@fault("acid-short-casein-left", "acid", "curdling", "often", _STRIP,
       twins=("residual-casein-recurdle", "just-enough-acid-web"))  # fmt: skip
def _short(made: Making, random: Random) -> None:
    used = milk_in(made)
    kind = made.drink.acid_kind
    if kind == "none":
        raise UnsuitableError
    if kind in ("lemon-juice", "lime-juice"):
        _plain_spirit(made)
    used.temperature = min(used.temperature, 20.0)
    set_acid(made, kind, random.uniform(0.58, 0.86))
    _as_said(made)
    until(made, "straining")


# Twin: the same casein left behind; here the drink looked all but clear.
@fault("residual-casein-recurdle", "acid", "service", "sometimes", _STRIP,
       twins=("acid-short-casein-left",))  # fmt: skip
def _residual(made: Making, random: Random) -> None:
    used = milk_in(made)
    _plain_spirit(made)
    used.temperature = min(used.temperature, 20.0)
    kind = made.drink.acid_kind if made.drink.acid_kind != "none" else "citric"
    _leave_casein(made, kind, random.uniform(0.010, 0.022))
    _as_said(made)
    made.serving.juice_ml_per_100 = random.uniform(10.0, 20.0)
    made.serving.juice_strained = "cloth-and-paper"
    until(made, "service")


# Twin: the same shortage of acid, seen in the jar before anybody strains.
@fault("just-enough-acid-web", "acid", "curdling", "sometimes", _STRIP,
       twins=("acid-short-casein-left",))  # fmt: skip
def _web(made: Making, random: Random) -> None:
    used = milk_in(made)
    if made.drink.acid_kind == "none":
        raise UnsuitableError
    _plain_spirit(made)
    used.temperature = 19.0
    # A soft web stands between pH 4.8 and 5.3; nearer to a full split the grains are firm.
    set_acid(made, made.drink.acid_kind, random.uniform(0.66, 0.80))
    _as_said(made)
    made.meeting.rest_h = random.uniform(0.7, 2.5)
    not_past(made, "straining")


# Twin: coffee or tea as the only sour part is a drink with nothing sour enough in it.
@fault("low-acid-base", "base", "curdling", "often", _STRIP, twins=("coffee-tea-low-acid",))
def _none(made: Making, random: Random) -> None:
    milk_in(made)
    _plain_spirit(made)
    made.drink.acid_kind, made.drink.acid_amount = "none", 0.0
    if made.drink.tea_kind and random.random() < 0.7:
        made.drink.tea_kind, made.drink.tea_load = "", 1.0
        made.drink.water_ml += made.drink.tea_ml
        made.drink.tea_ml = 0.0
    _as_said(made)
    until(made, "straining")
    not_past(made, "fresh")


# Twin: the remedy and the chemistry are one; only the name of the drink differs.
@fault("coffee-tea-low-acid", "acid", "curdling", "often", _STRIP, twins=("low-acid-base",))
def _coffee(made: Making, random: Random) -> None:
    milk_in(made)
    drink = made.drink
    _plain_spirit(made)
    drink.acid_kind, drink.acid_amount = "none", 0.0
    drink.tea_kind = "coffee" if random.random() < 0.6 else "black-tea"
    if drink.tea_ml == 0.0:
        drink.tea_ml = 0.35 * drink.spirit_ml
        drink.water_ml = max(0.0, drink.water_ml - drink.tea_ml)
    drink.tea_load = random.uniform(1.0, 1.6)
    _as_said(made)
    until(made, "straining")
    not_past(made, "fresh")


@fault("acid-swamped", "acid", "curdling", "sometimes", "strip")
def _swamped(made: Making, random: Random) -> None:
    used = milk_in(made)
    drink = made.drink
    if drink.acid_kind not in ("lemon-juice", "lime-juice"):
        raise UnsuitableError
    used.ml *= random.uniform(1.8, 2.6)
    used.temperature = min(used.temperature, 20.0)
    # Enough for the milk that was meant; nowhere near enough for this.
    set_acid(made, drink.acid_kind, random.uniform(0.55, 0.8))
    _as_said(made)
    until(made, "straining")
    not_past(made, "fresh")


@fault("citrus-not-cut", "base", "taste", "often", "strip whey-dose")
def _sharp(made: Making, random: Random) -> None:
    drink = made.drink
    if drink.acid_kind not in ("lemon-juice", "lime-juice"):
        raise UnsuitableError
    drink.acid_amount *= random.uniform(1.9, 2.6)
    drink.water_ml = max(0.0, drink.water_ml - drink.acid_amount * 0.5)
    drink.sugar_g *= 0.7
    _as_said(made)
    until(made, "fresh")


@fault("citric-overdose", "acid", "taste", "sometimes", _STRIP)
def _overdose(made: Making, random: Random) -> None:
    milk_in(made)
    if made.drink.acid_kind in ("lemon-juice", "lime-juice"):
        raise UnsuitableError
    kind = "citric" if random.random() < 0.7 else made.drink.acid_kind
    set_acid(made, kind, random.uniform(5.0, 9.0))
    made.drink.sugar_g *= 0.5
    _as_said(made)
    until(made, "fresh")


@fault("volatile-acid-nose", "acid", "taste", "sometimes", _STRIP)
def _vinegar(made: Making, random: Random) -> None:
    milk_in(made)
    _plain_spirit(made)
    if random.random() < 0.75:
        set_acid(made, "vinegar", random.uniform(1.5, 2.6))
    else:
        made.drink.wine_ml = 0.35 * made.drink.spirit_ml
        made.drink.wine_sulphur = random.uniform(0.8, 1.4)
    _as_said(made)
    until(made, "fresh")


@fault("acid-hot-spot", "acid", "curdling", "sometimes", _STRIP)
def _hot_spot(made: Making, random: Random) -> None:
    used = milk_in(made)
    if made.drink.acid_kind == "none":
        raise UnsuitableError
    made.meeting.order = "acid-last"
    made.meeting.pour = "dumped"
    made.meeting.stirring = "none"
    made.meeting.acid_in_one_place = True
    made.meeting.minutes_before_acid = random.uniform(0.0, 12.0)
    used.temperature = 5.0 if random.random() < 0.7 else 19.0
    until(made, "straining")
    not_past(made, "fresh")


@fault("bottled-juice-weak", "acid", "curdling", "sometimes", _STRIP)
def _bottled(made: Making, random: Random) -> None:
    """The amount is right for fresh juice; what was in the bottle holds a quarter less."""
    used = milk_in(made)
    kind = "lemon-juice" if random.random() < 0.7 else "lime-juice"
    _plain_spirit(made)
    used.temperature = min(used.temperature, 20.0)
    set_acid(made, kind, random.uniform(1.0, 1.12))
    made.drink.acid_kind = f"bottled-{kind}"
    _as_said(made)
    until(made, "straining")


@fault("alkaline-water-or-soda", "base", "curdling", "sometimes", "strip")
def _alkali(made: Making, random: Random) -> None:
    used = milk_in(made)
    drink = made.drink
    if drink.acid_kind == "none":
        raise UnsuitableError
    if drink.acid_kind in ("lemon-juice", "lime-juice"):
        _plain_spirit(made)
        set_acid(made, drink.acid_kind, random.uniform(1.3, 1.7))
    _as_said(made)
    # A level teaspoon of baking soda is some 55 mmol; a litre of very hard water about 7.
    need = 0.050 * used.ml
    drink.alkali_mmol = need * random.uniform(0.6, 1.2)
    drink.alkali_said = True
    until(made, "straining")
    not_past(made, "fresh")


@fault("sweetness-masks-acid", "acid", "curdling", "sometimes", "strip")
def _masked(made: Making, random: Random) -> None:
    used = milk_in(made)
    drink = made.drink
    _plain_spirit(made)
    # As sweet as a liqueur: the 50 to 120 g/L of an ordinary drink hide no acid.
    whole = drink.spirit_ml + drink.tea_ml + drink.wine_ml + drink.water_ml
    drink.sugar_g = max(drink.sugar_g, whole * random.uniform(0.23, 0.33))
    kind = drink.acid_kind if drink.acid_kind != "none" else "citric"
    used.temperature = min(used.temperature, 20.0)
    set_acid(made, kind, random.uniform(0.3, 0.65))
    drink.acid_by_taste = True
    _as_said(made)
    until(made, "straining")
    not_past(made, "fresh")


@fault("hot-strong-no-acid-dissolves", "temperature", "clouds", "rare", "strip")
def _dissolves(made: Making, random: Random) -> None:
    used = milk_in(made)
    drink = made.drink
    if drink.sugar_g > 0.0:
        raise UnsuitableError
    drink.tea_kind = ""
    drink.spirit_strength = drink.said_spirit_strength = random.choice((43.0, 45.0, 50.0))
    drink.acid_kind, drink.acid_amount = "none", 0.0
    _as_said(made)
    used.kind = used.said_kind = "skim"  # the fat of whole milk would stay milky
    used.temperature = random.uniform(68.0, 80.0)
    made.meeting.drink_temperature = random.uniform(36.0, 45.0)
    made.meeting.rest_h, made.meeting.rest_temperature = 0.5, 42.0
    made.straining.temperature = random.uniform(40.0, 45.0)
    until(made, "chilled")


# Twin: what joins is the casein of a split that was not finished.
@fault("slow-casein-tannin-join", "acid", "keeping", "sometimes", "strip",
       twins=("acid-short-casein-left",))  # fmt: skip
def _joining(made: Making, random: Random) -> None:
    used = milk_in(made)
    drink = made.drink
    drink.tea_kind = "black-tea"
    drink.tea_load = random.uniform(1.1, 2.0)
    if drink.acid_kind == "none":
        raise UnsuitableError
    _plain_spirit(made)
    used.temperature = min(used.temperature, 20.0)
    _leave_casein(made, drink.acid_kind, random.uniform(0.012, 0.022))
    made.plan.goals = ("clear",)
    _as_said(made)
    until(made, "days", random.uniform(3.0, 9.0))
