"""Branches of an ``any`` that can never hold, though the rest of the condition can."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import Problem
from advisor.knowledge.conditionread import ConditionReader, vocabulary_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.conditionread import Vocabulary
    from advisor.knowledge.gather import Record
    from advisor.knowledge.model import Base

__all__ = ["branch_problems"]


def branch_problems(base: Base, book: Book, places: Places) -> Iterable[Problem]:
    """Needs the files: once a condition is compiled, what can never hold is gone."""
    vocabulary = vocabulary_of(book.findings, book.figures)
    parts = [(book.section, name, "when") for name in book.rules]
    if book.section == "rules":
        parts += [("findings", name, "ask_when") for name in base.findings]
        parts += [("remedies", name, "when") for name in base.remedies]
    for section, name, part in parts:
        record = places.record(section, name)
        if record is not None and part in record.data:
            yield from _never(record, part, vocabulary)


def _never(record: Record, part: str, vocabulary: Vocabulary) -> Iterator[Problem]:
    written = record.data[part]
    for path in _branches(written, ()):
        problems: list[Problem] = []
        reader = ConditionReader(record.document, vocabulary, problems)
        if not reader.read(_only(written, path), record.at(part)):
            yield Problem(
                "branch-never",
                f"{record.id}: with the rest of the condition this branch can never hold",
                record.place(part, *path),
                "take the branch out, or correct what it contradicts",
            )


def _branches(written: Any, path: tuple[str | int, ...]) -> Iterator[tuple[str | int, ...]]:
    """The path of every branch of every ``any`` with more than one."""
    if isinstance(written, dict):
        for key, value in written.items():
            if key in ("all", "any") and isinstance(value, list):
                for index, each in enumerate(value):
                    here = (*path, key, index)
                    if key == "any" and len(value) > 1:
                        yield here
                    yield from _branches(each, here)


def _only(written: Any, path: tuple[str | int, ...]) -> Any:
    """The condition with one branch in the place of its ``any``."""
    if len(path) < 2:
        return written
    key, index, rest = str(path[0]), int(path[1]), path[2:]
    inner = _only(written[key][index], rest)
    parts = [inner] if key == "any" else [*written[key][:index], inner, *written[key][index + 1 :]]
    return {**written, key: parts}
