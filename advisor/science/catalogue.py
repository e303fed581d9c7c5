"""Imports every module that registers calculations, so that the registry is complete."""

from advisor.science import (
    batch,
    batch_acid,
    batch_curd,
    batch_dose,
    batch_spirit,
    craft,
    craft_fat,
    craft_keeping,
)

__all__ = [
    "batch",
    "batch_acid",
    "batch_curd",
    "batch_dose",
    "batch_spirit",
    "craft",
    "craft_fat",
    "craft_keeping",
]
