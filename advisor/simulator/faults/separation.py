"""The filter: what it is, how the bed was treated, how long, how cold, how much paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.faults._kit import UnsuitableError, fault, milk_in, not_past, until

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

_STRIP = "strip several"


@fault("bed-not-formed", "separation", "straining", "often", _STRIP)
def _not_formed(made: Making, random: Random) -> None:
    milk_in(made)
    how = made.straining
    how.forerun_returned = False
    how.filter_kind = random.choice(("cloth", "paper", "cloth"))
    how.passes = 1
    made.plan.moment, made.keeping.days = "straining", 0.0
    how.hours_so_far = random.uniform(0.1, 0.4)


@fault("bed-disturbed", "separation", "straining", "often", _STRIP)
def _disturbed(made: Making, random: Random) -> None:
    milk_in(made)
    how = made.straining
    how.bed_handling = "squeezed-or-moved" if random.random() < 0.65 else "cloth-changed"
    how.filter_kind = random.choice(("cloth", "cloth", "paper", "cloth-then-paper"))
    how.passes = 1
    until(made, "straining")


@fault("filter-too-coarse", "separation", "straining", "often", _STRIP)
def _coarse(made: Making, random: Random) -> None:
    used = milk_in(made)
    how = made.straining
    how.filter_kind = "metal-sieve" if random.random() < 0.6 else "cloth"
    how.open_weave = how.filter_kind == "cloth"  # cheesecloth, where a nut-milk bag was meant
    how.passes = 1
    # An ordinary curd, rested as usual, with its ordinary share of small grains.
    used.temperature = 5.0
    made.meeting.order = "drink-into-milk"
    until(made, "straining")


@fault("bed-channelled", "separation", "straining", "sometimes", _STRIP)
def _channelled(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.ran_dry = True
    made.straining.passes = 1
    made.straining.filter_kind = random.choice(("cloth", "paper", "cloth"))
    until(made, "straining")


# Twin: a filter too small for the volume, whether it shrank or the batch grew.
@fault("scale-up-bed", "separation", "straining", "sometimes", "strip",
       twins=("filter-area-small",))  # fmt: skip
def _scale_up(made: Making, random: Random) -> None:
    used = milk_in(made)
    factor = random.uniform(8.0, 14.0)
    drink = made.drink
    for name in ("spirit_ml", "said_spirit_ml", "tea_ml", "wine_ml", "water_ml", "sugar_g",
                 "bitter_ml"):  # fmt: skip
        setattr(drink, name, getattr(drink, name) * factor)
    drink.acid_amount *= factor
    drink.said_acid_amount *= factor
    used.ml *= factor
    made.straining.trial_area = made.straining.area
    # The filter grew by its diameter once, not with the batch.
    made.straining.area *= factor ** random.uniform(0.4, 0.6)
    made.straining.batch_factor = factor
    made.plan.trial_made = True
    until(made, "straining")
    not_past(made, "fresh")


@fault("cold-filtering-slow", "temperature", "straining", "often", "strip")
def _cold(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.temperature = random.uniform(1.0, 4.5)
    made.straining.filter_kind = random.choice(("paper", "cloth-then-paper"))
    made.straining.area *= random.uniform(0.5, 0.75)
    until(made, "straining")
    not_past(made, "fresh")


@fault("mash-on-paper", "separation", "straining", "often", _STRIP)
def _mash(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.filter_kind = "paper"
    made.straining.curd_first = True
    made.straining.temperature = random.uniform(13.0, 20.0)
    until(made, "straining")
    not_past(made, "fresh")


@fault("filter-area-small", "separation", "straining", "often", "strip",
       twins=("scale-up-bed",))  # fmt: skip
def _small(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.area *= random.uniform(0.2, 0.38)
    made.straining.filter_kind = random.choice(("paper", "cloth-then-paper"))
    until(made, "straining")
    not_past(made, "fresh")


# Twin: paper that was not rinsed; one names its age or its dryness, the other its taste.
@fault("paper-dry-or-old", "separation", "straining", "sometimes", "strip fat-wash",
       twins=("paper-taste",))  # fmt: skip
def _dry(made: Making, random: Random) -> None:
    made.straining.filter_kind = "paper"
    made.straining.paper_rinsed = False
    made.straining.paper_old = random.random() < 0.7
    made.straining.papers = random.choice((2, 3))
    if not made.straining.paper_old:
        made.straining.papers = 5
    made.straining.passes = 2
    until(made, "fresh")


@fault("paper-taste", "separation", "taste", "sometimes", "strip fat-wash",
       twins=("paper-dry-or-old",))  # fmt: skip
def _paper_taste(made: Making, random: Random) -> None:
    made.straining.filter_kind = "paper"
    made.straining.paper_rinsed = False
    made.straining.papers = random.choice((5, 6, 7))
    made.straining.passes = 2
    if made.fat is not None:
        made.fat.papers = 3
    until(made, "fresh")


@fault("over-passed", "separation", "taste", "sometimes", "strip")
def _over_passed(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.passes = random.choice((5, 6, 7))
    made.straining.papers = made.straining.passes
    made.straining.filter_kind = "cloth-then-paper"
    made.straining.paper_rinsed = True  # so many dry papers would be a paper taste first of all
    until(made, "fresh")


# Twin where strength is what is missed: the same open drip.
@fault("open-filter-evaporation", "separation", "taste", "sometimes", "strip",
       twins=("abv-evaporation-held",))  # fmt: skip
def _open(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.covered = False
    made.straining.area *= random.uniform(0.25, 0.45)
    made.straining.temperature = random.uniform(19.0, 25.0)
    made.drink.spirit_kind = random.choice(("gin", "agave", "white-rum", "brandy"))
    made.drink.oak_load = 0.0
    made.plan.goals = ("clear", "keep-aroma")
    until(made, "fresh")


@fault("abv-evaporation-held", "separation", "strength", "sometimes", "strip",
       twins=("open-filter-evaporation",))  # fmt: skip
def _held(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.covered = False
    made.straining.area *= random.uniform(0.12, 0.2)
    made.straining.temperature = random.uniform(22.0, 28.0)
    made.plan.strength_tool = "laboratory"
    until(made, "fresh")


@fault("curd-undrained", "separation", "straining", "often", "strip")
def _undrained(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.drain_h = random.uniform(0.1, 0.8)
    made.straining.filter_kind = random.choice(("cloth", "cloth-then-paper"))
    until(made, "fresh")
    not_past(made, "chilled")


@fault("paper-evap-loss", "separation", "straining", "sometimes", "strip")
def _papers(made: Making, random: Random) -> None:
    milk_in(made)
    made.straining.papers = random.choice((7, 8, 10))
    made.straining.filter_kind = "cloth-then-paper"
    made.straining.passes = 2
    made.straining.paper_rinsed = True  # so many dry papers would be a paper taste first of all
    made.straining.covered = False
    until(made, "fresh")
    not_past(made, "chilled")


@fault("cloth-lint", "separation", "clouds", "sometimes", "strip fat-wash")
def _lint(made: Making, random: Random) -> None:
    made.straining.filter_kind = "cloth"
    made.straining.cloth_lint = random.uniform(22.0, 45.0)
    if random.random() < 0.3:  # washed with softener, and not only new
        made.straining.cloth_softener = random.uniform(0.7, 1.2)
    until(made, random.choice(("service", "days")), random.choice((2.0, 4.0)))


@fault("fines-settled", "chill", "keeping", "often", "strip")
def _settled(made: Making, random: Random) -> None:
    """A trace of fine curd, too little to cloud the fresh drink, on the floor days later."""
    milk_in(made)
    made.straining.filter_kind = random.choice(("cloth-then-paper", "paper"))
    made.straining.passes = 1
    made.straining.forerun_returned = False
    # Not long, but on the counter: the split is complete, casein left would be another fault.
    made.meeting.rest_h, made.meeting.rest_temperature = random.uniform(0.8, 1.5), 18.0
    until(made, "days", random.uniform(2.0, 6.0))


@fault("solids-drink-up", "base", "straining", "sometimes", "strip")
def _soak(made: Making, random: Random) -> None:
    milk_in(made)
    made.drink.pulp = random.uniform(4.0, 7.0)
    volume = made.drink.spirit_ml + made.drink.water_ml + made.drink.tea_ml
    made.drink.solids_soak = volume * random.uniform(0.16, 0.28)
    if made.straining.filter_kind == "metal-sieve":
        raise UnsuitableError
    until(made, "fresh")
    not_past(made, "chilled")
