"""A protocol as Markdown, to paste into a recipe book."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.report.protocol import (
    bar_lines,
    check_text,
    expected_rows,
    headline,
    label_lines,
    purchase_text,
)
from advisor.technique.protocol.wording import amount, fill, minutes, step_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.model import Base
    from advisor.technique.protocol import Comparison, Protocol

__all__ = ["comparison_markdown", "protocol_markdown"]

_SPECIAL = re.compile(r"([\\`*_\[\]<>|#])")


def _plain(text: str) -> str:
    return _SPECIAL.sub(r"\\\1", " ".join(text.split()))


def protocol_markdown(base: Base, protocol: Protocol, *, units: str = "metric") -> str:
    """The protocol as CommonMark with tables."""
    return "\n".join(_lines(base, protocol, units)) + "\n"


def _lines(base: Base, protocol: Protocol, units: str) -> Iterator[str]:
    yield f"# {_plain(protocol.label.name)}"
    yield ""
    yield _plain(f"{protocol.title}: {headline(protocol, units)}.")
    yield ""
    for key in protocol.cautions:
        caution = base.cautions[key]
        mark = {"stop": "**Stop:**", "warn": "**Mind:**", "note": "Note:"}[caution.level]
        yield f"> {mark} {_plain(caution.text)}"
        yield ">"
    for text in protocol.warnings:
        yield f"> **Mind:** {_plain(text)}"
        yield ">"
    yield ""
    yield "## Get"
    yield ""
    for item in protocol.shopping:
        said = f"{purchase_text(item.amount, item.unit, units)} {item.text}".strip()
        yield f"- {_plain(said)}" + (f" ({_plain(item.note)})" if item.note else "")
    yield ""
    yield "## Steps"
    yield ""
    for step in protocol.steps:
        times = _plain(_times(step.hands_on, step.wait))
        yield f"{step.number}. **{_plain(step.title)}** ({times})"
        yield f"   {_plain(step_text(protocol, step, units))}"
        if step.check is not None:
            yield f"   - Check: {_plain(check_text(protocol, step, step.check, units))}"
            yield f"   - If not: {_plain(fill(protocol, step.check.do, step.scope, units))}"
            yield f"     `{step.check.command}`"
    yield ""
    yield "## What to expect"
    yield ""
    yield "| | |"
    yield "|---|---|"
    for name, text in expected_rows(protocol.expected, units):
        yield f"| {_plain(name)} | {_plain(text)} |"
    yield ""
    yield "## Amounts"
    yield ""
    yield "| amount | how | footing |"
    yield "|---|---|---|"
    for dose in protocol.doses:
        said = f"{dose.label}: {amount(dose.amount, units)}"
        how = f"{dose.formula}; {dose.source}"
        yield f"| {_plain(said)} | {_plain(how)} | {dose.footing} |"
    yield ""
    yield "## Time"
    yield ""
    yield "```"
    yield from bar_lines(protocol)
    yield "```"
    yield ""
    yield "## What does not scale"
    yield ""
    for text in protocol.not_linear:
        yield f"- {_plain(text)}"
    yield ""
    yield "## Taken for granted"
    yield ""
    for text in protocol.assumptions:
        yield f"- {_plain(text)}"
    yield ""
    yield "## Label"
    yield ""
    for text in label_lines(protocol.label, units):
        yield f"- {_plain(text)}"


def _times(hands_on: float, wait: float) -> str:
    said = f"{minutes(hands_on)} of work"
    return f"{said}, {minutes(wait)} of waiting" if wait >= 0.5 else said


def comparison_markdown(comparison: Comparison) -> str:
    """What differs, as a table."""
    rows = [
        f"# {_plain(comparison.a)} and {_plain(comparison.b)}",
        "",
        *([f"Changed: {_plain('; '.join(comparison.changed))}", ""] if comparison.changed else []),
        "| | A | B |",
        "|---|---|---|",
        *(
            f"| {_plain(row.name)} | {_plain(row.a or 'none')} | {_plain(row.b or 'none')} |"
            for row in comparison.differences
        ),
    ]
    return "\n".join(rows) + "\n"
