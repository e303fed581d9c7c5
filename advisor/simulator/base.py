"""The drink before milk: volume, strength, acids, what it holds of tannin and colour.

Own acids of tea, coffee and spirits are judgement; juices, wine and powders are those of
``science.acids``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from advisor.science.acids import ACIDULANTS, CITRIC_MASS
from advisor.science.equilibrium import WeakAcid, protons_released, solve_ph
from advisor.science.mixing import Part, mix
from advisor.science.polyphenols import BASES, SENSES

if TYPE_CHECKING:
    from advisor.simulator.making import Drink

__all__ = ["Base", "acids_of", "base_of", "sense", "titratable"]

_CITRIC_AT_SPLIT = 1.6  # H+ per molecule at pH 4.6, CRC pKa
# Own weak acid of unsoured parts, mmol/L carboxyl at pKa 4.3, and its cation (judgement: tea
# about pH 5, coffee about 5, bitter liqueur about 4, a spirit from wood about 4.5).
_OWN = WeakAcid("own acids", (4.3,), carboxyls=1)
_OWN_ACID = {"black-tea": (4.0, 3.3), "green-tea": (3.0, 2.7), "coffee": (22.0, 18.0),
             "bitter-liqueur": (5.0, 2.0), "cocoa": (15.0, 14.0)}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Base:
    """The drink before milk, worked out: volume (mL), strength (%vol), what is dissolved (g/L)."""

    ml: float
    strength: float
    said_strength: float
    sugar: float
    polyphenols: dict[str, float]
    acid: float  # titratable, g/L as citric acid
    ph: float


def sense(amounts: dict[str, float], name: str) -> float:
    """How much tannin, bitterness or colour these classes make together (g/L weighted)."""
    weights = SENSES[name]
    return sum(amount * weights.get(kind, 0.0) for kind, amount in amounts.items())


def base_of(drink: Drink) -> Base:
    """Volume, strength and composition of the drink without milk."""
    item = ACIDULANTS[drink.acid_kind]
    liquid = drink.acid_amount if item.form == "liquid" else 0.0
    syrup = 0.62 * drink.sugar_g
    parts = [
        Part(drink.spirit_ml, min(96.0, drink.spirit_strength)),
        Part(liquid + drink.tea_ml + drink.water_ml),
        Part(drink.wine_ml, 15.0),
        Part(drink.bitter_ml, 24.0),
        Part(syrup, 0.0, 0.6),
    ]
    mixed = mix([p for p in parts if p.volume > 0.0])
    pour = drink.said_spirit_ml * drink.said_spirit_strength + drink.wine_ml * 15.0
    said_volume = mixed.volume - drink.spirit_ml + drink.said_spirit_ml
    said = (pour + drink.bitter_ml * 24.0) / said_volume
    polyphenols: dict[str, float] = {}
    _add(polyphenols, drink.tea_kind, drink.tea_load * _tea_share(drink, mixed.volume))
    _add(polyphenols, "oak-aged-spirit", drink.oak_load * drink.spirit_ml / mixed.volume)
    _add(polyphenols, "bitter-liqueur", drink.bitter_ml / mixed.volume)
    if drink.wine_ml:
        _add(polyphenols, "red-wine", 0.25 * drink.wine_ml / mixed.volume)
    if drink.red_colour:
        polyphenols["anthocyanins"] = polyphenols.get("anthocyanins", 0.0) + drink.red_colour
    acids, cation = acids_of(drink, mixed.volume)
    ph = solve_ph(acids, cation, guess=3.0, tolerance=1e-4).ph
    return Base(
        mixed.volume, mixed.strength, said, 1000.0 * drink.sugar_g / mixed.volume, polyphenols,
        titratable(acids, cation), ph,
    )  # fmt: skip


def _tea_share(drink: Drink, volume: float) -> float:
    """A spirit that was infused holds tea throughout; a punch holds cups of it."""
    return drink.tea_ml / volume if drink.tea_ml else 1.0


def _add(amounts: dict[str, float], base: str, share: float) -> None:
    if not base or share <= 0.0:
        return
    for kind, grams in BASES[base].items():
        amounts[kind] = amounts.get(kind, 0.0) + grams * share


def acids_of(drink: Drink, volume: float) -> tuple[list[tuple[WeakAcid, float]], float]:
    """Acids (mol/L of the drink) and strong cations less strong anions (mol/L)."""
    item = ACIDULANTS[drink.acid_kind]
    scale = 1000.0 * drink.acid_amount / volume
    acids = [(acid, per * scale) for acid, per in item.acids]
    cation = item.cation * scale + drink.alkali_mmol / 1000.0
    own, own_cation = _OWN_ACID.get(drink.tea_kind, (0.0, 0.0))
    share = drink.tea_load * _tea_share(drink, volume) if drink.tea_kind else 0.0
    acids.append((_OWN, (own * share + 0.8) / 1000.0))
    cation += (own_cation * share + 0.2) / 1000.0
    if drink.wine_ml and drink.acid_kind != "wine":
        wine = ACIDULANTS["wine"]
        part = 1000.0 * drink.wine_ml / volume
        acids += [(acid, per * part) for acid, per in wine.acids]
        cation += wine.cation * part
    return acids, cation


@lru_cache(maxsize=256)
def _released(acid: WeakAcid) -> float:
    return protons_released(acid, 4.6)


def titratable(acids: list[tuple[WeakAcid, float]], cation: float) -> float:
    moles = sum(_released(acid) * amount for acid, amount in acids) - cation
    return max(0.0, moles / _CITRIC_AT_SPLIT * CITRIC_MASS)
