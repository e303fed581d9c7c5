"""``curdwise questions``: what can be answered, for whoever writes a case file."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from advisor.cli.options import HOUSES, json_option

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["questions"]


@click.command()
@json_option("All of it as JSON.")
@HOUSES
def questions(as_json: bool, house: tuple[Path, ...]) -> None:
    """List every finding with its wording, possible answers, unit and range.

    \b
    These are the names that a case file and --answer use:
      answers:
        symptoms: [cloud_at_filter]
        strip_ph: 5.2
        acid_drop: flakes
    """
    from advisor.knowledge.load import load
    from advisor.report.listing import question_lines, question_list

    base = load(house)
    if as_json:
        click.echo(json.dumps(question_list(base), indent=2, ensure_ascii=False))
    else:
        for line in question_lines(base):
            click.echo(line)
