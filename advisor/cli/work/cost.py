"""``curdwise work cost``: serves and what one costs, and a batch at another size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.work.doses import ends, middle
from advisor.cli.work.job import job
from advisor.cli.work.options import amount, plain, read_amount, shared
from advisor.cli.work.sheet import Sheet
from advisor.errors import AdvisorError
from advisor.quantities import figure

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

    Number = Estimate | float

__all__ = ["cost"]

_MOST_MONEY = 1e12


@click.group()
def cost() -> None:
    """Serves, money, and batches of another size."""


@job(cost, name="serve")
@amount("--mix", "mix_ml", "mL", "Drink and milk before straining: the yield is estimated.")
@amount("--finished", "final_ml", "mL", "The strained drink as measured; goes before --mix.")
@shared("serve", must=("serve",))
@click.option("--paid", "paid", multiple=True, metavar="NAME=MONEY",
              help="What was bought, losses included; may be repeated, and the same name adds up.")
@plain("--price", "price", "Price of a serve without tax.", 0.0001, _MOST_MONEY)
def serve(
    mix_ml: Number | None, final_ml: Number | None, serve_ml: Number, paid: tuple[str, ...],
    price: float | None,
) -> Sheet:
    """Whole serves, the cost of one, and that cost against the price.

    \b
    curdwise work cost serve --finished "900 ml" --serve "60 ml" --paid spirit=22 --paid milk=1.2
    curdwise work cost serve --mix "1.25 L" --serve "90 ml" --paid spirit=22 --price 9
    """
    from advisor.science import cost as money
    from advisor.science.estimate import Estimate

    sheet = Sheet()
    size = middle(serve_ml)
    if final_ml is not None:
        many = sheet.number("cost.serves", final_ml=final_ml, serve_ml=size)
    elif mix_ml is not None:
        least, most = ends(mix_ml)
        many = Estimate(
            money.serves_range(middle(mix_ml), size)[1],
            money.serves_range(least, size)[0],
            money.serves_range(most, size)[2],
        )
        sheet.add("cost_serves", "whole serves", many,
                  formula="mix x yield (0.80 to 0.95, usually 0.88) / serve, rounded down",
                  source="yield: common practice and curd arithmetic; the rest arithmetic")
    else:
        raise AdvisorError("options", "one of the two is missing", where="--mix, --finished")
    if paid:
        if many.low < 1:
            raise AdvisorError(
                "number", "the drink may not make one whole serve, so a serve has no cost",
                where="--serve",
            )
        costs: dict[str, float] = {}
        for name, spent in map(_paid, paid):
            costs[name] = costs.get(name, 0.0) + spent
        each = [
            money.cost_per_serve(costs, int(n)) for n in (many.high, many.value, many.low)
        ]
        sheet.add("cost_per_serve", "cost of a serve", Estimate(each[1], each[0], each[2]),
                  formula="all that was bought / whole serves", source="arithmetic")
        if price is not None:
            share = [money.pour_cost(c, price) for c in each]
            sheet.add("pour_cost", "of the price", Estimate(share[1], share[0], share[2], "%"),
                      formula="cost / price without tax",
                      source="arithmetic; 18-24 % is a usual aim (from memory), not a rule")
    return sheet


def _paid(text: str) -> tuple[str, float]:
    name, _, number = text.partition("=")
    hint = ""
    try:
        money = figure(number)
    except AdvisorError as error:
        money, hint = -1.0, error.hint
    if not name.strip() or not 0.0 <= money <= _MOST_MONEY:
        raise AdvisorError(
            "number", f"{text[:40]!r} must be NAME=MONEY with money from 0 to {_MOST_MONEY:g}",
            where="--paid", hint=hint or "for example spirit=22.50",
        )
    return name.strip(), money


@job(cost, name="scale")
@click.argument("quantities", nargs=-1, required=True, metavar="NAME=AMOUNT...")
@plain("--times", "factor", "How many times as much.", 1e-3, 1e4, required=True)
def scale(quantities: tuple[str, ...], factor: float) -> Sheet:
    """A batch at another size, and what does not simply follow it.

    \b
    curdwise work cost scale --times 10 drink="750 ml" milk="200 ml" citric="2 g"
    """
    from advisor.science.cost import scale as scaled

    amounts: dict[str, float] = {}
    units: dict[str, str] = {}
    for text in quantities:
        name, equals, said = text.partition("=")
        if not equals or not name.strip():
            raise AdvisorError(
                "quantity", f"{text[:40]!r} is not NAME=AMOUNT", where="NAME=AMOUNT",
                hint='for example milk="200 ml"',
            )
        name = name.strip()
        more, unit = _weight_or_volume(said, name)
        if units.setdefault(name, unit) != unit:
            raise AdvisorError(
                "quantity", f"{name} stands there by weight and by volume", where=name,
                hint="give both in one measure, or under two names",
            )
        amounts[name] = amounts.get(name, 0.0) + more
    found = scaled(amounts, factor)
    sheet = Sheet(notes=list(found.notes))
    for name, value in found.quantities.items():
        sheet.add(name, name, value, units[name], formula="amount x factor", source="arithmetic")
    return sheet


def _weight_or_volume(text: str, name: str) -> tuple[float, str]:
    """In mL when it can be a volume, else in g."""
    if text.strip().replace(".", "").isdigit():
        raise AdvisorError(
            "quantity", f"{text[:40]!r} has no unit", where=name, hint="for example 200 ml or 8 g"
        )
    try:
        return middle(read_amount(text, "mL", name)), "mL"
    except AdvisorError as error:
        try:
            return middle(read_amount(text, "g", name)), "g"
        except AdvisorError:
            raise error from None
