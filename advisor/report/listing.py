"""Lists of what a base holds, as data and as lines of text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.model import Base

__all__ = ["question_lines", "question_list"]

_HEADINGS = {
    "symptom": "What may be wrong with it",
    "batch": "What was used",
    "process": "What was done",
    "seen": "What is seen",
    "tasted": "What is tasted or smelt",
    "measured": "What is measured",
    "storage": "How it was kept",
    "service": "How it is served",
}


def question_list(base: Base) -> dict[str, Any]:
    """Every finding that can be answered, for a program: documented, versioned keys."""
    checks = {check.finding: check for check in base.checks.values()}
    rows = []
    for finding in base.findings.values():
        if not finding.asked:
            continue
        check = checks.get(finding.id)
        row: dict[str, Any] = {
            "name": finding.id,
            "label": finding.label,
            "ask": finding.ask,
            "kind": finding.kind,
            "group": finding.group,
            "help": finding.help,
            "values": [{"value": c.value, "label": c.label} for c in finding.choices],
            "unit": finding.unit or None,
            "range": None if finding.low is None else [finding.low, finding.high],
            "check": None,
        }
        if check is not None:
            row["check"] = {
                "id": check.id,
                "title": check.title,
                "how": check.how,
                "minutes": check.minutes,
                "wait_minutes": check.wait,
                "kit": list(check.kit),
            }
        rows.append(row)
    return {
        "version": 1,
        "knowledge": {"name": base.name, "version": base.version, "hash": base.hash},
        "questions": rows,
    }


def question_lines(base: Base) -> Iterator[str]:
    """The same for a person, by heading."""
    for group, heading in _HEADINGS.items():
        rows = [f for f in base.findings.values() if f.asked and f.group == group]
        if not rows:
            continue
        yield heading.upper()
        for finding in rows:
            yield f"  {finding.id}: {finding.ask}"
            if finding.kind == "quantity":
                yield f"      an amount in {finding.unit}, {finding.low:g} to {finding.high:g}"
            elif finding.kind == "choice":
                for choice in finding.choices:
                    yield f"      {choice.value}: {choice.label}"
        yield ""
    yield "Any of them may also be: unknown, not-now."
