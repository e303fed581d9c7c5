"""``curdwise knowledge check``: every problem of what was written, at once."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.exits import Exit

if TYPE_CHECKING:
    from advisor.errors import Problem
    from advisor.knowledge.model import Base

__all__ = ["check"]


@click.command()
@click.argument("folders", nargs=-1, type=click.Path(path_type=Path))
@click.option("--notes/--no-notes", default=True, help="Show notes beside errors.")
@click.option("--json", "as_json", is_flag=True, help="Problems as JSON on standard output.")
def check(folders: tuple[Path, ...], notes: bool, as_json: bool) -> int:
    """Check knowledge FOLDERS: every problem at once, with its place.

    Without a folder the shipped base is checked. A folder whose files say `base:` is a base of
    its own; any other is laid over the shipped one.
    """
    from advisor.knowledge.load import check_folders

    base, problems = check_folders(folders)
    if base is not None:
        problems = sorted([*problems, *_chain_problems(base)], key=lambda p: (p.where, p.code))
    errors = [p for p in problems if p.severity == "error"]
    shown = problems if notes else errors
    if as_json:
        rows = [
            {
                "code": p.code,
                "severity": p.severity,
                "file": p.where.name,
                "line": p.where.line,
                "column": p.where.column,
                "message": p.message,
                "hint": p.hint,
            }
            for p in shown
        ]
        click.echo(json.dumps({"version": 1, "problems": rows}, indent=2, ensure_ascii=False))
    else:
        for problem in shown:
            click.echo(str(problem))
    if base is not None:
        rules = base.rules.values()
        published = sum(any(c.published for c in r.source) for r in rules)
        click.echo(
            f"{len(base.findings)} findings, {len(base.figures)} figures, "
            f"{len(base.checks)} checks, "
            f"{len(base.causes)} causes, {len(base.rules)} rules ({published} on a publication), "
            f"{len(base.remedies)} remedies, {len(base.cautions)} cautions, "
            f"{len(base.sources)} sources; {len(base.lines)} compiled lines",
            file=sys.stderr,
        )
    click.echo(f"{len(errors)} errors, {len(problems) - len(errors)} notes", file=sys.stderr)
    return Exit.FOUND if errors else Exit.OK


def _chain_problems(base: Base) -> list[Problem]:
    """What would stop a chain: circles through an absence, and what one engine cannot hold."""
    from dataclasses import replace

    from advisor.chain import ChainRule, check_limits, check_strata

    rules = [ChainRule.of(line) for line in base.lines]
    # Beyond the limits of durable-rules the other engine answers, so that is a note.
    notes = [replace(p, severity="note") for p in check_limits(rules)]
    return [*check_strata(rules), *notes]
