"""``curdwise work spin``, ``settle``, ``filter`` and ``clarity``: getting the drink clear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.work.doses import ends, middle
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, plain
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["clarity", "filter_", "settle", "spin"]

_STOKES = "Stokes' law"
_PARTICLE = amount("--particle", "diameter", "um", "Diameter of the particle.", required=True)
_DIFFERENCE = plain(
    "--heavier", "density_difference",
    "How much denser the particle is than the liquid, kg/m3; below 0 it rises.",
    -2000.0, 20_000.0, "kg/m3", required=True,
)
_VISCOSITY = plain(
    "--viscosity", "viscosity", "Viscosity of the liquid, mPa s; water is 1.",
    0.05, 1e6, "mPa s", default="1.0",
)


@job(name="spin")
@plain("--rpm", "rpm", "Speed, rpm.", 0.0, 2e5, "rpm")
@plain("--pull", "pull", "Wanted pull in multiples of gravity, to learn the speed.", 0.0, 1e6)
@amount("--radius", "radius_cm", "cm", "Radius at the bottom of the tube.", required=True)
@amount("--inner", "inner_cm", "cm", "Radius at the surface of the liquid, for the time.")
@amount("--particle", "diameter", "um", "Diameter of the particle, for the time.")
@plain(
    "--heavier", "density_difference", "How much denser the particle is, kg/m3, for the time.",
    -2000.0, 20_000.0, "kg/m3",
)
@_VISCOSITY
@amount("--strength", "strength", "%vol", "Strength of the liquid, for the warning.", default="40")
def spin(
    rpm: float | None, pull: float | None, radius_cm: Number, inner_cm: Number | None,
    diameter: Number | None, density_difference: float | None, viscosity: float, strength: Number,
) -> Sheet:
    """Pull of a spin, the speed for a pull, and how long a particle takes to the bottom.

    \b
    curdwise work spin --rpm 3000 --radius "10 cm"
    curdwise work spin --pull 1000 --radius "10 cm"
    curdwise work spin --rpm 4000 --radius "15 cm" --inner "8 cm" --particle "1 um" --heavier 100
    """
    from advisor.science import separation
    from advisor.science.estimate import propagate
    from advisor.science.hazards import centrifuge

    if (rpm is None) == (pull is None):
        raise AdvisorError("options", "give one of the two", where="--rpm, --pull")
    sheet = Sheet()
    source = "Rickwood 1978 (1.118e-5 r rpm^2); arithmetic"
    turning: Number = rpm or 0.0
    if pull is not None:
        turning = propagate(
            separation.rpm_for, {"pull": pull, "radius_cm": radius_cm}, unit="rpm"
        )
        sheet.add("rpm", "speed", turning, "rpm", formula="sqrt(pull / (1.1182e-5 r))",
                  source=source)
    else:
        pull_there = propagate(separation.rcf, {"radius_cm": radius_cm, "rpm": turning}, unit="x g")
        sheet.add("pull", "pull", pull_there,
                  formula="1.1182e-5 x radius in cm x rpm squared", source=source)
    if diameter is not None:
        if inner_cm is None or density_difference is None:
            raise AdvisorError(
                "options", "a time needs both as well", where="--inner, --heavier",
                hint="the radius at the surface of the liquid, and how much denser the particle is",
            )
        minutes = propagate(
            separation.spin_time,
            {"diameter": diameter, "density_difference": density_difference,
             "viscosity": viscosity, "inner_cm": inner_cm, "outer_cm": radius_cm, "rpm": turning},
            unit="min",
        )
        sheet.add("time", "time to the bottom", minutes,
                  formula="18 viscosity ln(outer / inner) / (d^2 density difference w^2)",
                  source=f"{_STOKES} in a spin; a swinging bucket")
    sheet.cautions += centrifuge(middle(strength))
    return sheet


@job(name="settle")
@_PARTICLE
@_DIFFERENCE
@_VISCOSITY
@amount("--height", "height_mm", "mm", "Height to cross.", default="100 mm")
def settle(
    diameter: Number, density_difference: float, viscosity: float, height_mm: Number
) -> Sheet:
    """How fast a particle sinks or creams, and how long it takes over a height.

    \b
    curdwise work settle --particle "10 um" --heavier 50 --height "10 cm"
    curdwise work settle --particle "3 um" --heavier -80 --viscosity 1.5
    """
    from advisor.science import separation
    from advisor.science.estimate import propagate

    given = {"diameter": diameter, "density_difference": density_difference, "viscosity": viscosity}
    speed = propagate(lambda **at: abs(separation.settling_speed(**at)), given, unit="um/s")
    sheet = Sheet()
    sheet.add("speed", "sinks at" if density_difference >= 0 else "rises at", speed,
              formula="g d^2 density difference / (18 viscosity)", source=_STOKES)
    hours = propagate(separation.rise_time, {**given, "height_mm": height_mm}, unit="h")
    sheet.add("time", "time for the height", hours, formula="height / speed", source=_STOKES)
    sheet.notes.append("Real bottles take longer: warmth stirs them.")
    return sheet


@job(name="filter")
@amount("--particle", "particle", "um", "Diameter of the particle.", required=True)
@amount("--known", "known_hours", "h", "How long a run took, to learn how long a new one takes.")
@plain("--volume", "volume", "New volume over old.", 1e-6, 1e6, default="1")
@plain("--area", "area", "New filter area over old.", 1e-6, 1e6, default="1")
@plain("--depth", "bed_depth", "New depth of the curd bed over old.", 1e-6, 1e6, default="1")
def filter_(
    particle: Number, known_hours: Number | None, volume: float, area: float, bed_depth: float
) -> Sheet:
    """Which filters hold a particle back, and how long a run takes at another size.

    \b
    curdwise work filter --particle "30 um"
    curdwise work filter --particle "30 um" --known "2 h" --volume 4 --area 2
    """
    from advisor.science import separation
    from advisor.science.estimate import propagate

    if known_hours is None and (volume, area, bed_depth) != (1.0, 1.0, 1.0):
        raise AdvisorError(
            "options", "another size needs a time to start from", where="--volume, --area, --depth",
            hint='give the time of a run that is known: --known "2 h"',
        )
    size = middle(particle)
    best = separation.filter_for(size)
    sheet = Sheet()
    rated = "usual ratings of filters, from memory, not yet verified"
    sheet.add("fastest", "fastest that holds it", best.id if best else "none",
              formula="the coarsest filter rated at or below the particle", source=rated)
    for item in separation.FILTERS:
        sheet.add(f"through_{item.id.replace('-', '_')}", f"through {item.name}",
                  separation.passes(item.id, size),
                  formula=f"rated {item.low:g} to {item.high:g} µm", source=rated)
    if best is None:
        sheet.notes.append("Only the curd bed holds this: pour the first cloudy run back over it.")
    if known_hours is not None:
        hours = propagate(
            separation.filter_time,
            {"known_hours": known_hours, "volume": volume, "area": area, "bed_depth": bed_depth},
            unit="h",
        )
        sheet.add("time", "time for the new run", hours,
                  formula="known time x volume x depth / area", source="Darcy's law")
        sheet.notes.append("A bed that clogs takes longer than this.")
    return sheet


@job(name="clarity")
@amount("--turbidity", "turbidity", "NTU", "Reading of a turbidity meter.", required=True)
def clarity(turbidity: Number) -> Sheet:
    """A turbidity in words, and in the other scales.

    \b
    curdwise work clarity --turbidity 8
    """
    from advisor.science import separation
    from advisor.science.estimate import propagate

    ebc = propagate(separation.ebc_from_ntu, {"ntu": turbidity}, unit="EBC")
    words = list(dict.fromkeys(separation.clarity(end) for end in ends(turbidity)))
    scales = "1 EBC = 4 NTU = 69 ASBC, from memory, not yet verified"
    sheet = Sheet()
    sheet.add("clarity", "this is", " to ".join(words),
              formula="clear to 1, bright to 2, dull to 4, cloudy to 200 NTU, milky above",
              source="oenology texts; 200 as an unsettled must")
    sheet.add("ebc", "EBC units", ebc, "EBC", formula="NTU / 4", source=scales)
    asbc = propagate(
        lambda ntu: separation.asbc_from_ebc(separation.ebc_from_ntu(ntu)), {"ntu": turbidity},
        unit="ASBC",
    )
    sheet.add("asbc", "ASBC units", asbc, "ASBC", formula="EBC x 69", source=scales)
    return sheet
