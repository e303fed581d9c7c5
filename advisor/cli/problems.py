"""Problems on standard output, for a person or for a program."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.errors import Problem

__all__ = ["print_problems"]


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
