"""Fat washes: chilling, setting, floating, straining and keeping, pastes and water."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.draw import set_fat
from advisor.simulator.faults._kit import fat_in, fault, not_past, until
from advisor.simulator.faults.fat import hard_fat

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_FAT = "fat-wash several"


@fault("fat-cold-haze", "chill", "clouds", "often", _FAT)
def _cold_haze(made: Making, random: Random) -> None:
    """Strained at room heat after setting in the fridge: what was dissolved comes out colder.

    Of fats that set hard there: half of milk fat is oil at 4 degC, and what that leaves is loose
    fat (fat-not-set), not a haze.
    """
    fat = fat_in(made)
    hard_fat(made, random)
    if fat.kind not in ("bacon-fat", "lard", "coconut-oil"):
        set_fat(made, random, random.choice(("bacon-fat", "coconut-oil")))
    fat.freezer = random.uniform(3.0, 6.0)
    fat.chill_h = random.uniform(14.0, 26.0)
    fat.strain_temperature = random.uniform(20.0, 25.0)
    fat.strain_h = random.uniform(1.5, 4.0)
    fat.papers = 3
    until(made, "chilled")


@fault("butter-water-emulsion", "fat", "fat", "sometimes", _FAT)
def _butter(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "plain-butter")
    fat.mixed = random.choice(("turned", "shaken-warm", "shaken-warm"))
    fat.spirit_temperature = fat.room = random.uniform(34.0, 40.0)
    until(made, "fresh")


@fault("butter-water-dilutes", "fat", "strength", "sometimes", "fat-wash")
def _butter_water(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "plain-butter")
    fat.g *= random.uniform(1.2, 1.7)
    fat.said_amount = fat.g
    fat.papers = 3
    made.plan.strength_tool = "laboratory"
    until(made, "fresh")


@fault("oil-louche-on-dilution", "fat", "clouds", "sometimes", "fat-wash")
def _louche(made: Making, random: Random) -> None:
    """A strong spirit, strained cool, holds fat that water throws out."""
    fat = fat_in(made)
    set_fat(made, random, random.choice(("coconut-oil", "coconut-oil", "cocoa-butter")))
    made.drink.spirit_strength = random.choice((46.0, 48.0, 50.0))
    made.drink.said_spirit_strength = made.drink.spirit_strength
    fat.freezer = random.uniform(2.0, 5.0)
    fat.chill_h = random.uniform(16.0, 30.0)
    fat.strain_temperature = random.uniform(3.0, 6.0)
    fat.strain_h = random.uniform(0.5, 1.0)
    fat.papers = 3
    made.serving.with_water = random.uniform(0.8, 1.5)
    until(made, "service")


@fault("fat-emulsified", "steep", "fat", "sometimes", _FAT)
def _emulsified(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.mixed = "blender" if random.random() < 0.6 else "shaken-cold"
    fat.spirit_temperature = min(fat.spirit_temperature, 30.0)
    until(made, "straining")


@fault("narrow-bottle", "chill", "fat", "sometimes", _FAT)
def _narrow(made: Making, random: Random) -> None:
    hard_fat(made, random)
    fat_in(made).narrow = True
    not_past(made, "straining")
    until(made, "straining")


@fault("warm-strain-melt-back", "separation", "fat", "sometimes", _FAT)
def _melt_back(made: Making, random: Random) -> None:
    fat = fat_in(made)
    hard_fat(made, random)
    fat.strain_temperature = random.uniform(23.0, 29.0)
    fat.strain_h = random.uniform(3.0, 6.0)
    fat.papers = 1
    until(made, "fresh")


@fault("weak-spirit-slush", "chill", "fat", "often", _FAT)
def _slush(made: Making, random: Random) -> None:
    fat = fat_in(made)
    made.drink.spirit_strength = random.uniform(17.0, 29.0)
    made.drink.said_spirit_strength = round(made.drink.spirit_strength)
    fat.freezer = random.uniform(-20.0, -17.0)
    fat.chill_h = random.uniform(8.0, 24.0)
    not_past(made, "straining")
    until(made, "straining")


@fault("wet-drippings", "fat", "fat", "sometimes", _FAT)
def _wet(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, random.choice(("bacon-fat", "bacon-fat", "duck-fat")))
    fat.water_share = random.uniform(0.25, 0.5)
    fat.g *= random.uniform(1.2, 1.6)
    fat.said_amount = fat.g
    not_past(made, "straining")
    until(made, "straining")


@fault("overproof-fat-hangs", "fat", "fat", "rare", "fat-wash")
def _overproof(made: Making, random: Random) -> None:
    fat_in(made)
    made.drink.spirit_strength = made.drink.said_spirit_strength = random.uniform(61.0, 72.0)
    not_past(made, "straining")
    until(made, "straining")


@fault("stabilised-nut-butter", "fat", "fat", "sometimes", "fat-wash")
def _stabilised(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "peanut-butter")
    fat.label = "stabilised"
    fat.emulsifier = random.uniform(0.5, 1.0)
    until(made, "straining")


@fault("nut-paste-holds-spirit", "fat", "fat", "sometimes", "fat-wash")
def _paste(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, random.choice(("peanut-butter", "nut-paste")))
    fat.g *= random.uniform(1.0, 1.4)
    fat.said_amount = fat.g
    fat.papers = 3
    until(made, "fresh")


@fault("nut-solids-suspended", "separation", "fat", "sometimes", "fat-wash")
def _silt(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, random.choice(("peanut-butter", "nut-paste")))
    fat.g *= 0.75
    fat.said_amount = fat.g
    fat.papers = 1
    made.straining.filter_kind = random.choice(("cloth", "paper"))
    until(made, "fresh")


@fault("spread-margarine", "fat", "fat", "sometimes", _FAT)
def _margarine(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "other")
    fat.kind = random.choice(("plain-butter", "other"))
    fat.label = "spread-or-margarine"
    fat.emulsifier = random.uniform(0.35, 0.8)
    fat.water_share = random.uniform(0.2, 0.5)
    until(made, "straining")


# Twins: fat left in the spirit rose; cap, ring or layer are words for it.
@fault("fat-rise-storage", "chill", "keeping", "sometimes", "fat-wash",
       twins=("fat-layer-bottle", "fat-not-set"))  # fmt: skip
def _rises(made: Making, random: Random) -> None:
    hard_fat(made, random)
    fat = fat_in(made)
    fat.chill_h = random.uniform(2.6, 4.5)
    fat.papers = random.choice((1, 2))
    until(made, "days", random.uniform(2.0, 8.0))


@fault("fat-layer-bottle", "separation", "keeping", "sometimes", "fat-wash",
       twins=("fat-rise-storage", "fat-not-set"))  # fmt: skip
def _layer(made: Making, random: Random) -> None:
    hard_fat(made, random)
    fat = fat_in(made)
    fat.chill_h = random.uniform(1.2, 3.0)
    fat.papers = 1
    until(made, "days", random.uniform(1.0, 4.0))


@fault("freezer-odour", "chill", "fat", "sometimes", "fat-wash")
def _freezer(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.sealed = False
    fat.chill_h = random.uniform(30.0, 90.0)
    made.keeping.freezer_smell = random.uniform(0.75, 1.4)
    until(made, "fresh")


@fault("fat-oxidised-store", "storage", "keeping", "sometimes", "fat-wash")
def _oxidised(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, random.choice(("bacon-fat", "brown-butter", "duck-fat")))
    fat.papers = 1
    made.keeping.where = "room"
    made.keeping.room = random.uniform(22.0, 28.0)
    made.keeping.light = random.random() < 0.5
    made.keeping.half_empty = True
    until(made, "days", random.uniform(24.0, 60.0))


@fault("slush-strained-strong", "chill", "strength", "rare", "fat-wash")
def _slush_strained(made: Making, random: Random) -> None:
    fat = fat_in(made)
    made.drink.spirit_strength = random.uniform(24.0, 31.0)
    made.drink.said_spirit_strength = round(made.drink.spirit_strength)
    fat.slush_strained = True
    fat.chill_h = random.uniform(10.0, 24.0)
    made.plan.strength_tool = random.choice(("laboratory", "hydrometer"))
    until(made, "fresh")
