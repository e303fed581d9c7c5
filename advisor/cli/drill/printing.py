"""A report on standard output, in colour where there is somebody to see it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from advisor.report.model import Report

__all__ = ["print_report"]


def print_report(report: Report) -> None:
    """Print it: wrapped text into a pipe or for the accessible mode, colour on a terminal."""
    from advisor.cli.diagnose import accessible

    if accessible() or not sys.stdout.isatty():
        from advisor.report.screen import plain_lines

        for line in plain_lines(report):
            click.echo(line)
    else:
        from advisor.report.screen import print_rich

        print_rich(report)
