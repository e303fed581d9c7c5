"""What the curd weighs and keeps, and what is left in the finished drink.

The dairy formulas (Van Slyke & Price; moisture adjustment; cottage cheese) are as printed by the
University of Guelph, Food Science. Curd drained in cloth, not pressed: 78 % moisture, 75-82, by
analogy with cottage cheese (81 %) and direct-acid cottage (74.3 %); hot or pressed 50 %, 48-55.
"""

from __future__ import annotations

from advisor.science._guard import within
from advisor.science.estimate import Estimate
from advisor.science.milks import milk

__all__ = [
    "RECIPE_YIELD",
    "adjusted_yield",
    "cottage_yield",
    "curd_mass",
    "curd_moisture",
    "curd_solids",
    "drink_yield",
    "liquid_held",
    "van_slyke_price",
    "whey_protein_left",
]

RECIPE_YIELD = Estimate(75.0, 61.0, 82.0, "%")  # bottled, % of the mix; six recipes with volumes
_FAT_KEPT = 0.96  # 0.93 (formula) to 0.98 (paneer)
_OTHER_SOLIDS = 0.15  # per gram of casein: salts, lactose and whey protein dried in the curd
_LIQUID_DENSITY = 1.0
_COLD_LEFT, _HOT_LEFT = 0.22, 0.10  # of total protein; cold acid 20-24 %, hot acid 10 %


def van_slyke_price(fat: float, casein: float, moisture: float) -> float:
    """Cheese yield (kg/100 kg milk) from fat and casein (%) and moisture (fraction, below 0.95)."""
    within("fat", fat, 0.0, 60.0, "%")
    within("casein", casein, 0.1, 20.0, "%")
    within("moisture", moisture, 0.0, 0.95, "")
    return (0.93 * fat + casein - 0.1) * 1.09 / (1.0 - moisture)


def adjusted_yield(actual: float, moisture: float, standard: float) -> float:
    """Yield at ``moisture`` (fraction) restated at ``standard`` moisture."""
    within("moisture", moisture, 0.0, 0.95, "")
    within("standard moisture", standard, 0.0, 0.95, "")
    return within("yield", actual, 0.0, 100.0, "%") * (1.0 - moisture) / (1.0 - standard)


def cottage_yield(casein: float, of_solids: float = 0.90, solids: float = 0.19) -> float:
    """Uncreamed cottage curd (kg/100 kg skim) from casein (%), its share of solids, and solids."""
    within("casein", casein, 0.0, 20.0, "%")
    within("casein's share of solids", of_solids, 0.1, 1.0, "")
    return casein / of_solids / within("solids", solids, 0.02, 1.0, "")


def curd_moisture(temperature: float = 20.0, pressed: bool = False) -> Estimate:
    """Moisture (%) of the curd: 78 drained cold, 50 pressed or from 70 degC, a line between."""
    within("temperature", temperature, -5.0, 100.0, "degC")
    heat = 1.0 if pressed else min(1.0, max(0.0, (temperature - 40.0) / 30.0))
    return Estimate(78.0 - 28.0 * heat, 75.0 - 27.0 * heat, 82.0 - 27.0 * heat, "%")


def curd_solids(volume: float, kind: str) -> float:
    """Dry matter (g) of the curd from ``volume`` mL of milk, fully split."""
    item = milk(kind)
    grams = within("milk", volume, 0.0, 1e9, "mL") * item.density / 100.0
    protein = item.protein * 0.8 if item.curd == "soy" else item.casein
    fat = item.fat if protein > 0.0 else 0.0
    return grams * (protein * (1.0 + _OTHER_SOLIDS) + _FAT_KEPT * fat)


def curd_mass(volume: float, kind: str, moisture: float, share: float = 1.0) -> float:
    """Wet curd (g); ``moisture`` in %, ``share`` the part of the casein that let go."""
    within("moisture", moisture, 0.0, 95.0, "%")
    within("share", share, 0.0, 1.0, "")
    return share * curd_solids(volume, kind) / (1.0 - moisture / 100.0)


def liquid_held(volume: float, kind: str, moisture: float, share: float = 1.0) -> float:
    """Liquid (mL) that the curd keeps: solids x M / (1 - M)."""
    return curd_mass(volume, kind, moisture, share) * moisture / 100.0 / _LIQUID_DENSITY


def drink_yield(mix: float, milk_volume: float, held: float) -> Estimate:
    """Finished drink (mL) from ``mix`` mL that holds ``milk_volume`` mL of milk.

    Recipes that state volumes give 61-82 % of the mix, less with more milk (loss about 11 % and
    0.64 of the milk share, six recipes); arithmetic on the curd alone allows ``mix - held``,
    up to 94 %. The value follows the recipes, the upper end the arithmetic when that is more.
    """
    within("mix", mix, 0.0, 1e9, "mL")
    within("milk", milk_volume, 0.0, mix if mix > 0 else 0.0, "mL")
    if mix == 0.0:
        return Estimate(0.0, 0.0, 0.0, "mL")
    share = milk_volume / mix
    kept = 1.0 - min(0.45, 0.106 + 0.64 * share)
    if milk_volume == 0.0:
        kept = 0.97  # no curd: what wets the vessels and the paper
    ceiling = max(0.0, mix - held)
    value = min(mix * kept, ceiling)
    return Estimate(value, max(0.0, value - 0.13 * mix), max(value, ceiling, 0.0), "mL")


def whey_protein_left(kind: str, temperature: float = 20.0) -> Estimate:
    """Share (% of total protein) of the milk that stays dissolved in the finished drink.

    20-24 % cold, 10 % when the mix is hot enough to knit the whey protein into the curd
    (University of Guelph, "Milk coagulation", 80 degC or more; Parnell-Clunies et al. 1985); a line
    between from 60 to 80 degC, and half way for milk that was heated hard before, are judgement.
    """
    item = milk(kind)
    if item.casein <= 0.0:
        return Estimate(20.0, 2.0, 60.0, "%")
    within("temperature", temperature, -5.0, 100.0, "degC")
    cold = min(1.0, max(0.0, (80.0 - temperature) / 20.0)) * (0.5 if item.heated else 1.0)
    left = 100.0 * (_HOT_LEFT + (_COLD_LEFT - _HOT_LEFT) * cold)
    margin = 6.0 if item.heated or 60.0 < temperature < 80.0 else 3.0
    return Estimate(left, left - margin, left + margin, "%")
