"""The freezing curve of ethanol-water by mass fraction, and straight lines between its points.

Source: Melinder, *Properties of Secondary Working Fluids for Indirect Systems*
(International Institute of Refrigeration, 2010), evaluated every 2.5 mass % from
the published fit; water itself is put at 0 degC. Lange's *Handbook of Chemistry*,
Table 5.13, and the CRC *Handbook of Chemistry and Physics*, "Concentrative
properties", lie within 1.5 degC of it.
"""

from __future__ import annotations

from bisect import bisect_right

__all__ = ["HIGHEST_FRACTION", "LOWEST_POINT", "fraction_freezing_at", "freezing_at"]

_STEP = 0.025
_POINTS = (
    0.0,
    -1.021,
    -2.029,
    -3.133,
    -4.379,
    -5.794,
    -7.391,
    -9.169,
    -11.119,
    -13.220,
    -15.445,
    -17.764,
    -20.140,
    -22.539,
    -24.924,
    -27.265,
    -29.533,
    -31.708,
    -33.778,
    -35.742,
    -37.611,
    -39.410,
    -41.182,
    -42.989,
    -44.910,
)
_RISING = tuple(-point for point in _POINTS)

HIGHEST_FRACTION = _STEP * (len(_POINTS) - 1)
LOWEST_POINT = _POINTS[-1]


def freezing_at(fraction: float) -> float:
    """Where ice begins (degC) at a mass fraction; held at the last point above 0.60."""
    place = fraction / _STEP
    if place >= len(_POINTS) - 1:
        return LOWEST_POINT
    left = int(place)
    return _POINTS[left] + (place - left) * (_POINTS[left + 1] - _POINTS[left])


def fraction_freezing_at(temperature: float) -> float:
    """The mass fraction whose ice begins at ``temperature`` (degC, -44.9 to 0)."""
    depth = -temperature
    if depth >= _RISING[-1]:
        return HIGHEST_FRACTION
    left = bisect_right(_RISING, depth) - 1
    return _STEP * (left + (depth - _RISING[left]) / (_RISING[left + 1] - _RISING[left]))
