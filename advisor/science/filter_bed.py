"""How wide a filter a curd needs, how long the drink takes through it, and how many to set up.

Clarity and speed come from a flat curd bed 1-2 cm deep. When the batch grows and the filter
does not, the bed grows deeper and time goes with the square of the volume: widen the area.
Areas in cm2, depths in cm, times in hours.
"""

from __future__ import annotations

import math

from advisor.science._guard import within
from advisor.science.curd_yield import curd_mass, curd_moisture
from advisor.science.estimate import Estimate, propagate
from advisor.science.separation import filter_time

__all__ = [
    "BED_DEPTH",
    "KNOWN_RUN",
    "bed_area",
    "bed_depth",
    "bed_hours",
    "filter_width",
    "usual_area",
]

BED_DEPTH = Estimate(1.5, 1.0, 2.0, "cm")
"""Common practice, no source."""

KNOWN_RUN = Estimate(2.5, 1.5, 4.0, "h")
"""1 L of drink and milk at 4 : 1 through its own curd, 1.5 cm deep: 2-3 h per litre is common
practice (no source); the ends are judgement."""

_CURD_DENSITY = 1.05  # g/mL, drained
_KNOWN_MIX, _KNOWN_MILK = 1000.0, 200.0


def bed_area(curd_g: float, depth: float = BED_DEPTH.value) -> float:
    """Filter area (cm2) that ``curd_g`` grams of drained curd cover ``depth`` cm deep."""
    within("curd", curd_g, 0.0, 1e7, "g")
    within("depth", depth, 0.1, 20.0, "cm")
    return curd_g / _CURD_DENSITY / depth


def bed_depth(curd_g: float, area: float) -> float:
    """Depth (cm) of the bed on ``area`` cm2."""
    within("curd", curd_g, 0.0, 1e7, "g")
    within("area", area, 1.0, 1e6, "cm2")
    return curd_g / _CURD_DENSITY / area


def filter_width(area: float) -> float:
    """Width (cm) of one round filter of ``area`` cm2."""
    return math.sqrt(4.0 * within("area", area, 0.01, 1e6, "cm2") / math.pi)


def usual_area(mix_ml: float) -> float:
    """Filter area (cm2) that runs ``mix_ml`` in the time of ``KNOWN_RUN`` with a bed as deep."""
    return _known_area() * within("mix", mix_ml, 0.0, 1e7, "mL") / _KNOWN_MIX


def _known_area() -> float:
    return bed_area(curd_mass(_KNOWN_MILK, "whole", curd_moisture().value))


def bed_hours(mix_ml: float, curd_g: float, area: float) -> Estimate:
    """Hours for ``mix_ml`` through the bed of ``curd_g`` on ``area`` cm2, from ``KNOWN_RUN``.

    Darcy's law (``separation.filter_time``): with volume and depth, against area. Fine or cold
    curd takes longer than the interval says.
    """
    within("mix", mix_ml, 1.0, 1e7, "mL")
    within("area", area, 1.0, 1e6, "cm2")
    depth = max(0.05, bed_depth(curd_g, area))
    return propagate(
        lambda known: filter_time(
            known,
            volume=mix_ml / _KNOWN_MIX,
            area=area / _known_area(),
            bed_depth=depth / BED_DEPTH.value,
        ),
        {"known": KNOWN_RUN},
        unit="h",
    )
