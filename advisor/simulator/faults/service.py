"""Glass, ice, juice, gas, jug: faults between the bottle and the guest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.faults._kit import fault, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_ANY = "strip fat-wash whey-dose"


@fault("overdiluted-service", "service", "service", "sometimes", _ANY)
def _diluted(made: Making, random: Random) -> None:
    made.serving.ice = random.uniform(0.5, 0.9)
    until(made, "service")


@fault("warm-glass-film", "service", "service", "sometimes", _ANY)
def _film(made: Making, random: Random) -> None:
    made.serving.glass_film = random.uniform(0.7, 1.2)
    until(made, "service")


@fault("ice-mineral-haze", "service", "service", "sometimes", _ANY)
def _ice(made: Making, random: Random) -> None:
    made.serving.ice_minerals = random.uniform(0.8, 1.6)
    until(made, "service")


@fault("air-bubble-haze", "service", "service", "sometimes", _ANY)
def _air(made: Making, random: Random) -> None:
    made.serving.shaken = True
    if made.whey is not None:
        made.whey.foam_wanted = False
    until(made, "service")


@fault("late-juice-pulp", "service", "service", "often", _ANY)
def _juice(made: Making, random: Random) -> None:
    made.serving.juice_ml_per_100 = random.uniform(10.0, 25.0)
    made.serving.juice_strained = random.choice(("not-strained", "not-strained", "sieve"))
    until(made, "service")


@fault("late-citrus-in-bottle", "service", "keeping", "sometimes", "strip fat-wash")
def _citrus(made: Making, random: Random) -> None:
    made.serving.juice_ml_per_100 = random.uniform(10.0, 22.0)
    made.serving.juice_where = "the-bottle"
    made.serving.juice_strained = random.choice(("not-strained", "sieve"))
    made.serving.juice_days = random.uniform(3.0, 8.0)
    made.keeping.days = made.serving.juice_days
    made.plan.moment = "days"


@fault("dairy-other-half", "service", "service", "sometimes", "strip whey-dose")
def _dairy(made: Making, random: Random) -> None:
    made.serving.mixer_dairy = True
    made.serving.with_water = random.uniform(0.5, 1.0)
    until(made, "service")


@fault("sugar-dense-pour", "service", "service", "rare", "strip whey-dose")
def _jug(made: Making, random: Random) -> None:
    made.serving.jug_mixed = False
    made.drink.sugar_g = max(made.drink.sugar_g, made.drink.spirit_ml * random.uniform(0.1, 0.2))
    until(made, "service")


@fault("syrup-layering", "service", "keeping", "sometimes", _ANY)
def _layers(made: Making, random: Random) -> None:
    made.serving.bottle_mixed = False
    made.drink.sugar_g = max(made.drink.sugar_g, made.drink.spirit_ml * random.uniform(0.12, 0.22))
    made.drink.sugar_before = False
    until(made, "days", random.uniform(1.0, 4.0))


@fault("bottle-overgassed", "service", "service", "sometimes", _ANY)
def _gassed(made: Making, random: Random) -> None:
    made.serving.carbonated = True
    made.serving.gas = random.uniform(4.9, 5.8)
    made.people.bottled_for_sale = False
    if made.whey is not None:
        made.whey.foam_wanted = False
    until(made, "service")


@fault("gushing-particles", "service", "service", "sometimes", "strip")
def _gush(made: Making, random: Random) -> None:
    made.serving.carbonated = True
    made.straining.filter_kind = random.choice(("cloth", "metal-sieve"))
    made.straining.passes = 1
    made.straining.forerun_returned = False
    made.meeting.rest_h = random.uniform(0.6, 1.2)
    until(made, "service")


@fault("carb-flat", "service", "service", "sometimes", _ANY)
def _flat(made: Making, random: Random) -> None:
    made.serving.carbonated = True
    made.serving.filled_warm = True
    made.serving.gas = random.uniform(2.6, 3.6)
    if made.whey is not None:
        made.whey.foam_wanted = False
    until(made, "service")
