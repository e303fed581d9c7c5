"""The salts of cow milk, for the charge balance.

Source: Fox & McSweeney 1998, *Dairy Chemistry and Biochemistry*, Table 5.6 (mg/L and % in the
serum); mmol/L by molar mass. Its "phosphate 750 mg/L" is phosphorus: read as PO4 it would give
7.9 mmol/L, against the 21 of Holt 2004. Colloidal phosphate is 8 (Holt) or 13.8 mmol/L
(57 % of 24.2 here): keep +-25 % on it.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["SALTS", "millimolar", "serum_millimolar"]

# Ion: mg/L of milk, g/mol, share in the serum.
SALTS: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {
        "sodium": (500.0, 22.99, 0.92),
        "potassium": (1450.0, 39.10, 0.92),
        "chloride": (1200.0, 35.45, 1.00),
        "sulphate": (100.0, 96.06, 1.00),
        "phosphate": (750.0, 30.97, 0.43),  # mg of P
        "citrate": (1750.0, 189.0, 0.94),
        "calcium": (1200.0, 40.08, 0.34),
        "magnesium": (130.0, 24.31, 0.67),
    }
)


def millimolar(ion: str) -> float:
    """mmol per litre of milk, serum and micelles together; ``ValueError`` for an unknown ion."""
    if ion not in SALTS:
        raise ValueError(f"ion is {ion!r}; it must be one of {', '.join(sorted(SALTS))}")
    grams, molar_mass, _ = SALTS[ion]
    return grams / molar_mass


def serum_millimolar(ion: str) -> float:
    """mmol per litre of milk that are dissolved in the serum."""
    return millimolar(ion) * SALTS[ion][2]
