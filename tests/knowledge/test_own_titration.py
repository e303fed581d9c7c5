"""A person's own titration stands in place of the table."""

from __future__ import annotations

from advisor import Consultation, load

BATCH = {
    "operation": "strip",
    "drink_volume": "750 ml",
    "milk_volume": "200 ml",
    "milk_kind": "whole",
    "acid_kind": "lemon-juice",
    "acid_volume": "20 ml",
}


def figures(**more: str) -> dict[str, float]:
    """The figures of the batch with some more answers."""
    consultation = Consultation(load())
    for name, value in {**BATCH, **more}.items():
        consultation = consultation.tell(name, value)
    found = consultation.inference.facts.figures
    return {name: value.value for name, value in found.items() if isinstance(value.value, float)}


def test_a_milk_that_buffers_more_needs_more_acid():
    """The fitted buffering changes pH and every dose."""
    table, own = figures(), figures(milk_buffering="1.4")
    assert own["mix_ph"] > table["mix_ph"]
    assert own["acid_still_needed"] > table["acid_still_needed"]
    assert own["next_dose_citric"] > table["next_dose_citric"]


def test_a_drink_with_acid_of_its_own_needs_less():
    """Acid that the drink brings is counted."""
    table, own = figures(), figures(own_acid="3 g/L")
    assert own["mix_ph"] < table["mix_ph"]
    assert own["acid_per_litre_milk"] > table["acid_per_litre_milk"]
    assert own["acid_excess"] > table["acid_excess"]
