"""``curdwise work curd``: will it curdle, how much curd and drink, and what stays in the drink."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.cli.work.curdling import contradicts, curdles
from advisor.cli.work.doses import acid_inputs
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, shared
from advisor.cli.work.sheet import Sheet, contains

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["curd"]

_ALWAYS = (
    "curd.mass", "curd.liquid_held", "batch.mix_volume", "curd.yield", "protein.whey_left",
    "protein.per_serve", "lactose.per_serve", "calcium.left",
)  # fmt: skip


_UNSPLIT = (
    "batch.mix_volume", "protein.left", "protein.per_serve", "lactose.per_serve",
)  # fmt: skip


@job(name="curd")
@shared(
    "drink", "drink_strength", "milk", "milk_kind", "acid", "dose", "at", "own_acid", "buffering",
    must=("drink", "milk"),
)
@amount("--reading", "strip_ph", "pH", "Measured pH; it goes before the recipe.")
@amount("--step", "strip_step", "pH", "Step of the strip or meter; 0.5 if not said.")
@shared("serve")
def curd(acid_kind: str | None, dose: dict[str, Number] | None, **batch: Any) -> Sheet:
    """Curd, yield, strength, whey protein, lactose and calcium of a batch.

    Without an acid or a reading a full split is assumed, loosely.

    \b
    curdwise work curd --drink "1 L" --strength 40 --milk "250 ml"
    curdwise work curd --drink "750 ml" --milk "200 ml" --acid lemon-juice \\
        --dose "1 oz" --serve "90 ml"
    """
    given = batch | acid_inputs(acid_kind, dose)
    known = acid_kind is not None or given.get("strip_ph") is not None
    sheet = Sheet()
    if contradicts(sheet, given):
        sheet.notes.append(contains(given.get("milk_kind")))
        return sheet
    word = curdles(sheet, given) if known else ""
    if word == "none":
        sheet.notes.append(
            "Nothing curdles: there is no curd to strain out and no finished drink, and all the "
            "protein of the milk stays in."
        )
    for name in _UNSPLIT if word == "none" else _ALWAYS:
        sheet.figure(name, **given)
    if given.get("drink_strength") is not None:
        of = "mix" if word == "none" else "finished drink"
        sheet.figure("batch.mix_strength", title=f"strength of the {of}", **given)
    if known and word != "none":
        sheet.figure("protein.haze_zone", **given)
    if given.get("serve_ml") is None:
        sheet.notes.append("A serve is taken as 90 ml.")
    sheet.notes.append(contains(given.get("milk_kind")))
    return sheet
