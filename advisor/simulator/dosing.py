"""Whey joins a drink: pH, protein, fines, fat, casein that was never split, grains from heat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.science.acids import LACTIC, PHOSPHORIC
from advisor.science.equilibrium import WeakAcid, protons_released, solve_ph
from advisor.science.mixing import Part, mix
from advisor.science.whey_protein import native_whey_protein
from advisor.simulator.curdling import casein_free_share

if TYPE_CHECKING:
    from advisor.simulator.making import WheyUse

__all__ = ["Dosed", "dose"]

_CITRATE = WeakAcid("citrate of milk", (3.13, 4.76, 6.40), carboxyls=3)
_FULL, _ONSET = 4.7, 5.25  # split of casein that came along, at room temperature


@dataclass(frozen=True, slots=True)
class Dosed:
    """The drink with whey in it. g/L and mg/L of the whole."""

    ml: float
    strength: float
    share: float
    ph: float
    protein: float  # native and dissolved, g/L
    grains: float  # mg/L set by heat
    fines: float
    fat: float
    casein_left: float
    flakes: float  # mg/L of casein that the drink's acid split
    salt: float
    lactose: float


def dose(
    drink_ml: float,
    strength: float,
    acids: list[tuple[WeakAcid, float]],
    cation: float,
    whey: WheyUse,
) -> Dosed:
    """``drink_ml`` of a drink with those acids (mol/L) and that strong cation, with the whey in."""
    mixed = mix((Part(drink_ml, strength), Part(whey.ml, 0.0, 0.04)))
    share = whey.ml / (drink_ml + whey.ml)
    inside = [(acid, amount * (1.0 - share)) for acid, amount in acids]
    own = ((LACTIC, 0.044 if whey.ph < 5.2 else 0.014), (_CITRATE, 0.009), (PHOSPHORIC, 0.018))
    balance = sum(protons_released(acid, whey.ph) * amount for acid, amount in own)
    inside += [(acid, amount * share) for acid, amount in own]
    ph = solve_ph(inside, cation * (1.0 - share) + balance * share, guess=3.5, tolerance=1e-4).ph
    heat = {"not-heated": 0.0, "alone-then-filtered": 0.0, "alone-not-filtered": 1.0,
            "in-the-drink": 1.0}[whey.heated]  # fmt: skip
    native = native_whey_protein(82.0, 10.0).value / 100.0 if heat else 1.0
    protein = whey.protein * share
    held = casein_free_share(ph, _FULL, _ONSET)
    casein = whey.casein * share
    return Dosed(
        ml=mixed.volume, strength=mixed.strength, share=share, ph=ph, protein=protein * native,
        grains=1000.0 * protein * (1.0 - native), fines=whey.fines * share, fat=whey.fat * share,
        casein_left=casein * held, flakes=1000.0 * casein * (1.0 - held), salt=whey.salt * share,
        lactose=52.0 * share,
    )  # fmt: skip
