"""Outside checks of milk: buffering, salts, composition and heat."""

from __future__ import annotations

from functools import partial

from advisor.science.acids import GLUCONIC
from advisor.science.equilibrium import solve_ph
from advisor.science.milk_buffer import (
    coagulation_ph,
    demand_value,
    dose_to_ph,
    milk_sites,
    mix_ph,
    slope,
)
from advisor.science.milk_salts import millimolar
from advisor.science.milks import milk
from advisor.science.outside import OutsideCheck
from advisor.science.whey_protein import native_alpha_lactalbumin, native_beta_lactoglobulin

__all__ = ["bad_references", "checks"]

_GDL = "glucono-delta-lactone at 12 % of solids-not-fat, J. Dairy Sci. 1960"
_NDRI = "Indian National Dairy Research Institute, buffering index"
_LUCEY = "Lucey, Gorry & Fox 1993, Milchwissenschaft 48:438"
_CHANDAN = "Chandan & Kilara 2011, Dairy Ingredients for Food Processing, p. 299"
_LARSON = "Larson & Rolleri 1955, in Lyster 1970 as tabulated"
_FOX = "Fox & McSweeney 1998, Table 5.6"
_BETA = (
    (62, 92, 98),
    (66, 89, 93),
    (70, 70, 80),
    (74, 47, 57),
    (77, 32, 36),
    (82, 7, 13),
    (96, 0, 0),
)


def _peak() -> tuple[float, float]:
    return max((slope("skim", ph / 100.0), ph / 100.0) for ph in range(400, 640))


def _gluconic() -> float:
    return solve_ph([(GLUCONIC, 0.0606)], sites=milk_sites("skim"), background=0.08).ph


def _hot(grams: float) -> float:
    """pH of a kilogram of whole milk at 75 degC with so much citric acid monohydrate."""
    volume = 1000.0 / milk("whole").density
    return mix_ph(0.0, volume, "whole", (("citric-monohydrate", grams),), temperature=75.0).ph


def checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room."""
    rows = [
        OutsideCheck("milk-demand", "skim milk from pH 6.7 to 4.6, mmol H+/L",
                     partial(demand_value, "skim", 4.6), 52.5, 7.5, _GDL, "derived"),
        OutsideCheck("milk-gluconic", "pH of skim with 60.6 mmol/kg gluconic acid",
                     _gluconic, 4.65, 0.15, _GDL, "seen"),
        OutsideCheck("milk-bound-skim", "room below the 70 mmol/L that no skim exceeds",
                     lambda: 70.0 - demand_value("skim", 4.6), 35.0, 35.0, _NDRI, "derived"),
        OutsideCheck("milk-bound-whole", "room below the 58 mmol/L that no whole milk exceeds",
                     lambda: 58.0 - demand_value("whole", 4.6), 29.0, 29.0, _NDRI, "derived"),
        OutsideCheck("milk-slope", "largest buffer index of skim, mmol/L per pH",
                     lambda: _peak()[0], 33.0, 5.0, _NDRI, "seen"),
        OutsideCheck("milk-slope-ph", "pH of the largest buffer index",
                     lambda: _peak()[1], 5.05, 0.15, _LUCEY, "seen"),
        *(OutsideCheck(f"milk-curve-{ph}", f"cow milk from pH 6.7 to {ph}, mmol H+/L",
                       partial(demand_value, "skim", ph), (low + high) / 2, (high - low) / 2,
                       "recalled shape of the curve, from memory, not yet verified", "memory")
          for ph, low, high in ((6.0, 9, 17), (5.5, 20, 31), (5.0, 34, 48))),
        *(OutsideCheck(f"milk-hot-{g}", f"pH of milk at 75 degC with {g} g/kg citric monohydrate",
                       partial(_hot, g), 5.35, 0.25, _CHANDAN, "seen") for g in (2.0, 2.5)),
        OutsideCheck("milk-hot-dose", "citric monohydrate to pH 5.35 at 75 degC, g/kg",
                     lambda: dose_to_ph("whole", "citric-monohydrate", 5.35, temperature=75) / 1.03,
                     2.25, 0.56, _CHANDAN, "seen"),
        OutsideCheck("milk-hot-ions", "hydrogen ions of the hot dose, mmol/kg",
                     lambda: demand_value("whole", 5.35, 75.0) / 1.03, 22.5, 2.5, _CHANDAN,
                     "derived"),
        *(OutsideCheck(f"milk-coagulation-{t}", f"coagulation pH at {t} degC",
                       partial(coagulation_ph, t), ph, 0.2, source, mark)
          for t, ph, source, mark in (
              (20, 4.6, "Zoller 1921", "seen"),
              (42, 4.95, "Lucey & Singh 1997, from memory, not yet verified", "memory"),
              (76, 5.4, "paneer and queso blanco practice", "seen"),
              (80, 5.4, "paneer and queso blanco practice", "seen"))),
        *(OutsideCheck(f"dose-{acid}", f"{acid} acid to bring a litre of skim to pH 4.6, g",
                       partial(dose_to_ph, "skim", acid, 4.6), grams, 0.05 * grams,
                       "53 mmol H+/L over the ions given up at pH 4.6", "derived")
          for acid, grams in (("citric", 6.35), ("citric-monohydrate", 6.95), ("lactic", 5.5),
                              ("malic", 5.3), ("tartaric", 4.5), ("acetic", 6.8),
                              ("phosphoric", 5.2), ("ascorbic", 11.4))),
        *(OutsideCheck(f"salt-{ion}", f"{ion} of milk, mmol/L", partial(millimolar, ion), mmol, 0.1,
                       _FOX, "derived")
          for ion, mmol in (("sodium", 21.7), ("potassium", 37.1), ("chloride", 33.9),
                            ("phosphate", 24.2), ("citrate", 9.3), ("calcium", 29.9),
                            ("magnesium", 5.3), ("sulphate", 1.04))),
        *(OutsideCheck(f"beta-lactoglobulin-{t}", f"native beta-lactoglobulin, 30 min, {t} degC, %",
                       lambda t=t: native_beta_lactoglobulin(t, 30).value, native, 12.0,  # type: ignore[misc]
                       _LARSON, "seen") for t, native, _ in _BETA),
        *(OutsideCheck(f"lyster-{t}", f"calculated beta-lactoglobulin, 30 min at {t} degC, %",
                       lambda t=t: native_beta_lactoglobulin(t, 30).value, calculated, 2.0,  # type: ignore[misc]
                       "Lyster 1970, second order", "derived") for t, _, calculated in _BETA),
        *(OutsideCheck(f"alpha-lactalbumin-{t}", f"native alpha-lactalbumin, 30 min, {t} degC, %",
                       lambda t=t: native_alpha_lactalbumin(t, 30).value, native, 12.0,  # type: ignore[misc]
                       _LARSON, "seen") for t, native in ((74, 75), (77, 51), (82, 32))),
        OutsideCheck("casein-whole", "casein in a kilogram of whole milk, g",
                     lambda: 10.0 * milk("whole").casein, 25.7, 0.1, "FAO 2013, Table 3.1",
                     "derived"),
        OutsideCheck("casein-sheep", "casein of sheep over cow milk",
                     lambda: milk("sheep").casein / milk("whole").casein, 1.7, 0.05,
                     "FAO 2013, Table 3.1", "derived"),
        OutsideCheck("fat-cream", "fat of cream over whole milk",
                     lambda: milk("cream").fat / milk("whole").fat, 11.2, 0.3,
                     "USDA Handbook 8-1 (1976)", "derived"),
    ]  # fmt: skip
    return tuple(rows)


def bad_references() -> tuple[OutsideCheck, ...]:
    """Copied values that are wrong."""
    return (
        OutsideCheck("phosphate-as-po4", "milk phosphate of 750 mg/L read as PO4, mmol/L",
                     partial(millimolar, "phosphate"), 7.9, 1.0, _FOX, "derived"),
        OutsideCheck("cheese-ph", "pH of milk at 82 degC with 2.16 g/kg citric acid as 4.7-4.8",
                     partial(_hot, 2.16), 4.75, 0.2, "Chandan et al. 1979, J. Dairy Sci. 62:691",
                     "seen"),
        OutsideCheck("no-colloidal", "demand of skim without its colloidal phosphate, mmol/L",
                     partial(demand_value, "skim", 4.6), 44.0, 4.0,
                     "component sum that leaves colloidal phosphate out", "derived"),
    )  # fmt: skip
