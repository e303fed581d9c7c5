"""What the maker knows without a check: kinds, amounts, steps, keeping, service, guests.

The maker tells what they *believe*: amounts as they were meant and rounded, the label as it was
read. A fault in the process shows here only as far as the person doing it would know.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.simulator.facts.after import KEEPING, PEOPLE, SERVICE
from advisor.simulator.facts.drink import DRINK, MILK
from advisor.simulator.facts.fats import FAT, WHEY
from advisor.simulator.facts.steps import STEPS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

__all__ = ["AMOUNTS", "FACTS", "OPENING"]

FACTS: Mapping[str, Callable[[State, Chance], str | None]] = MappingProxyType(
    {**DRINK, **MILK, **STEPS, **FAT, **WHEY, **KEEPING, **SERVICE, **PEOPLE}
)
OPENING = frozenset(
    {
        "operation", "drink_volume", "drink_strength", "milk_kind", "milk_volume", "acid_kind",
        "acid_volume", "acid_mass", "fat_kind", "fat_mass", "fat_volume", "spirit_volume",
        "spirit_strength", "whey_kind", "whey_volume",
    }
)  # fmt: skip
"""What anybody says when they describe a batch."""

AMOUNTS = frozenset(
    {
        "drink_volume", "drink_strength", "milk_volume", "acid_volume", "acid_mass", "fat_mass",
        "fat_volume", "spirit_volume", "spirit_strength", "whey_volume", "whey_age", "rest_time",
        "minutes_since_mixing", "minutes_filtering", "mix_temperature", "strain_temperature",
        "steep_time", "steep_temperature", "fat_temperature", "freeze_time", "freezer_temperature",
        "kept_days", "hours_warm", "volume_out", "passes",
    }
)  # fmt: skip
"""What is measured and so may be forgotten."""
