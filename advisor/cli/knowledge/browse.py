"""``curdwise knowledge list``, ``search``, ``show``, ``pages`` and ``picture``."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.options import HOUSES, json_option
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.model import Base
    from advisor.report.browse.model import Entry

__all__ = ["list_", "pages", "picture", "search", "show"]


def _entries(house: tuple[Path, ...]) -> tuple[Base, Mapping[str, Entry]]:
    from advisor.knowledge.load import load
    from advisor.report.browse.entries import entries

    base = load(house)
    return base, entries(base)


def _width() -> int:
    return min(100, shutil.get_terminal_size((80, 24)).columns)


def _print(data: object) -> None:
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))


def _show_list(found: list[Entry], as_json: bool, lines: Iterable[str]) -> None:
    from advisor.report.browse.text import list_data

    if as_json:
        _print({"version": 1, "found": list_data(found)})
        return
    for line in lines:
        click.echo(line)
    click.echo(f"{len(found)} found" if found else "nothing found", file=sys.stderr)


@click.command("list")
@click.argument("kind", default="")
@click.option("--stage", default="", help="Only of this stage, such as acid or chill.")
@click.option("--symptom", default="", help="Only what has to do with this symptom.")
@click.option("--source", default="", help="Only what rests on this source.")
@click.option("--operation", default="", help="Only what has this step, such as strip.")
@json_option()
@HOUSES
def list_(
    kind: str,
    stage: str,
    symptom: str,
    source: str,
    operation: str,
    as_json: bool,
    house: tuple[Path, ...],
) -> None:
    """List what the knowledge holds.

    KIND is symptom, cause, check, remedy, rule, technique, choosing, part, protocol, caution,
    figure, finding or source.

    \b
    curdwise knowledge list cause --stage acid
    curdwise knowledge list --symptom cloud_at_filter
    curdwise knowledge list rule --source fox-mcsweeney-1998
    """
    from advisor.report.browse.search import chosen
    from advisor.report.browse.text import list_lines

    _, entries = _entries(house)
    found = chosen(
        entries, kind=kind, stage=stage, symptom=symptom, source=source, operation=operation
    )
    _show_list(found, as_json, list_lines(found, _width()))


@click.command()
@click.argument("words", nargs=-1, required=True)
@click.option("--most", default=20, show_default=True, type=click.IntRange(1, 500))
@json_option()
@HOUSES
def search(words: tuple[str, ...], most: int, as_json: bool, house: tuple[Path, ...]) -> None:
    """Find entries that hold the WORDS, best first.

    \b
    curdwise knowledge search pectin haze
    """
    from advisor.report.browse.search import search as find
    from advisor.report.browse.text import found_lines

    _, entries = _entries(house)
    found = find(entries, " ".join(words), most)
    _show_list(found, as_json, found_lines(found, _width()))


@click.command()
@click.argument("names", nargs=-1, required=True, metavar="ID...")
@json_option()
@HOUSES
def show(names: tuple[str, ...], as_json: bool, house: tuple[Path, ...]) -> None:
    """Show entries whole: a cause, rule, check, remedy, source or any other, by its ID.

    A source's page lists all that rests on it. With --knowledge it says what is the house's own.
    """
    from advisor.report.browse.search import find
    from advisor.report.browse.text import entry_data, entry_lines

    base, entries = _entries(house)
    found = [find(entries, name, base.house) for name in names]
    if as_json:
        _print({"version": 1, "entries": [entry_data(e) for e in found]})
        return
    for number, entry in enumerate(found):
        if number:
            click.echo()
        for line in entry_lines(entry, _width()):
            click.echo(line)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--html", is_flag=True, help="Only the one HTML page.")
@click.option("--markdown", is_flag=True, help="Only the Markdown pages.")
@HOUSES
def pages(folder: Path, html: bool, markdown: bool, house: tuple[Path, ...]) -> None:
    """Write the whole knowledge to FOLDER as readable pages: Markdown and one HTML page.

    With --knowledge they say what the house added, replaced and switched off, and why.
    """
    from advisor.report.browse.pages import html_page, markdown_pages, write_pages

    base, entries = _entries(house)
    made: dict[str, str] = {}
    if markdown or not html:
        made |= markdown_pages(base, entries)
    if html or not markdown:
        made["knowledge.html"] = html_page(base, entries)
    written = write_pages(folder, made)
    click.echo(f"{len(written)} pages in {folder}", file=sys.stderr)


@click.command()
@click.argument("symptom")
@click.option("--most", default=12, show_default=True, type=click.IntRange(1, 40), help="Causes.")
@click.option("-o", "--output", type=click.Path(path_type=Path, dir_okay=False), help="The file.")
@HOUSES
def picture(symptom: str, most: int, output: Path | None, house: tuple[Path, ...]) -> None:
    """Draw how findings lead to the causes of a SYMPTOM, and the causes to remedies (SVG).

    \b
    curdwise knowledge picture cloud_on_chill -o cold-haze.svg
    """
    from advisor.knowledge.load import load
    from advisor.report.browse.picture import picture as draw
    from advisor.report.browse.picture import svg

    drawn = draw(load(house), symptom, most)
    text = svg(drawn)
    if output is None:
        click.echo(text)
        return
    try:
        output.write_text(text, encoding="utf-8")
    except OSError as error:
        raise AdvisorError(
            "picture-unwritable",
            f"the picture cannot be written: {error.strerror or error}",
            where=str(output),
            hint="choose a folder that exists and that you may write to",
        ) from None
    click.echo(f"{output}: {len(drawn.boxes)} boxes, {len(drawn.edges)} lines", file=sys.stderr)
