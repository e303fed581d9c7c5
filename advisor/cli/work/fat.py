"""``curdwise work fat``: a fat wash, and which way aroma moves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.work.doses import ends, fat_inputs, middle
from advisor.cli.work.job import job
from advisor.cli.work.options import Dose, amount, kind
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["fat"]

_MOST_FAT = 100.0  # % of the spirit: more than that is fat with spirit in it
_FAT = kind("--fat", "fat_kind", "fat", "Which fat", required=True)
_HOW_MUCH = click.option(
    "--amount", "fat_amount", type=Dose(), metavar="AMOUNT", required=True,
    help="How much fat, as a weight or as a melted volume.",
)
_SPIRIT = amount("--spirit", "spirit_ml", "mL", "Spirit.", required=True)
_STRENGTH = amount("--strength", "spirit_strength", "%vol", "Its strength.", required=True)


@click.group()
def fat() -> None:
    """Fat washing."""


@job(fat, name="wash")
@_FAT
@_HOW_MUCH
@_SPIRIT
@_STRENGTH
@amount("--cold", "cold_temperature", "degC", "Where it is chilled; 4 if not said.")
@amount("--part-at", "parting_temperature", "degC", "Where fat and spirit part; 20 if not said.")
@amount("--fat-at", "fat_temperature", "degC", "How hot the fat is when it meets the spirit.")
def wash(
    fat_kind: str, fat_amount: dict[str, Number], spirit_ml: Number, spirit_strength: Number,
    cold_temperature: Number | None, parting_temperature: Number | None,
    fat_temperature: Number | None,
) -> Sheet:
    """Rate against practice, whether the fat sets and floats, strength after it, spirit back.

    \b
    curdwise work fat wash --fat plain-butter --amount "113.4 g" --spirit "750 ml" --strength 40
    curdwise work fat wash --fat sesame-oil --amount "60 ml" --spirit "700 ml" \\
        --strength 57 --cold -18
    """
    from advisor.science.hazards import hot_fat

    given = fat_inputs(fat_kind, fat_amount) | {
        "spirit_ml": spirit_ml, "spirit_strength": spirit_strength,
        "cold_temperature": cold_temperature, "parting_temperature": parting_temperature,
    }
    if ends(next(iter(fat_amount.values())))[1] <= 0.0:
        raise AdvisorError("amount-impossible", "no fat washes nothing", where="--amount")
    sheet = Sheet()
    rate = Sheet().number("fat.rate", **given).value
    if rate > _MOST_FAT:
        raise AdvisorError(
            "amount-impossible", f"{rate:.0f} % is more fat than spirit, and no wash",
            where="--amount", hint="the trade takes 5 to 35 % (common practice, no source)",
        )
    for name in (
        "fat.rate", "fat.rate_word", "fat.sets_at", "fat.solid_share", "fat.floats",
        "fat.stops_floating_at", "fat.water_strength", "fat.spirit_back",
    ):  # fmt: skip
        sheet.figure(name, **given)
    _of_paste(sheet, fat_kind)
    sheet.notes += _slush(spirit_strength, cold_temperature)
    if fat_temperature is not None:
        sheet.cautions += hot_fat(middle(fat_temperature))
    sheet.notes += _allergens(fat_kind)
    return sheet


def _of_paste(sheet: Sheet, fat_kind: str) -> None:
    """A fat that is cold and hard yet never sets as a cake: say which of the two is meant."""
    from dataclasses import replace

    from advisor.science.fats import fat as known

    if known(fat_kind).sets != "never":
        return
    for place, line in enumerate(sheet.lines):
        if line.key == "fat_sets_at":
            said = "never as a cake that lifts off: pour the spirit off it, or strain it"
            sheet.lines[place] = replace(line, said=said)
        elif line.key == "fat_solid_share":
            sheet.lines[place] = replace(line, title="how much of its oil is solid")


def _slush(strength: Number, cold: Number | None) -> list[str]:
    """A word where the spirit itself freezes at the cold that is to set the fat."""
    at = 4.0 if cold is None else middle(cold)
    if at >= 0.0 or middle(strength) > 67.0:
        return []
    ice = Sheet().number(
        "ethanol.ice_share", spirit_strength=strength, freezer_temperature=max(-43.0, at)
    )
    if ice.value < 1.0:
        return []
    free = Sheet().number("ethanol.lowest_liquid_strength", freezer_temperature=max(-43.0, at))
    return [
        f"At {at:g} °C about {ice.value:.0f} % of this spirit is ice: slush that holds the fat and "
        f"cannot be poured off it. Chill it at 4 °C; from about {free.high:.0f} % vol it stays "
        "liquid there."
    ]


def _allergens(fat_kind: str) -> list[str]:
    from advisor.science.fats import fat as known

    held = known(fat_kind).contains
    if not held:
        return []
    return [f"Contains {', '.join(held)}: the spirit keeps traces however well it is strained."]


@job(fat, name="aroma")
@_FAT
@_HOW_MUCH
@_SPIRIT
@_STRENGTH
@kind("--compound", "compound", "compound", "Aroma compound", required=True)
def aroma(
    fat_kind: str, fat_amount: dict[str, Number], spirit_ml: Number, spirit_strength: Number,
    compound: str,
) -> Sheet:
    """How much of an aroma of the spirit the fat takes: an upper bound.

    \b
    curdwise work fat aroma --fat olive-oil --amount "100 ml" --spirit "750 ml" --strength 40 \\
        --compound limonene
    """
    sheet = Sheet()
    sheet.figure(
        "fat.aroma_taken", **fat_inputs(fat_kind, fat_amount), spirit_ml=spirit_ml,
        spirit_strength=spirit_strength, compound=compound,
    )
    sheet.notes += ["Solid fat takes less, and so does milk fat.", *_allergens(fat_kind)]
    return sheet
