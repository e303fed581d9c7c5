"""``curdwise work checks``: the calculations against values that nobody here made up."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from advisor.cli.exits import Exit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.science.outside import OutsideCheck

__all__ = ["checks"]

_WIDTH = 52


@click.command()
@click.option("--failed", is_flag=True, help="Only the checks that fail.")
@click.option("--about", metavar="TEXT", help="Only the checks whose name, text or source has it.")
@click.option("--json", "json_wanted", is_flag=True, help="The table as JSON.")
def checks(failed: bool, about: str | None, json_wanted: bool) -> int:
    """Compare the calculations with published values: value, expected, tolerance and source.

    "derived" is worked out from published inputs; "memory" is from memory, not yet verified. The
    last rows are widely copied values that are wrong: there a match is the failure. Exit code 1 if
    any check fails.

    \b
    curdwise work checks
    curdwise work checks --about "ISO 4120"
    curdwise work checks --failed --json
    """
    rows = [row for row in _rows() if about is None or _has(row, about)]
    wrong = sum(not row["pass"] for row in rows)
    shown = [row for row in rows if not (failed and row["pass"])]
    if json_wanted:
        data = {"version": 1, "checks": shown, "count": len(rows), "failed": wrong}
        click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        for row in shown:
            click.echo(_line(row))
    click.echo(f"{len(rows)} checks, {wrong} failed", err=True)
    return Exit.FOUND if wrong else Exit.OK


Row = dict[str, "str | float | bool | None"]


def _rows() -> list[Row]:
    from advisor.science import outside, outside_craft

    must = [*outside.outside_checks(), *outside_craft.craft_checks()]
    must_not = [*outside.bad_references(), *outside_craft.craft_bad_references()]
    return [*_compared(must, match=True), *_compared(must_not, match=False)]


def _compared(table: Iterable[OutsideCheck], *, match: bool) -> list[Row]:
    rows: list[Row] = []
    for one in table:
        try:
            value: float | None = one.value()
        except (ValueError, ArithmeticError):
            value = None  # a refusal is neither a match nor a value to print
        near = value is not None and abs(value - one.expected) <= one.tolerance
        rows.append(
            {
                "id": one.id,
                "what": one.what,
                "value": value,
                "expected": one.expected,
                "tolerance": one.tolerance,
                "must_match": match,
                "pass": near is match and value is not None,
                "mark": one.mark,
                "source": one.source,
            }
        )
    return rows


def _has(row: Row, text: str) -> bool:
    return any(text.lower() in str(row[key]).lower() for key in ("id", "what", "source"))


def _line(row: Row) -> str:
    what = str(row["what"])
    what = what if len(what) <= _WIDTH else f"{what[: _WIDTH - 1]}…"
    sign = "" if row["must_match"] else "not "
    expected = f"{sign}{row['expected']:.6g} ± {row['tolerance']:.3g}"
    verdict = "pass" if row["pass"] else "FAIL"
    value = "refused" if row["value"] is None else f"{row['value']:.6g}"
    return (
        f"{verdict}  {what:<{_WIDTH}}  {value:>10}  {expected:<22}  "
        f"{row['source']} [{row['mark']}]"
    )
