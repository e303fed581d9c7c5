"""Outside checks of curd, yield, alcohol clotting, and what stays in the drink."""

from __future__ import annotations

from functools import partial

from advisor.science.batch_curd import calcium_left, lactose_per_serve, whey_left
from advisor.science.curd import ethanol_clot_chance, haze_zone, onset_ph, will_curdle
from advisor.science.curd_yield import (
    adjusted_yield,
    cottage_yield,
    curd_mass,
    curd_solids,
    liquid_held,
    van_slyke_price,
    whey_protein_left,
)
from advisor.science.outside import OutsideCheck

__all__ = ["checks"]

_GUELPH = "University of Guelph, Food Science, Yield prediction"
_KIM = "Kim et al. 2013, Korean J. Vet. Serv. 36:255-261"
_DAVIES = "Davies & White 1958, J. Dairy Res. 25:256"


def _clots(kind: str, strength: float) -> float:
    """1 when milk at its own pH clots on that much alcohol in the mix."""
    return float(will_curdle(6.65, kind, strength=strength).outcome.value == "ethanol-clot")


def _outcome(word: str, ph: float, strength: float = 0.0, temperature: float = 20.0) -> float:
    outcome = will_curdle(ph, strength=strength, temperature=temperature).outcome
    return float(outcome.value == word)


def checks() -> tuple[OutsideCheck, ...]:
    """All rows of this room."""
    return (
        OutsideCheck("van-slyke", "F 3.6, C 2.5, M 0.37, kg/100 kg",
                     partial(van_slyke_price, 3.6, 2.5, 0.37), 9.94, 0.01, _GUELPH, "seen"),
        OutsideCheck("moisture-adjusted", "11 % at 37 % moisture restated at 39 %",
                     partial(adjusted_yield, 11.0, 0.37, 0.39), 11.36, 0.01, _GUELPH, "derived"),
        OutsideCheck("cottage", "casein 2.6, 90 % of solids, 19 % solids, kg/100 kg",
                     partial(cottage_yield, 2.6), 15.2, 0.1, "cottage-cheese yield text", "seen"),
        OutsideCheck("curd-solids", "curd solids of 250 mL whole milk, g",
                     partial(curd_solids, 250.0, "whole"), 15.5, 0.5, "casein, fat and 1 g other",
                     "derived"),
        OutsideCheck("curd-mass", "curd of 250 mL whole milk at 78 % moisture, g",
                     partial(curd_mass, 250.0, "whole", 78.0), 70.0, 3.0, "15.5 g / 0.22",
                     "derived"),
        OutsideCheck("curd-liquid", "liquid held by it, mL",
                     partial(liquid_held, 250.0, "whole", 78.0), 55.0, 3.0, "70 g x 0.78",
                     "derived"),
        OutsideCheck("curd-liquid-pressed", "liquid held at 50 % moisture, mL",
                     partial(liquid_held, 250.0, "whole", 50.0), 15.0, 1.5, "15.5 g / 0.5 - 15.5",
                     "derived"),
        *(OutsideCheck(f"goat-{test}", f"goat milks that clot on as much {test} % ethanol, %",
                       lambda t=test: 100.0 * ethanol_clot_chance("goat", t / 2.0),  # type: ignore[misc]
                       share, 10.0, _KIM, "seen")
          for test, share in (
              (70, 99.6), (65, 99.2), (60, 96.8), (55, 81.0), (50, 52.8), (45, 11.0))),
        OutsideCheck("cow-68", "cow milk with equal volume of 68 % ethanol clots",
                     partial(_clots, "whole", 34.4), 0.0, 0.0, _DAVIES, "seen"),
        OutsideCheck("cow-84", "cow milk with equal volume of 84 % ethanol clots",
                     partial(_clots, "whole", 42.9), 1.0, 0.0, _DAVIES, "seen"),
        OutsideCheck("warm-strong", "milk in 35 % ethanol at 50 degC curdles",
                     lambda: 1.0 - _outcome("none", 6.5, strength=35.0, temperature=50.0), 0.0, 0.0,
                     "O'Connell et al. 2001, J. Agric. Food Chem.: micelles dissolve", "seen"),
        OutsideCheck("split-4.6", "full split at pH 4.6, 20 degC", partial(_outcome, "full", 4.6),
                     1.0, 0.0, "Zoller 1921; Indian Council of Agricultural Research course",
                     "seen"),
        OutsideCheck("split-4.9", "partial split at pH 4.9, 20 degC",
                     partial(_outcome, "partial", 4.9), 1.0, 0.0,
                     "Indian Council of Agricultural Research course", "seen"),
        OutsideCheck("onset", "first flakes, 20 degC, pH", partial(onset_ph, 20.0), 5.2, 0.2,
                     "Indian Council of Agricultural Research course", "seen"),
        OutsideCheck("split-hot", "full split at pH 5.35, 76 degC",
                     partial(_outcome, "full", 5.35, temperature=76.0), 1.0, 0.0,
                     "Chandan & Kilara 2011, p. 299", "seen"),
        OutsideCheck("whey-share-cold", "protein left by a cold split, % of all",
                     lambda: whey_protein_left("whole").value, 22.0, 2.0,
                     "cold acid keeps 76-80 % in the curd", "derived"),
        OutsideCheck("whey-share-hot", "protein left by a hot split, % of all",
                     lambda: whey_protein_left("whole", 82.0).value, 10.0, 1.5,
                     "Parnell-Clunies et al. 1985, J. Dairy Sci. 68:3095 (89.5-90.8 % recovered)",
                     "derived"),
        OutsideCheck("filtrate-protein", "whey protein with 1 volume of milk in 5, mg/L",
                     lambda: whey_left(drink_ml=800.0, milk_ml=200.0).value, 1350.0, 150.0,
                     "composition tables, 6.6/5 g/L", "derived"),
        OutsideCheck("filtrate-lactose", "lactose with 1 volume of milk in 5, g/L",
                     lambda: 10 * lactose_per_serve(drink_ml=8, milk_ml=2, serve_ml=100).value,
                     9.5, 0.5, "composition tables, 48/5 g/L", "derived"),
        OutsideCheck("filtrate-calcium", "calcium with 1 volume of milk in 5, mg/L",
                     lambda: calcium_left(drink_ml=800.0, milk_ml=200.0).value, 220.0, 20.0,
                     "composition tables, 1200/5 mg/L", "derived"),
        OutsideCheck("whey-clear", "whey drink at pH 3.6 is in the safe zone",
                     lambda: float(haze_zone(3.6).value == "clear"), 1.0, 0.0,
                     "LaClair & Etzel 2009, J. Food Sci. 74", "seen"),
        OutsideCheck("whey-turbid", "whey drink at pH 4.0 with salt is in the risk zone",
                     lambda: float(haze_zone(4.0).value == "risk"), 1.0, 0.0,
                     "LaClair & Etzel 2009, J. Food Sci. 74", "seen"),
    )  # fmt: skip
