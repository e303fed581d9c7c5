"""Whey doses: which whey, how old, how clear, into what."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.faults._kit import fault, until, whey_in

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_WHEY = "whey-dose several"


@fault("yogurt-fines", "separation", "whey", "sometimes", _WHEY)
def _fines(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.kind = whey.said_kind = "yoghurt-hung"
    whey.fines = random.uniform(250.0, 900.0)
    until(made, "fresh")


@fault("whey-protein-ph-window", "whey", "whey", "sometimes", "whey-dose")
def _window(made: Making, random: Random) -> None:
    """A mild drink: with the whey it lands where whey protein clouds."""
    whey = whey_in(made)
    made.drink.acid_amount *= random.uniform(0.04, 0.12)
    made.drink.said_acid_amount = made.drink.acid_amount
    made.drink.water_ml += 0.15 * made.drink.spirit_ml
    whey.ml *= random.uniform(1.1, 1.5)
    whey.ph = random.uniform(4.4, 4.7)
    until(made, "fresh")


@fault("whey-protein-tannin-alcohol", "whey", "whey", "sometimes", "whey-dose")
def _tannin(made: Making, random: Random) -> None:
    whey = whey_in(made)
    if random.random() < 0.55:
        made.drink.tea_kind = random.choice(("black-tea", "green-tea"))
        made.drink.tea_load = random.uniform(0.9, 1.8)
        made.drink.acid_amount *= random.uniform(0.1, 0.25)
    else:
        made.drink.acid_amount *= random.uniform(0.2, 0.5)
        made.drink.spirit_strength = made.drink.said_spirit_strength = random.uniform(60.0, 75.0)
        made.drink.spirit_ml *= 1.3
        made.drink.said_spirit_ml = made.drink.spirit_ml
    made.drink.said_acid_amount = made.drink.acid_amount
    whey.protein *= 1.1
    until(made, "fresh")


@fault("whey-unsplit-in-acid", "whey", "whey", "sometimes", "whey-dose")
def _unsplit(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.kind = whey.said_kind = random.choice(("sweet", "acid"))
    whey.ph = random.uniform(5.4, 6.4)
    whey.casein = random.uniform(1.2, 7.0)
    until(made, "service")


@fault("whey-fat-ring", "whey", "whey", "sometimes", _WHEY)
def _fat(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.fat = random.uniform(300.0, 1100.0)
    until(made, random.choice(("fresh", "days")), random.choice((0.0, 2.0)))


@fault("whey-heated-grains", "temperature", "whey", "sometimes", "whey-dose")
def _heated(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.heated = random.choice(("alone-not-filtered", "in-the-drink"))
    whey.protein *= random.uniform(1.0, 1.3)
    until(made, "fresh")


@fault("whey-kind-swap", "whey", "whey", "sometimes", "whey-dose")
def _swap(made: Making, random: Random) -> None:
    """Sweet whey where acid whey was meant: the drink lands where whey protein clouds.

    Strained rennet whey has hardly any casein; more of it is ``whey-unsplit-in-acid``.
    """
    whey = whey_in(made)
    whey.kind = "sweet"
    whey.said_kind = "sweet" if random.random() < 0.6 else "acid"
    whey.ph = random.uniform(6.0, 6.4)
    whey.casein = random.uniform(0.0, 0.06)
    made.drink.acid_amount *= random.uniform(0.07, 0.14)
    made.drink.said_acid_amount = made.drink.acid_amount
    until(made, "fresh")


@fault("brined-whey", "whey", "whey", "sometimes", "whey-dose")
def _brined(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.kind = whey.said_kind = "brined"
    whey.salt = random.uniform(8.0, 30.0)
    until(made, "fresh")


@fault("whey-overdose", "whey", "whey", "sometimes", "whey-dose")
def _overdose(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.ml *= random.uniform(3.2, 5.0)
    whey.age_days = min(whey.age_days, 2.0)
    made.plan.meant_undiluted = True
    until(made, "fresh")


@fault("whey-spoiled", "storage", "safety", "sometimes", "whey-dose", verdict="discard")
def _spoiled(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.age_days = random.uniform(9.0, 16.0)
    whey.spoilt = random.uniform(0.7, 1.3)
    until(made, "fresh")


@fault("whey-foam-aged", "storage", "whey", "sometimes", "whey-dose")
def _aged(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.foam_wanted = True
    made.keeping.where = "fridge"
    until(made, "days", random.uniform(9.0, 16.0))
    made.drink.spirit_ml *= 1.25
    made.drink.said_spirit_ml = made.drink.spirit_ml


@fault("fat-kills-foam", "whey", "whey", "sometimes", "whey-dose")
def _kills(made: Making, random: Random) -> None:
    whey = whey_in(made)
    whey.foam_wanted = True
    whey.fat = random.uniform(75.0, 150.0)
    until(made, "service")
