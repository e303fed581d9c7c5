"""What is in the clear part, and how cloudy that looks warm, cold, thinned or strengthened.

Turbidity is in NTU-like units: white drinks look clear to 1-2 and cloudy above 4 (oenology texts),
milk is some thousands. Each haze has its own law for heat, ethanol and acid; the NTU per amount are
judgement, set from milk (26 g/L casein, some 6 000) and from louche drinks (some 500).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "COLLOIDS",
    "FATS",
    "PARTICLES",
    "Liquid",
    "fat_solubility",
    "haze",
    "oil_solubility",
    "total",
]

PARTICLES = frozenset({"fines", "pulp", "cocoa", "nut_solids", "whey_fines", "lint", "salts",
                       "grains", "flakes", "clumps", "lumps"})  # fmt: skip
FATS = frozenset({"milk_fat", "wash_fat", "fat_from_solution"})
COLLOIDS = frozenset({"casein", "oil", "pectin", "gum", "starch", "nut_milk", "whey_protein",
                      "cold_tannin", "egg", "gelatin", "honey", "wine_protein",
                      "fat_emulsion"})  # fmt: skip
# NTU per mg/L
_PER = {"fines": 0.30, "pulp": 0.05, "cocoa": 0.25, "nut_solids": 0.25, "whey_fines": 0.4,
        "lint": 0.15, "salts": 0.25, "milk_fat": 0.5, "wash_fat": 0.22,
        "fat_emulsion": 0.5, "pectin": 0.13, "starch": 0.16, "gum": 0.03, "nut_milk": 0.6,
        "egg": 0.06, "grains": 0.05, "clumps": 0.2, "lumps": 0.03}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Liquid:
    """The liquid in bottle or glass: mg/L by component, and what rules their clouding.

    ``casein`` g/L still dissolved, ``whey_protein`` g/L native, ``dosed_protein`` the part of it
    that came as whey and never met a curd in this drink, ``tannin`` g/L, ``full`` and
    ``onset`` the pH limits of the split, ``strength`` %vol, ``ph`` on the water scale.
    """

    amounts: Mapping[str, float]
    casein: float
    whey_protein: float
    tannin: float
    strength: float
    ph: float
    acid: float
    sugar: float
    dosed_protein: float = 0.0
    full: float = 4.7
    onset: float = 5.3
    dissolved_fat: float = 0.0
    air: float = 0.0

    def thinned(self, share: float, strength: float = 0.0) -> Liquid:
        """With ``share`` parts of water (or of spirit of ``strength``) to one part of it."""
        whole = 1.0 + share
        return replace(
            self,
            amounts={k: v / whole for k, v in self.amounts.items()},
            casein=self.casein / whole,
            whey_protein=self.whey_protein / whole,
            dosed_protein=self.dosed_protein / whole,
            tannin=self.tannin / whole,
            strength=(self.strength + share * strength) / whole,
            acid=self.acid / whole,
            sugar=self.sugar / whole,
            dissolved_fat=self.dissolved_fat / whole,
            ph=min(7.0, self.ph + 0.2 * math.log10(whole)),
        )


def oil_solubility(strength: float, temperature: float) -> float:
    """mg/L of an essential oil (terpenes, anethole) that stays in solution.

    Anise spirits hold about 1.5 g/L at 45 %vol and louche at a third of that strength; the line
    through these in log scale, and a tenfold for 60 degC, are judgement.
    """
    return 6.0 * math.pow(10.0, min(96.0, strength) / 18.5 + (temperature - 20.0) / 55.0)


def fat_solubility(strength: float, temperature: float) -> float:
    """mg/L of a triglyceride that spirit keeps in solution.

    The slope with ethanol is that of a very non-polar solute (``science.partition``); the anchor,
    80 mg/L in 40 %vol at 20 degC, and the slope with heat are judgement.
    """
    return 3.0 * math.pow(10.0, min(96.0, strength) / 28.0 + (temperature - 20.0) / 35.0)


def haze(liquid: Liquid, temperature: float) -> dict[str, float]:
    """NTU by component at ``temperature`` degC."""
    out = {
        kind: amount * _PER[kind]
        for kind, amount in liquid.amounts.items()
        if kind in _PER and amount > 0.0
    }
    if liquid.casein > 0.0:
        out["casein"] = _casein(liquid, temperature)
    oil = liquid.amounts.get("oil", 0.0)
    if oil > 0.0:
        out["oil"] = 0.7 * max(0.0, oil - oil_solubility(liquid.strength, temperature))
    if liquid.dissolved_fat > 0.0:
        keeps = fat_solubility(liquid.strength, temperature)
        out["fat_from_solution"] = 0.9 * max(0.0, liquid.dissolved_fat - keeps)
    if liquid.whey_protein > 0.0:
        out["whey_protein"] = _whey(liquid)
        out["cold_tannin"] = _tannin(liquid, temperature)
    if liquid.amounts.get("gelatin"):
        out["gelatin"] = _melting(liquid.amounts["gelatin"], temperature, 0.12)
    if liquid.amounts.get("honey"):
        out["honey"] = _melting(liquid.amounts["honey"], temperature, 0.35) * 0.7
    if liquid.amounts.get("wine_protein"):
        out["wine_protein"] = 0.3 * liquid.amounts["wine_protein"]
    if "milk_fat" in out or "wash_fat" in out:
        _melt_fat(out, temperature)
    if liquid.air > 0.0:
        out["air"] = 60.0 * liquid.air
    return out


def _casein(liquid: Liquid, temperature: float) -> float:
    """Warm strong spirit without acid dissolves micelles (O'Connell 2001); else they scatter."""
    # A trace under the micelles' pH is single casein, hardly seen; more of it hangs together.
    trace = min(liquid.casein, 0.12)
    cloud = 85.0 * trace + 230.0 * (liquid.casein - trace)
    if liquid.ph > liquid.onset and liquid.strength >= 28.0 and temperature > 30.0:
        cloud *= max(0.004, 1.0 - (temperature - 30.0) / 9.0)
    return cloud


def _whey(liquid: Liquid) -> float:
    """Whey protein clouds from pH 3.8 to 5.4 (LaClair & Etzel 2009); ethanol adds."""
    window = math.exp(-(((liquid.ph - 4.62) / 0.42) ** 2))
    strong = max(0.0, (liquid.strength - 24.0) / 10.0) ** 2  # slow aggregation from 25 %vol
    return liquid.dosed_protein * (22.0 * window + 16.0 * strong)


def _tannin(liquid: Liquid, temperature: float) -> float:
    """Protein and tannin join in the cold, most near pH 4 (Siebert 1996)."""
    window = math.exp(-(((liquid.ph - 4.0) / 0.8) ** 2))
    cold = 1.0 / (1.0 + math.exp((temperature - 13.0) / 3.5))
    both = min(liquid.tannin, 0.9) * liquid.whey_protein
    # A little casein left is the better partner: proline-rich, as haze needs (Siebert & Lynn 2000).
    casein = min(liquid.casein, 0.25) * liquid.tannin
    dosed = min(liquid.tannin, 0.9) * liquid.dosed_protein
    return window * (cold * (5.0 * both + 60.0 * casein) + 18.0 * dosed)


def _melting(amount: float, temperature: float, per: float) -> float:
    return per * amount / (1.0 + math.exp((temperature - 11.0) / 2.5))


def _melt_fat(out: dict[str, float], temperature: float) -> None:
    """Warm fat runs together into beads and scatters less."""
    if temperature > 33.0:
        for kind in ("milk_fat", "wash_fat"):
            if kind in out:
                out[kind] *= 0.35


def total(parts: Mapping[str, float]) -> float:
    """NTU of all parts together."""
    return sum(parts.values())
