"""Guests, labels, law and hazards: here the physics is only what was used and who asks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.draw import set_fat
from advisor.simulator.faults._kit import fat_in, fault, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_ANY = "strip fat-wash whey-dose several"
_PLANT = frozenset({"soy", "oat", "almond", "coconut", "rice"})
_BUTTER = frozenset({"brown-butter", "ghee", "plain-butter"})
_PORK = ("bacon-fat", "lard")
_NUTTY = {
    "peanut-butter": "nut-allergy",
    "nut-paste": "nut-allergy",
    "sesame-oil": "sesame-allergy",
    "toasted-sesame-oil": "sesame-allergy",
}


def _asks(made: Making, guest: str) -> None:
    made.plan.asked_diet = True
    made.people.guest = guest
    until(made, "service")


def _milky(made: Making, random: Random) -> None:
    """Some milk must be in it: a wash, whey, or a butter."""
    if made.milk is None and made.whey is None:
        set_fat(made, random, random.choice(("brown-butter", "ghee")))


def _has_dairy(made: Making) -> bool:
    """A second fault may have put a plant drink or an oil in its place."""
    return (
        made.whey is not None
        or (made.milk is not None and made.milk.kind not in _PLANT)
        or (made.fat is not None and made.fat.kind in _BUTTER)
    )


# Twin: a dairy-free claim over the same milk; who asks and what is printed are both facts.
@fault("milk-protein-remains", "label", "safety", "often", _ANY, verdict="stop",
       still=_has_dairy)  # fmt: skip
def _milk(made: Making, random: Random) -> None:
    _milky(made, random)
    _asks(made, "milk-allergy")
    made.people.claim = random.choice(("none", "says-contains-milk"))


@fault("told-dairy-free", "label", "safety", "often", _ANY, verdict="stop", still=_has_dairy)
def _claimed(made: Making, random: Random) -> None:
    _milky(made, random)
    _asks(made, random.choice(("vegan", "vegan", "none", "milk-allergy")))
    made.people.claim = "dairy-free-or-vegan"


def _has_nut(made: Making) -> bool:
    return made.people.allergen_oil != "none" or (made.fat is not None and made.fat.kind in _NUTTY)


# The guest who asks is one whom this nut or seed would hurt.
@fault("nut-sesame-undeclared", "label", "safety", "often", "fat-wash strip", verdict="stop",
       still=_has_nut)  # fmt: skip
def _nuts(made: Making, random: Random) -> None:
    if made.fat is not None:
        kind = random.choice(tuple(_NUTTY))
        set_fat(made, random, kind)
        made.fat.papers = 3
        _asks(made, _NUTTY[kind])
        return
    oil = random.choice(("peanut-oil", "tree-nut-oil", "soybean-oil"))
    made.people.allergen_oil = oil
    made.people.oil_refining = "pressed-or-toasted"
    _asks(made, "other" if oil == "soybean-oil" else "nut-allergy")


@fault("lactose-not-told", "label", "safety", "sometimes", "strip whey-dose", verdict="stop",
       still=_has_dairy)  # fmt: skip
def _lactose(made: Making, random: Random) -> None:
    _asks(made, "lactose")


@fault("fining-egg-fish", "label", "safety", "sometimes", "strip whey-dose", verdict="stop")
def _fining(made: Making, random: Random) -> None:
    made.drink.clarifier = random.choice(("egg-white", "gelatin", "isinglass"))
    _asks(made, random.choice(("other", "vegan")))
    made.people.diet_claim = random.choice(("none", "vegetarian"))


@fault("fat-diet-claim", "label", "safety", "sometimes", "fat-wash", verdict="stop",
       still=lambda made: made.fat is not None and made.fat.kind in _PORK)  # fmt: skip
def _diet(made: Making, random: Random) -> None:
    set_fat(made, random, random.choice(_PORK))
    made.people.diet_claim = random.choice(("vegetarian", "halal-or-kosher"))
    _asks(made, random.choice(("other", "vegan")))


@fault("vessel-cross-contact", "label", "safety", "sometimes", "fat-wash", verdict="stop")
def _shared(made: Making, random: Random) -> None:
    set_fat(made, random, random.choice(("coconut-oil", "bacon-fat")))
    made.people.shared_kit = True
    _asks(made, random.choice(("nut-allergy", "milk-allergy")))


@fault("bottle-label-law", "label", "safety", "rare", _ANY, verdict="stop")
def _law(made: Making, random: Random) -> None:
    made.people.bottled_for_sale = True
    made.people.claim = "none"
    _asks(made, "other")
    made.people.country = random.choice(("uk", "us", "eu", "canada"))


@fault("spent-curd-served", "label", "safety", "sometimes", "strip fat-wash", verdict="stop")
def _spent(made: Making, random: Random) -> None:
    made.people.leftovers = True
    _asks(made, random.choice(("other", "none")))


@fault("raw-milk", "milk", "safety", "rare", "strip", verdict="discard")
def _raw(made: Making, random: Random) -> None:
    if made.milk is not None:
        made.milk.raw = True
        made.milk.kind = made.milk.said_kind = random.choice(("whole-unhomogenised", "whole"))
    made.plan.worried = True
    until(made, "fresh")


@fault("raw-egg-low-abv", "base", "safety", "sometimes", "strip whey-dose", verdict="discard")
def _egg(made: Making, random: Random) -> None:
    made.drink.raw_egg = True
    made.drink.egg = random.uniform(80.0, 200.0)
    made.drink.spirit_strength = made.drink.said_spirit_strength = random.uniform(10.0, 16.0)
    made.keeping.hours_warm = random.uniform(6.0, 16.0)
    made.keeping.microbes = 0.5
    made.plan.worried = True
    until(made, "fresh")


@fault("fat-garlic-herb", "fat", "safety", "rare", "fat-wash", verdict="discard")
def _garlic(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.garlic = True
    fat.steep_h = random.uniform(24.0, 140.0)
    fat.room = fat.spirit_temperature = random.uniform(20.0, 26.0)
    made.plan.worried = True
    until(made, "fresh")


@fault("meat-in-jar", "steep", "safety", "sometimes", "fat-wash", verdict="discard")
def _meat(made: Making, random: Random) -> None:
    fat = fat_in(made)
    set_fat(made, random, "bacon-fat" if random.random() < 0.8 else "duck-fat")
    fat.meat_left_in = True
    fat.steep_h = random.uniform(30.0, 160.0)
    made.drink.spirit_strength = made.drink.said_spirit_strength = random.uniform(15.0, 19.0)
    fat.freezer = 3.0
    fat.chill_h = random.uniform(16.0, 30.0)
    made.plan.worried = random.random() < 0.7
    until(made, "fresh")


@fault("spent-fat-warm", "storage", "safety", "sometimes", "fat-wash", verdict="discard")
def _spent_fat(made: Making, random: Random) -> None:
    fat = fat_in(made)
    fat.spent = "warm-or-reused"
    fat.rancid = random.uniform(0.0, 1.0)
    made.plan.worried = True
    until(made, "fresh")


@fault("hot-fat-spirit-fire", "temperature", "safety", "rare", "fat-wash", verdict="stop")
def _hot(made: Making, random: Random) -> None:
    fat = fat_in(made)
    made.people.hazard_plan = "hot-fat"
    fat.temperature = random.uniform(95.0, 170.0)
    fat.flame = random.random() < 0.6


@fault("centrifuge-alcohol", "separation", "safety", "rare", "strip fat-wash", verdict="stop")
def _spin(made: Making, random: Random) -> None:
    made.people.hazard_plan = "centrifuge"
    made.straining.filter_kind = "centrifuge"
    until(made, "straining")


@fault("cryogen-used", "service", "safety", "rare", "strip fat-wash whey-dose", verdict="stop")
def _cryogen(made: Making, random: Random) -> None:
    made.people.hazard_plan = "cryogen"
    until(made, "service")


@fault("label-strength-unmeasured", "label", "strength", "sometimes", "strip whey-dose",
       twins=("abv-whey-unaccounted",))  # fmt: skip
def _copied(made: Making, random: Random) -> None:
    """The label copies the base; somebody measured at last. Twin: milk or whey left out of it."""
    made.plan.meant_undiluted = True
    made.people.strength_from = "copied"
    made.plan.strength_tool = "laboratory"
    until(made, "fresh")
