"""``curdwise work strip``: what the curd takes, milk for a reduction, own trials fitted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from advisor.cli.work.doses import middle, pairs
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, kind, shared
from advisor.cli.work.sheet import Sheet, contains

if TYPE_CHECKING:
    from advisor.cli.work.plots import Curve
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["strip"]

_BASE = kind("--base", "base_kind", "base", "What the drink is built on; green-tea if not said")
_SENSE = kind("--sense", "sense", "sense", "What should go; tannin if not said")
_LARGEST_SHARE = 2 / 3  # of drink and milk: what the binding model is good for


@click.group()
def strip() -> None:
    """Tannin, bitterness and colour that leave with the curd."""


@job(strip, name="taken", plots=True)
@shared("drink", "drink_strength", "milk", "milk_kind", must=("drink", "milk"))
@_BASE
@_SENSE
def taken(**given: Any) -> Sheet:
    """How much the curd takes, in one wash or in two, and how big the dose is.

    \b
    curdwise work strip taken --drink "1 L" --milk "250 ml" --base black-tea --sense tannin
    curdwise work strip taken --drink "1 L" --milk "250 ml" --base coffee --sense bitterness --plot
    """
    sheet = Sheet()
    sheet.figure("strip.removal", title="taken in one wash", **given)
    if given.get("drink_strength") is None:
        sheet.figure("strip.removal_in_two", title="the same milk in two washes", **given)
    from advisor.science.milks import milk

    plant = milk(given.get("milk_kind") or "whole").casein == 0.0
    held = "its own protein per drink, no casein" if plant else "casein per drink"
    sheet.figure("strip.casein_rate", title=held, **given)
    if not plant:
        sheet.figure("strip.dose_word", title="this dose is", **given)
    sheet.notes += ["Dilution by the milk comes on top.", contains(given.get("milk_kind"))]
    sheet.curve = lambda: _against_share(given)
    return sheet


def _against_share(given: dict[str, Any]) -> Curve:
    from advisor.cli.work.plots import Curve, Series, curve_of
    from advisor.science.estimate import Estimate

    drink = middle(given["drink_ml"])
    fixed = {k: v for k, v in given.items() if v is not None and k != "milk_ml"}

    def at(percent: float) -> Estimate:
        if percent == 0.0:
            return Estimate(0.0, 0.0, 0.0, "%")
        return Sheet().number("strip.removal", **fixed, milk_ml=drink * percent / (100.0 - percent))

    here = 100.0 * middle(given["milk_ml"]) / (drink + middle(given["milk_ml"]))
    most = min(100.0 * _LARGEST_SHARE - 0.1, max(40.0, 1.3 * here))
    # Below 1 ml of milk nothing is calculated.
    least = 100.0 / (drink + 1.0)
    line = curve_of(
        "taken", 0.0, most, lambda share: at(0.0 if share < least else share), points=41
    )
    point = Series("this batch", (here,), (at(here).value,), dots=True)
    sense, base = given.get("sense") or "tannin", given.get("base_kind") or "green-tea"
    title = f"{sense} taken from {base}"
    return Curve(title, "milk in drink and milk, %", "taken, %", (line, point))


@job(strip, name="milk")
@shared("drink", "drink_strength", "milk_kind", must=("drink",))
@_BASE
@_SENSE
@amount("--take", "reduction", "%", "Share of it that should go.", required=True)
def milk_for(**given: Any) -> Sheet:
    """Milk for a wanted reduction.

    \b
    curdwise work strip milk --drink "1 L" --base green-tea --sense tannin --take 60
    """
    sheet = Sheet()
    sheet.figure("strip.milk_for_reduction", title="milk", **given)
    sheet.notes.append("Try a small wash beside an untreated control first.")
    sheet.notes.append(contains(given.get("milk_kind")))
    return sheet


@job(strip, name="fit")
@click.argument("trials", nargs=-1, required=True, metavar="SHARE=LEFT...")
@amount("--casein", "casein_per_litre", "g/L", "Casein of the milk; 26 for cow.", default="26")
@amount("--take", "reduction", "%", "Share that should go: adds the milk for it.")
@shared("drink")
def fit(
    trials: tuple[str, ...], casein_per_litre: Number, reduction: Number | None,
    drink_ml: Number | None,
) -> Sheet:
    """Fit your own trial washes: milk share in the mix, and the share of the taste that was left.

    \b
    curdwise work strip fit "10 %=70 %" "20 %=50 %" --take 60 --drink "1 L"
    """
    from advisor.science.estimate import propagate
    from advisor.science.strip import fit_trials, milk_share_for

    points = [(a / 100, b / 100) for a, b in pairs(trials, "%", "%", "SHARE=LEFT", "'20 %=50 %'")]
    grams = middle(casein_per_litre)
    affinity = fit_trials(points, casein_per_litre=grams)
    sheet = Sheet()
    source = "one-to-one mass action on the milk's casein; Student's interval on the logarithm"
    sheet.add("affinity", "hold of the casein", affinity, "L/g",
              formula="(1 / share left - 1) / (casein per litre x milk share), mean of the logs",
              source=source)
    if reduction is not None:
        share = milk_share_for(middle(reduction) / 100, affinity, casein_per_litre=grams)
        sheet.add("milk_share", "milk in drink and milk",
                  propagate(lambda s: 100 * s, {"s": share}, unit="%"),
                  formula="reduction / (1 - reduction) / (hold x casein per litre)", source=source)
        if drink_ml is not None:
            sheet.add("milk", "milk",
                      propagate(lambda s, d: d * s / (1 - s), {"s": share, "d": drink_ml},
                                unit="mL"),
                      formula="drink x share / (1 - share)", source="arithmetic")
    return sheet
