"""What a person would notice first: a score for each symptom, 1 where half of all people notice.

The scores come from the physics alone; the thresholds are judgement unless a source stands beside
them. Who notices, who forgets to say and who uses a neighbour's word is drawn in ``simulate``.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.simulator.symptoms.bottles import BOTTLES
from advisor.simulator.symptoms.clouds import CLOUDS
from advisor.simulator.symptoms.curds import CURDS
from advisor.simulator.symptoms.fats import FATS
from advisor.simulator.symptoms.tastes import TASTES

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.state import State

__all__ = ["NEIGHBOURS", "SYMPTOMS", "askable", "scores"]

SYMPTOMS: Mapping[str, Callable[[State], float]] = MappingProxyType(
    {**CLOUDS, **CURDS, **TASTES, **FATS, **BOTTLES}
)

# Words that people mix up; the wrong one is used now and then (judgement).
NEIGHBOURS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "cloud_at_filter": ("curd_weak", "curd_dust"),
        "curd_weak": ("cloud_at_filter",),
        "curd_dust": ("cloud_at_filter", "gritty"),
        "curd_floats": ("curd_weak",),
        "cloud_on_chill": ("haze_in_glass", "greasy_or_louche"),
        "cloud_after_days": ("bottle_separates", "gritty"),
        "haze_in_glass": ("cloud_on_chill", "greasy_or_louche"),
        "greasy_or_louche": ("cloud_on_chill", "haze_in_glass"),
        "whey_haze": ("recurdles", "cloud_at_filter"),
        "recurdles": ("whey_haze", "haze_in_glass"),
        "dairy_taste": ("off_smell", "too_sweet"),
        "off_smell": ("foreign_odour", "dairy_taste"),
        "foreign_odour": ("off_smell",),
        "thin_body": ("abv_low", "aroma_muted"),
        "abv_low": ("thin_body",),
        "aroma_muted": ("thin_body",),
        "too_sour": ("bitter_still",),
        "bitter_still": ("too_sour", "burnt_taste"),
        "gritty": ("crystals", "curd_dust"),
        "crystals": ("gritty",),
        "bottle_separates": ("cloud_after_days", "greasy_or_louche"),
        "fat_wont_part": ("greasy_or_louche",),
        "stringy_gel": ("filter_slow",),
        "colour_gone": ("colour_turned",),
        "foam_wrong": ("flat_carbonation", "bottle_pressure"),
        "bottle_pressure": ("foam_wrong",),
    }
)
_STRIP_ONLY = frozenset({"curd_weak", "curd_dust", "curd_floats", "colour_stays"})
_FAT_ONLY = frozenset({"fat_wont_part", "fat_hangs", "slush", "fat_too_much", "fat_too_little"})


def askable(state: State, symptom: str) -> bool:
    """Whether the question makes sense for what was made."""
    made = state.made
    if symptom in _STRIP_ONLY:
        return made.milk is not None
    if symptom in _FAT_ONLY:
        return made.fat is not None
    if symptom == "whey_haze":
        return made.whey is not None
    if symptom == "cloud_at_filter":
        return made.operation != "fat-wash"
    return True


def scores(state: State) -> dict[str, float]:
    """Score of every symptom that can be asked of this batch."""
    return {name: max(0.0, rate(state)) for name, rate in SYMPTOMS.items() if askable(state, name)}
