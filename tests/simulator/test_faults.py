"""Every fault can be drawn, shows something, and is named as the knowledge base names it."""

from __future__ import annotations

import pytest

from advisor.knowledge.load import load
from advisor.simulator import fault_ids, simulate
from advisor.simulator.faults import FAULTS

STAGES = {
    "base", "acid", "milk", "order", "temperature", "contact", "separation", "chill", "fat",
    "steep", "whey", "storage", "service", "label",
}  # fmt: skip


def test_there_are_many_and_at_every_stage() -> None:
    """At least ninety faults, and every stage that a remedy can turn has some."""
    assert len(fault_ids()) >= 90
    assert {FAULTS[name].stage for name in fault_ids()} == STAGES


def test_names_and_stages_are_those_of_the_causes() -> None:
    """Each fault is a cause of the base at the same stage; its twins are causes too."""
    causes = load().causes
    for name in fault_ids():
        fault = FAULTS[name]
        assert name in causes
        assert causes[name].stage == fault.stage, name
        assert set(fault.twins) <= set(causes)
        assert name not in fault.twins


def test_twins_are_few() -> None:
    """No fault has more than two twins, and most have none: a twin is a name, not an excuse."""
    twins = [len(FAULTS[name].twins) for name in fault_ids()]
    assert max(twins) <= 2
    assert sum(count > 0 for count in twins) / len(twins) < 0.2


@pytest.mark.parametrize("name", fault_ids())
def test_it_can_be_drawn_and_shows_something(name: str) -> None:
    """Six seeds give six batches with that fault first, each with a symptom it caused."""
    for seed in range(6):
        batch = simulate(seed, faults=[name])
        assert batch.faults == (name,)
        assert batch.accept[0] == name
        assert batch.symptoms
        assert batch.verdict in ("cause", "discard", "stop")
        if FAULTS[name].verdict != "cause":
            assert batch.verdict == FAULTS[name].verdict


# The one symptom without which the fault would not be what its name says. Definitions, no source.
TELLING = {
    "acid-short-casein-left": "cloud_at_filter",
    "low-acid-base": "curd_weak",
    "plant-milk-no-casein": "curd_weak",
    "too-cold-too-soon": "curd_weak",
    "milk-dumped-cold-acid": "curd_dust",
    "whisked-hard": "curd_dust",
    "gas-in-curd": "curd_floats",
    "filter-area-small": "filter_slow",
    "cold-filtering-slow": "filter_slow",
    "curd-undrained": "low_yield",
    "citric-overdose": "too_sour",
    "milk-share-low-tannin": "bitter_still",
    "unbound-pigment": "colour_stays",
    "wanted-colour-stripped": "colour_gone",
    "iron-tannin-dark": "colour_turned",
    "fines-settled": "cloud_after_days",
    "citrus-oil-chill-haze": "cloud_on_chill",
    "late-juice-pulp": "haze_in_glass",
    "fat-not-set": "greasy_or_louche",
    "fat-set-on-contact": "fat_too_little",
    "fat-overdose-overlong": "fat_too_much",
    "weak-spirit-slush": "slush",
    "overproof-fat-hangs": "fat_hangs",
    "brined-whey": "salty",
    "yogurt-fines": "whey_haze",
    "abv-whey-unaccounted": "abv_low",
    "slush-strained-strong": "abv_high",
    "syrup-layering": "bottle_separates",
    "tartrate-crystals": "crystals",
    "bottle-ferment-burst": "bottle_pressure",
    "carb-flat": "flat_carbonation",
    "lactose-free-sweet": "too_sweet",
    "told-dairy-free": "diet_allergen",
}


@pytest.mark.parametrize(("name", "symptom"), sorted(TELLING.items()))
def test_its_symptom_follows_from_what_was_done(name: str, symptom: str) -> None:
    """In four of six batches or more the telling symptom is loud, though nobody wrote it down."""
    from advisor.simulator.symptoms import scores

    loud = 0
    for seed in range(6):
        state = simulate(seed, faults=[name]).state
        assert state is not None
        loud += scores(state)[symptom] > 1.0
    assert loud >= 4


def test_two_faults_both_show() -> None:
    """Where two things went wrong, each would be seen alone: neither hides behind the other."""
    from advisor.simulator.symptoms import scores

    pairs = [("milk-dumped-cold-acid", "filter-area-small"), ("fat-rate-low", "freezer-odour")]
    for pair in pairs:
        batch = simulate(5, faults=pair)
        assert batch.faults == pair
        assert batch.state is not None
        assert sum(score > 1.0 for score in scores(batch.state).values()) >= 2
