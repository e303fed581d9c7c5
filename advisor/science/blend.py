"""pH when sour liquids meet: each keeps its acids and its own salts.

A liquid is known by its weak acids and its pH; the strong ions that reconcile the two
(potassium of a juice, calcium of a whey) follow from its charge balance and are
conserved on mixing. pH is on the water scale of ``milk_buffer``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from advisor.science._guard import within
from advisor.science.acids import CITRIC, CITRIC_MASS, LACTIC, PHOSPHORIC, acidulant
from advisor.science.equilibrium import solve_ph
from advisor.science.estimate import Estimate
from advisor.science.milk_salts import serum_millimolar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.science.equilibrium import WeakAcid

__all__ = ["Sour", "acid_behind_ph", "blend_ph", "citric_drink", "ph_of_drink", "whey_like"]

_LACTIC_MASS = 90.08


class Sour(NamedTuple):
    """A liquid: volume (mL), (acid, mol/L), strong cations less strong anions (mol/L)."""

    volume: float
    acids: tuple[tuple[WeakAcid, float], ...]
    strong: float


def _strong_for(acids: Sequence[tuple[WeakAcid, float]], ph: float) -> float:
    """Strong ions (mol/L) that bring these acids to ``ph``."""
    low, high = -1.0, 3.0 * sum(amount for _, amount in acids) + 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if solve_ph(acids, middle, guess=ph, tolerance=1e-5).ph < ph:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _juice_salts() -> float:
    """mol of strong cation per mol of citric acid in lemon juice."""
    juice = acidulant("lemon-juice")
    return juice.cation / juice.acids[0][1]


def citric_drink(volume: float, acid: float, ph: float | None = None) -> Sour:
    """A drink with ``acid`` g/L as citric; its salts from ``ph``, else those of lemon juice."""
    within("volume", volume, 0.0, 1e9, "mL")
    moles = within("acid", acid, 0.0, 200.0, "g/L") / CITRIC_MASS
    acids = ((CITRIC, moles),)
    if ph is None:
        return Sour(volume, acids, moles * _juice_salts())
    return Sour(volume, acids, _strong_for(acids, within("pH", ph, 0.5, 12.0, "pH")))


def ph_of_drink(kind: str, share: float) -> float:
    """pH of a drink that holds ``share`` litres of a sour liquid (its salts too) a litre."""
    if within("share", share, 0.0, 5.0, "L/L") <= 0.0:
        return 7.0
    item = acidulant(kind)
    acids = [(acid, 1000.0 * per * share) for acid, per in item.acids]
    return solve_ph(acids, 1000.0 * item.cation * share, guess=3.0, tolerance=1e-5).ph


def acid_behind_ph(ph: float) -> Estimate:
    """g/L of citric acid behind a pH from 1.5 to 6: at least what that pH takes without salts.

    A pH tells how little acid there may be, not how much: the potassium of a juice hides the
    rest. Value and low end are the least; the high end is 15 g/L more, a drink with a third
    of juice (judgement).
    """
    within("pH", ph, 1.5, 6.0, "pH")
    low, high = 1e-7, 500.0
    for _ in range(60):
        middle = (low * high) ** 0.5
        if solve_ph(((CITRIC, middle / CITRIC_MASS),), guess=ph, tolerance=1e-5).ph > ph:
            low = middle
        else:
            high = middle
    least = (low * high) ** 0.5
    return Estimate(least, least, least + 15.0, "g/L")


def whey_like(volume: float, lactic: float, ph: float) -> Sour:
    """Whey of that acidity (g/L as lactic) and pH, with the phosphate and citrate of milk serum."""
    within("volume", volume, 0.0, 1e9, "mL")
    within("lactic", lactic, 0.0, 50.0, "g/L")
    acids = (
        (LACTIC, lactic / _LACTIC_MASS),
        (PHOSPHORIC, serum_millimolar("phosphate") / 1000.0),
        (CITRIC, serum_millimolar("citrate") / 1000.0),
    )
    return Sour(volume, acids, _strong_for(acids, within("pH", ph, 2.0, 9.0, "pH")))


def blend_ph(parts: Sequence[Sour]) -> float:
    """pH of the parts poured together; ``ValueError`` when there is no volume."""
    total = sum(part.volume for part in parts)
    if total <= 0.0:
        raise ValueError("volume is 0 mL; at least one part must have some")
    acids = tuple(
        (acid, moles * part.volume / total) for part in parts for acid, moles in part.acids
    )
    strong = sum(part.strong * part.volume for part in parts) / total
    return solve_ph(acids, strong, guess=4.0, tolerance=1e-6).ph
