"""Writing a file whole or not at all, and printing a report or plain data."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.options import json_option, units_option
from advisor.errors import AdvisorError
from advisor.files import reason, replace_file

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.report.model import Report

__all__ = ["JSON", "UNITS", "print_data", "print_report", "write"]

JSON = json_option("The result as JSON.")
UNITS = units_option("volumes")
_WIDTH = 92


def write(path: Path, text: str, *, replace: bool) -> None:
    """Write ``text`` to ``path``; an existing file stays unless it may be replaced."""
    if path.exists() and not replace:
        raise AdvisorError(
            "trial-exists", "this file is there already and is kept", where=str(path),
            hint="choose another name, or say --replace",
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, text)
    except (OSError, ValueError) as error:
        raise AdvisorError(
            "trial-unwritable", f"the file cannot be written: {reason(error)}", where=str(path),
            hint="check the folder and its rights",
        ) from None


def print_report(report: Report) -> None:
    """A report on standard output: in colour on a terminal, plain lines elsewhere."""
    from advisor.cli.diagnose import accessible
    from advisor.report.screen import plain_lines, print_rich

    if sys.stdout.isatty() and not accessible():
        print_rich(report)
        return
    for line in plain_lines(report, _WIDTH):
        click.echo(line)


def print_data(data: dict[str, Any]) -> None:
    """Plain data as JSON on standard output."""
    click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
