"""What a curd can take hold of: classes of polyphenol, where they are, what they taste of.

An affinity is a mass-action constant divided by the molar mass of casein. Published
constants come from different methods and scatter by a decade, so never rank one paper's against
another's; several classes have none, and say ``judgement``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science.estimate import Estimate

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "BASES",
    "CASEIN_MOLAR_MASS",
    "CLASSES",
    "SENSES",
    "Affinity",
    "affinity_from_constant",
]

CASEIN_MOLAR_MASS = 23_300.0
"""Mean molar mass of casein, g/mol (Fox & McSweeney 1998)."""


@dataclass(frozen=True, slots=True)
class Affinity:
    """How strongly a class of polyphenol holds to casein, L/g, with the source of the number."""

    name: str
    k: Estimate
    source: str
    mark: str


def affinity_from_constant(constant: float, sites: float = 1.0) -> float:
    """Affinity in L/g from a published constant (L/mol) and number of sites per casein.

    Source: one-to-one mass action, as in Scatchard analysis.
    """
    if not (constant >= 0 and sites > 0 and math.isfinite(constant * sites)):
        raise ValueError(
            f"constant must be 0 or more and sites above 0, got {constant} and {sites}"
        )
    return constant * sites / CASEIN_MOLAR_MASS


_HASNI = "Hasni et al., Food Chem. 126 (2011) 630 (attribution from memory)"

CLASSES: Mapping[str, Affinity] = {
    "galloylated-catechins": Affinity(
        "catechins with a gallate group", Estimate(0.70, 0.45, 1.05, "L/g"), _HASNI, "seen"
    ),
    "catechins": Affinity(
        "catechins without gallate", Estimate(0.10, 0.07, 0.17, "L/g"), _HASNI, "seen"
    ),
    "chlorogenic-acids": Affinity(
        "chlorogenic acids",
        Estimate(0.20, 0.03, 1.1, "L/g"),
        "Tagliazucchi et al. 2012, doi:10.1021/jf302694a (strong) against Prigent et al. 2003 "
        "(weak on globular proteins)",
        "seen",
    ),
    "black-tea-pigments": Affinity(
        "theaflavins and thearubigins",
        Estimate(0.40, 0.12, 1.3, "L/g"),
        "judgement: a mixed lot; set so that black tea as a whole stays below green, as measured",
        "judgement",
    ),
    "grape-tannin": Affinity(
        "grape and cocoa tannin (proanthocyanidins)",
        Estimate(0.70, 0.15, 2.5, "L/g"),
        "judgement: casein fining of red wine takes tannin readily",
        "judgement",
    ),
    "oak-tannin": Affinity(
        "oak tannin (ellagitannins)",
        Estimate(0.40, 0.08, 1.6, "L/g"),
        "judgement: galloyl groups, but compact and soluble",
        "judgement",
    ),
    "anthocyanins": Affinity(
        "red colour (anthocyanins)",
        Estimate(0.08, 0.02, 0.35, "L/g"),
        "judgement: casein fining lightens and de-browns (Zoecklein, Enology Notes 46, 2002)",
        "judgement",
    ),
    "bitter-resins": Affinity(
        "bitter herb, root and hop compounds",
        Estimate(0.10, 0.01, 0.6, "L/g"),
        "judgement: hydrophobic bitters bind to casein",
        "judgement",
    ),
    "caffeine": Affinity(
        "caffeine", Estimate(0.005, 0.0, 0.02, "L/g"), "judgement: hardly binds", "judgement"
    ),
}
"""Affinities by class. Constants from different methods must not be ranked against each other."""

BASES: Mapping[str, Mapping[str, float]] = {
    "green-tea": {"galloylated-catechins": 0.45, "catechins": 0.22, "caffeine": 0.15},
    "black-tea": {
        "black-tea-pigments": 1.00,
        "galloylated-catechins": 0.03,
        "catechins": 0.16,
        "caffeine": 0.20,
    },
    "coffee": {"chlorogenic-acids": 1.2, "bitter-resins": 0.3, "caffeine": 0.6},
    "oak-aged-spirit": {"oak-tannin": 0.15},
    "red-wine": {"grape-tannin": 1.5, "anthocyanins": 0.3, "catechins": 0.15},
    "cocoa": {"grape-tannin": 0.8, "catechins": 0.2, "caffeine": 0.2},
    "bitter-liqueur": {"bitter-resins": 0.3, "grape-tannin": 0.1},
}
"""Typical g/L of each class in a base: orders of magnitude (judgement), to share out capacity."""

SENSES: Mapping[str, Mapping[str, float]] = {
    "tannin": {
        "galloylated-catechins": 1.0,
        "catechins": 0.5,
        "black-tea-pigments": 1.0,
        "grape-tannin": 1.0,
        "oak-tannin": 1.0,
        "chlorogenic-acids": 0.2,
    },
    "bitterness": {
        "galloylated-catechins": 1.0,
        "catechins": 0.7,
        "caffeine": 0.6,
        "bitter-resins": 3.0,
        "chlorogenic-acids": 0.4,
        "grape-tannin": 0.3,
        "oak-tannin": 0.4,
        "black-tea-pigments": 0.3,
    },
    "colour": {
        "black-tea-pigments": 1.0,
        "anthocyanins": 5.0,
        "grape-tannin": 0.3,
        "oak-tannin": 1.0,
        "chlorogenic-acids": 0.1,
        "bitter-resins": 0.5,
        "galloylated-catechins": 0.1,
        "catechins": 0.1,
    },
}
"""How much a gram of each class counts for a sense (judgement; only the ratios matter)."""
