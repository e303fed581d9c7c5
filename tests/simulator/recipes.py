"""Batches laid out by hand for the physics tests."""

from __future__ import annotations

from advisor.simulator.base import Base, base_of
from advisor.simulator.making import Drink, Fat, Making, MilkUse
from advisor.simulator.state import State, work_out
from advisor.simulator.wash import Wash, milk_wash


def spirit_and_milk(
    *,
    spirit: float = 500.0,
    strength: float = 40.0,
    acid: tuple[str, float] = ("none", 0.0),
    milk: tuple[str, float] = ("whole", 125.0),
    milk_temperature: float = 20.0,
    **drink: object,
) -> Making:
    """A spirit washed with milk; further words go to the drink."""
    made = Making("strip", Drink(**drink))  # type: ignore[arg-type]
    made.drink.spirit_ml = made.drink.said_spirit_ml = spirit
    made.drink.spirit_strength = made.drink.said_spirit_strength = strength
    made.drink.acid_kind, made.drink.acid_amount = acid
    made.milk = MilkUse(kind=milk[0], ml=milk[1], temperature=milk_temperature)
    made.milk.said_kind = milk[0]
    made.plan.moment = "fresh"
    return made


def washed(made: Making, minutes: float = 600.0) -> tuple[Base, Wash]:
    """The drink and the mix after so many minutes."""
    base = base_of(made.drink)
    return base, milk_wash(made, base, minutes)


def fat_washed(
    kind: str, species: str, grams: float, *, spirit: float = 750.0, strength: float = 40.0
) -> Making:
    """A spirit with a fat in it, warm steep, a night in the freezer."""
    made = Making("fat-wash", Drink(spirit_ml=spirit, spirit_strength=strength))
    made.drink.said_spirit_ml, made.drink.said_spirit_strength = spirit, strength
    made.fat = Fat(kind=kind, species=species, g=grams, said_amount=grams)
    made.fat.spirit_temperature, made.fat.room = 36.0, 34.0
    made.plan.moment = "fresh"
    return made


def worked(made: Making) -> State:
    """The whole batch."""
    return work_out(made)
