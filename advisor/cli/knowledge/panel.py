"""``curdwise knowledge panel``: pin what the rules make of a fixed panel of answers."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, json_option

__all__ = ["panel"]


@click.command()
@click.option(
    "--write", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
    help="Pin the panel of the base as it is now.",
)
@click.option(
    "--against", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
    help="Show what differs from a pinned panel.",
)
@HOUSE
@json_option("The differences as JSON.")
def panel(
    write: Path | None, against: Path | None, house: tuple[Path, ...], as_json: bool
) -> int:
    """Pin what every line makes of a few fixed answers, or show what has changed since.

    The panel detects change; it does not say which of the two is right. Look through the
    differences, and pin it again when all of them are meant.

    \b
    Examples:
      curdwise knowledge panel --against tests/data/standings.json
      curdwise knowledge panel --write tests/data/standings.json
    """
    from advisor.chain import ChainRule, compile_chain
    from advisor.evaluation.mutation.panel import differences, make_panel, read_panel, write_panel
    from advisor.knowledge.load import load

    if write is None and against is None:
        raise click.UsageError("give --write FILE, --against FILE or both.")
    base = load(house)
    now = make_panel(base, compile_chain(tuple(map(ChainRule.of, base.lines)), "reference"))
    found: list[str] = []
    if against is not None:
        found = differences(read_panel(against), now)
        if as_json:
            click.echo(json.dumps({"version": 1, "differences": found}, ensure_ascii=False))
        else:
            for line in found:
                click.echo(line)
        click.echo(f"{len(found)} differences", file=sys.stderr)
    if write is not None:
        write_panel(write, now)
        click.echo(
            f"{len(now.entries)} lines and {sum(map(len, now.probes.values()))} probes pinned "
            f"in {write}",
            file=sys.stderr,
        )
    return Exit.FOUND if found and write is None else Exit.OK
