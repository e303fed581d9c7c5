"""Outside checks of stripping, fat, whey and separation.

Yes-or-no rows count 1 for the published answer.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from advisor.science import cost, fat, fats, partition, polyphenols, separation, strip, whey
from advisor.science.outside import OutsideCheck

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["bad_references", "checks"]

_YE = "Ye, Fan, Xu & Liang 2013, Food Res. Int. 53:449-455"
_IUPAC = "IUPAC Gold Book F02503; worked extractions of the textbook kind (Harris, ch. 23)"
_LI = "arithmetic on Li & Yalkowsky 1998 (form); ethanol coefficients from memory"


def _catechins(base: str) -> float:
    """Share of all catechins of a tea that casein holds at 40 % milk, as Ye et al. measured it."""
    amounts = {n: g * 0.6 for n, g in polyphenols.BASES[base].items()}
    k = {n: polyphenols.CLASSES[n].k.value for n in amounts}
    shares = strip.bound_shares(amounts, k, 26.0 * 0.4)
    names = [n for n in amounts if n.endswith("catechins")]
    return sum(shares[n] * amounts[n] for n in names) / sum(amounts[n] for n in names)


def _black_below_green() -> float:
    return float(_catechins("black-tea") < _catechins("green-tea"))


def _butter(grams: float) -> float:
    return fat.strength_after("plain-butter", grams, 750, 40).value


def _in_oil(compound: str) -> float:
    kow = partition.COMPOUNDS[compound].log_kow
    return 100 * partition.share_in_fat(partition.constant(kow, 40), 1, 10)


def _liquid_in_fridge(kind: str) -> float:
    return float(fat.sets_at(kind).value != "fridge")


def _vanillin_left() -> float:
    return 2 * partition.exchange(50.0, 0.0, 4.27, 100, 1000).in_fat


def _vanillin_sum() -> float:
    shared = partition.exchange(50.0, 0.0, 4.27, 100, 1000)
    return shared.in_fat + shared.in_spirit


def _haze(ph: float, word: str) -> float:
    return float(whey.haze_risk(ph).value == word)


def _lactose(mass_percent: float) -> float:
    return whey.lactose_solubility(mass_percent, 25).value


# One row a line reads as the table it is.
# fmt: off
def _strip() -> Iterator[OutsideCheck]:
    yield OutsideCheck("tea-green", "share of green-tea catechins on casein at 40 % milk",
                       partial(_catechins, "green-tea"), 0.73, 0.15, _YE, "seen")
    yield OutsideCheck("tea-black", "share of black-tea catechins on casein at 40 % milk",
                       partial(_catechins, "black-tea"), 0.351, 0.15, _YE, "seen")
    yield OutsideCheck("tea-order", "black tea below green", _black_below_green, 1.0, 0.0, _YE,
                       "seen")
    for dose, rate in ((2.0, 5.2), (10.0, 26.0), (250.0, 650.0)):
        yield OutsideCheck(f"casein-rate-{dose:g}", f"{dose:g} mL milk per L in g casein/hL",
                           partial(strip.casein_rate, dose, 1000.0), rate, 0.05 * rate,
                           "27 CFR 24.246 doses; 26 g casein per L of milk", "derived")
    for name, k, v1, v2, n, left, tolerance in (
        ("k3-once", 3, 100, 500, 1, 0.0625, 1e-4), ("k3-five", 3, 100, 100, 5, 0.00098, 1e-5),
        ("d10-once", 10, 50, 100, 1, 0.0476, 1e-4), ("d10-five", 10, 50, 20, 5, 0.00032, 1e-5),
        ("k2-four", 2, 100, 50, 4, 0.0625, 1e-9),
    ):
        yield OutsideCheck(f"wash-{name}", f"share left: K {k}, {n} x {v2} on {v1} mL",
                           partial(strip.multistage_left, k, v1, v2, n), left, tolerance, _IUPAC,
                           "seen")


def _fat() -> Iterator[OutsideCheck]:
    for grams, strength in ((113.4, 39.07), (100.0, 39.17)):
        yield OutsideCheck(f"fat-butter-{grams:g}", f"{grams:g} g butter in 750 mL of 40 %, %vol",
                           partial(_butter, grams), strength, 0.05,
                           "Codex CXS 279-1971; OIML R 22", "derived")
    for rho, strength in ((920, 55.0), (915, 57.3), (910, 59.6), (900, 64.0)):
        yield OutsideCheck(f"float-{rho}", f"strength whose density is that of oil of {rho} kg/m3",
                           partial(fat.stops_floating_at, rho), strength, 0.5, "OIML R 22",
                           "derived")
    for kind, part, percent, standard in (("plain-butter", "fat", 80.0, "279-1971"),
                                          ("plain-butter", "water", 16.0, "279-1971"),
                                          ("ghee", "fat", 99.6, "280-1973")):
        yield OutsideCheck(f"{kind}-{part}", f"{part} in {kind}, %",
                           partial(getattr, fats.FATS[kind], part), percent, 0.0,
                           f"Codex CXS {standard}", "seen")
    for name, percent, tolerance in (("diacetyl", 1.1, 0.06), ("vanillin", 30.0, 0.5),
                                     ("eugenol", 66.0, 0.5), ("linalool", 84.0, 0.5),
                                     ("limonene", 98.1, 0.05)):
        yield OutsideCheck(f"in-oil-{name}", f"% of {name} in oil, 1 to 10 of 40 % spirit",
                           partial(_in_oil, name), percent, tolerance, _LI, "memory")
    yield OutsideCheck("vanillin-stays", "% of 50 mg left in the fat at K 4.27, 100 on 1000 mL",
                       _vanillin_left, 29.9, 0.05, "arithmetic", "derived")
    yield OutsideCheck("vanillin-sum", "mg in fat and spirit together", _vanillin_sum, 50.0, 1e-9,
                       "arithmetic", "derived")
    for n, left in ((1, 0.701), (2, 0.679)):
        yield OutsideCheck(f"fat-portions-{n}", f"share left in spirit after {n} portion(s)",
                           partial(partition.left_in_spirit, 4.27, 100, 1000, n), left, 5e-4,
                           "arithmetic", "derived")
    for kind, mark in (("toasted-sesame-oil", "memory"), ("sunflower-oil", "memory"),
                       ("corn-oil", "seen"), ("soybean-oil", "seen")):
        yield OutsideCheck(f"fridge-{kind}", f"{kind} is not set at 4 degC",
                           partial(_liquid_in_fridge, kind), 1.0, 0.0,
                           "cloud points: Physical properties of fats and oils, or recalled", mark)


def _whey_and_separation() -> Iterator[OutsideCheck]:
    for ph, word in ((3.6, "low"), (4.0, "high")):
        yield OutsideCheck(f"whey-{ph}", f"haze risk of a whey drink at pH {ph} is {word}",
                           partial(_haze, ph, word), 1.0, 0.0,
                           "LaClair & Etzel 2009, J. Food Sci. 74", "seen")
    for mass, dissolved in ((20.0, 12.3), (32.0, 8.8), (40.0, 6.5)):
        yield OutsideCheck(f"lactose-{mass:g}", f"lactose at {mass:g} % ethanol by mass, g/100 g",
                           partial(_lactose, mass), dissolved, 0.06, "Weston et al. 2004, Chemeca",
                           "derived")
    for radius, rpm, pull in ((10, 3000, 1006), (10, 12_000, 16_103), (15, 5000, 4192)):
        yield OutsideCheck(f"rcf-{radius}-{rpm}", f"pull at {radius} cm and {rpm} rpm, g",
                           partial(separation.rcf, radius, rpm), pull, pull * 1e-3,
                           "Rickwood 1978", "derived")
    yield OutsideCheck("rpm-6000", "rpm for 6000 g at 10 cm",
                       partial(separation.rpm_for, 6000, 10), 7326, 7.3, "Rickwood 1978", "derived")
    yield OutsideCheck("stokes-grain", "50 um, 1670 kg/m3 heavier, 1 mPa s, um/s",
                       partial(separation.settling_speed, 50, 1670, 1.0), 2275, 2.3,
                       "soil-mechanics textbook", "seen")
    yield OutsideCheck("cream-line", "hours for a 4 um globule to rise 10 cm",
                       partial(separation.rise_time, 4, -119, 2.0, 100), 50, 5,
                       "Fox & McSweeney 1998, p. 106", "seen")
    yield OutsideCheck("ebc", "NTU in 1 EBC", partial(separation.ntu_from_ebc, 1.0), 4.0, 0.0,
                       "brewing scale", "memory")
    yield OutsideCheck("serves", "whole 60 mL serves of 1000 mL at 90 %",
                       partial(cost.serves, 1000, 60, 0.9), 15, 0.0, "arithmetic", "derived")


def checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room."""
    return (*_strip(), *_fat(), *_whey_and_separation())


def _misprinted_extraction() -> float:
    return 100 * strip.multistage_left(3, 100, 100, 5)


def _falling_ball() -> float:
    """m/s, or -1 (which nobody prints) when the ball is rightly refused."""
    try:
        return separation.settling_speed(4000, 6800, 1.5) * 1e-6
    except ValueError:
        return -1.0


def bad_references() -> tuple[OutsideCheck, ...]:
    """Wrong values that must not be matched."""
    return (
        OutsideCheck("bad-extraction", "% left after five washes at K 3, misprinted",
                     _misprinted_extraction, 0.98, 0.1, "worked page prints 0.98 % for 0.098 %",
                     "seen"),
        OutsideCheck("bad-ebc", "NTU in 1 EBC, inverted", partial(separation.ntu_from_ebc, 1.0),
                     0.25, 0.1, "brewing discussion text", "seen"),
        OutsideCheck("bad-stokes", "m/s of a ball of 2 mm radius", _falling_ball, 0.0436, 0.01,
                     "physics exercise page", "seen"),
    )
# fmt: on
