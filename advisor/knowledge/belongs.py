"""Which folder of knowledge a file belongs to.

A tool that runs before a commit passes the names of the files that changed. A file of
knowledge means little alone, so its whole folder is checked.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.errors import Place
from advisor.knowledge.shapes import SECTIONS

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["base_place", "says_base", "whole_folders"]

_BASE = re.compile(rb"^(?:\{\s*)?['\"]?base['\"]?\s*:", re.MULTILINE)
_TOP_KEY = re.compile(rb"^([A-Za-z_][\w-]*):", re.MULTILINE)
_OURS = {name.encode() for name in (*SECTIONS, "base", "switch_off")}
_MOST_LOOKED_AT = 500
_MOST_READ = 2_000_000
_END_OF_REPOSITORY = (".git", ".pre-commit-config.yaml")


def says_base(raw: bytes) -> bool:
    """Whether a file says ``base:``, so that its folder is a base of its own."""
    return bool(_BASE.search(raw.removeprefix(b"\xef\xbb\xbf")))


def base_place(files: Iterable[tuple[str, bytes]]) -> Place:
    """Where files, by name, first say ``base:``."""
    for name, raw in files:
        found = _BASE.search(raw.removeprefix(b"\xef\xbb\xbf"))
        if found:
            line = raw.count(b"\n", 0, found.start()) + 1
            text = raw.splitlines()[line - 1].decode(errors="replace")
            return Place(name, line, 1, text)
    return Place("")


def whole_folders(given: Iterable[Path]) -> list[Path]:
    """Folders as they are, and for each file the folder that it belongs to; each once.

    That is the nearest folder around it, within its repository, with a knowledge file that says
    ``base:``; where there is none, the largest one below the working folder in which
    every YAML file is one of knowledge. A file that stands among others stays a file.
    """
    found: dict[Path, Path] = {}
    for path in given:
        whole = _whole_of(path) if path.is_file() else path
        found.setdefault(whole.resolve(), whole)
    return list(found.values())


def _whole_of(file: Path) -> Path:
    for folder in file.parents or [Path()]:
        raws = [_read(path) for path in _yaml(folder, deep=False)]
        if any(says_base(raw) and _is_knowledge(raw) for raw in raws):
            return folder
        if any((folder / mark).exists() for mark in _END_OF_REPOSITORY):
            break
    best = file
    here = Path.cwd().resolve()
    for folder in file.parents:
        below = here in folder.resolve().parents
        if not (below or folder == file.parent):
            break
        if not all(_is_knowledge(_read(path)) for path in _yaml(folder, deep=True)):
            break
        best = folder
    return best


def _yaml(folder: Path, *, deep: bool) -> list[Path]:
    found = folder.rglob("*") if deep else folder.iterdir()
    files = []
    for path in found:
        hidden = any(part.startswith(".") for part in path.relative_to(folder).parts)
        if path.suffix in (".yaml", ".yml") and not hidden and path.is_file():
            files.append(path)
            if len(files) > _MOST_LOOKED_AT:
                break
    return files


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(_MOST_READ)
    except OSError:
        return b""


def _is_knowledge(raw: bytes) -> bool:
    keys = set(_TOP_KEY.findall(raw))
    return bool(keys) and keys <= _OURS
