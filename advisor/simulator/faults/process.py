"""Order, temperature, time and stirring: how milk and drink met and stood."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.draw import set_acid
from advisor.simulator.faults._kit import UnsuitableError, fault, milk_at, milk_in, not_past, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_STRIP = "strip several"


def _sharp_enough(made: Making, random: Random) -> None:
    """Acid to spare, as a citrus drink has it."""
    if made.drink.acid_kind in ("citric", "citric-15", "citric-monohydrate"):
        set_acid(made, made.drink.acid_kind, random.uniform(1.9, 2.8))
        made.drink.said_acid_amount = made.drink.acid_amount


# Twin: cold milk meeting sharp acid all at once; the order is what made it sudden.
@fault("order-powder-curd", "order", "curdling", "often", "strip", twins=("milk-dumped-cold-acid",))
def _order(made: Making, random: Random) -> None:
    used = milk_in(made)
    _sharp_enough(made, random)
    used.temperature = 5.0 if random.random() < 0.75 else 17.0
    made.meeting.order = random.choice(("milk-into-drink", "milk-into-drink", "all-together"))
    made.meeting.pour = "slow-stream" if random.random() < 0.7 else "dumped"
    made.straining.filter_kind = random.choice(("cloth", "paper", "cloth-then-paper"))
    until(made, "straining")


# Twin: as above.
@fault("milk-dumped-cold-acid", "order", "curdling", "often", "strip", twins=("order-powder-curd",))
def _dumped(made: Making, random: Random) -> None:
    used = milk_in(made)
    _sharp_enough(made, random)
    used.temperature = 5.0
    made.meeting.order = random.choice(("milk-into-drink", "all-together", "drink-into-milk"))
    made.meeting.pour = "dumped"
    until(made, "mixing")


@fault("split-before-mingle", "order", "taste", "sometimes", "strip")
def _split_first(made: Making, random: Random) -> None:
    used = milk_in(made)
    drink = made.drink
    drink.tea_kind = random.choice(("black-tea", "black-tea", "green-tea"))
    drink.tea_load = random.uniform(1.5, 2.0) * (1.7 if drink.tea_ml else 1.0)
    made.meeting.order = random.choice(("all-together", "all-together", "milk-into-drink"))
    made.meeting.pour = "dumped"
    made.meeting.minutes_before_acid = 0.0
    used.temperature = random.uniform(45.0, 60.0)  # warm: it breaks at once, in proper grains
    made.plan.goals = ("clear", "less-bitter")
    until(made, "fresh")


@fault("whisked-hard", "contact", "curdling", "sometimes", _STRIP)
def _whisked(made: Making, random: Random) -> None:
    milk_in(made)
    made.meeting.stirring = "whisked"
    if random.random() < 0.3:
        made.meeting.order = "all-together"
    until(made, "mixing")


@fault("gas-in-curd", "contact", "curdling", "sometimes", _STRIP)
def _gas(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.sparkling = True
    made.drink.water_ml += 0.2 * made.drink.spirit_ml
    made.plan.minutes_since_mixing = random.uniform(15.0, 90.0)
    not_past(made, "straining")


@fault("settle-time-short", "contact", "curdling", "often", "strip")
def _short_rest(made: Making, random: Random) -> None:
    milk_in(made)
    made.meeting.rest_h = random.uniform(0.1, 0.35)
    made.plan.minutes_since_mixing = 60.0 * made.meeting.rest_h
    made.meeting.rest_temperature = 6.0
    not_past(made, "straining")


@fault("too-cold-too-soon", "temperature", "curdling", "often", "strip")
def _cold(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.temperature = random.uniform(2.0, 5.0)
    made.meeting.drink_temperature = random.uniform(3.0, 8.0)
    made.meeting.rest_temperature = 4.0
    made.plan.minutes_since_mixing = random.uniform(4.0, 14.0)
    made.meeting.rest_h = made.plan.minutes_since_mixing / 60.0
    made.meeting.order, made.meeting.pour = "drink-into-milk", "slow-stream"
    made.plan.moment = "mixing" if random.random() < 0.65 else "straining"
    made.keeping.days = 0.0


@fault("hot-milk-aroma-loss", "temperature", "taste", "sometimes", "strip")
def _hot(made: Making, random: Random) -> None:
    used = milk_in(made)
    made.drink.spirit_kind = random.choice(("gin", "agave", "white-rum"))
    made.drink.oak_load = 0.0
    used.temperature = random.uniform(72.0, 84.0)
    made.meeting.open_hot_pan = random.random() < 0.1
    made.meeting.rest_h = random.uniform(3.0, 9.0)
    made.meeting.rest_temperature = 6.0
    made.plan.goals = ("clear", "keep-aroma")
    until(made, "fresh")


@fault("milk-scorched-flavour", "temperature", "taste", "sometimes", "strip")
def _scorched(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.temperature = random.uniform(86.0, 97.0)
    used.boiled_long = random.random() < 0.6
    used.scorched = random.uniform(0.2, 1.0) if random.random() < 0.65 else 0.0
    until(made, "fresh")


@fault("hot-wash-alcohol-loss", "temperature", "strength", "rare", "strip")
def _boil_off(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.temperature = random.uniform(88.0, 96.0)
    made.meeting.open_hot_pan = True
    made.meeting.order = "drink-into-milk"
    made.plan.strength_tool = "laboratory"
    until(made, "fresh")


# Twin: a long warm stand on the curd; the counter overnight is the same act with a clock on it.
@fault(
    "long-warm-contact", "contact", "keeping", "sometimes", "strip", twins=("counter-overnight",)
)
def _long_warm(made: Making, random: Random) -> None:
    milk_in(made)
    made.meeting.rest_h = random.uniform(20.0, 44.0)
    made.meeting.rest_temperature = random.uniform(20.0, 27.0)
    made.keeping.hours_warm = made.meeting.rest_h + 2.0
    until(made, "fresh")


# Twins: the same stand; under 10 %vol the alcohol line names it too.
@fault("counter-overnight", "storage", "safety", "sometimes", "strip whey-dose",
       twins=("low-abv-warm", "long-warm-contact"))  # fmt: skip
def _counter(made: Making, random: Random) -> None:
    hours = random.uniform(9.0, 16.0)
    if made.milk is not None:
        made.meeting.rest_h = hours
        made.meeting.rest_temperature = random.uniform(20.0, 26.0)
    made.keeping.hours_warm = hours + random.uniform(0.0, 3.0)
    made.plan.worried = True
    until(made, "fresh")


@fault("milk-soured-wait", "storage", "safety", "sometimes", "strip", verdict="discard")
def _soured(made: Making, random: Random) -> None:
    """A weak mix without acid enough waits a day in the warm and turns to yoghurt."""
    used = milk_in(made)
    drink = made.drink
    drink.spirit_strength *= random.uniform(0.3, 0.6)
    drink.said_spirit_strength = drink.spirit_strength
    made.meeting.rest_h = random.uniform(18.0, 36.0)
    made.meeting.rest_temperature = random.uniform(22.0, 28.0)
    made.keeping.hours_warm = made.meeting.rest_h
    made.keeping.microbes = random.uniform(1.5, 6.0)
    used.turned = 0.0
    if drink.sugar_g <= 0.0 and drink.spirit_strength > 20.0:
        raise UnsuitableError
    until(made, "fresh")


@fault("high-proof-shock", "base", "curdling", "rare", "strip")
def _shock(made: Making, random: Random) -> None:
    drink = made.drink
    if drink.sugar_g > 0.0:
        raise UnsuitableError
    drink.spirit_strength = drink.said_spirit_strength = random.uniform(66.0, 85.0)
    milk_at(made, 5.0)
    until(made, "straining")
