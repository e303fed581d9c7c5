"""A report on the screen: with rich where there is one, plain lines anywhere else."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.report.model import Line, Report

__all__ = ["plain_lines", "print_rich"]

_STYLES = {
    "strong": "bold",
    "stop": "bold red",
    "quiet": "dim",
    "for": "green",
    "against": "yellow",
}


def plain_lines(report: Report, width: int = 80) -> Iterator[str]:
    """The report as wrapped text, as good read aloud as seen."""
    if report.title:
        yield report.title
        yield ""
    yield from _wrapped(_verdict(report), width, 0)
    for block in report.blocks:
        yield ""
        if block.heading:
            yield block.heading
        for line in block.lines:
            yield from _wrapped(_whole(line), width, 2 + 2 * line.depth)
    yield ""
    yield from (piece for text in report.footer for piece in _wrapped(text, width, 0))


def print_rich(report: Report, *, width: int | None = None) -> None:
    """The report in colour on standard output; rich honours NO_COLOR and pipes."""
    from rich.console import Console
    from rich.padding import Padding
    from rich.text import Text

    console = Console(width=width, highlight=False, soft_wrap=False)
    room = min(console.width, 96)
    if report.title:
        console.print(Text(report.title, style="dim"), width=room)
        console.print()
    verdict = Text(report.verdict, style=_STYLES[report.tone])
    if report.aside:
        verdict.append(f"   {report.aside}", style="not bold")
    console.print(verdict, width=room)
    for block in report.blocks:
        console.print()
        if block.heading:
            console.print(Text(block.heading, style="bold"), width=room)
        for line in block.lines:
            text = Text(line.text, style=_STYLES.get(line.tone, ""))
            if line.aside:
                text.append(f"   [{line.aside}]", style="dim")
            console.print(Padding(text, (0, 0, 0, 2 + 2 * line.depth)), width=room)
    console.print()
    for footer in report.footer:
        console.print(Text(footer, style="dim"), width=room)


def _verdict(report: Report) -> str:
    return f"{report.verdict}   {report.aside}" if report.aside else report.verdict


def _whole(line: Line) -> str:
    return f"{line.text}   [{line.aside}]" if line.aside else line.text


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    pad = " " * indent
    hang = pad + ("  " if text[:2] in ("+ ", "- ") else "")
    return textwrap.wrap(
        text,
        width,
        initial_indent=pad,
        subsequent_indent=hang,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [""]
