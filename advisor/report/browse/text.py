"""An entry, or a list of them, on the screen and for a program."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from advisor.report.browse.model import KINDS, Ref, plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from advisor.report.browse.model import Entry

__all__ = ["entry_data", "entry_lines", "found_lines", "list_data", "list_lines"]


def entry_lines(entry: Entry, width: int = 80) -> Iterator[str]:
    """An entry as plain lines of at most ``width`` characters where words allow."""
    yield from textwrap.wrap(entry.title, width, break_long_words=False)
    about = [entry.kind, *([f"stage {entry.stage}"] if entry.stage else []), entry.id]
    about += [f"{entry.house} by the house"] if entry.house else []
    yield f"  {' · '.join(about)}"
    for part in entry.parts:
        if part.heading:
            yield ""
            yield part.heading.upper()
        for row in part.rows:
            yield from textwrap.wrap(
                plain(row),
                width,
                initial_indent="  ",
                subsequent_indent="    ",
                break_long_words=False,
                break_on_hyphens=False,
            )
    if entry.place.name:
        yield ""
        yield f"{entry.place}"


def list_lines(found: Iterable[Entry], width: int = 80) -> Iterator[str]:
    """Entries a line each, under the heading of their kind."""
    kind = ""
    for entry in found:
        if entry.kind != kind:
            if kind:
                yield ""
            kind = entry.kind
            yield KINDS[kind].upper()
        yield from textwrap.wrap(
            f"{entry.id}  {entry.title}"
            + (f" ({entry.stage})" if entry.stage else "")
            + (f" \N{MIDDLE DOT} {entry.house} by the house" if entry.house else ""),
            width,
            initial_indent="  ",
            subsequent_indent="      ",
            break_long_words=False,
            break_on_hyphens=False,
        )


def found_lines(found: Iterable[Entry], width: int = 80) -> Iterator[str]:
    """Entries a line each in the order given, each with its kind."""
    for entry in found:
        yield from textwrap.wrap(
            f"{entry.kind:<9} {entry.id}  {entry.title}",
            width,
            subsequent_indent=" " * 14,
            break_long_words=False,
            break_on_hyphens=False,
        )


def list_data(found: Iterable[Entry]) -> list[dict[str, Any]]:
    """The same for a program."""
    return [_head(entry) for entry in found]


def entry_data(entry: Entry) -> dict[str, Any]:
    """An entry for a program, links kept."""
    return {
        **_head(entry),
        "file": entry.place.name,
        "line": entry.place.line,
        "parts": [
            {
                "heading": part.heading,
                "rows": [
                    {"text": plain(row), "links": [b.id for b in row if isinstance(b, Ref)]}
                    for row in part.rows
                ],
            }
            for part in entry.parts
        ],
    }


def _head(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "kind": entry.kind,
        "title": entry.title,
        "stage": entry.stage or None,
        "operations": list(entry.operations),
        "symptoms": list(entry.symptoms),
        "sources": list(entry.sources),
        "house": entry.house or None,
    }
