"""Writing a file whole or not at all, and printing a report or plain data."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Callable

    from advisor.report.model import Report

__all__ = ["json_option", "print_data", "print_report", "units_option", "write"]

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
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else "") or str(error)
        raise AdvisorError(
            "trial-unwritable", f"the file cannot be written: {reason}", where=str(path),
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


def json_option(function: Any) -> Any:
    """``--json``."""
    return click.option("--json", "as_json", is_flag=True, help="The result as JSON.")(function)


def units_option(function: Any) -> Callable[..., Any]:
    """``--units``."""
    return click.option(  # type: ignore[no-any-return]
        "--units",
        type=click.Choice(["metric", "us"]),
        default="metric",
        show_default=True,
        help="Units for volumes.",
    )(function)
