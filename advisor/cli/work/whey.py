"""``curdwise work whey``: how much whey, what it does, and what heat does to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.work.doses import middle
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, kind
from advisor.cli.work.sheet import Sheet, contains
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate
    from advisor.science.whey import Dosed

    Number = Estimate | float

__all__ = ["whey"]


@click.group()
def whey() -> None:
    """Whey for body."""


@job(whey, name="dose")
@amount("--drink", "drink_ml", "mL", "The drink before the whey.", required=True)
@amount("--strength", "drink_strength", "%vol", "Its strength.", required=True)
@amount("--whey", "whey_ml", "mL", "Whey: what does this much do.")
@amount("--share", "wanted_share", "%", "Wanted share of whey in drink and whey.")
@amount("--protein", "wanted_protein", "g/L", "Wanted whey protein per litre of the mix.")
@kind("--whey-kind", "whey_kind", "whey", "Kind of whey", default="acid-whey")
@amount("--acid", "drink_acid", "g/L", "Acid of the drink.", default="0")
@amount("--ph", "final_ph", "pH", "pH of the drink with the whey, for haze and foam.")
@click.option("--tannin", is_flag=True, help="There is tannin left in the drink.")
def dose(
    drink_ml: Number, drink_strength: Number, whey_ml: Number | None, wanted_share: Number | None,
    wanted_protein: Number | None, whey_kind: str, drink_acid: Number, final_ph: Number | None,
    tannin: bool,
) -> Sheet:
    """Whey for a wanted share or protein, and the drink after it.

    \b
    curdwise work whey dose --drink "750 ml" --strength 20 --share 25
    curdwise work whey dose --drink "750 ml" --strength 20 --protein 2 --whey-kind sweet-whey
    curdwise work whey dose --drink "750 ml" --strength 20 --whey "250 ml" --ph 4.2 --tannin
    """
    from advisor.science.estimate import propagate
    from advisor.science.whey import after_dose, dose_for_protein, foam_remarks
    from advisor.science.whey import whey as known

    if sum(given is not None for given in (whey_ml, wanted_share, wanted_protein)) != 1:
        raise AdvisorError(
            "options", "give exactly one of the three", where="--whey, --share, --protein"
        )
    sheet = Sheet()
    poured: Number
    if wanted_share is not None:
        poured = sheet.number("whey.for_share", drink_ml=drink_ml, wanted_share=wanted_share)
    elif wanted_protein is not None:
        poured = propagate(
            lambda drink, per: drink * per,
            {"drink": drink_ml, "per": dose_for_protein(1.0, whey_kind, middle(wanted_protein))},
            unit="mL",
        )
        sheet.add("whey", "whey for that protein", poured,
                  formula="drink x wanted / (protein of the whey - wanted)",
                  source=known(whey_kind).source)
    else:
        poured = whey_ml if whey_ml is not None else 0.0
    share = sheet.number("whey.share", drink_ml=drink_ml, whey_ml=poured)
    sheet.figure("whey.strength_after", drink_ml=drink_ml, drink_strength=drink_strength,
                 whey_ml=poured, whey_kind=whey_kind)
    given = {"drink": drink_ml, "strength": drink_strength, "acid": drink_acid, "whey": poured}

    def after(drink: float, strength: float, acid: float, whey: float) -> Dosed:
        return after_dose(drink, strength, acid, whey, whey_kind)

    now = after(**{name: middle(value) for name, value in given.items()})
    for key, title, unit in (
        ("volume", "makes", "mL"),
        ("protein", "whey protein", "g/L"),
        ("acid", "acid, the whey's own as lactic", "g/L"),
        ("lactose", "lactose", "g/L"),
    ):
        own = getattr(now, key)
        sheet.add(
            key, title,
            propagate(
                lambda key=key, **at: middle(getattr(after(**at), key)), given, unit=unit,
                model=0.0 if isinstance(own, float) else (own.high - own.low) / 2,
            ),
            formula="(drink's + whey's) / volume of the mix", source=known(whey_kind).source,
        )
    if final_ph is not None:
        sheet.figure("whey.haze_risk", final_ph=final_ph, tannin="yes" if tannin else "no")
        sheet.notes += foam_remarks(middle(final_ph), middle(share), now.strength)
    sheet.notes.append(contains(None))
    return sheet


@job(whey, name="heat")
@amount("--at", "temperature", "degC", "Temperature.", required=True)
@amount("--for", "time", "min", "How long.", required=True)
def heat(temperature: Number, time: Number) -> Sheet:
    """How much whey protein stays native, and so dissolved, after heat.

    \b
    curdwise work whey heat --at 74 --for "30 min"
    """
    from advisor.science import whey_protein

    source = "Lyster 1970, J. Dairy Res. 37:233; measured row Larson & Rolleri 1955"
    sheet = Sheet()
    for key, title, function, formula in (
        ("beta_lactoglobulin", "beta-lactoglobulin left", whey_protein.native_beta_lactoglobulin,
         "second order, log10 k = 37.95 - 14510 / T, 3 g/L at the start"),
        ("alpha_lactalbumin", "alpha-lactalbumin left", whey_protein.native_alpha_lactalbumin,
         "first order through the measured points"),
        ("whey_protein", "whey protein left", whey_protein.native_whey_protein,
         "65 : 20 : 15 of the two and of what heat does not touch (judgement)"),
    ):
        sheet.add(key, title, function(middle(temperature), middle(time)), "%", formula=formula,
                  source=source)
    return sheet
