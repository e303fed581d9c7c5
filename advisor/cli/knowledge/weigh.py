"""``curdwise knowledge weigh``: what the base makes of a cause, held against simulated batches."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, json_option

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from advisor.evaluation.weighing import Row, Telling
    from advisor.knowledge.gather import Gathered
    from advisor.knowledge.model import Base

__all__ = ["weigh"]


@click.command()
@click.argument("causes", metavar="[CAUSE]...", nargs=-1)
@click.option("--against", metavar="CAUSE",
              help="Show what parts a cause from this one, in the batches and in the tables.")
@click.option("--batches", type=click.IntRange(20, 5000), default=120, show_default=True,
              help="Simulate so many batches with each cause.")
@click.option("--seed", type=click.IntRange(0), default=1, help="The first simulated batch.")
@click.option("--apart", type=click.FloatRange(0.0), default=1.0, show_default=True, metavar="DB",
              help="Show what lies at least so far apart, in decibans a batch.")
@HOUSE
@json_option("Everything as JSON.")
def weigh(
    causes: tuple[str, ...],
    against: str | None,
    batches: int,
    seed: int,
    apart: float,
    house: tuple[Path, ...],
    as_json: bool,
) -> int:
    """Hold the base against how often each answer comes in simulated batches.

    The model of a batch knows nothing of the base. Where the two are far apart, one of them is
    wrong or a row is missing: it takes somebody who knows the trade to say which. Without a CAUSE
    every cause is weighed. The row of the cause's table counts, and with it each outcome and rule
    that needs this answer alone; a rule that needs more is named and not counted.

    \b
    Examples:
      curdwise knowledge weigh cream-as-milk
      curdwise knowledge weigh cream-as-milk --against fatty-curd-floats
    """
    from advisor.evaluation.weighing import parting, picture_of
    from advisor.evaluation.weighing import weigh as weighed
    from advisor.knowledge.load import load_written
    from advisor.simulator import fault_ids

    base, gathered = load_written(house)
    wanted = causes or tuple(c for c in fault_ids() if c in base.causes)
    _known((*wanted, *([against] if against else ())), base, fault_ids())
    tables = _tables(gathered)
    if against:
        there = picture_of(against, batches=batches, seed=seed)
        found = [
            (cause, parting(base, tables, picture_of(cause, batches=batches, seed=seed), there))
            for cause in wanted
        ]
        if as_json:
            click.echo(json.dumps([_parting_data(c, against, t) for c, t in found], indent=2))
        else:
            for cause, telling in found:
                _print_parting(cause, against, telling, apart)
        return Exit.OK
    data = []
    for cause in wanted:
        picture = picture_of(cause, batches=batches, seed=seed)
        rows = [r for r in weighed(base, tables[cause], picture) if r.apart >= apart]
        if as_json:
            data.append({"cause": cause, "batches": picture.batches, "rows": _rows_data(rows)})
        else:
            _print_rows(cause, picture.batches, rows, base)
    if as_json:
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
    return Exit.OK


def _known(causes: Sequence[str], base: Base, faults: Sequence[str]) -> None:
    from advisor.errors import AdvisorError, did_you_mean

    for cause in causes:
        if cause not in base.causes:
            raise AdvisorError(
                "unknown-cause", f"there is no cause {cause!r}",
                hint=did_you_mean(cause, base.causes),
            )
        if cause not in faults:
            raise AdvisorError(
                "simulate-fault", f"no batch can be simulated with the fault {cause!r}",
                hint="weigh a cause that the model knows; `curdwise knowledge show` has its table",
            )


def _tables(gathered: Gathered) -> dict[str, Mapping[str, Any]]:
    return {key: record.data["shows"] for key, record in gathered.section("causes").items()}


def _print_rows(cause: str, batches: int, rows: Sequence[Row], base: Base) -> None:
    click.echo(f"{cause}: {batches} batches")
    if not rows:
        click.echo("  nothing lies that far apart")
    for row in rows:
        click.echo(f"  {row.finding}: {_words(row.written) or 'no row'}; {row.apart:.1f} dB apart")
        shares = [
            f"{answer} {share:.0%} (base {row.base[answer]:.0%})"
            for answer, share in sorted(row.model.items(), key=lambda item: -item[1])
            if max(share, row.base[answer]) >= 0.05
        ]
        click.echo(f"    in {row.known} batches: {', '.join(shares)}")
        for said, lines in (("counted", row.counted), ("not counted", row.not_counted)):
            if lines:
                click.echo(f"    {said}: {', '.join(lines)}")
        if row.better != row.written:
            click.echo(f"    nearer, {row.then:.1f} dB:  {row.finding}: {_words(row.better)}")


def _words(row: str | Mapping[str, str]) -> str:
    if isinstance(row, str):
        return row
    return "{" + ", ".join(f"{answer}: {word}" for answer, word in row.items()) + "}"


def _print_parting(
    cause: str, against: str, telling: Sequence[Telling], apart: float
) -> None:
    click.echo(f"{cause} against {against}: share under each, and what it weighs")
    shown = [t for t in telling if t.here * abs(t.model - t.base) >= apart]
    if not shown:
        click.echo("  the base and the batches agree")
    for t in shown:
        click.echo(
            f"  {t.finding}={t.answer}: {t.here:.0%} against {t.there:.0%}; "
            f"batches {t.model:+.0f} dB, base {t.base:+.0f} dB"
        )


def _rows_data(rows: Sequence[Row]) -> list[dict[str, Any]]:
    return [
        {
            "finding": row.finding,
            "known": row.known,
            "written": row.written or None,
            "base": _rounded(row.base),
            "model": _rounded(row.model),
            "apart_db": round(row.apart, 2),
            "nearer": row.better or None,
            "then_db": round(row.then, 2),
            "counted": list(row.counted),
            "not_counted": list(row.not_counted),
        }
        for row in rows
    ]


def _rounded(shares: Mapping[str, float]) -> dict[str, float]:
    return {answer: round(share, 3) for answer, share in shares.items()}


def _parting_data(cause: str, against: str, telling: Sequence[Telling]) -> dict[str, Any]:
    return {
        "cause": cause,
        "against": against,
        "answers": [
            {
                "finding": t.finding,
                "answer": t.answer,
                "share": round(t.here, 3),
                "share_against": round(t.there, 3),
                "batches_db": round(t.model, 1),
                "base_db": round(t.base, 1),
            }
            for t in telling
        ],
    }
