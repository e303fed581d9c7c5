"""``curdwise knowledge check``: every problem of what was written, at once."""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.exits import Exit
from advisor.cli.options import json_option
from advisor.cli.problems import print_problems

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.errors import Problem
    from advisor.knowledge.load import Checked
    from advisor.knowledge.model import Base

__all__ = ["check", "check_all", "check_everything"]

# Notes of one kind that are shown one by one; more are counted.
_SHOWN_OF_A_KIND = 3


@click.command()
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--cases",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Case files or folders of them: note every rule that none of them fires.",
)
@click.option("--notes/--no-notes", default=True, help="Show notes beside errors.")
@click.option("--every-note", is_flag=True, help="Show every note, however many are alike.")
@json_option("Problems as JSON on standard output.")
def check(
    paths: tuple[Path, ...],
    cases: tuple[Path, ...],
    notes: bool,
    every_note: bool,
    as_json: bool,
) -> int:
    """Check knowledge PATHS: every problem at once, with its place.

    Without a path the shipped base is checked. A folder whose files say `base:` is a base of
    its own; any other is laid over the shipped one, and only what it brings in is told. A file
    stands for the whole folder that it belongs to, so that a tool may pass the names of the files
    that changed.

    \b
    What a code in brackets means:   curdwise knowledge explain CODE
    """
    checked = check_everything(paths, cases)
    base, problems = checked.base, checked.problems
    errors = [p for p in problems if p.severity == "error"]
    shown = problems if notes else errors
    few, more = (shown, Counter[str]()) if every_note or as_json else _fewer(shown)
    print_problems(few, as_json=as_json)
    for code, count in more.items():
        click.echo(f"note: {count} more like it [{code}]; --every-note shows them")
    if checked.left_out:
        left = _counted(checked.left_out, "record or file", "records or files")
        click.echo(f"{left} left out of the other checks: more may show later", file=sys.stderr)
    elif base is not None:
        click.echo(_inventory(base), file=sys.stderr)
    notes_found = _counted(len(problems) - len(errors), "note")
    click.echo(f"{_counted(len(errors), 'error')}, {notes_found}", file=sys.stderr)
    if errors and not as_json:
        click.echo("what a code means: curdwise knowledge explain CODE", file=sys.stderr)
    return Exit.FOUND if errors else Exit.OK


def check_all(
    paths: Iterable[Path], cases: Sequence[Path] = ()
) -> tuple[Base | None, list[Problem]]:
    """Every problem and note of some knowledge, by place; the base when it could be built."""
    checked = check_everything(paths, cases)
    return (None if checked.left_out else checked.base), checked.problems


def check_everything(paths: Iterable[Path], cases: Sequence[Path] = ()) -> Checked:
    """What loading checks, and what a chain and the cases say of it."""
    from advisor.knowledge.load import check_whole

    checked = check_whole(paths)
    base, problems = checked.base, checked.problems
    if base is not None:
        more = _chain_problems(base)
        if cases and not any(p.severity == "error" for p in (*problems, *more)):
            from advisor.evaluation.coverage import unexercised

            more += unexercised(base, cases)
        problems = [*problems, *filter(checked.tells, more)]
    return replace(checked, problems=sorted(problems, key=lambda p: (p.where, p.code)))


def _counted(count: int, one: str, many: str = "") -> str:
    return f"{count} {one}" if count == 1 else f"{count} {many or one + 's'}"


def _fewer(problems: Sequence[Problem]) -> tuple[list[Problem], Counter[str]]:
    """All errors and the first few notes of each kind, and how many more there are."""
    seen: Counter[str] = Counter()
    few = []
    for problem in problems:
        if problem.severity != "error":
            seen[problem.code] += 1
            if seen[problem.code] > _SHOWN_OF_A_KIND:
                continue
        few.append(problem)
    more = {code: n - _SHOWN_OF_A_KIND for code, n in seen.items() if n > _SHOWN_OF_A_KIND}
    return few, Counter(more)


def _chain_problems(base: Base) -> list[Problem]:
    """What would stop a chain: circles through an absence, and what one engine cannot hold."""
    from advisor.chain import ChainRule, check_limits, check_strata

    rules = [ChainRule.of(line) for line in base.lines]
    places = {line.id: line.place for line in base.lines}
    # Beyond the limits of durable-rules the other engine answers, so that is a note.
    notes = [replace(p, severity="note") for p in check_limits(rules)]
    found = [*check_strata(rules), *notes]
    return [replace(p, where=places.get(p.where.name, p.where)) for p in found]


def _inventory(base: Base) -> str:
    rules = base.rules.values()
    published = sum(any(c.published for c in r.source) for r in rules)
    return (
        f"{len(base.findings)} findings, {len(base.figures)} figures, {len(base.checks)} checks, "
        f"{len(base.causes)} causes, {len(base.rules)} rules ({published} on a publication), "
        f"{len(base.remedies)} remedies, {len(base.cautions)} cautions, "
        f"{len(base.sources)} sources; {len(base.lines)} compiled lines"
    )
