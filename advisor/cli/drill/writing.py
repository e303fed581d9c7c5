"""``curdwise drill check`` and ``new``: for whoever writes drills."""

from __future__ import annotations

from pathlib import Path

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, json_option
from advisor.cli.problems import print_problems
from advisor.errors import AdvisorError, Problem, ProblemsFound
from advisor.files import reason

__all__ = ["check", "new"]



@click.command()
@click.argument("files", nargs=-1, type=click.Path(path_type=Path))
@click.option("--notes/--no-notes", default=True, help="Show notes beside errors.")
@json_option("Problems as JSON on standard output.")
@HOUSE
def check(files: tuple[Path, ...], notes: bool, as_json: bool, house: tuple[Path, ...]) -> int:
    """Check scenario FILES (or folders of them): everything that is wrong, with its place.

    A scenario that the advisor itself cannot solve fails. Without FILES those that ship are
    checked.
    """
    from advisor.drills.check import check_scenario
    from advisor.drills.places import shipped_scenarios
    from advisor.drills.scenario import read_scenario
    from advisor.knowledge.load import load

    base = load(house)
    paths = [p for f in files for p in (sorted(f.glob("*.yaml")) if f.is_dir() else [f])]
    paths = paths or list(shipped_scenarios())
    problems: list[Problem] = []
    for path in paths:
        try:
            problems.extend(check_scenario(base, read_scenario(path)))
        except ProblemsFound as found:
            problems.extend(found.problems)
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, error.where, error.hint))
    errors = [p for p in problems if p.severity == "error"]
    shown = problems if notes else errors
    print_problems(shown, as_json=as_json)
    click.echo(
        f"{len(paths)} drills, {len(errors)} errors, {len(problems) - len(errors)} notes", err=True
    )
    return Exit.FOUND if errors else Exit.OK


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--cause", metavar="CAUSE", help="What is wrong with the batch; fills most of it in.")
@HOUSE
def new(file: Path, cause: str | None, house: tuple[Path, ...]) -> None:
    """Write a new scenario to FILE, to be filled in. With --cause it starts as a typical one.

    Then: curdwise drill check FILE.
    """
    from advisor.drills.scaffold import scaffold
    from advisor.knowledge.load import load

    text = scaffold(load(house), cause)
    try:
        with file.open("x", encoding="utf-8") as out:
            out.write(text)
    except FileExistsError:
        raise AdvisorError(
            "scenario-there", "there is a file of that name", where=str(file),
            hint="choose another name; nothing was written over",
        ) from None  # fmt: skip
    except (OSError, ValueError) as error:
        raise AdvisorError(
            "scenario-unwritable", f"it cannot be written: {reason(error)}", where=str(file),
            hint="choose a folder that exists and that you may write to",
        ) from None  # fmt: skip
    click.echo(f"Written. Fill it in, then: curdwise drill check {file}", err=True)
