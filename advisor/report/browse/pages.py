"""The whole base as readable pages: a folder of Markdown, and one HTML page."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.files import replace_file
from advisor.report.browse.model import KINDS
from advisor.version import __version__

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from advisor.knowledge.base import HouseChange
    from advisor.knowledge.model import Base
    from advisor.report.browse.model import Bit, Entry, Row

__all__ = ["MARKER", "html_page", "markdown_pages", "write_pages"]

# Stands on top of every Markdown page: a file without it is somebody's own and stays.
MARKER = "<!-- Made from the knowledge base; changes here are lost. -->"

_BY_STAGE = ("cause", "remedy", "rule")
_SPECIAL = str.maketrans({c: f"\\{c}" for c in "\\`*_[]<>#|"})


def markdown_pages(base: Base, entries: Mapping[str, Entry]) -> dict[str, str]:
    """File name to Markdown text. Causes, remedies and rules have a page a stage."""
    page_of = {entry.id: _page(entry) for entry in entries.values()}
    grouped: dict[str, list[Entry]] = {}
    for entry in entries.values():
        grouped.setdefault(page_of[entry.id], []).append(entry)
    pages = {
        page: "\n".join(_markdown(page, members, page_of)) + "\n"
        for page, members in grouped.items()
    }
    pages["index.md"] = "\n".join(_index(base, grouped, page_of)) + "\n"
    return pages


def _page(entry: Entry) -> str:
    name = KINDS[entry.kind].lower()
    return f"{name}-{entry.stage}.md" if entry.kind in _BY_STAGE else f"{name}.md"


def _heading(page: str) -> str:
    name, _, stage = page.removesuffix(".md").partition("-")
    return f"{name.capitalize()}: {stage}" if stage else name.capitalize()


def _markdown(page: str, members: list[Entry], page_of: Mapping[str, str]) -> Iterator[str]:
    yield MARKER
    yield f"# {_heading(page)}"
    yield ""
    yield "[All pages](index.md)"
    for entry in members:
        yield ""
        yield f'<a id="{entry.id}"></a>'
        yield ""
        yield f"## {entry.title.translate(_SPECIAL)}"
        yield ""
        yield f"`{entry.id}`" + (
            f" \N{MIDDLE DOT} {entry.house} by the house" if entry.house else ""
        )
        for part in entry.parts:
            yield ""
            if part.heading:
                yield f"**{part.heading}**"
                yield ""
            for row in part.rows:
                text = "".join(_markdown_bit(bit, page, page_of) for bit in row)
                yield f"- {text}" if part.heading else f"{text}\n"


def _markdown_bit(bit: Bit, page: str, page_of: Mapping[str, str]) -> str:
    if isinstance(bit, str):
        return bit.translate(_SPECIAL)
    target = page_of.get(bit.id)
    text = bit.text.translate(_SPECIAL)
    if target is None:
        return text
    return f"[{text}]({'' if target == page else target}#{bit.id})"


def _index(
    base: Base, grouped: Mapping[str, list[Entry]], page_of: Mapping[str, str]
) -> Iterator[str]:
    yield MARKER
    yield f"# {base.name}"
    yield ""
    yield f"Knowledge {base.version} ({base.hash[:6]}), curdwise {__version__}."
    yield ""
    for page, members in grouped.items():
        yield f"- [{_heading(page)}]({page}) ({len(members)})"
    yield ""
    if base.house:
        yield "## What the house changes"
        yield ""
        for change in base.house:
            yield f"- {_change(change, page_of)}"
        yield ""
    yield "## By symptom"
    yield ""
    for entry in grouped.get("symptoms.md", ()):
        yield f"- [{entry.title.translate(_SPECIAL)}]({page_of[entry.id]}#{entry.id})"


def _change(change: HouseChange, page_of: Mapping[str, str]) -> str:
    title = (change.title or change.id).translate(_SPECIAL)
    if change.id in page_of:
        title = f"[{title}]({page_of[change.id]}#{change.id})"
    why = f": {change.why.translate(_SPECIAL)}" if change.why else ""
    return f"{change.verb}: {change.kind} {title}{why}"


def html_page(base: Base, entries: Mapping[str, Entry]) -> str:
    """All of it as one self-contained page with an index by symptom and by stage."""
    from advisor.report.html import render

    kinds = [
        (kind, heading, [e for e in entries.values() if e.kind == kind])
        for kind, heading in KINDS.items()
    ]
    stages = list(dict.fromkeys(e.stage for e in entries.values() if e.kind == "cause"))
    return render(
        "browse.html",
        title="What the advice rests on",
        version=__version__,
        knowledge=f"{base.version} ({base.hash[:6]})",
        date="",
        kinds=kinds,
        stages=[
            (stage, [e for e in entries.values() if e.kind == "cause" and e.stage == stage])
            for stage in stages
        ],
        known=entries,
        house=base.house,
        pieces=_pieces,
    )


def _pieces(row: Row) -> list[tuple[str, str]]:
    """(text, id or '') of each piece of a line."""
    return [(b, "") if isinstance(b, str) else (b.text, b.id) for b in row]


def write_pages(folder: Path, pages: Mapping[str, str]) -> list[Path]:
    """Write the pages. A file that was not made by this program is never written over.

    Raises ``AdvisorError`` before anything is written when one is in the way.
    """
    paths = {folder / name: text for name, text in pages.items()}
    for path in paths:
        if path.exists() and not _ours(path):
            raise AdvisorError(
                "pages-in-the-way",
                "this file was not made from the knowledge base, so it is left alone",
                where=str(path),
                hint="choose an empty folder",
            )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, text in paths.items():
            replace_file(path, text, mode=0o644)  # a page is for everybody to read
    except OSError as error:
        raise AdvisorError(
            "pages-unwritable",
            f"the pages cannot be written: {error.strerror or error}",
            where=str(folder),
            hint="choose a folder that you may write to",
        ) from None
    return list(paths)


def _ours(path: Path) -> bool:
    with suppress(OSError), path.open("rb") as file:
        head = file.read(400)
        return MARKER.encode() in head or b'name="generator" content="curdwise' in head
    return False
