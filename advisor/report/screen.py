"""A report on the screen: with rich where there is one, plain lines anywhere else."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rich.console import Console

    from advisor.report.model import Block, Line, Report

__all__ = ["plain_blocks", "plain_lines", "print_rich", "print_rich_blocks"]

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
    yield from plain_blocks(report.blocks, width)
    yield ""
    yield from (piece for text in report.footer for piece in _wrapped(text, width, 0))


def plain_blocks(blocks: Iterable[Block], width: int = 80) -> Iterator[str]:
    """Headed blocks alone as wrapped text, an empty line before each."""
    for block in blocks:
        yield ""
        if block.heading:
            yield block.heading
        for line in block.lines:
            yield from _wrapped(_whole(line), width, 2 + 2 * line.depth)


def print_rich(report: Report, *, width: int | None = None) -> None:
    """The report in colour on standard output; rich honours NO_COLOR and pipes."""
    from rich.text import Text

    console, room = _console(width)
    if report.title:
        console.print(Text(report.title, style="dim"), width=room)
        console.print()
    verdict = Text(report.verdict, style=_STYLES[report.tone])
    if report.aside:
        verdict.append(f"   {report.aside}", style="not bold")
    console.print(verdict, width=room)
    print_rich_blocks(report.blocks, width=width)
    console.print()
    for footer in report.footer:
        console.print(Text(footer, style="dim"), width=room)


def print_rich_blocks(blocks: Iterable[Block], *, width: int | None = None) -> None:
    """Headed blocks alone, in colour on standard output."""
    from rich.padding import Padding
    from rich.text import Text

    console, room = _console(width)
    for block in blocks:
        console.print()
        if block.heading:
            console.print(Text(block.heading, style="bold"), width=room)
        for line in block.lines:
            text = Text(line.text, style=_STYLES.get(line.tone, ""))
            if line.aside:
                text.append(f"   [{line.aside}]", style="dim")
            console.print(Padding(text, (0, 0, 0, 2 + 2 * line.depth)), width=room)


def _console(width: int | None) -> tuple[Console, int]:
    """A console on standard output, and the width that lines are held to."""
    from rich.console import Console

    console = Console(width=width, highlight=False, soft_wrap=False)
    return console, min(console.width, 96)


def _verdict(report: Report) -> str:
    return f"{report.verdict}   {report.aside}" if report.aside else report.verdict


def _whole(line: Line) -> str:
    return f"{line.text}   [{line.aside}]" if line.aside else line.text


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    pad = " " * indent
    hang = pad + ("  " if text[:2] in ("+ ", "- ") else "")
    # A number never parts from its percent sign.
    wrapped = textwrap.wrap(
        text.replace(" %", "\N{NO-BREAK SPACE}%"),
        width,
        initial_indent=pad,
        subsequent_indent=hang,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace("\N{NO-BREAK SPACE}%", " %") for line in wrapped] or [""]
