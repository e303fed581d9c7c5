"""Outside checks of density, mixing, freezing, flash point and serves."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from advisor.science.ethanol import (
    density,
    density_of_mass_percent,
    mass_percent,
    mass_percent_at_60f,
    strength_from_density,
    strength_of_mass_percent,
    strength_of_proof,
    volume_at,
)
from advisor.science.flash import flash_point
from advisor.science.freezing import freezing_point, ice_mass_share, lowest_liquid_strength
from advisor.science.mixing import (
    Part,
    mix,
    strength_after_water_mass,
    water_to_dilute,
)
from advisor.science.outside import OutsideCheck
from advisor.science.serving import ethanol_grams, standard_drinks

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

__all__ = ["bad_references", "checks"]

_OIML = "OIML R 22 (1973); Council Directive 76/766/EEC, Annex"
_TEMPERATURES = (-18.0, 4.0, 15.0, 20.0, 25.0, 30.0)
# %vol, mass %, kg/m3 at the six temperatures (0 where frozen or slushy), g ethanol per litre.
_TABLE = (
    (0, 0, 0, 999.97, 999.10, 998.20, 997.04, 995.65, 0),
    (5, 3.982, 0, 992.93, 991.98, 991.06, 989.86, 988.41, 39.46),
    (10, 8.015, 0, 987.07, 985.78, 984.71, 983.37, 981.79, 78.92),
    (12.5, 10.049, 0, 984.53, 982.97, 981.78, 980.34, 978.66, 98.65),
    (15, 12.093, 0, 982.22, 980.30, 978.97, 977.39, 975.59, 118.39),
    (20, 16.214, 0, 978.06, 975.24, 973.56, 971.65, 969.54, 157.85),
    (25, 20.381, 0, 974.09, 970.20, 968.10, 965.81, 963.33, 197.31),
    (30, 24.607, 0, 969.75, 964.74, 962.21, 959.52, 956.67, 236.77),
    (35, 28.907, 974.90, 964.56, 958.53, 955.59, 952.52, 949.33, 276.23),
    (37.5, 31.091, 973.08, 961.55, 955.06, 951.94, 948.71, 945.37, 295.96),
    (40, 33.300, 970.78, 958.22, 951.33, 948.05, 944.67, 941.19, 315.70),
    (43, 35.986, 967.39, 953.82, 946.51, 943.06, 939.52, 935.90, 339.37),
    (46, 38.716, 963.34, 948.98, 941.32, 937.73, 934.06, 930.33, 363.05),
    (50, 42.426, 957.05, 941.89, 933.89, 930.14, 926.33, 922.47, 394.62),
    (57.15, 49.275, 943.82, 927.72, 919.30, 915.38, 911.39, 907.35, 451.05),
    (60, 52.088, 938.02, 921.63, 913.09, 909.11, 905.08, 900.98, 473.54),
    (63, 55.105, 931.64, 914.99, 906.34, 902.31, 898.22, 894.07, 497.22),
    (70, 62.386, 915.76, 898.58, 889.69, 885.56, 881.37, 877.13, 552.47),
    (80, 73.480, 890.41, 872.69, 863.52, 859.27, 854.97, 850.62, 631.39),
    (90, 85.665, 861.17, 842.85, 833.50, 829.18, 824.82, 820.41, 710.32),
    (95, 92.408, 843.38, 825.08, 815.70, 811.38, 807.03, 802.66, 749.78),
    (96, 93.838, 839.37, 821.12, 811.73, 807.42, 803.08, 798.72, 757.67),
    (100, 100, 821.43, 802.84, 793.51, 789.24, 784.95, 780.65, 789.24),
)
_FREEZING = (
    # %vol, degC, source, mark
    *((s, t, "Lange's Handbook of Chemistry, Table 5.13", "seen") for s, t in (
        (3.13, -1.0), (6.0, -2.0), (14.0, -5.0), (20.2, -7.5), (24.8, -10.6), (29.5, -14.0),
        (32.4, -16.0), (36.1, -18.9), (40.5, -23.6), (46.3, -28.7))),
    *((s, t, "engineering table of ethanol freezing points", "seen") for s, t in (
        (10.0, -4.0), (20.0, -9.0), (30.0, -15.0), (40.0, -23.0), (50.0, -32.0))),
    *((s, t, "CRC Handbook, Concentrative properties, from memory, not yet verified", "memory")
      for s, t in ((12.4, -4.47), (24.5, -10.92), (36.3, -20.47), (47.4, -29.26))),
    (57.9, -37.67, "CRC Handbook, Concentrative properties, 50 mass % as quoted", "seen"),
)  # fmt: skip
_DILUTIONS = (
    # mL, %vol, target, mL water
    (1000, 96, 40, 1470.5),
    (1000, 95, 40, 1442.8),
    (1000, 60, 40, 513.9),
    (750, 63, 45, 310.35),
    (750, 50, 40, 191.5),
    (750, 40, 20, 750.65),
    (1000, 40, 15, 1665.5),
)
_POUND, _GALLON = 453.59237, 3785.411784
_SIXTY_F = (60.0 - 32.0) / 1.8


def _row(
    id: str,
    what: str,
    value: Callable[[], float],
    expected: float,
    tolerance: float,
    source: str = _OIML,
    mark: str = "derived",
) -> OutsideCheck:
    return OutsideCheck(id, what, value, expected, tolerance, source, mark)


def _in_air(rho: float) -> float:
    """Apparent over true mass: weighed in air of 1.2 kg/m3 with brass weights of 8000."""
    return (1.0 - 1.2 / rho) / (1.0 - 1.2 / 8000.0)


def _gallons_per_pound(strength: float) -> float:
    rho = density_of_mass_percent(mass_percent_at_60f(strength), _SIXTY_F)
    return _POUND / _in_air(rho) / (rho / 1000.0) / _GALLON


def _water_to_190(pounds: float) -> float:
    # By mass; weighed in air the water would read 0.03 lb more, the size of the table's rounding.
    return pounds * (100.0 / mass_percent_at_60f(95.0) - 1.0)


def _tables() -> Iterator[OutsideCheck]:
    for strength, mass, *rhos, grams in _TABLE:
        for t, rho in zip(_TEMPERATURES, rhos, strict=True):
            if rho:
                yield _row(
                    f"density-{strength:g}-at-{t:g}",
                    f"density of {strength:g} %vol at {t:g} degC, kg/m3",
                    partial(density, strength, t),
                    rho,
                    0.02,
                )
        yield _row(
            f"mass-percent-{strength:g}",
            f"mass % of {strength:g} %vol",
            partial(mass_percent, strength),
            mass,
            0.005,
        )
        yield _row(
            f"grams-per-litre-{strength:g}",
            f"g ethanol in a litre of {strength:g} %vol",
            partial(ethanol_grams, 1000.0, strength),
            grams,
            0.01,
        )
    for strength, t, source, mark in _FREEZING:
        yield _row(
            f"freezing-{source.split()[0].lower()}-{strength:g}",
            f"freezing point of {strength:g} %vol, degC",
            lambda s=strength: freezing_point(s).value,  # type: ignore[misc]
            t,
            1.5,
            source,
            mark,
        )
    for volume, strength, target, water in _DILUTIONS:
        yield _row(
            f"dilute-{volume}-{strength}-to-{target}",
            f"water to bring {volume} mL of {strength} %vol to {target}",
            partial(water_to_dilute, volume, strength, target),
            water,
            0.5,
        )


def checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room."""
    melinder = "Melinder 2010 (International Institute of Refrigeration)"
    half = partial(mix, (Part(500, 100), Part(500)))
    fiery = "US federal worked example, 27 CFR 30.64"
    return (
        *_tables(),
        _row("inverse-950", "%vol of density 950.00 at 20 degC",
             partial(strength_from_density, 950.00), 38.764, 0.005),
        _row("inverse-944-67", "%vol of density 944.67 at 25 degC",
             partial(strength_from_density, 944.67, 25.0), 40.00, 0.005),
        _row("volume-4", "1000 mL of 40 % at 4 degC", partial(volume_at, 1000, 40, 4), 989.4, 0.05),
        _row("volume-freezer", "1000 mL of 40 % at -18 degC",
             partial(volume_at, 1000, 40, -18), 976.6, 0.05),
        _row("volume-25", "1000 mL of 40 % at 25 degC", partial(volume_at, 1000, 40, 25),
             1003.6, 0.05),
        _row("half-volume", "500 mL ethanol + 500 mL water, mL", lambda: half().volume,
             964.63, 0.05),
        _row("half-strength", "500 mL ethanol + 500 mL water, %vol", lambda: half().strength,
             51.834, 0.01),
        _row("half-96", "500 mL of 96 % + 500 mL water, mL",
             lambda: mix((Part(500, 96), Part(500))).volume, 969.61, 0.05),
        _row("half-96-strength", "500 mL of 96 % + 500 mL water, %vol",
             lambda: mix((Part(500, 96), Part(500))).strength, 49.505, 0.01),
        _row("two-to-one", "500 mL of 40 % + 250 mL water, mL",
             lambda: mix((Part(500, 40), Part(250))).volume, 748.92, 0.05),
        _row("largest-contraction", "largest contraction, % of the summed volumes",
             lambda: max(mix((Part(v, 100), Part(1000 - v))).contraction / 10
                         for v in range(400, 650, 5)), 3.546, 0.005),
        _row("federal-pound", "wine gallons in a pound of 190 proof",
             partial(_gallons_per_pound, 95.0), 0.14718, 0.0003 * 0.14718, fiery, "seen"),
        _row("federal-proof-gallons", "proof gallons in 1000 lb of 200 proof",
             lambda: 2000.0 * _gallons_per_pound(100.0), 302.58, 0.0003 * 302.58, fiery, "seen"),
        _row("federal-81000", "proof gallons in 81 000 lb of 190 proof",
             lambda: 81000.0 * 1.9 * _gallons_per_pound(95.0), 22650.8, 0.0003 * 22650.8, fiery,
             "seen"),
        _row("federal-water", "lb of water to bring 1000 lb of 200 proof to 190",
             partial(_water_to_190, 1000.0), 82.03, 0.03, fiery, "seen"),
        _row("federal-water-gallon", "wine gallons in a pound of water",
             partial(_gallons_per_pound, 0.0), 0.120074, 0.0003 * 0.120074, fiery, "seen"),
        _row("uk-proof", "%vol of UK proof spirit (12/13 the weight of water at 51 degF)",
             lambda: strength_from_density(density(0, 95 / 9) * 12 / 13, 95 / 9), 57.15, 0.05,
             "definition of proof spirit (from memory) with OIML R 22"),
        _row("us-proof", "%vol of 80 US proof", partial(strength_of_proof, 80.0), 40.0, 0.0,
             "27 CFR 30.11", "seen"),
        _row("freezing-40", "freezing point of 40 %vol, degC",
             lambda: freezing_point(40).value, -23.3, 0.5, melinder),
        *(_row(f"liquid-at{t}", f"weakest spirit without ice at {t} degC, %vol",
               lambda t=t: lowest_liquid_strength(t).value, s, 0.3, melinder)  # type: ignore[misc]
          for t, s in ((-12, 25.8), (-15, 29.9), (-18, 33.7), (-20, 36.1), (-25, 42.0))),
        *(_row(f"ice-{s}", f"ice at -18 degC in {s} %vol, % by mass",
               lambda s=s: ice_mass_share(s, -18).value, ice, 3.0,  # type: ignore[misc]
               f"lever rule on {melinder}")
          for s, ice in ((15, 56), (20, 42), (25, 27), (30, 11), (35, 0))),
        _row("flash-40", "flash point of 40 %vol, degC", lambda: flash_point(40).value, 27.0, 1.0,
             "tabulated flash points read by volume (26) and by mass (28); UNIFAC estimate"),
        _row("serve-us", "US standard drinks in 1.5 US fl oz of 40 %",
             partial(standard_drinks, 44.360294, 40, "us"), 1.0, 0.01, "14 g (NIH as cited)"),
        _row("serve-grams", "g ethanol in 1.5 US fl oz of 40 %",
             partial(ethanol_grams, 44.360294, 40), 14.00, 0.01, "14 g (NIH as cited)"),
        _row("serve-uk", "UK units in 25 mL of 40 %", partial(standard_drinks, 25, 40, "uk"), 1.0,
             0.01, "UK definition of the unit", "seen"),
        _row("serve-uk-35", "UK units in 35 mL of 40 %", partial(standard_drinks, 35, 40, "uk"),
             1.4, 0.01, "UK definition of the unit", "seen"),
        _row("serve-100", "US standard drinks in 100 mL of 20 %",
             partial(standard_drinks, 100, 20, "us"), 1.127, 0.01, "14 g (NIH as cited)"),
        _row("butter", "750 mL of 40 % after 113.4 g of butter (16 % water), %vol",
             lambda: strength_after_water_mass(750, 40, 113.4 * 0.16).strength, 39.07, 0.05,
             f"Codex CXS 279-1971; {_OIML}"),
        _row("butter-100", "750 mL of 40 % after 100 g of butter, %vol",
             lambda: strength_after_water_mass(750, 40, 16).strength, 39.17, 0.05,
             f"Codex CXS 279-1971; {_OIML}"),
        _row("mass-to-volume", "%vol of 33.300 % by mass",
             partial(strength_of_mass_percent, 33.300), 40.0, 0.005),
    )  # fmt: skip


def _mistyped_first_cross_term(strength: float, temperature: float) -> float:
    """What a re-typing of the formula gives that starts C with a minus sign."""
    from advisor.science.oiml import C

    p = mass_percent(strength) / 100.0
    return density(strength, temperature) - 2.0 * C[0][0] * p * (temperature - 20.0)


def _shifted_b(strength: float, temperature: float) -> float:
    """What a re-typing of the formula gives whose B begins with a stray zero."""
    from advisor.science.oiml import B

    d = temperature - 20.0
    right = sum(b * d ** (k + 1) for k, b in enumerate(B))
    wrong = sum(b * d ** (k + 2) for k, b in enumerate(B))
    return density(strength, temperature) - right + wrong


def bad_references() -> tuple[OutsideCheck, ...]:
    """Copied values that are wrong."""
    return (
        _row("minus-c11", "density of 40 %vol at 4 degC by a mistyped coefficient",
             partial(density, 40, 4),
             _mistyped_first_cross_term(40, 4), 0.02, "a circulating re-typing of OIML R 22"),
        _row("shifted-b", "density of 40 %vol at 25 degC by a shifted list of coefficients",
             partial(density, 40, 25), _shifted_b(40, 25), 0.02,
             "a circulating re-typing of OIML R 22"),
        _row("engineering-60", "freezing point of 60 %vol in the uneven engineering table",
             lambda: freezing_point(60).value, -37.0, 1.5, "engineering table above 50 %vol",
             "seen"),
        _row("plain-arithmetic", "water to bring 1000 mL of 96 % to 40 % without contraction",
             partial(water_to_dilute, 1000, 96, 40), 1400.0, 0.5, "plain volume arithmetic"),
    )  # fmt: skip
