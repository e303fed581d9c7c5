"""An entry: one record of the base as a person reads it, with links to what it speaks of."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

from advisor.errors import Place

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

__all__ = ["KINDS", "Bit", "Entry", "Part", "Ref", "Row", "parts", "plain", "text_rows"]

# Kind: its heading, in the order in which pages show them.
KINDS = {
    "symptom": "Symptoms",
    "cause": "Causes",
    "check": "Checks",
    "remedy": "Remedies",
    "rule": "Rules",
    "technique": "Techniques",
    "choosing": "Choosing",
    "part": "Parts",
    "protocol": "Protocols",
    "caution": "Cautions",
    "figure": "Figures",
    "finding": "Findings",
    "source": "Sources",
}


@dataclass(frozen=True, slots=True)
class Ref:
    """A link to another entry, and the words that carry it."""

    id: str
    text: str


Bit: TypeAlias = "str | Ref"
Row: TypeAlias = tuple[Bit, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """Some lines under a heading; an empty heading for the opening text."""

    heading: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One record. ``links`` are the entries it names, ``sources`` those it is believed for."""

    kind: str
    id: str
    title: str
    parts: tuple[Part, ...]
    stage: str = ""
    operations: tuple[str, ...] = ()
    symptoms: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    place: Place = field(default=Place(""), compare=False)
    house: str = ""  # what a house did to it: added or replaced; empty for what is shipped

    @property
    def links(self) -> tuple[str, ...]:
        """The ids that this entry names, in order, once each."""
        named = (bit.id for row in self.rows() for bit in row if isinstance(bit, Ref))
        return tuple(dict.fromkeys(named))

    def rows(self) -> Iterator[Row]:
        """All lines of all parts."""
        for part in self.parts:
            yield from part.rows

    @property
    def text(self) -> str:
        """All that it says, for a search."""
        return "\n".join(plain(row) for row in self.rows())


def plain(row: Row) -> str:
    """A line without its links."""
    return "".join(bit if isinstance(bit, str) else bit.text for bit in row)


def parts(*given: tuple[str, Iterable[Row]]) -> tuple[Part, ...]:
    """Parts from headings and lines; those without a line are left out."""
    made = [Part(heading, tuple(tuple(row) for row in rows)) for heading, rows in given]
    return tuple(part for part in made if part.rows)


def text_rows(*texts: str) -> list[Row]:
    """A line for each text that says something."""
    return [(text.strip(),) for text in texts if text.strip()]
