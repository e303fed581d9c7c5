"""The wrong milk, too little or too much of it, or milk that something had happened to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science.milks import milk
from advisor.simulator.draw import set_acid
from advisor.simulator.faults._kit import fault, milk_at, milk_in, not_past, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_STRIP = "strip several"


def _swap(made: Making, kind: str, *, keep_acid: bool = True) -> None:
    """Another milk; the acid is dosed for it as for any milk unless it is kept as it was."""
    used = milk_in(made)
    old = used.kind
    used.kind = used.said_kind = kind
    if keep_acid or made.drink.acid_kind not in ("citric", "citric-15", "citric-monohydrate"):
        return
    used.kind = old
    set_acid(made, made.drink.acid_kind, 1.4)
    made.drink.said_acid_amount = made.drink.acid_amount
    used.kind = kind


@fault("milk-share-low-haze", "milk", "clouds", "often", "strip")
def _low_haze(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.ml *= random.uniform(0.22, 0.4)
    made.drink.pectin = random.uniform(90.0, 190.0)
    made.drink.pulp = random.uniform(4.0, 9.0)
    _keep_acid_ample(made)
    until(made, "straining")


def _keep_acid_ample(made: Making) -> None:
    if made.drink.acid_kind in ("citric", "citric-15", "citric-monohydrate"):
        made.drink.said_acid_amount = made.drink.acid_amount


def _tannic(made: Making, random: Random, load: float) -> None:
    drink = made.drink
    if not drink.tea_kind or drink.tea_kind == "coffee":
        drink.tea_kind = random.choice(("black-tea", "black-tea", "green-tea"))
    drink.tea_load = load


# Twins: the same too small share of milk; one names the bite that stayed, the other the colour.
@fault("milk-share-low-tannin", "milk", "taste", "often", "strip",
       twins=("milk-share-low-colour",))  # fmt: skip
def _low_tannin(made: Making, random: Random) -> None:
    used = milk_in(made)
    _tannic(made, random, random.uniform(1.3, 1.9))
    if made.drink.tea_ml:
        made.drink.tea_load *= 2.0
    used.ml *= random.uniform(0.22, 0.38)
    made.plan.goals = ("clear", "less-bitter")
    until(made, "fresh")


@fault("milk-share-low-colour", "milk", "taste", "often", "strip",
       twins=("milk-share-low-tannin",))  # fmt: skip
def _low_colour(made: Making, random: Random) -> None:
    used = milk_in(made)
    _tannic(made, random, random.uniform(1.3, 1.9))
    if made.drink.tea_ml:
        made.drink.tea_load *= 2.0
    used.ml *= random.uniform(0.22, 0.38)
    made.plan.goals = ("clear", "paler")
    until(made, "fresh")


# Twin: the same too large share of milk; one names the loss in the curd, the other the taste.
@fault("milk-share-high-loss", "milk", "straining", "sometimes", "strip", twins=("whey-heavy",))
def _high_loss(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.ml *= random.uniform(1.6, 2.1)
    if used.temperature > 40.0:  # so much hot milk would bring its fat along: a fault of its own
        milk_at(made, 19.0)
    set_acid(made, made.drink.acid_kind, random.uniform(1.3, 1.8))
    made.drink.said_acid_amount = made.drink.acid_amount
    made.straining.drain_h = random.uniform(9.0, 16.0)
    made.drink.spirit_strength = min(55.0, made.drink.spirit_strength * 1.25)
    made.drink.said_spirit_strength = made.drink.spirit_strength
    until(made, "fresh")


# Twins: the same milk water, whose taste or whose thinness is named; the same large share of milk.
@fault("whey-heavy", "milk", "taste", "sometimes", "strip",
       twins=("whey-dilution-thin", "milk-share-high-loss"))  # fmt: skip
def _heavy(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.ml *= random.uniform(2.4, 3.4)
    if used.temperature > 40.0:  # as above
        milk_at(made, 19.0)
    set_acid(made, made.drink.acid_kind, random.uniform(1.25, 1.7))
    made.drink.said_acid_amount = made.drink.acid_amount
    made.drink.tea_kind, made.drink.oak_load = "", 0.0
    made.drink.water_ml += made.drink.tea_ml
    made.drink.tea_ml = 0.0
    until(made, "fresh")


# Twins: strength and sugar fall by the milk's share; three names for the same water.
@fault("whey-dilution-thin", "milk", "taste", "often", "strip",
       twins=("abv-whey-unaccounted", "whey-heavy"))  # fmt: skip
def _thin(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.ml *= random.uniform(1.5, 2.2)
    set_acid(made, made.drink.acid_kind, random.uniform(1.3, 1.8))
    made.drink.said_acid_amount = made.drink.acid_amount
    made.plan.meant_undiluted = True
    until(made, "fresh")


# Twin: the milk was left out of the sum, so the drink is thinner than meant.
@fault("abv-whey-unaccounted", "milk", "strength", "often", "strip",
       twins=("whey-dilution-thin",))  # fmt: skip
def _unaccounted(made: Making, random: Random) -> None:
    milk_in(made)
    made.plan.meant_undiluted = True
    made.plan.strength_tool = random.choice(("laboratory", "arithmetic"))
    until(made, "fresh")


@fault("second-wash-dilutes", "milk", "strength", "sometimes", "strip")
def _twice(made: Making, random: Random) -> None:
    milk_in(made)
    made.meeting.washes = 2 if random.random() < 0.8 else 3
    until(made, "fresh")


@fault("weak-milk-curd", "milk", "curdling", "sometimes", _STRIP)
def _lean(made: Making, random: Random) -> None:
    used = milk_in(made)
    # A lean or a long-life carton; little of any other milk is a matter of its share.
    _swap(made, random.choice(("two-percent", "two-percent", "long-life")))
    used.preheated = used.kind != "long-life"
    used.ml *= random.uniform(0.45, 0.65)
    made.drink.pectin += random.uniform(60.0, 150.0)
    # Tannin or colour that so little milk left behind is the share's fault, not the kind's.
    made.plan.goals = tuple(x for x in made.plan.goals if x not in ("less-bitter", "paler"))
    until(made, "straining")


# Twin: the same fine milk fat, named by how it came through or by where it ended.
@fault("homogenised-fat-carry", "milk", "clouds", "sometimes", "strip", twins=("milkfat-in-wash",))
def _carry(made: Making, random: Random) -> None:
    used = milk_in(made)
    if not milk(used.kind).homogenised:
        used.kind = used.said_kind = "whole"
    used.temperature = random.uniform(60.0, 72.0)
    made.meeting.drink_temperature = random.uniform(30.0, 42.0)
    made.straining.filter_kind = random.choice(("cloth", "cloth", "paper"))
    made.straining.temperature = random.uniform(24.0, 32.0)
    used.ml *= random.uniform(1.1, 1.5)
    set_acid(made, made.drink.acid_kind, random.uniform(1.3, 1.8))
    made.drink.said_acid_amount = made.drink.acid_amount
    until(made, "chilled")


# Twin: as above.
@fault("milkfat-in-wash", "milk", "clouds", "sometimes", "strip", twins=("homogenised-fat-carry",))
def _milk_fat(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.kind = used.said_kind = random.choice(("half-and-half", "whole", "whole-unhomogenised"))
    used.temperature = random.uniform(46.0, 60.0)
    made.meeting.drink_temperature = random.uniform(26.0, 36.0)
    made.straining.filter_kind = "cloth"
    made.straining.bed_handling = "squeezed-or-moved" if random.random() < 0.3 else "left-alone"
    set_acid(made, made.drink.acid_kind, random.uniform(1.3, 1.8))
    made.drink.said_acid_amount = made.drink.acid_amount
    until(made, "days", random.uniform(1.0, 4.0))


@fault("longlife-milk-sand", "milk", "curdling", "sometimes", _STRIP)
def _long_life(made: Making, random: Random) -> None:
    _swap(made, "long-life")
    milk_at(made, 5.0 if random.random() < 0.7 else 19.0)
    until(made, "straining")


@fault("cream-as-milk", "milk", "curdling", "often", _STRIP)
def _cream(made: Making, random: Random) -> None:
    _swap(made, "cream")  # half-and-half has nearly milk's casein: its raft is the fatty curd
    milk_at(made, 5.0)
    until(made, "straining")


@fault("fatty-curd-floats", "milk", "curdling", "sometimes", _STRIP)
def _raft(made: Making, random: Random) -> None:
    _swap(made, random.choice(("half-and-half", "half-and-half", "buffalo", "sheep")))
    milk_at(made, 19.0)
    made.drink.sugar_g = max(made.drink.sugar_g, 0.08 * made.drink.spirit_ml)
    not_past(made, "straining")


@fault("skim-protein-dust", "milk", "curdling", "sometimes", _STRIP)
def _skim(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, "skim" if random.random() < 0.6 else "powder")
    used.temperature = 5.0
    made.meeting.order = random.choice(("drink-into-milk", "all-together", "milk-into-drink"))
    until(made, "straining")


@fault("plant-milk-no-casein", "milk", "curdling", "often", _STRIP)
def _plant(made: Making, random: Random) -> None:
    _swap(made, random.choice(("oat", "oat", "almond", "coconut", "rice")))
    milk_at(made, random.choice((5.0, 19.0)))
    until(made, "straining")
    not_past(made, "fresh")


@fault("plantmilk-stabiliser", "milk", "curdling", "sometimes", _STRIP)
def _barista(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, random.choice(("soy", "oat", "almond", "coconut")))
    used.gums = True
    used.ml *= random.uniform(1.3, 2.2)
    until(made, "straining")


@fault("soy-beany", "milk", "taste", "sometimes", "strip")
def _soy(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, "soy")
    used.beany = random.uniform(0.8, 1.4)
    until(made, "fresh")


# Twin for the nose: milk that had turned before, or turned while the mix waited; the carton tells.
@fault("old-milk", "milk", "taste", "sometimes", _STRIP)
def _old(made: Making, random: Random) -> None:
    used = milk_in(made)
    used.turned = random.uniform(0.75, 1.2)
    until(made, "fresh")


@fault("goat-sheep-share", "milk", "curdling", "rare", _STRIP)
def _goat(made: Making, random: Random) -> None:
    _swap(made, random.choice(("goat", "goat", "sheep", "buffalo")))
    used = milk_at(made, 19.0)
    if milk(used.kind).casein > 3.0:
        used.ml *= random.uniform(1.3, 1.7)
    until(made, "fresh")


@fault("ultrafiltered-milk", "milk", "curdling", "rare", _STRIP)
def _ultra(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, "ultra-filtered")
    if made.drink.acid_kind in ("lemon-juice", "lime-juice"):
        made.drink.acid_amount *= random.uniform(0.4, 0.6)
        made.drink.said_acid_amount = made.drink.acid_amount
    milk_at(made, min(used.temperature, 20.0))
    until(made, "straining")


@fault("lactose-free-sweet", "milk", "taste", "rare", "strip")
def _lactose_free(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, "lactose-free")
    used.ml *= random.uniform(1.3, 1.8)
    made.drink.sugar_g *= random.uniform(0.1, 0.5)
    set_acid(made, made.drink.acid_kind, random.uniform(1.3, 1.6))
    made.drink.said_acid_amount = made.drink.acid_amount
    made.meeting.order, made.meeting.pour = "drink-into-milk", "slow-stream"
    until(made, "fresh")


@fault("cream-liqueur-or-evaporated", "milk", "curdling", "rare", _STRIP)
def _stabilised(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, random.choice(("cream", "half-and-half", "ultra-filtered")))
    used.stabilised = random.uniform(0.6, 1.0)
    used.gums = True
    until(made, "straining")


@fault("protein-powder", "milk", "clouds", "rare", "strip whey-dose")
def _protein(made: Making, random: Random) -> None:
    grams = random.uniform(25.0, 60.0)
    if made.milk is not None:
        made.milk.powder_g_per_l = grams
        made.milk.lumps = grams * 0.1
    elif made.whey is not None:
        made.whey.kind = made.whey.said_kind = "powder"
        made.whey.protein = random.uniform(18.0, 40.0)
        made.whey.fines = random.uniform(120.0, 350.0)
        made.whey.ph = random.uniform(5.8, 6.4)
    until(made, "straining")


@fault("cultured-milk-fine", "milk", "curdling", "sometimes", _STRIP)
def _cultured(made: Making, random: Random) -> None:
    _swap(made, random.choice(("yoghurt", "buttermilk")))
    milk_at(made, 5.0)
    until(made, "straining")


@fault("milk-powder-lumps", "milk", "curdling", "rare", "strip")
def _lumps(made: Making, random: Random) -> None:
    used = milk_in(made)
    _swap(made, "powder")
    used.lumps = random.uniform(3.0, 9.0)
    made.straining.filter_kind = random.choice(("cloth", "paper", "cloth"))
    until(made, "fresh")


@fault("frozen-thawed-milk", "milk", "curdling", "rare", _STRIP)
def _frozen(made: Making, random: Random) -> None:
    used = milk_at(made, random.choice((5.0, 19.0)))
    used.frozen = True
    until(made, "straining")


@fault("wanted-colour-stripped", "milk", "taste", "often", "strip")
def _pale(made: Making, random: Random) -> None:
    milk_in(made)
    drink = made.drink
    # Red only in a drink that was sour already: a red that the added acid turns is another fault.
    if drink.acid_kind in ("lemon-juice", "lime-juice") and random.random() < 0.5:
        drink.red_colour = random.uniform(0.03, 0.06)
        drink.tea_kind = drink.tea_kind or "black-tea"
    else:
        drink.tea_kind = drink.tea_kind or "black-tea"
    drink.tea_load = random.uniform(0.6, 1.0)
    made.plan.goals = ("clear", "keep-colour")
    until(made, "fresh")


@fault("aroma-in-curd", "milk", "taste", "often", "strip")
def _aroma(made: Making, random: Random) -> None:
    used = milk_in(made)
    made.drink.spirit_kind = random.choice(("gin", "gin", "gin", "agave"))
    made.drink.oak_load = 0.0
    used.kind = used.said_kind = "whole"
    used.ml *= random.uniform(1.2, 1.6)
    set_acid(made, made.drink.acid_kind, random.uniform(1.3, 1.8))
    made.drink.said_acid_amount = made.drink.acid_amount
    made.meeting.rest_h = random.uniform(12.0, 24.0)
    made.meeting.rest_temperature = 6.0
    made.plan.goals = ("clear", "keep-aroma")
    until(made, "fresh")
