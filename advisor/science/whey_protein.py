"""How much whey protein stays native, and so dissolved, after heat.

beta-Lactoglobulin: second order, ``log10 k = 37.95 - 14510 / T`` (L per g per s, T in
kelvin), 3 g/L at the start: Lyster 1970, *Journal of Dairy Research* 37:233, 68-90 degC
(equation from memory; it returns the calculated row of its table within 2
points and the measured one, Larson & Rolleri 1955, within 12). alpha-Lactalbumin: first order
through the three measured points of the same table.

"Native" here means still soluble. By calorimetry alpha-lactalbumin unfolds first, but it
folds back; by loss of solubility it is the more stable one.
"""

from __future__ import annotations

import math

from advisor.science._guard import within
from advisor.science.estimate import Estimate

__all__ = ["native_alpha_lactalbumin", "native_beta_lactoglobulin", "native_whey_protein"]

_BETA_START = 3.0  # g/L
_TABLE_MISS = 12.0  # points, measured against calculated
# Shares of whey protein: beta-lactoglobulin with the equally heat-shy albumin and
# immunoglobulins, alpha-lactalbumin, and proteose peptone that heat does not touch (judgement).
_BETA_LIKE, _ALPHA, _UNTOUCHED = 0.65, 0.20, 0.15


def _checked(temperature: float, minutes: float) -> tuple[float, float]:
    within("temperature", temperature, 0.0, 150.0, "degC")
    within("time", minutes, 0.0, 600.0, "min")
    return temperature + 273.15, 60.0 * minutes


def native_beta_lactoglobulin(temperature: float, minutes: float) -> Estimate:
    """Native share (%) after ``minutes`` at ``temperature`` degC (0-150; fitted 68-90).

    Interval +-12 points within 60-96 degC at some minutes to an hour, +-20 outside.
    """
    kelvin, seconds = _checked(temperature, minutes)
    rate = 10.0 ** (37.95 - 14510.0 / kelvin)
    value = 100.0 / (1.0 + rate * _BETA_START * seconds)
    return _points(value, temperature)


def native_alpha_lactalbumin(temperature: float, minutes: float) -> Estimate:
    """Native share (%) after ``minutes`` at ``temperature`` degC (fitted 74-82, 30 min)."""
    kelvin, seconds = _checked(temperature, minutes)
    rate = 3.33e-4 * math.exp(-20700.0 * (1.0 / kelvin - 1.0 / 350.15))
    return _points(100.0 * math.exp(-rate * seconds), temperature)


def native_whey_protein(temperature: float, minutes: float) -> Estimate:
    """Native share (%) of all whey protein; the weighting of its kinds is judgement."""
    beta = native_beta_lactoglobulin(temperature, minutes).value
    alpha = native_alpha_lactalbumin(temperature, minutes).value
    return _points(_BETA_LIKE * beta + _ALPHA * alpha + 100.0 * _UNTOUCHED, temperature)


def _points(value: float, temperature: float) -> Estimate:
    half = _TABLE_MISS if 60.0 <= temperature <= 96.0 else 20.0
    if temperature < 60.0:
        half = min(half, 2.0 + max(0.0, temperature - 40.0) / 2.0)
    return Estimate(value, max(0.0, value - half), max(value, min(100.0, value + half)), "%")
