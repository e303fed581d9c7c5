"""``curdwise trial sheets``: what tasters, pourer and preparer need, on paper."""

from __future__ import annotations

from pathlib import Path

import click

from advisor.cli.trial.files import JSON, UNITS, print_data, write
from advisor.errors import AdvisorError

__all__ = ["sheets"]


@click.command()
@click.argument("trial_file", metavar="TRIAL", type=click.Path(path_type=Path))
@click.option("--which", type=click.Choice(["tasters", "key", "preparation"]),
              help="One of them; all when they go into a folder.")
@click.option("--format", "kind", type=click.Choice(["md", "html"]), default="md",
              show_default=True, help="Markdown, or a page that prints on A4 and Letter.")
@click.option("--into", type=click.Path(path_type=Path, file_okay=False), metavar="DIR",
              help="Write a file of each into this folder.")
@click.option("--replace", is_flag=True, help="Replace files that are there already.")
@UNITS
@JSON
def sheets(
    trial_file: Path,
    which: str | None,
    kind: str,
    into: Path | None,
    replace: bool,
    units: str,
    as_json: bool,
) -> None:
    """Print the sheets of a trial: tasters, key and preparation, each apart from the others.

    \b
    curdwise trial sheets trial.yaml --which tasters
    curdwise trial sheets trial.yaml --format html --into sheets

    Tasters' sheets hold codes in serving order and nothing that says what is in a cup.
    """
    from advisor.report.trialsheets import SHEETS, html, markdown
    from advisor.technique.trial import read_trial

    trial = read_trial(trial_file)
    make = html if kind == "html" else markdown
    if into is None:
        if as_json:
            raise AdvisorError(
                "options", "sheets are pages, not data", where="--json",
                hint="with --into DIR it lists the files; curdwise trial plan --json has the codes",
            )
        click.echo(make(trial, which or "tasters", units=units), nl=False)
        return
    written = {}
    for sheet in (which,) if which else SHEETS:
        path = into / f"{sheet}.{kind}"
        write(path, make(trial, sheet, units=units), replace=replace)
        written[sheet] = str(path)
    if as_json:
        print_data({"version": 1, "files": written})
        return
    for sheet, path_text in written.items():
        apart = " (keep it from whoever tastes)" if sheet != "tasters" else ""
        click.echo(f"{path_text}{apart}")
