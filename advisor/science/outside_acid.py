"""Outside checks of acids, pH and buffers."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from advisor.science.acids import (
    ACETIC,
    ACIDULANTS,
    ASCORBIC,
    CITRIC,
    CITRIC_MASS,
    CITRIC_MONOHYDRATE_MASS,
    LACTIC,
    MALIC,
    PHOSPHORIC,
    TARTARIC,
    citric_equivalent,
    liquid_ph,
)
from advisor.science.equilibrium import WeakAcid, ethanol_shift, protons_released, solve_ph
from advisor.science.outside import OutsideCheck

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["bad_references", "checks"]

_MCILVAINE = "McIlvaine 1921, J. Biol. Chem. 49:183-186"
# pH, mL of 0.2 mol/L Na2HPO4; 0.1 mol/L citric acid to 20 mL
_MCILVAINE_ROWS = (
    (2.2, 0.40), (2.4, 1.24), (2.6, 2.18), (2.8, 3.17), (3.0, 4.11), (3.2, 4.94), (3.4, 5.70),
    (3.6, 6.44), (3.8, 7.10), (4.0, 7.71), (4.2, 8.28), (4.4, 8.82), (4.6, 9.35), (4.8, 9.86),
    (5.0, 10.30), (5.2, 10.72), (5.4, 11.15), (5.6, 11.60), (5.8, 12.09), (6.0, 12.63),
    (6.2, 13.22), (6.4, 13.85), (6.6, 14.55), (6.8, 15.45), (7.0, 16.47), (7.2, 17.39),
    (7.4, 18.17), (7.6, 18.73), (7.8, 19.15), (8.0, 19.45),
)  # fmt: skip
# pH, mL of 0.1 mol/L citric acid, mL of 0.1 mol/L trisodium citrate; only 5.4 was read in print
_CITRATE_ROWS = (
    (3.0, 82, 18), (3.4, 73, 27), (4.0, 59, 41), (4.6, 44.5, 55.5), (5.0, 35, 65),
    (5.4, 25.5, 74.5), (5.6, 21, 79), (6.0, 11.5, 88.5), (6.2, 8, 92),
)  # fmt: skip
# pH, mL of 0.1 mol/L acetic acid, mL of 0.1 mol/L acetate, to 200 mL
_ACETATE_ROWS = (
    (3.6, 185, 15), (3.8, 176, 24), (4.0, 164, 36), (4.2, 147, 53), (4.4, 126, 74), (4.6, 102, 98),
    (4.8, 80, 120), (5.0, 59, 141), (5.2, 42, 158), (5.4, 29, 171), (5.6, 19, 181),
)  # fmt: skip
# listed pH, x mL citric, y mL citrate of 0.1 mol/L, to 100 mL: a bad reference
_GOMORI_ROWS = (
    (3.0, 46.5, 3.5), (3.2, 43.7, 6.3), (3.4, 40.0, 10.0), (3.6, 37.0, 13.0), (3.8, 35.0, 15.0),
    (4.0, 33.0, 17.0), (4.2, 31.5, 18.5), (4.4, 28.0, 22.0), (4.6, 25.5, 24.5), (4.8, 23.0, 27.0),
    (5.0, 20.5, 29.5), (5.2, 18.0, 32.0), (5.4, 16.0, 34.0), (5.6, 13.7, 36.3), (5.8, 11.8, 38.2),
    (6.0, 9.5, 41.5), (6.2, 7.2, 42.8),
)  # fmt: skip
_COMPUTED = "charge balance with Davies activities, computed independently"
_SIMPLE = (
    # acid, mol/L, pH, tolerance, source, mark
    (CITRIC, 0.1, 2.08, 0.05, _COMPUTED, "derived"),
    (CITRIC, 0.04, 2.29, 0.05, _COMPUTED, "derived"),
    (CITRIC, 0.2, 1.93, 0.05, _COMPUTED, "derived"),
    (CITRIC, 0.1 / 3, 2.33, 0.05, "0.1 N citric acid read as normality", "derived"),
    (CITRIC, 0.001, 3.24, 0.05, _COMPUTED, "derived"),
    (CITRIC, 50 / CITRIC_MASS, 1.87, 0.05, "physics discussion text; computed", "seen"),
    (CITRIC, 48 / CITRIC_MASS, 1.88, 0.05, _COMPUTED, "derived"),
    (CITRIC, 150 / CITRIC_MASS, 1.63, 0.05, _COMPUTED, "derived"),
    (ACETIC, 1.0, 2.38, 0.05, "clean-room chemistry reference, Georgia Tech (2.4)", "seen"),
    (ACETIC, 0.1, 2.88, 0.05, _COMPUTED, "derived"),
    (ACETIC, 0.833, 2.42, 0.05, _COMPUTED, "derived"),
    (LACTIC, 0.1, 2.44, 0.05, _COMPUTED, "derived"),
    (MALIC, 0.1, 2.21, 0.05, _COMPUTED, "derived"),
    (TARTARIC, 0.1, 2.04, 0.05, _COMPUTED, "derived"),
    (PHOSPHORIC, 0.1, 1.63, 0.05, f"{_COMPUTED}; its pKa from memory", "derived"),
    (ASCORBIC, 0.1, 2.53, 0.05, f"{_COMPUTED}; its pKa from memory", "derived"),
)
_RELEASE = (
    # acid, H+ per molecule at pH 4.6 and 5.3. Malic: its pKa2 is 5.2 or 5.11, hence the width.
    ("citric", CITRIC, 1.60, 2.08, 0.02),
    ("lactic", LACTIC, 0.87, 0.97, 0.02),
    ("malic", MALIC, 1.34, 1.75, 0.07),
    ("tartaric", TARTARIC, 1.77, 1.94, 0.02),
    ("acetic", ACETIC, 0.47, 0.82, 0.02),
    ("phosphoric", PHOSPHORIC, 1.00, 1.02, 0.02),
    ("ascorbic", ASCORBIC, 0.82, 0.96, 0.04),
)
_PENNISTON = "Penniston et al. 2008, J. Endourol. 22:567-570"
# g/L of citric acid and two standard deviations
_JUICES = (
    ("lemon-juice", 48.0, 7.6), ("lime-juice", 45.9, 13.7), ("bottled-lemon-juice", 36.65, 2.6),
    ("bottled-lime-juice", 35.4, 4.0), ("grapefruit-juice", 25.0, 4.0), ("orange-juice", 16.9, 4.0),
)  # fmt: skip


def _mcilvaine(phosphate: float) -> float:
    acids = ((CITRIC, 0.1 * (20.0 - phosphate) / 20.0), (PHOSPHORIC, 0.2 * phosphate / 20.0))
    return solve_ph(acids, 0.4 * phosphate / 20.0).ph


def _citrate(acid: float, salt: float, total: float) -> float:
    strong = 0.3 * salt / total
    return solve_ph([(CITRIC, 0.1 * (acid + salt) / total)], strong).ph


def _acetate(acid: float, salt: float) -> float:
    return solve_ph([(ACETIC, 0.1 * (acid + salt) / 200.0)], 0.1 * salt / 200.0).ph


def _alone(acid: WeakAcid, amount: float) -> float:
    return solve_ph([(acid, amount)], guess=2.5).ph


def _lemon_with(cation: float) -> float:
    return solve_ph([(CITRIC, 48.0 / CITRIC_MASS)], cation, guess=2.5).ph


def _buffers() -> Iterator[OutsideCheck]:
    for ph, phosphate in _MCILVAINE_ROWS:
        yield OutsideCheck(
            f"mcilvaine-{ph}", f"McIlvaine buffer pH {ph}", partial(_mcilvaine, phosphate), ph,
            0.12 if ph <= 4.6 else 0.20, _MCILVAINE, "seen",
        )  # fmt: skip
    for ph, acid, salt in _CITRATE_ROWS:
        read = ph == 5.4
        yield OutsideCheck(
            f"citrate-{ph}", f"citric acid {acid} mL and citrate {salt} mL of 0.1 mol/L",
            partial(_citrate, acid, salt, acid + salt), ph, 0.10,
            "laboratory-supplier table" + ("" if read else ", from memory, not yet verified"),
            "seen" if read else "memory",
        )  # fmt: skip
    for ph, acid, salt in _ACETATE_ROWS:
        yield OutsideCheck(
            f"acetate-{ph}", f"acetic acid {acid} mL and acetate {salt} mL of 0.1 mol/L to 200",
            partial(_acetate, acid, salt), ph, 0.06, "Pearse 1980", "seen",
        )  # fmt: skip


def checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room."""
    rows = list(_buffers())
    for acid, amount, ph, tolerance, source, mark in _SIMPLE:
        rows.append(
            OutsideCheck(
                f"alone-{acid.name}-{amount:.3g}", f"{amount:.3g} mol/L {acid.name} acid",
                partial(_alone, acid, amount), ph, tolerance, source, mark,
            )
        )  # fmt: skip
    single = WeakAcid("single", (3.4559,))  # Ka 3.5e-4
    rows.append(
        OutsideCheck(
            "one-constant", "0.200 mol/L of an acid with Ka 3.5e-4, no activity correction",
            lambda: solve_ph([(single, 0.2)], activity=False).ph, 2.085, 0.02,
            "University of British Columbia chemistry courseware (2.08-2.09)", "seen",
        )
    )  # fmt: skip
    for cation, ph in ((0.008, 2.0), (0.032, 2.3), (0.066, 2.6)):
        rows.append(
            OutsideCheck(
                f"lemon-cation-{cation}", f"48 g/L citric acid with {cation} mol/L strong cation",
                partial(_lemon_with, cation), ph, 0.05, _COMPUTED, "derived",
            )
        )  # fmt: skip
    for name, acid, low, high, tolerance in _RELEASE:
        for ph, count in ((4.6, low), (5.3, high)):
            rows.append(
                OutsideCheck(
                    f"release-{name}-{ph}", f"H+ given up by a molecule of {name} acid at pH {ph}",
                    partial(protons_released, acid, ph), count, tolerance, _COMPUTED, "derived",
                )
            )  # fmt: skip
    for juice, grams, spread in _JUICES:
        rows.append(
            OutsideCheck(
                f"juice-{juice}", f"citric acid of {juice}, g/L",
                partial(citric_equivalent, ACIDULANTS[juice], 1000.0), grams, spread, _PENNISTON,
                "seen",
            )
        )  # fmt: skip
    for juice in ("lemon-juice", "lime-juice", "grapefruit-juice", "orange-juice", "verjus"):
        low, high = ACIDULANTS[juice].ph_range or (0.0, 0.0)
        rows.append(
            OutsideCheck(
                f"juice-ph-{juice}", f"pH of {juice}", partial(liquid_ph, ACIDULANTS[juice]),
                (low + high) / 2, (high - low) / 2, "FDA and university lists of food pH; Dupas de"
                " Matos 2017 for verjus", "seen",
            )
        )  # fmt: skip
    prenesti = "Prenesti et al. 2012, The Scientific World Journal 249041, Table 4"
    rows += [
        OutsideCheck(
            "ethanol-lactic", "shift of a carboxyl's pKa from 0 to 12 %vol",
            lambda: ethanol_shift(12.0).value, 0.17, 0.03, prenesti, "seen",
        ),
        OutsideCheck(
            "ethanol-succinic", "shift of two carboxyls together from 0 to 12 %vol",
            lambda: 2.0 * ethanol_shift(12.0).value, 0.33, 0.03, prenesti, "seen",
        ),
        OutsideCheck(
            "hydrate", "citric acid, monohydrate over anhydrous",
            lambda: CITRIC_MONOHYDRATE_MASS / CITRIC_MASS, 1.0938, 1e-4, "molar masses", "derived",
        ),
    ]  # fmt: skip
    return tuple(rows)


def bad_references() -> tuple[OutsideCheck, ...]:
    """Copied values that are wrong."""
    rows = [
        OutsideCheck(
            f"gomori-{ph}", f"Gomori citrate table as reprinted, listed pH {ph}",
            partial(_citrate, acid, salt, 100.0), ph, 0.10, "Gomori 1955 as usually reprinted",
            "seen",
        )
        for ph, acid, salt in _GOMORI_ROWS
    ]  # fmt: skip
    misprint = WeakAcid("citric as misprinted", (3.13, 4.76, 5.40))
    rows += [
        OutsideCheck(
            "recipe-5.5", "6.235 g/L citric monohydrate and 20.684 g/L citrate dihydrate as pH 5.5",
            lambda: solve_ph(
                [(CITRIC, 6.235 / CITRIC_MONOHYDRATE_MASS + 20.684 / 294.10)], 3 * 20.684 / 294.10
            ).ph, 5.5, 0.10, "a circulating buffer recipe", "seen",
        ),
        OutsideCheck(
            "lemon-nmr", "lemon juice as 9.2 g/L citric acid",
            partial(citric_equivalent, ACIDULANTS["lemon-juice"], 1000.0), 9.2, 4.0,
            "J. Endourol. 2008, 22:1359", "seen",
        ),
        OutsideCheck(
            "normality", "0.1 mol/L citric acid as pH 2.2 (0.1 N read as 0.1 mol/L)",
            partial(_alone, CITRIC, 0.1), 2.2, 0.05, "secondary tables", "seen",
        ),
        OutsideCheck(
            "pka-as-ph", "0.1 mol/L acetic acid as pH 4.76, which is its pKa",
            partial(_alone, ACETIC, 0.1), 4.76, 0.05, "a secondary table's 0.1 M column", "seen",
        ),
        OutsideCheck(
            "pka3-misprint", "citrate buffer of pH 5.4 with a third pKa of 5.40",
            lambda: _citrate(25.5, 74.5, 100.0),
            solve_ph([(misprint, 0.1)], 3 * 0.0745).ph, 0.10,
            "Day & Underwood, 6th ed., p. 662", "seen",
        ),
    ]  # fmt: skip
    return tuple(rows)
