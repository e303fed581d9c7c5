"""What was in the drink: pulp, oil, gum, starch, nut, egg, fruit, sugar, the wrong bite."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.mixing import Part, mix
from advisor.simulator.base import base_of
from advisor.simulator.faults._kit import UnsuitableError, fault, milk_in, until
from advisor.simulator.liquid import oil_solubility

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making


# Twin: the same unstrained pulp; in the one it clouds, in the other it seals the paper.
@fault("pectin-pulp-haze", "base", "clouds", "sometimes", "strip", twins=("pectin-clog",))
def _pulp(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.pulp = random.uniform(8.0, 20.0)
    made.drink.pectin = random.uniform(1300.0, 2800.0)
    until(made, "straining")


@fault("pectin-clog", "base", "straining", "sometimes", "strip", twins=("pectin-pulp-haze",))
def _clog(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.pulp = random.uniform(12.0, 28.0)
    made.drink.pectin = random.uniform(900.0, 2200.0)
    made.straining.filter_kind = "paper"
    until(made, "straining")


# Twin: feathers of the same citrus pectin, seen as a layer or as a cloud.
@fault("pectin-floc-later", "base", "keeping", "sometimes", "strip",
       twins=("pectin-protein-floc-bottle",))  # fmt: skip
def _floc(made: Making, random: Random) -> None:
    milk_in(made)
    if made.drink.acid_kind not in ("lemon-juice", "lime-juice"):
        raise UnsuitableError
    made.drink.pulp = random.uniform(1.6, 3.0)
    made.drink.pectin = random.uniform(430.0, 640.0)
    if made.straining.filter_kind in ("metal-sieve", "cloth"):
        made.straining.filter_kind = "cloth-then-paper"  # else pulp itself ran through
    until(made, "days", random.uniform(3.0, 9.0))


@fault("pectin-protein-floc-bottle", "base", "keeping", "sometimes", "strip",
       twins=("pectin-floc-later",))  # fmt: skip
def _floc_protein(made: Making, random: Random) -> None:
    _floc(made, random)


@fault("oil-ingredient-louche", "base", "clouds", "sometimes", "strip")
def _oil(made: Making, random: Random) -> None:
    made.drink.oil = random.uniform(180.0, 420.0)
    if random.random() < 0.5:
        made.drink.spirit_kind = "aniseed"
    until(made, random.choice(("straining", "fresh", "service")))


@fault("citrus-oil-chill-haze", "chill", "clouds", "often", "strip fat-wash")
def _zest(made: Making, random: Random) -> None:
    """Oil that the drink holds at room temperature and not on ice."""

    base = base_of(made.drink)
    milk = made.milk.ml if made.milk is not None else 0.0
    share = base.ml / (base.ml + milk)
    strength = base.strength * share
    left = 1.0 - (0.55 * 0.97 if milk else 0.0)
    oil = oil_solubility(strength, 20.0) / share / left
    made.drink.oil = oil * random.uniform(0.88, 1.02)
    made.drink.spirit_kind = "gin"
    made.drink.oak_load = 0.0
    if oil < 22.0:
        raise UnsuitableError  # too weak to have held a visible amount
    until(made, "chilled")


@fault("tannin-protein-chill-haze", "chill", "clouds", "sometimes", "strip")
def _chill_tannin(made: Making, random: Random) -> None:
    used = milk_in(made)
    made.drink.tea_kind = "black-tea"
    made.drink.tea_load = random.uniform(2.0, 3.5) * (2.2 if made.drink.tea_ml else 1.0)
    used.ml *= random.uniform(1.0, 1.4)
    made.plan.goals = ("clear",)
    made.straining.temperature = random.uniform(17.0, 21.0)
    until(made, "chilled")


# Twin: the same sugar before the wash; it slows the filter and lifts the curd.
@fault("syrup-viscous", "base", "straining", "sometimes", "strip", twins=("dense-base-lifts",))
def _syrup(made: Making, random: Random) -> None:
    milk_in(made)
    volume = made.drink.spirit_ml + made.drink.water_ml + made.drink.tea_ml + made.drink.acid_amount
    made.drink.sugar_g = volume * random.uniform(0.42, 0.62)
    until(made, "straining")


@fault("dense-base-lifts", "base", "curdling", "sometimes", "strip", twins=("syrup-viscous",))
def _dense(made: Making, random: Random) -> None:
    milk_in(made)
    volume = made.drink.spirit_ml + made.drink.water_ml + made.drink.tea_ml + made.drink.acid_amount
    made.drink.sugar_g = volume * random.uniform(0.34, 0.55)
    made.plan.moment, made.keeping.days = random.choice(("mixing", "straining")), 0.0
    made.plan.minutes_since_mixing = random.uniform(60.0, 240.0)


@fault("gum-syrup-haze", "base", "clouds", "sometimes", "strip whey-dose")
def _gum(made: Making, random: Random) -> None:
    made.drink.gum = random.uniform(260.0, 700.0)
    made.drink.sugar_g = max(made.drink.sugar_g, 0.06 * made.drink.spirit_ml)
    until(made, "straining")


@fault("starch-puree", "base", "clouds", "rare", "strip")
def _starch(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.starch = random.uniform(700.0, 2200.0)
    made.drink.pulp = random.uniform(5.0, 14.0)
    until(made, "straining")


@fault("nut-syrup-emulsion", "base", "clouds", "sometimes", "strip")
def _nut_syrup(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.nut_milk = random.uniform(90.0, 260.0)
    until(made, "straining")


@fault("cocoa-solids", "base", "clouds", "sometimes", "strip")
def _cocoa(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.cocoa = random.uniform(2500.0, 7000.0)
    made.straining.filter_kind = random.choice(("cloth", "cloth", "paper"))
    until(made, random.choice(("straining", "fresh", "days")), random.choice((0.0, 3.0)))


@fault("honey-protein", "base", "clouds", "rare", "strip whey-dose")
def _honey(made: Making, random: Random) -> None:
    made.drink.honey = random.uniform(90.0, 220.0)
    until(made, "chilled")


@fault("egg-white-residue", "base", "clouds", "rare", "strip whey-dose")
def _egg(made: Making, random: Random) -> None:
    made.drink.egg = random.uniform(350.0, 900.0)
    made.drink.clarifier = "egg-white"
    until(made, "straining")


@fault("gelatin-residue", "base", "clouds", "rare", "strip")
def _gelatin(made: Making, random: Random) -> None:
    made.drink.gelatin = random.uniform(250.0, 700.0)
    made.drink.clarifier = random.choice(("gelatin", "isinglass"))
    until(made, "chilled")


@fault("clarifier-mixed-up", "base", "clouds", "rare", "strip")
def _swapped(made: Making, random: Random) -> None:
    made.drink.clarifier = "swapped"
    made.drink.gum = random.uniform(150.0, 400.0)
    until(made, "straining")


@fault("protease-fruit", "base", "curdling", "sometimes", "strip")
def _protease(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.protease = random.uniform(0.55, 0.95)
    made.meeting.rest_h = random.uniform(3.0, 14.0)
    made.meeting.rest_temperature = random.choice((8.0, 18.0, 20.0))
    made.plan.goals = ("clear", "less-bitter")
    made.drink.pulp = random.uniform(3.0, 7.0)
    until(made, "straining")


@fault("not-polyphenol-bite", "base", "taste", "sometimes", "strip")
def _burn(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.burn = random.uniform(0.7, 1.2)
    made.drink.tea_kind = ""
    made.drink.oak_load = 0.0
    made.plan.goals = ("clear", "less-bitter")
    until(made, "fresh")


@fault("unbound-pigment", "base", "taste", "sometimes", "strip")
def _pigment(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.unbound_colour = random.uniform(0.5, 1.2)
    made.drink.tea_kind = ""
    made.drink.oak_load = min(0.5, made.drink.oak_load)
    made.plan.goals = ("clear", "paler")
    until(made, "fresh")


@fault("botanical-oversteep", "base", "taste", "sometimes", "strip")
def _oversteep(made: Making, random: Random) -> None:
    milk_in(made)
    drink = made.drink
    drink.tea_kind = random.choice(("black-tea", "green-tea", "bitter-liqueur"))
    drink.tea_load = random.uniform(3.5, 6.0)
    made.plan.goals = ("clear", "less-bitter")
    until(made, "fresh")


@fault("tannin-after-wash", "service", "taste", "sometimes", "strip")
def _after(made: Making, random: Random) -> None:
    milk_in(made)
    made.serving.tannic_after = random.uniform(0.3, 0.6)
    made.plan.goals = ("clear", "less-bitter")
    until(made, "service")


@fault("wine-protein-unstable", "base", "keeping", "rare", "strip")
def _wine(made: Making, random: Random) -> None:
    milk_in(made)
    drink = made.drink
    drink.wine_ml = 0.4 * drink.spirit_ml
    drink.spoilt_wine_protein = random.uniform(70.0, 130.0)
    until(made, "days", random.uniform(3.0, 10.0))


@fault("colour-shift-ph", "base", "taste", "sometimes", "strip")
def _shift(made: Making, random: Random) -> None:
    milk_in(made)
    drink = made.drink
    drink.red_colour = random.uniform(0.1, 0.3)
    drink.tea_kind = ""
    made.plan.goals = ("clear", "keep-colour")
    until(made, "fresh")


@fault("unit-mixup", "base", "strength", "sometimes", "strip fat-wash")
def _unit(made: Making, random: Random) -> None:
    """An ounce, a spoon or a gram was read as another; the sheet does not know."""
    drink = made.drink
    if made.fat is not None and random.random() < 0.5:
        made.fat.g *= random.uniform(2.0, 2.8)
        made.plan.sheet = random.choice(("ounce-or-spoon", "volume-for-weight"))
    elif drink.acid_kind in ("citric", "citric-15", "citric-monohydrate"):
        drink.acid_amount *= random.uniform(4.0, 6.0)
        made.plan.sheet = random.choice(("hydrate-or-solution", "ounce-or-spoon"))
    elif drink.water_ml > 0.1 * drink.spirit_ml:
        drink.spirit_ml *= random.uniform(1.2, 1.4)
        made.plan.sheet = "ounce-or-spoon"
    else:
        raise UnsuitableError
    until(made, "fresh")


@fault("wrong-bottle-strength", "base", "strength", "sometimes", "strip fat-wash whey-dose")
def _bottle(made: Making, random: Random) -> None:
    drink = made.drink
    drink.said_spirit_strength = 40.0
    drink.spirit_strength = random.choice((32.0, 35.0, 47.0, 50.0, 57.0) if made.fat is None
                                          else (33.0, 35.0, 45.0, 47.0))  # fmt: skip
    made.plan.strength_tool = "laboratory" if made.milk or made.whey else "hydrometer"
    until(made, "fresh")


@fault("water-added-naive", "base", "strength", "sometimes", "fat-wash")
def _naive(made: Making, random: Random) -> None:
    """Strong spirit cut by volume: contraction is forgotten and it stays too strong."""
    drink = made.drink
    strong = random.uniform(88.0, 96.0)
    target = 40.0
    water = drink.spirit_ml * (1.0 - target / strong)
    mixed = mix((Part(drink.spirit_ml - water, strong), Part(water)))
    drink.spirit_strength, drink.said_spirit_strength = mixed.strength, target
    drink.water_by_volume = True
    made.plan.strength_tool = "laboratory"
    until(made, "fresh")


@fault("hydrometer-sugar", "service", "strength", "often", "strip whey-dose")
def _hydrometer(made: Making, random: Random) -> None:
    made.plan.strength_tool = "hydrometer"
    made.people.strength_from = "measured"
    made.drink.sugar_g = max(made.drink.sugar_g, made.drink.spirit_ml * random.uniform(0.08, 0.2))
    until(made, "fresh")
