"""Nothing is wrong: the batch is as it should be and somebody is early, impatient or careful."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.simulator.chance import pick

if TYPE_CHECKING:
    from random import Random

    from advisor.simulator.making import Making

__all__ = ["nothing_wrong"]


def nothing_wrong(made: Making, random: Random) -> str:
    """Make a sound batch one that is asked about; returns the symptom that is said too soon."""
    kinds = {"safe": 0.35, "slow": 0.0, "early": 0.0, "yield": 0.0}
    if made.milk is not None:
        kinds.update({"slow": 0.3, "early": 0.25, "yield": 0.1})
    kind = pick(random, kinds)
    if kind == "slow":
        made.plan.moment, made.keeping.days = "straining", 0.0
        made.straining.hours_so_far = random.uniform(0.3, 1.0)
        return "filter_slow"
    if kind == "early":
        made.plan.moment, made.keeping.days = "mixing", 0.0
        made.plan.minutes_since_mixing = random.uniform(1.0, 3.0)
        return random.choice(("curd_weak", "curd_floats"))
    if kind == "yield":
        made.plan.moment = "fresh"
        return "low_yield"
    made.plan.worried = True
    made.keeping.days = random.choice((1.0, 2.0, 3.0, 5.0))
    made.keeping.where = "fridge"
    made.plan.moment = "days"
    return "safety_doubt"
