"""Days, warmth, air, light, vessels, cleaners: what happens to a drink that was sound."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.faults._kit import UnsuitableError, fault, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making


def _weaken(made: Making, strength: float) -> None:
    """A weak, lengthened drink: more water, less spirit."""
    drink = made.drink
    drink.spirit_strength = drink.said_spirit_strength = strength
    drink.oak_load = 0.0


# Twin: the same ferment; one names the gas in a sealed bottle.
@fault("fermentation", "storage", "safety", "sometimes", "strip whey-dose",
       twins=("bottle-ferment-burst",), verdict="discard")  # fmt: skip
def _ferment(made: Making, random: Random) -> None:
    if made.drink.acid_kind not in ("lemon-juice", "lime-juice"):
        raise UnsuitableError
    _weaken(made, random.uniform(8.0, 22.0))
    made.keeping.where = "room" if random.random() < 0.7 else "fridge"
    made.keeping.room = random.uniform(20.0, 27.0)
    made.keeping.microbes = random.uniform(1.0, 10.0)
    made.keeping.sealed = random.random() < 0.6
    made.keeping.hours_warm = 24.0 * 4.0
    until(made, "days", random.uniform(3.0, 9.0) * (1.0 if made.keeping.where == "room" else 2.5))


# Twin: as above.
@fault("bottle-ferment-burst", "storage", "safety", "rare", "strip whey-dose",
       twins=("fermentation",), verdict="discard")  # fmt: skip
def _burst(made: Making, random: Random) -> None:
    if made.drink.acid_kind not in ("lemon-juice", "lime-juice"):
        raise UnsuitableError
    _weaken(made, random.uniform(6.0, 16.0))
    made.keeping.live_culture = True
    made.keeping.sealed = True
    made.keeping.where = "room"
    made.keeping.room = random.uniform(20.0, 28.0)
    made.keeping.hours_warm = 72.0
    until(made, "days", random.uniform(3.0, 8.0))


@fault("acetic-turn", "storage", "safety", "rare", "strip", verdict="discard")
def _acetic(made: Making, random: Random) -> None:
    _weaken(made, random.uniform(26.0, 36.0))
    made.keeping.half_empty = True
    made.keeping.where = "room" if random.random() < 0.6 else "fridge"
    made.keeping.microbes, made.keeping.acetic = 0.2, random.uniform(3.0, 8.0)
    made.drink.sugar_g *= 0.2
    until(made, "days", random.uniform(9.0, 24.0))
    made.keeping.hours_warm = 24.0 if made.keeping.where == "room" else 3.0


@fault("mould-film", "storage", "safety", "rare", "strip fat-wash whey-dose", verdict="discard")
def _mould(made: Making, random: Random) -> None:
    _weaken(made, random.uniform(5.0, 16.0))
    made.keeping.half_empty = True
    made.keeping.sealed = False
    made.keeping.microbes = random.uniform(2.0, 10.0)
    made.keeping.where = random.choice(("fridge", "room"))
    made.keeping.hours_warm = 6.0
    if made.fat is not None:
        made.fat.freezer, made.fat.chill_h = 3.0, 30.0
    # In the fridge a film takes weeks; before that nobody sees a mould.
    cold = made.keeping.where == "fridge"
    until(made, "days", random.uniform(24.0, 50.0) if cold else random.uniform(9.0, 30.0))


# Twin: a stand in the warm, seen from the clock.
@fault("low-abv-warm", "storage", "safety", "sometimes", "strip whey-dose",
       twins=("counter-overnight",), verdict="discard")  # fmt: skip
def _weak_warm(made: Making, random: Random) -> None:
    _weaken(made, random.uniform(10.0, 18.0))
    made.keeping.hours_warm = random.uniform(6.0, 30.0)
    made.keeping.microbes = random.uniform(0.3, 1.0)
    made.plan.worried = True
    until(made, "fresh")


@fault("aroma-oxidised-bottle", "storage", "keeping", "sometimes", "strip fat-wash")
def _stale(made: Making, random: Random) -> None:
    made.keeping.half_empty = True
    made.keeping.light = random.random() < 0.4
    made.keeping.where = "room" if random.random() < 0.6 else "fridge"
    made.plan.goals = ("clear", "keep-aroma")
    if made.milk is not None and made.drink.acid_kind in ("lemon-juice", "lime-juice"):
        made.drink.spirit_strength = made.drink.said_spirit_strength = 50.0
        made.keeping.where = "fridge"
    until(made, "days", random.uniform(8.0, 30.0))


@fault("light-struck-whey", "storage", "keeping", "rare", "strip whey-dose")
def _light(made: Making, random: Random) -> None:
    made.keeping.light = True
    made.keeping.where = "fridge"
    until(made, "days", random.uniform(7.0, 14.0))


@fault("maillard-browning", "storage", "keeping", "rare", "strip")
def _browning(made: Making, random: Random) -> None:
    made.drink.spirit_strength = made.drink.said_spirit_strength = random.uniform(55.0, 60.0)
    made.keeping.where = "room"
    made.keeping.room = random.uniform(24.0, 30.0)
    made.drink.sugar_g = max(made.drink.sugar_g, 0.12 * made.drink.spirit_ml)
    made.keeping.hours_warm = 200.0
    until(made, "days", random.uniform(35.0, 90.0))


@fault("tartrate-crystals", "storage", "keeping", "sometimes", "strip")
def _tartrate(made: Making, random: Random) -> None:
    drink = made.drink
    made.plan.goals = ("clear",)  # what a wine's tannin and colour do to the wash is no crystal
    drink.wine_ml = drink.spirit_ml * random.uniform(0.95, 1.6)
    drink.water_ml = max(0.0, drink.water_ml - drink.wine_ml)
    made.keeping.where = "fridge" if random.random() < 0.8 else "freezer"
    until(made, "days", random.uniform(4.0, 15.0))


@fault("sugar-lactose-crystals", "storage", "keeping", "sometimes", "strip whey-dose")
def _sugar(made: Making, random: Random) -> None:
    drink = made.drink
    volume = drink.spirit_ml + drink.water_ml + drink.tea_ml + drink.acid_amount
    drink.sugar_g = volume * random.uniform(0.75, 1.1)
    drink.spirit_strength = drink.said_spirit_strength = random.uniform(45.0, 57.0)
    made.keeping.where = random.choice(("fridge", "freezer"))
    made.drink.sugar_before = False
    until(made, "days", random.uniform(3.0, 12.0))


@fault("calcium-salt-deposit", "storage", "keeping", "rare", "strip whey-dose")
def _calcium(made: Making, random: Random) -> None:
    made.drink.clarifier = "calcium-plant"
    if not made.drink.tea_kind and not made.drink.wine_ml:
        made.drink.tea_kind, made.drink.tea_load = "black-tea", 0.5
    until(made, "days", random.uniform(3.0, 12.0))


@fault("iron-tannin-dark", "storage", "safety", "rare", "strip", verdict="discard")
def _iron(made: Making, random: Random) -> None:
    if not made.drink.tea_kind:
        made.drink.tea_kind, made.drink.tea_load = "black-tea", random.uniform(1.0, 1.6)
    made.keeping.metal = random.choice(("iron", "iron", "copper"))
    made.keeping.metal_hours = random.uniform(3.0, 14.0)
    until(made, "fresh")


@fault("reactive-metal-acid", "storage", "safety", "rare", "strip whey-dose", verdict="discard")
def _metal(made: Making, random: Random) -> None:
    made.keeping.metal = random.choice(("aluminium", "aluminium", "brass", "zinc"))
    made.keeping.metal_hours = random.uniform(4.0, 16.0)
    made.drink.tea_kind = ""
    until(made, "fresh")


@fault("lead-glaze-crystal", "storage", "safety", "rare", "strip fat-wash", verdict="discard")
def _lead(made: Making, random: Random) -> None:
    made.keeping.vessel = "crystal-or-unknown-glaze"
    made.plan.worried = True
    until(made, "days", random.uniform(3.0, 20.0))


@fault("silicone-plastic-odour", "storage", "safety", "sometimes", "strip fat-wash")
def _plastic(made: Making, random: Random) -> None:
    made.keeping.vessel = "silicone-or-rubber" if random.random() < 0.7 else "thin-plastic"
    made.keeping.plastic_smell = random.uniform(0.75, 1.4)
    until(made, "fresh")


@fault("spirit-in-thin-plastic", "storage", "safety", "rare", "fat-wash")
def _thin_plastic(made: Making, random: Random) -> None:
    made.drink.spirit_strength = made.drink.said_spirit_strength = random.choice((45.0, 47.0))
    made.keeping.vessel = "thin-plastic"
    made.keeping.plastic_smell = random.uniform(0.7, 1.1)
    made.keeping.where = "room"
    until(made, "days", random.uniform(4.0, 20.0))


@fault("detergent-residue", "storage", "safety", "sometimes", "strip fat-wash", verdict="discard")
def _detergent(made: Making, random: Random) -> None:
    made.keeping.detergent = random.uniform(0.8, 1.5)
    until(made, "fresh")


@fault("soapy-alkali", "storage", "safety", "rare", "fat-wash", verdict="discard")
def _lye(made: Making, random: Random) -> None:
    made.keeping.lye = random.uniform(5.0, 20.0)
    until(made, "fresh")


@fault("metallic-note", "fat", "fat", "rare", "fat-wash")
def _tin(made: Making, random: Random) -> None:
    made.keeping.metal_taste = random.uniform(0.7, 1.2)
    until(made, "fresh")
