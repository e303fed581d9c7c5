"""Collect the records of many files into one table per section, house files over shipped ones."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from advisor.errors import Place, Problem, did_you_mean
from advisor.knowledge.shapecheck import shape_problems
from advisor.knowledge.shapes import SECTIONS, knowledge_schema

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.yamlread import Document, Path

__all__ = ["Gathered", "Lost", "Record", "gather"]

# Below these keys only the condition reader judges: it can say more than a schema can.
_OWN_READER = ("when", "ask_when", "is")


@dataclass(frozen=True, slots=True)
class Record:
    """One written record with its document, so that every part of it has a place."""

    data: Mapping[str, Any]
    document: Document
    path: Path

    @property
    def id(self) -> str:
        return str(self.data["id"])

    def at(self, *more: str | int) -> Path:
        return (*self.path, *more)

    def place(self, *more: str | int) -> Place:
        return self.document.place(self.at(*more))

    def key_place(self, *more: str | int) -> Place:
        return self.document.key_place(self.at(*more))


@dataclass(frozen=True, slots=True)
class Lost:
    """A shipped record that a house replaced or switched off, and where it says so."""

    section: str
    record: Record
    where: Place
    off: bool


@dataclass(slots=True)
class Gathered:
    """Every record by section and id, and what a house changed."""

    name: str = ""
    version: str = ""
    bystander: str = ""  # the word for how much speaks against a cause that brings on nothing
    records: dict[str, dict[str, Record]] = field(
        default_factory=lambda: {section: {} for section in SECTIONS}
    )
    changes: list[str] = field(default_factory=list)
    house: set[str] = field(default_factory=set)  # ids of records that a house wrote
    lost: list[Lost] = field(default_factory=list)  # what a house took the place of
    problems: list[Problem] = field(default_factory=list)

    def section(self, name: str) -> Mapping[str, Record]:
        return self.records[name]


def gather(shipped: Iterable[Document], house: Iterable[Document] = ()) -> Gathered:
    """Put the files together. Problems are collected, never raised."""
    gathered = Gathered()
    owner: dict[str, Record] = {}
    for document in shipped:
        for section, record in _records(document, gathered):
            before = owner.get(record.id)
            if before is not None:
                gathered.problems.append(_twice(record, before))
                continue
            owner[record.id] = record
            gathered.records[section][record.id] = record
    seen: dict[str, Record] = {}
    for document in house:
        for section, record in _records(document, gathered):
            if record.id in seen:
                gathered.problems.append(_twice(record, seen[record.id]))
                continue
            seen[record.id] = record
            _lay_over(section, record, owner, gathered)
        _switch_off(document, owner, gathered)
    return gathered


def _records(document: Document, gathered: Gathered) -> list[tuple[str, Record]]:
    problems = shape_problems(document, knowledge_schema, skip=_OWN_READER)
    gathered.problems.extend(problems)
    if not isinstance(document.data, dict):
        return []
    about = document.data.get("base")
    if isinstance(about, dict):
        gathered.name = gathered.name or str(about.get("name", ""))
        gathered.version = gathered.version or str(about.get("version", ""))
        gathered.bystander = gathered.bystander or str(about.get("bystander", ""))
    found = []
    for section in SECTIONS:
        written = document.data.get(section)
        if not isinstance(written, list):
            continue
        for index, data in enumerate(written):
            path = (section, index)
            if not isinstance(data, dict) or not isinstance(data.get("id"), str):
                continue
            first, last = document.place(path).line, _last_line(document, path)
            if any(
                p.where.name == document.name and first <= p.where.line <= last for p in problems
            ):
                continue  # its shape is wrong and has been reported
            found.append((section, Record(data, document, path)))
    return found


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


def _one(section: str) -> str:
    return "remedy" if section == "remedies" else section.removesuffix("s")


def _lay_over(section: str, record: Record, owner: dict[str, Record], gathered: Gathered) -> None:
    before = owner.get(record.id)
    if before is not None and before.path[0] != section:
        gathered.problems.append(
            Problem(
                "id-other-kind",
                f"{record.id!r} belongs to {before.path[0]} of the shipped base",
                record.place("id"),
                "use another id, or put it under the same list",
            )
        )
        return
    if before is not None:
        _lose(gathered, Lost(section, before, record.place(), off=False))
    gathered.house.add(record.id)
    verb = "added" if before is None else "replaced"
    gathered.changes.append(f"{verb} {_one(section)} {record.id} ({record.place('id')})")
    owner[record.id] = record
    gathered.records[section][record.id] = record


def _lose(gathered: Gathered, lost: Lost) -> None:
    """Note what is lost of the shipped base; of two houses the last one counts."""
    for index, before in enumerate(gathered.lost):
        if before.record.id == lost.record.id:
            gathered.lost[index] = replace(lost, record=before.record)
            return
    if lost.record.id not in gathered.house:
        gathered.lost.append(lost)


def _switch_off(document: Document, owner: dict[str, Record], gathered: Gathered) -> None:
    data = document.data
    entries = data.get("switch_off") if isinstance(data, dict) else None
    for index, entry in enumerate(entries if isinstance(entries, list) else []):
        if not isinstance(entry, dict) or not isinstance(entry.get("id"), str):
            continue
        key = entry["id"]
        where = document.place(("switch_off", index, "id"))
        record = owner.pop(key, None)
        if record is None:
            gathered.problems.append(
                Problem(
                    "unknown-id",
                    f"there is no {key!r} to switch off",
                    where,
                    did_you_mean(key, owner),
                )
            )
            continue
        section = str(record.path[0])
        del gathered.records[section][key]
        _lose(gathered, Lost(section, record, where, off=True))
        gathered.house.discard(key)
        gathered.changes.append(f"switched off {_one(section)} {key}: {entry.get('why', '')}")
