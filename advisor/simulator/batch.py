"""A batch as a person would bring it, its hidden truth, and how careful that person is."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.simulator.state import State

__all__ = ["DIFFICULTIES", "Level", "SimulatedBatch", "level_of", "truth_of"]


@dataclass(frozen=True, slots=True)
class Level:
    """How careful the person is, and how tangled the case (all judgement).

    ``noise`` scales every slip and spread. Chances: ``told`` of telling a step at once, ``said`` of
    naming a further symptom, ``forgets`` of not knowing an amount (a third of that for any other
    fact), ``swaps`` of a neighbour's word for a symptom, ``two`` of two faults.
    """

    noise: float
    told: float
    said: float
    forgets: float
    swaps: float
    two: float


_LEVELS: Mapping[str, Level] = MappingProxyType(
    {
        "easy": Level(0.4, 0.35, 0.85, 0.02, 0.005, 0.0),
        "ordinary": Level(1.0, 0.15, 0.55, 0.10, 0.035, 0.18),
        "hard": Level(1.7, 0.05, 0.35, 0.25, 0.09, 0.55),
    }
)
DIFFICULTIES: tuple[str, ...] = tuple(_LEVELS)


@dataclass(frozen=True, slots=True)
class SimulatedBatch:
    """A batch with a hidden truth, as a person would bring it.

    ``faults`` what went wrong, the main one first; ``accept`` the causes that name the same
    physical fault; ``verdict`` cause, nothing-wrong, discard or stop; ``told`` what the maker
    says at the start; ``answers`` what every other question or check would show now (a finding
    missing from both cannot be known); ``truth`` quantities without noise, see ``truth_of``.
    """

    seed: int
    faults: tuple[str, ...]
    accept: tuple[str, ...]
    stage: str
    verdict: str
    operation: str
    symptoms: tuple[str, ...]
    told: Mapping[str, str]
    answers: Mapping[str, str]
    truth: Mapping[str, float]
    difficulty: str = "ordinary"
    state: State | None = field(default=None, repr=False, compare=False)


def level_of(difficulty: str) -> Level:
    """The level of a word; ``AdvisorError`` that lists the words otherwise."""
    try:
        return _LEVELS[difficulty]
    except KeyError:
        raise AdvisorError(
            "simulate-difficulty",
            f"difficulty is {difficulty!r}; it must be one of {', '.join(_LEVELS)}",
        ) from None


def truth_of(state: State) -> dict[str, float]:
    """What is really so, without noise.

    pH ``mix_ph`` on the water scale; %vol ``strength_vol`` and ``expected_strength_vol``; mL
    ``volume_out_ml``; g/L ``casein_left_g_per_l``, ``whey_protein_g_per_l``, ``acid_g_per_l`` (as
    citric), ``sugar_g_per_l``, ``salt_g_per_l``; mg/L ``fat_left_mg_per_l``, ``fines_mg_per_l``;
    NTU ``haze_ntu`` (20 degC), ``haze_cold_ntu`` (3 degC); ratios ``acid_excess``, ``bite_left``,
    ``notes_left``, ``fat_flavour``; h ``filter_h``; % ``ice_percent``; log10 um ``grain_log_um``.
    """
    wash, taste = state.wash, state.taste
    amounts = state.fresh.amounts
    return {
        "mix_ph": state.fresh.ph,
        "strength_vol": state.strength,
        "expected_strength_vol": state.expected_strength,
        "volume_out_ml": state.out_ml,
        # What acid can still bring down; of cut pieces and cream's fine bits it cannot.
        "casein_left_g_per_l": state.fresh.casein * wash.whole_share,
        "whey_protein_g_per_l": state.fresh.whey_protein,
        "acid_g_per_l": state.fresh.acid,
        "acid_excess": wash.excess,
        "sugar_g_per_l": state.fresh.sugar,
        "salt_g_per_l": taste.salt,
        "fat_left_mg_per_l": sum(amounts.get(k, 0.0) for k in ("wash_fat", "milk_fat",
                                                              "fat_emulsion")),
        "fines_mg_per_l": amounts.get("fines", 0.0),
        "haze_ntu": state.cloud("fresh", 20.0),
        "haze_cold_ntu": state.cloud("fresh", 3.0),
        "bite_left": taste.bite / max(0.02, taste.bite_before),
        "notes_left": taste.notes,
        "fat_flavour": taste.fat,
        "filter_h": state.run.hours,
        "ice_percent": state.fat.ice if state.fat else 0.0,
        "grain_log_um": wash.grain,
    }  # fmt: skip
