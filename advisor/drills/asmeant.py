"""Answers as they were meant: what word processors and haste do to a sheet is undone.

Only what can mean one thing alone is changed: quotes that a program has bent, capitals of names
that are written small, one word where a list is wanted. Whatever else is wrong is left to be told.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from advisor.drills.shape import VERDICTS
from advisor.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.yamlread import Document

__all__ = ["as_meant", "with_spaces", "without_tabs"]

_BENT = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b\u00ab\u00bb\u2039\u203a\u2033\uff02"
_ANY_QUOTE = _BENT + "\"'"
_LISTS = ("ask", "causes", "say")
_KEYS = ("exam", "learner", "group", "drills", "verdict", "stage", "confidence", "remedy", "dose")
_NAME = re.compile(r"[A-Za-z0-9_-]+\Z")
_TAB = re.compile(r"^[ \t]*\t[ \t]*[^\s#]", re.M)


def with_spaces(raw: bytes) -> bytes:
    """The text with plain spaces where a word processor put ones that do not break."""
    return raw.replace("\N{NO-BREAK SPACE}".encode(), b" ")


def without_tabs(found: ProblemsFound, raw: bytes) -> ProblemsFound:
    """What is wrong with a text that is no YAML; in plain words where tabs are the reason."""
    text = raw.decode("utf-8-sig", "replace")
    tab = _TAB.search(text)
    if tab is None or all(p.code != "yaml-syntax" for p in found.problems):
        return found
    line = text.count("\n", 0, tab.start()) + 1
    told = Problem(
        "yaml-syntax",
        "this line begins with a tab",
        Place(found.problems[0].where.name, line, 1, tab.group() + _rest(text, tab.end())),
        "begin it with spaces, as many as the lines beside it",
    )
    return ProblemsFound(found.what, [told])


def _rest(text: str, at: int) -> str:
    return text[at:].partition("\n")[0][:200]


def as_meant(document: Document) -> Document:
    """The answers of a sheet or of one drill, as they were meant, with their places."""
    renamed: dict[tuple[str | int, ...], tuple[str | int, ...]] = {}
    data = _meant(document.data, (), (), renamed)
    return replace(
        document,
        data=data,
        places={renamed.get(path, path): place for path, place in document.places.items()},
        key_places={renamed.get(path, path): place for path, place in document.key_places.items()},
    )


def _meant(
    data: Any,
    old: tuple[str | int, ...],
    new: tuple[str | int, ...],
    renamed: dict[tuple[str | int, ...], tuple[str | int, ...]],
) -> Any:
    renamed[old] = new
    if isinstance(data, dict):
        made: dict[str, Any] = {}
        for key, value in data.items():
            name = _key(key, data)
            made[name] = _answer(name, _meant(value, (*old, key), (*new, name), renamed))
        return made
    if isinstance(data, list):
        return [_meant(x, (*old, n), (*new, n), renamed) for n, x in enumerate(data)]
    return _unquoted(data) if isinstance(data, str) else data


def _key(key: str, among: Mapping[str, Any]) -> str:
    name = _unquoted(key).strip()
    if name.casefold() in (*_LISTS, *_KEYS):
        name = name.casefold()
    return name if name == key or name not in among else key


def _answer(key: str, value: Any) -> Any:
    if not isinstance(value, str):
        return value
    if key == "verdict":
        folded = re.sub(r"[\s_]+", "-", value.strip().casefold())
        return folded if folded in VERDICTS else value or None
    if key in _LISTS and value.strip():
        parts = [part.strip() for part in value.split(",")]
        # A title may have a comma in it, a name has none.
        return parts if all(map(_NAME.match, parts)) else [value]
    return value


def _unquoted(text: str) -> str:
    """Without a pair of quotes that the program has bent: for YAML these are letters."""
    inner = text.strip()
    if len(inner) < 2 or inner[0] not in _ANY_QUOTE or inner[-1] not in _ANY_QUOTE:
        return text
    return inner[1:-1] if inner[0] in _BENT or inner[-1] in _BENT else text
