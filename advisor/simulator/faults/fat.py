"""Fat washes: which fat, how much, how it met the spirit, how it was chilled and strained."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.draw import set_fat
from advisor.simulator.faults._kit import UnsuitableError, fat_in, fault, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_FAT = "fat-wash several"
_HARD = ("bacon-fat", "lard", "brown-butter", "ghee", "coconut-oil", "cocoa-butter")


def hard_fat(made: Making, random: Random) -> None:
    fat = fat_in(made)
    if fat.kind not in _HARD:
        set_fat(made, random, random.choice(("bacon-fat", "coconut-oil", "brown-butter")))


# Twin: not set hard and strained while soft are one act.
@fault("fat-not-set", "chill", "fat", "often", _FAT, twins=("strained-soft",))
def _not_set(made: Making, random: Random) -> None:
    fat = fat_in(made)
    hard_fat(made, random)
    fat.chill_h = random.uniform(0.8, 2.4)
    fat.papers = random.choice((1, 2))
    until(made, "fresh")


@fault("strained-soft", "chill", "fat", "sometimes", _FAT, twins=("fat-not-set",))
def _soft(made: Making, random: Random) -> None:
    fat = fat_in(made)
    hard_fat(made, random)
    fat.freezer = random.uniform(3.0, 7.0) if random.random() < 0.5 else -18.0
    fat.chill_h = random.uniform(1.0, 2.5) if fat.freezer < 0.0 else random.uniform(2.0, 6.0)
    until(made, "straining")


@fault("slow-chill-soft-fat", "chill", "fat", "sometimes", _FAT)
def _slow(made: Making, random: Random) -> None:
    fat = fat_in(made)
    hard_fat(made, random)
    fat.cooled = "slow-and-large"
    fat.chill_h = random.uniform(7.0, 13.0)
    until(made, "fresh")


@fault("liquid-oil-fat", "fat", "fat", "often", _FAT)
def _oil(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, random.choice(("olive-oil", "olive-oil", "sesame-oil", "duck-fat")))
    fat.papers = random.choice((1, 2))
    fat.spirit_temperature, fat.room = 22.0, 22.0
    until(made, "fresh")


@fault("fat-rate-high", "fat", "fat", "sometimes", _FAT)
def _too_much(made: Making, random: Random) -> None:
    fat = fat_in(made)
    hard_fat(made, random)
    fat.g *= random.uniform(2.2, 3.2)
    fat.said_amount = fat.g
    until(made, "fresh")


@fault("fat-rate-low", "fat", "fat", "often", _FAT)
def _too_little(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.g *= random.uniform(0.15, 0.34)
    fat.said_amount = fat.g
    until(made, "fresh")


@fault("fat-mild", "fat", "fat", "sometimes", _FAT)
def _mild(made: Making, random: Random) -> None:
    fat = fat_in(made)
    if fat.kind == "toasted-sesame-oil":
        raise UnsuitableError
    if random.random() < 0.5:
        set_fat(made, random, random.choice(("lard", "coconut-oil", "ghee")))
    fat.flavour = random.uniform(0.12, 0.3)
    until(made, "fresh")


@fault("spirit-masks-fat", "base", "fat", "sometimes", _FAT)
def _masked(made: Making, random: Random) -> None:
    fat_in(made)
    made.drink.spirit_kind = random.choice(("aniseed", "peated-whisky", "bitter-aperitif"))
    made.drink.oak_load = 0.0
    until(made, "fresh")


@fault("fat-set-on-contact", "steep", "fat", "often", _FAT)
def _set_at_once(made: Making, random: Random) -> None:
    fat = fat_in(made)
    hard_fat(made, random)
    fat.room = fat.spirit_temperature = random.uniform(8.0, 17.0)
    if fat.kind == "coconut-oil":
        fat.room = fat.spirit_temperature = random.uniform(14.0, 19.0)
    until(made, "fresh")


@fault("steep-too-short", "steep", "fat", "sometimes", _FAT)
def _short(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.steep_h = random.uniform(0.15, 0.6)
    fat.mixed = "turned"
    until(made, "fresh")


@fault("fat-overdose-overlong", "steep", "fat", "sometimes", _FAT)
def _overlong(made: Making, random: Random) -> None:
    fat = fat_in(made)
    if fat.kind == "cocoa-butter":  # hard at the heat of a room: it gives nothing however long
        set_fat(made, random, random.choice(("bacon-fat", "brown-butter")))
    fat.steep_h = random.uniform(96.0, 400.0)
    fat.spirit_temperature = max(22.0, fat.spirit_temperature - 8.0)
    fat.room = 24.0 if fat.kind != "coconut-oil" else 26.0
    until(made, "fresh")


# Twin: days on the fat, whichever word is used for where the jar stood.
@fault("fat-cap-left-on", "steep", "fat", "sometimes", _FAT, twins=("fat-overdose-overlong",))
def _left_on(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.stored_days_with_fat = random.uniform(12.0, 40.0)
    fat.steep_h = random.uniform(4.0, 8.0)
    until(made, "fresh")


@fault("perfumed-oil-overdose", "fat", "fat", "sometimes", _FAT)
def _perfumed(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "toasted-sesame-oil")
    fat.g *= random.uniform(4.0, 8.0)
    fat.said_amount = fat.g
    fat.spirit_temperature = fat.room = 22.0
    until(made, "fresh")


@fault("fat-old-at-start", "fat", "fat", "sometimes", _FAT)
def _old(made: Making, random: Random) -> None:
    fat_in(made).rancid = random.uniform(0.8, 1.5)
    until(made, "fresh")


@fault("raw-pork-funk", "fat", "fat", "sometimes", _FAT)
def _funk(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, random.choice(("lard", "bacon-fat")))
    fat.salt = 0.0
    fat.funk = random.uniform(0.8, 1.4)
    until(made, "fresh")


@fault("smoked-drippings-bits", "fat", "fat", "sometimes", _FAT)
def _drippings(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "bacon-fat")
    fat.bits = random.uniform(0.15, 0.45)
    fat.bits_burnt = random.uniform(0.5, 1.0)
    fat.filtered_first = False
    fat.papers = 1
    until(made, "fresh")


@fault("meat-bits-pass", "fat", "fat", "sometimes", _FAT)
def _bits(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "bacon-fat" if random.random() < 0.7 else "duck-fat")
    fat.bits = random.uniform(1.2, 3.0)
    fat.filtered_first = False
    fat.papers = 1
    made.straining.filter_kind = random.choice(("metal-sieve", "cloth"))
    until(made, "fresh")


@fault("scorched-milk-butter-bits", "temperature", "fat", "sometimes", _FAT)
def _black_butter(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "brown-butter")
    fat.bits = random.uniform(0.12, 0.35)
    fat.bits_burnt = random.uniform(0.8, 1.3)
    fat.filtered_first = False
    fat.papers = 1
    until(made, "fresh")


@fault("salt-from-fat-meat-cheese", "fat", "fat", "sometimes", _FAT)
def _salt(made: Making, random: Random) -> None:
    fat = fat_in(made)
    if random.random() < 0.5:
        # Browned: the water of whole butter would cloud it, and that is a fault of its own.
        set_fat(made, random, "brown-butter")
        fat.salt = random.uniform(1.2, 1.8)
        fat.label = "sweetened-or-salted"
        fat.spirit_temperature = 34.0
    else:
        set_fat(made, random, "bacon-fat")
        fat.salt = random.uniform(1.5, 3.0)
        fat.meat_left_in = random.random() < 0.6
        fat.steep_h = random.uniform(8.0, 30.0)
    until(made, "fresh")


@fault("sweet-salty-nut-butter", "fat", "fat", "sometimes", "fat-wash")
def _sweet_nut(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "peanut-butter")
    fat.label = "sweetened-or-salted"
    fat.sugar = random.uniform(7.0, 11.0)
    fat.salt = random.uniform(1.0, 1.6)
    fat.sugar += 2.0
    fat.g *= 0.72
    fat.said_amount = fat.g
    fat.papers = 3
    until(made, "fresh")


@fault("fat-steals-aroma", "fat", "fat", "sometimes", _FAT)
def _steals(made: Making, random: Random) -> None:
    fat = fat_in(made)
    made.drink.spirit_kind = "gin"
    made.drink.oak_load = 0.0
    made.drink.spirit_strength = made.drink.said_spirit_strength = 40.0
    set_fat(made, random, random.choice(("ghee", "coconut-oil", "brown-butter")))
    fat.steep_h = random.uniform(12.0, 24.0)
    made.plan.goals = ("clear", "keep-aroma")
    until(made, "fresh")


@fault("wax-high-melt-fat", "fat", "fat", "rare", _FAT)
def _wax(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "cocoa-butter")
    fat.cooled = "slow-and-large"
    fat.spirit_temperature = fat.room = random.uniform(18.0, 26.0)
    fat.chill_h = random.uniform(12.0, 20.0)
    until(made, "fresh")


# Twins: too much fat or too little; this one names how the amount came to be wrong.
@fault("fat-by-volume-weight", "fat", "fat", "rare", _FAT,
       twins=("fat-rate-high", "fat-rate-low"))  # fmt: skip
def _volume(made: Making, random: Random) -> None:
    """Read from a cup as if it were grams, and back: the amount is far from the recipe's."""
    fat = fat_in(made)
    wrong = random.choice((2.6, 3.2, 0.3, 0.22))
    fat.g *= wrong
    fat.said_as = "volume"
    fat.said_amount = fat.g / 0.915
    made.plan.sheet = "volume-for-weight"
    until(made, "fresh")
