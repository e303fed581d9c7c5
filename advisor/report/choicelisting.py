"""What can be answered in a brief and which techniques there are, for whoever writes one."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from advisor.technique.asking import asked_of_briefs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.model import Base

__all__ = ["listing_data", "listing_lines"]


def listing_data(base: Base) -> dict[str, Any]:
    """Techniques and findings as data."""
    return {
        "techniques": [
            {
                "id": t.id,
                "title": t.title,
                "operations": list(t.operations),
                "about": t.about,
                "needs": [list(kit) for kit in t.needs],
                "may_bring": sorted(t.may_bring),
                "does": dict(t.does),
                "minutes": t.minutes,
                "wait": t.wait,
            }
            for t in base.techniques.values()
        ],
        "findings": [
            {
                "id": f.id,
                "label": f.label,
                "ask": f.ask,
                "kind": f.kind,
                "answers": list(f.words),
                "unit": f.unit or None,
                "range": None if f.low is None else [f.low, f.high],
            }
            for f in asked_of_briefs(base)
        ],
    }


def listing_lines(base: Base, width: int = 80) -> Iterator[str]:
    """The same as text."""
    yield "TECHNIQUES"
    for technique in base.techniques.values():
        brings = ", ".join(sorted(technique.may_bring))
        tail = f" (may bring {brings})" if brings else ""
        yield from _wrapped(f"{technique.id}: {technique.title}{tail}", width)
    yield ""
    yield "WHAT A BRIEF MAY SAY"
    lists = "goals, limits, kit and holds may be lists: goals: [clear, paler], kit: [paper, cloth]"
    yield from _wrapped(lists, width)
    for finding in asked_of_briefs(base):
        if finding.choices:
            said = ", ".join(finding.words)
        else:
            said = f"{finding.low:g} to {finding.high:g} {finding.unit}"
        yield from _wrapped(f"{finding.id}: {finding.label} ({said})", width)


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent="  ",
        subsequent_indent="      ",
        break_long_words=False,
        break_on_hyphens=False,
    )
