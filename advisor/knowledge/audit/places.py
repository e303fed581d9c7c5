"""Where each part of a base stands in its files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import Place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.gather import Gathered, Record
    from advisor.knowledge.model import Base, Effect

__all__ = ["Places"]


class Places:
    """The place of a record's parts.

    With the gathered files at hand a part has a place of its own; a base that comes without
    them (from the cache, or made in memory) gives the place of the whole record.
    """

    def __init__(self, base: Base, gathered: Gathered | None = None) -> None:
        self.base = base
        self.gathered = gathered

    def record(self, section: str, id: str) -> Record | None:
        """The record as written, where the files are at hand."""
        if self.gathered is None:
            return None
        return self.gathered.section(section).get(id)

    def of_house(self, id: str) -> bool:
        """Whether a house wrote this record, over a shipped one or beside it."""
        return self.gathered is not None and id in self.gathered.house

    def at(self, section: str, id: str, *path: str | int) -> Place:
        """The place of a value, or of the nearest thing around it."""
        record = self.record(section, id)
        if record is not None:
            return record.place(*path)
        about = getattr(self.base, section).get(id)
        return about.place if about is not None else Place(id)

    def key(self, section: str, id: str, *path: str | int) -> Place:
        """The place of the key that leads to a value."""
        record = self.record(section, id)
        return record.key_place(*path) if record is not None else self.at(section, id)

    def test(self, section: str, id: str, part: str, key: str) -> Place:
        """Where a condition under ``part`` first speaks of a finding or figure."""
        record = self.record(section, id)
        if record is None or part not in record.data:
            return self.at(section, id)
        for path in _paths_to(record.data[part], key, (part,)):
            return record.key_place(*path)
        return record.place(part)

    def written(self, section: str, id: str, part: str, key: str) -> list[Any]:
        """How a condition under ``part`` writes its tests on a finding or figure."""
        record = self.record(section, id)
        if record is None or part not in record.data:
            return []
        found = []
        for path in _paths_to(record.data[part], key, ()):
            value = record.data[part]
            for step in path:
                value = value[step]
            found.append(value)
        return found

    def effect(self, section: str, id: str, effect: Effect) -> Place:
        """Where a rule says one of its effects."""
        record = self.record(section, id)
        if record is None:
            return self.at(section, id)
        then = record.data["then"]
        written = then.get(effect.kind)
        if isinstance(written, dict) and effect.target in written:
            return record.key_place("then", effect.kind, effect.target)
        if isinstance(written, list) and effect.target in written:
            return record.place("then", effect.kind, written.index(effect.target))
        for key in (effect.kind, effect.target.replace("-", "_")):  # a family, a verdict
            if key in then:
                return record.key_place("then", key)
        return record.key_place("then")


def _paths_to(
    written: Any, key: str, path: tuple[str | int, ...]
) -> Iterator[tuple[str | int, ...]]:
    if isinstance(written, dict):
        for name, value in written.items():
            if name == key:
                yield (*path, name)
            elif name in ("all", "any", "none"):
                yield from _paths_to(value, key, (*path, name))
    elif isinstance(written, list):
        for index, value in enumerate(written):
            yield from _paths_to(value, key, (*path, index))
