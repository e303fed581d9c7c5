"""YAML into plain data, with the place of every value, the traps shut.

Read in the sense of YAML 1.2 (core schema): ``yes``, ``no``, ``on`` and ``1:15`` are
text. Only plain data: no tags, anchors or aliases. A key may stand once. Size and
depth are bounded, so hostile input costs little. A name may look like a number (a taster
called 007): the keys that hold one are told, and their values stay as they were written.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

import yaml

from advisor.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

__all__ = ["MOST_BYTES", "Document", "Path", "plain_value", "read_yaml"]

Path: TypeAlias = tuple[str | int, ...]

MOST_BYTES = 2_000_000
_MOST_DEPTH = 30
_MOST_NODES = 200_000

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_INT = re.compile(r"[-+]?[0-9]+\Z")
_OCTAL = re.compile(r"0o[0-7]+\Z")
_HEX = re.compile(r"0x[0-9a-fA-F]+\Z")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
_NULL = {"", "~", "null", "Null", "NULL"}
_TRUE = {"true", "True", "TRUE"}
_FALSE = {"false", "False", "FALSE"}
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")
# What a value may not hold however it is written (an escape such as \e is read to the character):
# controls, which move a terminal and are no XML; halves of characters; what is no character; and
# what turns the direction of writing, so that a text reads as another than it is.
_NO_TEXT = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff\u202a-\u202e\u2066-\u2069]"
)


@dataclass(frozen=True, slots=True)
class Document:
    """Plain data and where each part of it stands; ``key_places`` are of the keys themselves."""

    data: Any
    name: str
    places: dict[Path, Place] = field(repr=False)
    key_places: dict[Path, Place] = field(repr=False)

    def place(self, path: Path) -> Place:
        """The place of a value, or of the nearest thing around it."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, Place(self.name))

    def key_place(self, path: Path) -> Place:
        """The place of the key that leads to a value."""
        return self.key_places.get(path) or self.place(path)


def read_yaml(raw: bytes | str, name: str, *, as_written: Collection[str] = ()) -> Document:
    """Read one document. Raises ``ProblemsFound`` with every problem met.

    The values of the keys ``as_written``, at any depth, are never numbers or booleans: they stay
    text, digit by digit. Nothing written is still nothing.
    """
    text = _decode(raw, name)
    return _Reader(text, name, frozenset(as_written)).read()


def _decode(raw: bytes | str, name: str) -> str:
    if len(raw) > MOST_BYTES:
        raise _only(
            "yaml-too-large",
            f"the file is larger than {MOST_BYTES // 1_000_000} MB",
            Place(name),
            "split it into files by what a reader would look for",
        )
    if isinstance(raw, bytes):
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = raw.count(b"\n", 0, error.start) + 1
            raise _only(
                "yaml-not-text",
                "this is not UTF-8 text",
                Place(name, line, 1),
                "save the file as UTF-8; a picture, an archive or a spreadsheet is not a YAML file",
            ) from None
    else:
        text = raw
        lone = next((i for i, char in enumerate(text) if "\ud800" <= char <= "\udfff"), -1)
        if lone >= 0:
            raise _only(
                "yaml-not-text",
                "half of a character stands in the text",
                Place(name, text.count("\n", 0, lone) + 1, lone - text.rfind("\n", 0, lone)),
                "remove it; only plain text can be read",
            )
    found = _CONTROL.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + 1
        raise _only(
            "yaml-not-text",
            f"a control character ({found.group()!r}) stands in the text",
            Place(name, line, found.start() - text.rfind("\n", 0, found.start())),
            "remove it; only plain text can be read",
        )
    return text


def _only(code: str, message: str, where: Place, hint: str) -> ProblemsFound:
    return ProblemsFound("this file cannot be read", [Problem(code, message, where, hint)])


@dataclass(slots=True)
class _Open:
    """A list or mapping that is still being filled."""

    value: Any
    path: Path
    key: str | None = None  # the key whose value comes next
    waiting: bool = False


class _Reader:
    """One pass over the parser's events, without recursion."""

    def __init__(self, text: str, name: str, as_written: frozenset[str]) -> None:
        self.text = text
        self.name = name
        self.as_written = as_written
        self.lines = text.splitlines()
        self.problems: list[Problem] = []
        self.places: dict[Path, Place] = {}
        self.key_places: dict[Path, Place] = {}
        self.root: Any = None
        self.stack: list[_Open] = []

    def read(self) -> Document:
        nodes = documents = 0
        for event in self._events():
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._problem("yaml-two-documents", "a second document starts here", event)
                    break
            if isinstance(event, yaml.NodeEvent):
                nodes += 1
                if nodes > _MOST_NODES:
                    self._problem("yaml-too-large", f"more than {_MOST_NODES} values", event)
                    break
            if not self._take(event):
                break
        if self.problems:
            raise ProblemsFound("this file cannot be read", self.problems)
        return Document(self.root, self.name, self.places, self.key_places)

    def _events(self) -> Iterator[Any]:
        try:
            yield from yaml.parse(self.text, Loader=_LOADER)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            said = " ".join(filter(None, (error.context, error.problem)))
            self.problems.append(
                Problem("yaml-syntax", said or "this is not YAML", self._at(mark), _advice(said))
            )
        except yaml.YAMLError as error:
            self.problems.append(Problem("yaml-syntax", str(error), Place(self.name)))

    def _take(self, event: Any) -> bool:
        """Take one event; false stops the reading."""
        if isinstance(event, yaml.AliasEvent):
            self._problem("yaml-not-plain", f"an alias (*{event.anchor}) is not read", event)
            self._add(None, event)
            return True
        if isinstance(event, yaml.ScalarEvent):
            self._plain_only(event)
            self._text_only(event)
            self._scalar(event)
        elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            self._plain_only(event)
            if len(self.stack) >= _MOST_DEPTH:
                self._problem("yaml-too-deep", f"nested more than {_MOST_DEPTH} levels deep", event)
                return False
            fresh: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
            path = self._add(fresh, event)
            self.stack.append(_Open(fresh, path))
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            self.stack.pop()
        return True

    def _plain_only(self, event: Any) -> None:
        if event.anchor:
            self._problem("yaml-not-plain", f"an anchor (&{event.anchor}) is not read", event)
        if event.tag not in (None, "!"):
            tag = _NO_TEXT.sub("?", event.tag)
            self._problem("yaml-not-plain", f"a tag ({tag}) is not read", event)

    def _text_only(self, event: Any) -> None:
        found = _NO_TEXT.search(event.value)
        if found:
            self._problem(
                "yaml-not-text",
                f"a character that is no text (U+{ord(found.group()):04X}) stands in a value here",
                event,
                "take it out: controls, and marks that turn the direction of writing, are not read",
            )

    def _scalar(self, event: Any) -> None:
        top = self.stack[-1] if self.stack else None
        if top is not None and isinstance(top.value, dict) and not top.waiting:
            key = event.value
            path = (*top.path, key)
            if key in top.value:
                before = self.key_places[path]
                self._problem(
                    "yaml-duplicate-key",
                    f"{key!r} stands twice here",
                    event,
                    f"it stands at line {before.line} already: keep one",
                )
            self.key_places.setdefault(path, self._at(event.start_mark))
            top.key, top.waiting = key, True
            return
        value = _value(event)
        if value is not None and top is not None and top.key in self.as_written:
            value = event.value
        self._add(value, event)

    def _add(self, value: Any, event: Any) -> Path:
        if not self.stack:
            self.root = value
            self.places[()] = self._at(event.start_mark)
            return ()
        top = self.stack[-1]
        if isinstance(top.value, dict):
            awaited = top.waiting
            if not awaited:
                self._problem("yaml-key", "a key must be a plain word", event)
                top.key = f"?{len(top.value)}"
            path: Path = (*top.path, top.key or "")
            top.value[top.key or ""] = value
            # The value of a key that cannot be read still comes.
            top.waiting = not awaited
        else:
            path = (*top.path, len(top.value))
            top.value.append(value)
        self.places[path] = self._at(event.start_mark)
        return path

    def _problem(self, code: str, message: str, event: Any, hint: str = "") -> None:
        hint = hint or (
            "write the value itself: only plain data is read" if code == "yaml-not-plain" else ""
        )
        self.problems.append(Problem(code, message, self._at(event.start_mark), hint))

    def _at(self, mark: Any) -> Place:
        if mark is None:
            return Place(self.name)
        line = self.lines[mark.line][:200] if mark.line < len(self.lines) else ""
        return Place(self.name, mark.line + 1, mark.column + 1, _NO_TEXT.sub("?", line))


def _advice(said: str) -> str:
    if "tab" in said or "\\t" in said:
        return "use spaces, never tabs, to indent"
    if "mapping values are not allowed" in said:
        return "put text that holds a colon between quotation marks"
    if "could not find expected ':'" in said:
        return "a key needs a colon and a space after it"
    return "check the indentation and the quotation marks at and above this line"


def _value(event: Any) -> Any:
    """A scalar by the YAML 1.2 core schema; anything quoted or in a block is text."""
    text: str = event.value
    if event.style not in (None, "") or event.tag == "!":
        return text
    return plain_value(text)


def plain_value(text: str) -> str | int | float | bool | None:
    """What an unquoted scalar means."""
    if text in _NULL:
        return None
    if text in _TRUE:
        return True
    if text in _FALSE:
        return False
    if len(text) <= 30:
        if _INT.match(text):
            return int(text)
        if _OCTAL.match(text):
            return int(text[2:], 8)
        if _HEX.match(text):
            return int(text[2:], 16)
        if _FLOAT.match(text):
            number = float(text)
            return number if abs(number) < 1e300 else text
    return text
