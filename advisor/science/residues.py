"""How much milk protein and lactose a serve may hold: information, never a clearance.

Acid takes out casein only; whey proteins stay dissolved at pH 4.6 and are invisible.
The smallest amounts here lie above the doses to which some people with milk allergy
react, so the ``milk`` declaration stays whatever these numbers say.
"""

from __future__ import annotations

from advisor.science._guard import within
from advisor.science.estimate import Estimate

__all__ = [
    "BUTTER_PROTEIN",
    "ED01",
    "ED05",
    "LACTOSE_WARNING",
    "WINE_TEST_LIMIT",
    "butter_protein",
    "lactose_note",
    "lactose_per_serve",
    "whey_protein",
    "whey_protein_per_serve",
]

ED01 = (0.2, 0.4)
"""mg milk protein to which about 1 in 100 allergic people react (Blom et al. 2022 and others)."""
ED05 = (2.4, 4.3)
"""mg milk protein to which about 1 in 20 allergic people react (Blom et al. 2022 and others)."""
WINE_TEST_LIMIT = 0.25
"""mg/L; detection limit of the wine test (OIV-OENO 427-2010). Not a dose anybody tolerates."""
LACTOSE_WARNING = 6.0
"""g per serve; some maldigesters react below it, most take 12 g (EFSA Journal 2010, op. 1777)."""
BUTTER_PROTEIN = 0.0073
"""g protein per g butter: at most 2 % milk solids-not-fat (CXS 279), 37 % of them protein."""

_LEFT = Estimate(0.20, 0.10, 0.24)  # share of milk protein left dissolved: hot 0.10, cold to 0.24


def _amounts(milk_ml: float, batch_ml: float, serve_ml: float) -> float:
    within("milk_ml", milk_ml, 0.0, 1e9, "mL")
    within("batch_ml", batch_ml, 1e-6, 1e9, "mL")
    return within("serve_ml", serve_ml, 0.0, batch_ml, "mL") / batch_ml


def whey_protein(milk_ml: float, batch_ml: float, protein_g_per_litre: float = 33.0) -> Estimate:
    """Milk protein that may stay dissolved, mg per litre of finished batch."""
    _amounts(milk_ml, batch_ml, 0.0)
    within("protein", protein_g_per_litre, 0.0, 150.0, "g/L")
    put_in = milk_ml * protein_g_per_litre / (batch_ml / 1000)
    return Estimate(put_in * _LEFT.value, put_in * _LEFT.low, put_in * _LEFT.high, "mg/L")


def whey_protein_per_serve(
    milk_ml: float, batch_ml: float, serve_ml: float, protein_g_per_litre: float = 33.0
) -> Estimate:
    """Milk protein that may be in one serve of a milk-washed batch, mg."""
    _amounts(milk_ml, batch_ml, serve_ml)
    per_litre = whey_protein(milk_ml, batch_ml, protein_g_per_litre)
    scale = serve_ml / 1000
    return Estimate(per_litre.value * scale, per_litre.low * scale, per_litre.high * scale, "mg")


def butter_protein(butter_g: float, spirit_ml: float, serve_ml: float, transferred: float) -> float:
    """Milk protein in a serve of butter-washed spirit, mg, if the share ``transferred`` passes."""
    within("butter_g", butter_g, 0.0, 1e7, "g")
    within("transferred", transferred, 0.0, 1.0, "")
    share = _amounts(0.0, spirit_ml, serve_ml)
    return butter_g * BUTTER_PROTEIN * 1000 * transferred * share


def lactose_per_serve(
    milk_ml: float, batch_ml: float, serve_ml: float, lactose_g_per_litre: float = 48.0
) -> float:
    """Lactose in one serve, g; all of it stays dissolved. The milk flag is apart."""
    within("lactose", lactose_g_per_litre, 0.0, 800.0, "g/L")
    return milk_ml * lactose_g_per_litre / 1000 * _amounts(milk_ml, batch_ml, serve_ml)


def lactose_note(grams: float) -> str:
    """``none``, ``note`` (some) or ``warn`` (above 6 g a serve); says nothing of allergy."""
    within("lactose", grams, 0.0, 1000.0, "g")
    if grams == 0:
        return "none"
    return "warn" if grams > LACTOSE_WARNING else "note"
