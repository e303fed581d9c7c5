"""Problems on standard output, for a person or for a program."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.errors import shortened_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.errors import Problem

__all__ = ["print_problems", "without_long_words"]

_LONGER_THAN_NAMES = 120


def print_problems(problems: Iterable[Problem], *, as_json: bool) -> None:
    """One problem after the other, as people read them, or all as one JSON document."""
    if not as_json:
        for problem in problems:
            click.echo(str(problem))
        return
    rows = [
        {
            "code": p.code,
            "severity": p.severity,
            "file": p.where.name,
            "line": p.where.line,
            "column": p.where.column,
            "message": p.message,
            "hint": p.hint,
        }
        for p in problems
    ]
    click.echo(json.dumps({"version": 1, "problems": rows}, indent=2, ensure_ascii=False))


def without_long_words(text: str, arguments: list[str] | None) -> str:
    """An error without the whole of what was pasted into the command line. Names of files stay."""
    given = sys.argv[1:] if arguments is None else arguments
    long = [word for word in given if len(word) > _LONGER_THAN_NAMES and not _is_file(word)]
    return shortened_in(text, *long, *(word.partition("=")[2] for word in long))


def _is_file(word: str) -> bool:
    try:
        return Path(word).parent.is_dir() and Path(word).parent != Path()
    except (OSError, ValueError):
        return False
