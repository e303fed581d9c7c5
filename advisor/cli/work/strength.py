"""``curdwise work strength``: mix, dilute, raise, freeze, serve, and the density behind it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.work.doses import ends, middle
from advisor.cli.work.job import job
from advisor.cli.work.options import Type, amount, noted, plain, read_amount, shared
from advisor.cli.work.sheet import Sheet, contains
from advisor.errors import AdvisorError, did_you_mean

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["strength"]

_OIML = "OIML R 22 (mass balance of ethanol and water)"
_NOTHING = 1e-6  # mL, g or %vol
_PARTS = re.compile(
    r"^(?P<volume>.+?)(?:\s+(?:at|@)\s+(?P<strength>.+?))?(?:\s+of\s+(?P<kind>[a-z0-9 -]+))?$", re.I
)


@click.group()
def strength() -> None:
    """Strength by volume, with contraction."""


class _Pour(Type):
    """``500 ml at 40 %``, ``250 ml`` (water) or ``200 ml of whole`` (milk)."""

    name = "pour"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[Number, Number, float]:
        found = _PARTS.match(str(value).strip())
        where = "POUR"
        if found is None:
            raise AdvisorError(
                "quantity", f"{str(value)[:40]!r} is not a pour", where=where,
                hint="write it like '500 ml at 40 %', '250 ml' or '200 ml of whole'",
            )
        volume = read_amount(found["volume"], "mL", where)
        strong = read_amount(found["strength"], "%vol", where) if found["strength"] else 0.0
        pour = volume, strong, _solids(found["kind"], where)
        noted(ctx, param, str(value), None)
        return pour


def _solids(kind: str | None, where: str) -> float:
    """Share of the volume that is not water; "milk" alone is whole milk."""
    from advisor.science.milks import MILKS

    word = (kind or "water").strip().lower().removesuffix(" milk").replace(" ", "-")
    if word == "water":
        return 0.0
    word = "whole" if word == "milk" else word
    if word not in MILKS:
        raise AdvisorError(
            "word", f"{kind!r} is neither water nor one of {', '.join(MILKS)}", where=where,
            hint=did_you_mean(word, MILKS),
        )
    return min(0.6, MILKS[word].solids_volume)


@job(strength, name="mix")
@click.argument("pours", nargs=-1, required=True, type=_Pour(), metavar="POUR...")
def mix(pours: tuple[tuple[Number, Number, float], ...]) -> Sheet:
    """Pour parts together: volume, strength and what contraction takes.

    A POUR is a volume, with "at" its strength, or "of" a kind of milk; alone it is water.

    \b
    curdwise work strength mix "500 ml at 96 %" "500 ml"
    curdwise work strength mix "750 ml at 40 %" "1 oz at 20 %" "200 ml of whole"
    """
    from advisor.science.estimate import propagate
    from advisor.science.mixing import Mixture, Part
    from advisor.science.mixing import mix as mixed

    inputs: dict[str, Number] = {}
    for i, (volume, strong, _) in enumerate(pours):
        inputs |= {f"v{i}": volume, f"s{i}": strong}

    def together(**at: float) -> Mixture:
        return mixed(Part(at[f"v{i}"], at[f"s{i}"], pours[i][2]) for i in range(len(pours)))

    sheet = Sheet()
    for key, title, unit, formula in (
        ("strength", "strength", "%vol", "ethanol / volume of the mixture at 20 °C"),
        ("volume", "volume", "mL", "mass / density of the mixture at 20 °C, solids added"),
        ("ethanol", "ethanol", "g", "sum of volume x strength x 0.78924 g/mL"),
        ("contraction", "lost by contraction", "mL", "volumes poured - volume of the mixture"),
    ):
        found = propagate(lambda key=key, **at: getattr(together(**at), key), inputs, unit=unit)
        found = _settled(found)
        sheet.add(key, title, found, formula=formula, source=_OIML)
    return sheet


def _settled(found: Estimate) -> Estimate:
    """Without the last digits of the arithmetic, where nothing is meant by them."""
    from advisor.science.estimate import Estimate

    value, low, high = (
        0.0 if abs(n) < _NOTHING else n for n in (found.value, found.low, found.high)
    )
    return Estimate(value, low, high, found.unit)


_VOLUME = amount("--volume", "volume", "mL", "Volume at 20 °C.", required=True)
_STRENGTH = amount("--strength", "strength", "%vol", "Its strength.", required=True)
_AT = amount("--at", "temperature", "degC", "Temperature; 20 if not said.", default="20")


@job(strength, name="dilute", plots=True)
@_VOLUME
@_STRENGTH
@amount("--to", "target_strength", "%vol", "Wanted strength.", required=True)
def dilute(volume: Number, strength: Number, target_strength: Number) -> Sheet:
    """Water to bring a spirit down to a strength.

    \b
    curdwise work strength dilute --volume "700 ml" --strength 60 --to 40
    curdwise work strength dilute --volume "1 L" --strength 63 --to 40 --plot
    """
    from advisor.cli.work.plots import Curve, curve_of
    from advisor.science.estimate import propagate
    from advisor.science.mixing import Part, water_to_dilute
    from advisor.science.mixing import mix as mixed

    inputs = {"volume": volume, "strength": strength, "target": target_strength}
    water = _settled(propagate(water_to_dilute, inputs, unit="mL"))
    final = propagate(
        lambda volume, strength, target: mixed(
            (Part(volume, strength), Part(water_to_dilute(volume, strength, target)))
        ).volume,
        inputs,
        unit="mL",
    )
    sheet = Sheet()
    sheet.add("water", "water to add", water, source=_OIML,
              formula="ethanol conserved by mass; volumes contract")
    sheet.add("volume", "makes", final, source=_OIML, formula="mass / density at the new strength")
    first, strong = middle(volume), middle(strength)

    def curve() -> Curve:
        line = curve_of(
            "strength", 0.0, max(1.0, 1.6 * water.value),
            lambda poured: mixed((Part(first, strong), Part(poured))).strength,
        )
        return Curve("Strength against water added", "water added, ml", "strength, %vol", (line,),
                     (("wanted", middle(target_strength)),))

    sheet.curve = curve
    return sheet



@job(strength, name="raise")
@_VOLUME
@_STRENGTH
@amount("--to", "target_strength", "%vol", "Wanted strength.", required=True)
@amount("--with", "spirit_strength", "%vol", "Strength of the stronger spirit.", required=True)
def lift(
    volume: Number, strength: Number, target_strength: Number, spirit_strength: Number
) -> Sheet:
    """Stronger spirit to bring a drink up to a strength, as after a wash.

    \b
    curdwise work strength raise --volume "900 ml" --strength 31 --to 35 --with 60
    """
    from advisor.science.estimate import propagate
    from advisor.science.mixing import spirit_to_raise

    sheet = Sheet()
    sheet.add(
        "spirit", "spirit to add",
        propagate(
            spirit_to_raise,
            {"volume": volume, "strength": strength, "target": target_strength,
             "spirit": spirit_strength},
            unit="mL",
        ),
        formula="mass balance of ethanol and water at the wanted strength", source=_OIML,
    )
    return sheet


@job(strength, name="restore")
@shared("drink", "drink_strength", "milk", "milk_kind", must=("drink", "drink_strength", "milk"))
@amount("--with", "top_up_strength", "%vol", "Strength of the stronger spirit; 60 if not said.")
@amount("--to", "target_strength", "%vol", "Wanted strength; the drink's own if not said.")
@amount("--finished", "bottled_ml", "mL", "The strained drink as measured; estimated if not said.")
def restore(**given: Any) -> Sheet:
    """Strength after the milk, and the spirit that brings the strained drink back.

    \b
    curdwise work strength restore --drink "1 L" --strength 40 --milk "250 ml" --with 60
    """
    sheet = Sheet()
    mixed = sheet.number("batch.mix_strength", **given)
    _finished_fits(given)
    wanted = given["target_strength"]
    if wanted is not None and middle(wanted) < mixed.low:
        from advisor.science.mixing import water_to_dilute

        litre = water_to_dilute(1000.0, mixed.value, middle(wanted))
        sheet.notes.append(
            f"It is stronger than that already: water, not spirit, brings it to "
            f"{middle(wanted):g} % vol, about {litre:.0f} ml to a litre."
        )
    else:
        sheet.figure("ethanol.top_up", title="spirit to bring it back", **given)
        times = Sheet().number("batch.overbuild", **given).value
        stronger = times * middle(given["drink_strength"] if wanted is None else wanted)
        if stronger < 96.0:
            sheet.figure(
                "batch.overbuild", unit="times", title="or build the drink stronger", **given
            )
        else:
            sheet.notes.append(
                f"Building it stronger cannot do it: it would take {stronger:.0f} % vol, and no "
                "spirit is sold above 96."
            )
    sheet.notes.append(contains(given.get("milk_kind")))
    return sheet


def _finished_fits(given: dict[str, Any]) -> None:
    """What was strained cannot be more than what was poured together."""
    bottled = given["bottled_ml"]
    if bottled is None:
        return
    poured = Sheet().number("batch.mix_volume", **given)
    if ends(bottled)[0] > poured.high * 1.01:
        raise AdvisorError(
            "out-of-range",
            f"{middle(bottled):.0f} ml is more than the {poured.value:.0f} ml of drink and milk",
            where="--finished", hint="give what came through, or the whole drink as --drink",
        )


@job(strength, name="density")
@amount("--strength", "strength", "%vol", "Strength, to learn the density.")
@plain("--density", "density", "Density in kg/m3, to learn the strength.", 700.0, 1400.0, "kg/m3")
@amount("--sugar", "sugar", "g/L", "Sugar in the drink, with --density.", default="0")
@_AT
def density(
    strength: Number | None, density: float | None, sugar: Number, temperature: Number
) -> Sheet:
    """Density of a strength, or the strength behind a density that was read.

    \b
    curdwise work strength density --strength 40
    curdwise work strength density --density 950
    curdwise work strength density --density 1010 --sugar 150
    """
    from advisor.science import ethanol
    from advisor.science.estimate import Estimate, propagate

    if (strength is None) == (density is None):
        raise AdvisorError(
            "options", "give one of the two: it is the other that is calculated",
            where="--strength, --density",
        )
    if strength is not None and middle(sugar) > 0.0:
        raise AdvisorError(
            "options", "sugar is only reckoned with a density that was read", where="--sugar",
            hint="give --density instead of --strength, or leave --sugar out",
        )
    sheet = Sheet()
    if density is not None and middle(sugar) > 0.0:
        found, half = ethanol.strength_with_sugar(density, middle(sugar), middle(temperature))
        sheet.add(
            "strength", "strength",
            Estimate(found, max(0.0, found - half), min(100.0, found + half), "%vol"),
            formula="sugar's mass and its 0.62 ml/g taken out, the rest read as ethanol and water",
            source="mass balance on OIML R 22; the sugar's volume and the interval are judgement",
        )
        return sheet
    if density is not None:
        strength = propagate(
            lambda temperature: ethanol.strength_from_density(density, temperature),
            {"temperature": temperature},
            unit="%vol",
        )
        sheet.add("strength", "strength", strength, formula="the density formula turned round",
                  source="OIML R 22")
    given: dict[str, Number] = {"strength": strength or 0.0, "temperature": temperature}
    sheet.add(
        "mass_percent", "strength by mass",
        propagate(ethanol.mass_percent, {"strength": given["strength"]}, unit="% by mass"),
        formula="volume share x 789.24 / density at 20 °C", source="OIML R 22",
    )
    sheet.add(
        "density", "density", propagate(ethanol.density, given, unit="kg/m3"),
        formula="OIML polynomial in mass share and temperature", source="OIML R 22",
    )
    return sheet


@job(strength, name="volume")
@amount("--volume", "volume", "mL", "Volume as it was measured.", required=True)
@_STRENGTH
@amount("--from", "measured_at", "degC", "Temperature when measured; 20 if not said.", default="20")
@amount("--at", "temperature", "degC", "The other temperature.", required=True)
def volume_at(
    volume: Number, strength: Number, measured_at: Number, temperature: Number
) -> Sheet:
    """What a measured volume becomes at another temperature.

    \b
    curdwise work strength volume --volume "1 L" --strength 40 --at -18
    """
    from advisor.science.estimate import propagate
    from advisor.science.ethanol import volume_at as becomes

    sheet = Sheet()
    sheet.add(
        "volume", "becomes",
        propagate(
            becomes,
            {"volume": volume, "strength": strength, "temperature": temperature,
             "measured_at": measured_at},
            unit="mL",
        ),
        formula="volume x density when measured / density at the other temperature",
        source="OIML R 22",
    )
    return sheet


@job(strength, name="freeze")
@amount("--strength", "spirit_strength", "%vol", "Strength.", required=True)
@amount("--at", "freezer_temperature", "degC", "Freezer; -18 if not said.", default="-18")
def freeze(spirit_strength: Number, freezer_temperature: Number) -> Sheet:
    """Where a spirit begins to freeze, and how much ice a freezer makes of it.

    \b
    curdwise work strength freeze --strength 25
    curdwise work strength freeze --strength 40 --at -25
    """
    given: dict[str, Any] = {
        "spirit_strength": spirit_strength, "freezer_temperature": freezer_temperature
    }
    sheet = Sheet()
    sheet.figure_if_it_holds("ethanol.freezing_point", **given)
    sheet.figure("ethanol.ice_share", **given)
    sheet.figure("ethanol.lowest_liquid_strength", **given)
    sheet.notes.append("Sugar lowers the freezing point further; it is not counted here.")
    return sheet


@job(strength, name="fire")
@amount("--strength", "spirit_strength", "%vol", "Strength.", required=True)
@amount("--spirit", "spirit_ml", "mL", "Spirit in hand, with --room.")
@plain("--room", "room_m3", "Air of the room in cubic metres, with --spirit.", 1.0, 1e6, "m3")
def fire(spirit_strength: Number, spirit_ml: Number | None, room_m3: float | None) -> Sheet:
    """From what temperature a spirit's vapour can catch fire, and how much air it can spoil.

    \b
    curdwise work strength fire --strength 40
    curdwise work strength fire --strength 60 --spirit "5 L" --room 20
    """
    from advisor.science.flash import BASIS
    from advisor.science.hazards import open_flame, vapour

    if (spirit_ml is None) != (room_m3 is None):
        raise AdvisorError("options", "these two go together", where="--spirit, --room")
    sheet = Sheet()
    sheet.figure("ethanol.flash_point", spirit_strength=spirit_strength)
    sheet.figure("ethanol.fire_category", spirit_strength=spirit_strength)
    sheet.notes.append(BASIS)
    sheet.cautions += open_flame(middle(spirit_strength))
    if spirit_ml is not None and room_m3 is not None:
        sheet.figure("fire.vapour_share", spirit_ml=spirit_ml, spirit_strength=spirit_strength,
                     room_m3=room_m3)
        sheet.cautions += vapour(ends(spirit_ml)[1], ends(spirit_strength)[1], room_m3)
    return sheet


@job(strength, name="serve")
@amount("--serve", "serve_ml", "mL", "One serve.", required=True)
@amount("--strength", "strength", "%vol", "Strength as it is served.", required=True)
def serve(serve_ml: Number, strength: Number) -> Sheet:
    """Ethanol in a serve, and standard drinks in the US, the UK and Australia.

    \b
    curdwise work strength serve --serve "1 1/2 us oz" --strength 40
    """
    from advisor.science import serving
    from advisor.science.estimate import propagate

    inputs = {"volume": serve_ml, "strength": strength}
    sheet = Sheet()
    sheet.add(
        "ethanol", "ethanol", propagate(serving.ethanol_grams, inputs, unit="g"),
        formula="serve x strength x 0.78924 g/mL", source="OIML R 22",
    )
    for basis, title in (
        ("us", "US standard drinks"), ("uk", "UK units"), ("au", "Australian standard drinks"),
    ):
        sheet.add(
            f"drinks_{basis}", title,
            propagate(
                lambda volume, strength, basis=basis: serving.standard_drinks(
                    volume, strength, basis
                ),
                inputs,
                unit="drinks",
            ),
            formula="grams of ethanol / grams of one standard drink", source=serving.BASES[basis],
        )
    return sheet
