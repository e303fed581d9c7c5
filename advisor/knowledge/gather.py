"""Collect the records of many files into one table per section, house files over shipped ones."""

from __future__ import annotations

import json
import re
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from advisor.errors import Place, Problem, did_you_mean
from advisor.knowledge.shapecheck import shape_problems
from advisor.knowledge.shapes import SECTIONS, knowledge_schema

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from advisor.knowledge.yamlread import Document, Path

__all__ = ["Change", "Gathered", "Lost", "Record", "gather", "one_of"]

# Below these keys only the condition reader judges: it can say more than a schema can.
_OWN_READER = ("when", "ask_when", "is")
_ONE = {"remedies": "remedy", "choosing": "choosing rule"}
_NAME = re.compile(r"[A-Za-z][\w-]*")


@dataclass(frozen=True, slots=True)
class Record:
    """One written record with its document, so that every part of it has a place."""

    data: Mapping[str, Any]
    document: Document
    path: Path

    @property
    def id(self) -> str:
        return str(self.data["id"])

    @property
    def section(self) -> str:
        return str(self.path[0])

    @property
    def title(self) -> str:
        """What it is called, as far as its kind has a name."""
        return str(self.data.get("title") or self.data.get("label") or "")

    def at(self, *more: str | int) -> Path:
        return (*self.path, *more)

    def place(self, *more: str | int) -> Place:
        return self.document.place(self.at(*more))

    def key_place(self, *more: str | int) -> Place:
        return self.document.key_place(self.at(*more))

    def names(self) -> frozenset[str]:
        """Every word in it that could be an id."""
        return frozenset(_names(self.data))

    def says_the_same_as(self, other: Record) -> bool:
        """Whether a reader would find no difference; the order of keys is none."""
        return self.section == other.section and _written(self) == _written(other)


def _written(record: Record) -> str:
    return json.dumps(record.data, sort_keys=True)


def _names(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _NAME.findall(key)
            yield from _names(value)
    elif isinstance(data, list):
        for value in data:
            yield from _names(value)
    elif isinstance(data, str):
        yield from _NAME.findall(data)


@dataclass(frozen=True, slots=True)
class Change:
    """What one house does to one id. Without ``after`` it switches it off."""

    id: str
    section: str
    place: Place
    before: Record | None  # as it stood when the house came
    after: Record | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Lost:
    """A shipped record that a house replaced or switched off, and where it says so."""

    section: str
    record: Record
    where: Place
    off: bool


@dataclass(slots=True)
class Gathered:
    """Every record by section and id, and what houses changed."""

    name: str = ""
    version: str = ""
    bystander: str = ""  # the word for how much speaks against a cause that brings on nothing
    records: dict[str, dict[str, Record]] = field(
        default_factory=lambda: {section: {} for section in SECTIONS}
    )
    shipped: dict[str, Record] = field(default_factory=dict)  # before any house
    steps: dict[str, list[Change]] = field(default_factory=dict)  # by id, house after house
    problems: list[Problem] = field(default_factory=list)
    # What could not be taken: how many records and changes, and the ids that are missed for it.
    left_out: int = 0
    gone: set[str] = field(default_factory=set)
    _starts: dict[str, list[tuple[tuple[int, int], Record]]] = field(default_factory=dict)

    @property
    def house(self) -> set[str]:
        """The ids of records that a house wrote, added or replaced."""
        return {key for key, steps in self.steps.items() if steps and steps[-1].after is not None}

    @property
    def lost(self) -> tuple[Lost, ...]:
        """What houses took the place of in the shipped base, by the last house that did."""
        return tuple(
            Lost(last.section, self.shipped[key], last.place, last.after is None)
            for key, steps in self.steps.items()
            if key in self.shipped and steps and (last := steps[-1])
        )

    def section(self, name: str) -> Mapping[str, Record]:
        return self.records[name]

    def find(self, id: str) -> Record | None:
        """The record of that id, of whatever kind."""
        return next((r[id] for r in self.records.values() if id in r), None)

    def holder(self, place: Place) -> Record | None:
        """The record around a place, whether it was taken or laid aside."""
        starts = self._starts.get(place.name, [])
        at = bisect_right([start for start, _ in starts], (place.line, place.column))
        return starts[at - 1][1] if at else None

    def remember(self, record: Record) -> None:
        """Note where a record begins. Those of a file come in the order of their places."""
        at = record.place()
        self._starts.setdefault(at.name, []).append(((at.line, at.column), record))

    def in_order(self) -> None:
        for starts in self._starts.values():
            starts.sort(key=lambda pair: pair[0])

    def change(self, id: str) -> Change | None:
        """The last change of an id."""
        steps = self.steps.get(id)
        return steps[-1] if steps else None

    def take(self, change: Change) -> None:
        """Make a change of a house."""
        self.steps.setdefault(change.id, []).append(change)
        self._put(change.id, change.section, change.after)

    def take_back(self, change: Change) -> None:
        """Undo the last change of an id, which does not fit."""
        self.steps[change.id].remove(change)
        self._put(change.id, change.section, change.before)
        self.left_out += 1
        if change.before is None:
            self.gone.add(change.id)

    def leave_out(self, record: Record) -> None:
        """Take a record with a fault out; where a house had replaced another, that one is back."""
        change = self.change(record.id)
        if change is not None and change.after is record:
            self.take_back(change)
            return
        self.records[record.section].pop(record.id, None)
        self.left_out += 1
        self.gone.add(record.id)

    def _put(self, id: str, section: str, record: Record | None) -> None:
        if record is None:
            self.records[section].pop(id, None)
        else:
            self.records[section][id] = record

    def differences(self) -> list[Change]:
        """What the houses together make of the shipped base, each id once."""
        found = []
        for key, steps in self.steps.items():
            shipped, last = self.shipped.get(key), steps[-1] if steps else None
            if last is None or (
                shipped is not None
                and last.after is not None
                and last.after.says_the_same_as(shipped)
            ):
                continue
            before = last.before if shipped is None and last.after is None else shipped
            found.append(Change(key, last.section, last.place, before, last.after, last.why))
        return found


def gather(
    shipped: Iterable[Document],
    houses: Iterable[Sequence[Document]] = (),
    unread: Iterable[str] = (),
) -> Gathered:
    """Put the files together, each house over what was there before it.

    Problems are collected, never raised. ``unread`` are ids of files that could not be read.
    """
    gathered = Gathered(gone=set(unread))
    for document in shipped:
        _about(document, gathered)
        for record in _records(document, gathered):
            before = gathered.shipped.get(record.id)
            if before is not None:
                gathered.problems.append(_twice(record, before))
                gathered.left_out += 1
                continue
            gathered.shipped[record.id] = record
            gathered.records[record.section][record.id] = record
    for house in houses:
        _lay_over(house, gathered)
    gathered.in_order()
    # What stands somewhere is not missed.
    gathered.gone -= {key for records in gathered.records.values() for key in records}
    return gathered


def _about(document: Document, gathered: Gathered) -> None:
    about = document.data.get("base") if isinstance(document.data, dict) else None
    if isinstance(about, dict):
        gathered.name = gathered.name or str(about.get("name", ""))
        gathered.version = gathered.version or str(about.get("version", ""))
        gathered.bystander = gathered.bystander or str(about.get("bystander", ""))


def _records(document: Document, gathered: Gathered) -> list[Record]:
    """The records whose shape is right; what is wrong with the others is told."""
    problems = shape_problems(document, knowledge_schema, skip=_OWN_READER)
    gathered.problems.extend(problems)
    if not isinstance(document.data, dict):
        return []
    found = []
    for section, written in document.data.items():
        if section in ("base", "switch_off"):
            continue
        if section not in SECTIONS or not isinstance(written, list):
            gathered.gone.update(_ids(written))
            continue
        for index, data in enumerate(written):
            path = (section, index)
            if not isinstance(data, dict) or not isinstance(data.get("id"), str):
                gathered.left_out += 1
                continue
            record = Record(data, document, path)
            gathered.remember(record)
            first, last = document.place(path).line, _last_line(document, path)
            if any(first <= p.where.line <= last for p in problems):
                gathered.left_out += 1
                gathered.gone.add(record.id)
                continue  # its shape is wrong and has been reported
            found.append(record)
    return found


def _ids(data: Any) -> Iterator[str]:
    """Whatever is given as an id, at any depth."""
    if isinstance(data, dict):
        if isinstance(data.get("id"), str):
            yield data["id"]
        data = list(data.values())
    if isinstance(data, list):
        for value in data:
            yield from _ids(value)


def _last_line(document: Document, path: Path) -> int:
    after = document.places.get((path[0], int(path[1]) + 1))
    if after is not None:
        return after.line - 1
    return max(p.line for where, p in document.places.items() if where[:2] == path)


def _twice(record: Record, before: Record) -> Problem:
    return Problem(
        "id-twice",
        f"the id {record.id!r} is used twice",
        record.place("id"),
        f"it stands at {before.place('id')} already",
    )


def one_of(section: str) -> str:
    """One thing of a section, in words."""
    return _ONE.get(section) or section.removesuffix("s")


# A house.


def _lay_over(house: Sequence[Document], gathered: Gathered) -> None:
    """Lay one house over what is there. The names and the order of its files make no difference."""
    written: dict[str, Record] = {}
    changes: list[Record | tuple[str, Place, str]] = []
    for document in house:
        _no_base(document, gathered)
        for record in _records(document, gathered):
            if record.id in written:
                gathered.problems.append(_twice(record, written[record.id]))
                gathered.left_out += 1
                continue
            written[record.id] = record
            changes.append(record)
        changes += _switched_off(document)
    off: dict[str, Place] = {}
    for change in changes:
        if not isinstance(change, Record):
            key, place, _ = change
            if key in off or key in written:
                gathered.problems.append(_off_and_on(key, place, off.get(key), written.get(key)))
                gathered.left_out += 1
                gathered.gone.add(key)
            off.setdefault(key, place)
    there = {key: r for records in gathered.records.values() for key, r in records.items()}
    for change in changes:
        if isinstance(change, Record):
            if change.id not in off:
                _write_over(change, there.get(change.id), gathered)
        elif change[0] not in written and off[change[0]] == change[1]:
            _take_off(*change, there, gathered)


def _no_base(document: Document, gathered: Gathered) -> None:
    if isinstance(document.data, dict) and "base" in document.data:
        gathered.problems.append(
            Problem(
                "base-in-house",
                "this folder says `base:`, so it is a base of its own and lies over no other",
                document.key_place(("base",)),
                "take `base:` out of a house's own knowledge",
            )
        )


def _switched_off(document: Document) -> Iterator[tuple[str, Place, str]]:
    data = document.data
    entries = data.get("switch_off") if isinstance(data, dict) else None
    for index, entry in enumerate(entries if isinstance(entries, list) else []):
        if isinstance(entry, dict) and isinstance(entry.get("id"), str):
            place = document.place(("switch_off", index, "id"))
            yield entry["id"], place, str(entry.get("why", ""))


def _off_and_on(id: str, place: Place, off: Place | None, written: Record | None) -> Problem:
    if written is not None:
        return Problem(
            "id-twice",
            f"{id!r} is switched off and written in one house",
            place,
            f"it is written at {written.place('id')}: keep one of the two "
            "(what is written replaces it without being switched off)",
        )
    return Problem("id-twice", f"{id!r} is switched off twice", place, f"see {off}: keep one")


def _write_over(record: Record, before: Record | None, gathered: Gathered) -> None:
    if before is not None and before.section != record.section:
        gathered.problems.append(
            Problem(
                "id-other-kind",
                f"{record.id!r} belongs to {before.section} of the shipped base",
                record.place("id"),
                "use another id, or put it under the same list",
            )
        )
        gathered.left_out += 1
        return
    if before is None or not record.says_the_same_as(before):
        gathered.take(Change(record.id, record.section, record.place("id"), before, record))


def _take_off(
    id: str, place: Place, why: str, there: Mapping[str, Record], gathered: Gathered
) -> None:
    before = there.get(id)
    if before is not None:
        gathered.take(Change(id, before.section, place, before, None, why))
    elif id not in gathered.gone:
        gathered.problems.append(
            Problem(
                "unknown-id",
                f"there is no {id!r} to switch off",
                place,
                did_you_mean(id, there) or "curdwise knowledge search finds ids by words",
            )
        )
