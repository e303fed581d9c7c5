"""``curdwise compare``: two protocols side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.options import HOUSE, with_options
from advisor.cli.protocol import (
    ANSWER,
    BATCH,
    HTML,
    JSON,
    MARKDOWN,
    UNITS,
    brief_of,
    first_choice,
    parsed,
    show_comparison,
    write_file,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.knowledge.model import Base
    from advisor.technique.protocol import Protocol

__all__ = ["compare"]


@click.command()
@click.argument("first", metavar="A")
@click.argument("second", metavar="B")
@click.option(
    "--brief",
    "brief_file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The brief for A and B where they are techniques.",
)
@with_options(ANSWER, BATCH, UNITS, HTML, MARKDOWN, JSON, HOUSE)
def compare(
    first: str,
    second: str,
    brief_file: Path | None,
    answers: tuple[str, ...],
    batch: str | None,
    units: str,
    html: Path | None,
    markdown: bool,
    as_json: bool,
    house: tuple[Path, ...],
) -> None:
    """Put two protocols side by side.

    A and B are each a technique (with --brief or --answer), a brief file (its first technique),
    BRIEF@TECHNIQUE, or a protocol saved with protocol --save.

    \b
    curdwise compare strip strip-light --brief scenarios_demo/briefs/punch-for-a-wedding.yaml
    curdwise compare punch.yaml@strip punch.yaml@curd-steep
    curdwise compare monday.json friday.json
    """
    from advisor.knowledge.load import load
    from advisor.technique.protocol import compare as set_beside

    base = load(house)
    system = "metric" if units == "metric" else "us"
    amount = None if batch is None else parsed(batch, "mL", "--batch")
    both = [_operand(base, text, brief_file, answers, amount) for text in (first, second)]
    comparison = set_beside(both[0], both[1], system=system)
    if html is not None:
        from advisor.report.protocolpage import comparison_page

        write_file(html, comparison_page(comparison, knowledge=both[0].knowledge))
    show_comparison(comparison, as_json=as_json, markdown=markdown)


def _operand(
    base: Base, text: str, brief_file: Path | None, answers: Sequence[str], batch: float | None
) -> Protocol:
    """The protocol that A or B stands for."""
    from advisor.report.protocoldata import read_protocol
    from advisor.technique.protocol import protocol as write

    if text in base.protocols:
        if brief_file is None and not answers:
            raise click.UsageError(f"{text} is a technique: give the brief with --brief FILE.")
        return write(base, brief_of(base, brief_file, answers, True), text, batch_ml=batch)
    if text.lower().endswith(".json"):
        return read_protocol(base, text)
    path, at, technique = text.rpartition("@")
    if not at:
        path, technique = text, ""
    brief = brief_of(base, Path(path), answers, True)
    return write(base, brief, technique or first_choice(base, brief), batch_ml=batch)
