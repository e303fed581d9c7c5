"""The report as tables: the one source of the screen, the CSV files and the JSON."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from advisor.report.classroom.words import (
    cause_name,
    skill_name,
    stage_name,
    statement_name,
    symptom_name,
)

if TYPE_CHECKING:
    from advisor.drills.classreport import ClassReport
    from advisor.knowledge.model import Base

__all__ = ["Sheet", "as_csv", "as_data", "sheets"]

Cell: TypeAlias = "str | int | float | None"

# What spreadsheet programs would run as a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table: a name for its file, the heading of each column, and rows."""

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def sheets(base: Base, report: ClassReport) -> tuple[Sheet, ...]:
    """All tables of a report. Shares are from 0 to 1, times UTC."""
    return (
        _learners(base, report),
        _mastery(report),
        *(
            Sheet(
                name,
                (kind, "drills", "cause right", "from", "to", "stage right"),
                tuple(
                    (label(a.of), a.drills, _3(a.cause), _3(a.low), _3(a.high), _3(a.stage))
                    for a in rows
                ),
            )
            for name, kind, rows, label in (
                ("stages", "stage", report.stages, stage_name),
                ("symptoms", "symptom", report.symptoms, lambda s: symptom_name(base, s)),
            )
        ),
        Sheet(
            "confusions",
            ("true cause", "named", "times", "same stage"),
            tuple(
                (
                    cause_name(base, c.true),
                    cause_name(base, c.named),
                    c.times,
                    "yes" if c.same_stage else "no",
                )
                for c in report.confusions
            ),
        ),
        Sheet(
            "safety",
            ("left out", "times", "by"),
            tuple(
                (statement_name(base, m.statement), m.times, ", ".join(m.learners))
                for m in report.missed
            ),
        ),
        Sheet(
            "confidence",
            ("above", "to", "answers", "stated", "right"),
            tuple((c.low, c.high, c.answers, _3(c.stated), _3(c.right)) for c in report.confidence),
        ),
        Sheet(
            "scenarios",
            ("scenario", "learners", "mean score", "item-rest correlation", "upper less lower"),
            tuple(
                (i.scenario, i.learners, _3(i.difficulty), _3(i.discrimination), _3(i.upper_lower))
                for i in report.items
            ),
        ),
        Sheet(
            "unexercised",
            ("rule", "title"),
            tuple((rule, base.rules[rule].title) for rule in report.unexercised),
        ),
    )


def _learners(base: Base, report: ClassReport) -> Sheet:
    return Sheet(
        "learners",
        (
            "learner", "class", "drills", "exams", "mean score", "cause right", "stage right",
            "brier", "minutes used", "minutes best", "closed early", "safety misses",
            "skills mastered", "skills met", "practise next",
        ),
        tuple(
            (
                person.name,
                person.group,
                person.drills,
                person.exams,
                _3(person.score),
                _3(person.cause),
                _3(person.stage),
                _3(person.brier),
                _3(person.minutes_used),
                _3(person.minutes_best),
                person.closed_early,
                "; ".join(statement_name(base, s) for s in person.safety_missed),
                person.mastered,
                len(person.masteries),
                "; ".join(skill_name(due.skill) for due in person.next),
            )
            for person in report.learners
        ),
    )  # fmt: skip


def _mastery(report: ClassReport) -> Sheet:
    return Sheet(
        "mastery",
        ("learner", "class", "skill", "attempts", "shown", "chance learned", "mastered"),
        tuple(
            (
                person.name,
                person.group,
                skill_name(mastery.skill),
                mastery.attempts,
                mastery.shown,
                _3(mastery.chance),
                "yes" if mastery.mastered else "no",
            )
            for person in report.learners
            for mastery in person.masteries.values()
        ),
    )


def _3(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def as_csv(sheet: Sheet) -> str:
    """A table as CSV (RFC 4180). Text that a spreadsheet would run is made plain text."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(sheet.head)
    for row in sheet.rows:
        writer.writerow("" if cell is None else _plain(cell) for cell in row)
    return out.getvalue()


def _plain(cell: Cell) -> Cell:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell


def as_data(base: Base, report: ClassReport) -> dict[str, Any]:
    """The report for a program: each table as a list of objects."""
    return {
        "version": 1,
        "class": report.group,
        "drills": report.drills,
        "rules": report.rules,
        "knowledge": {"name": base.name, "version": base.version, "hash": base.hash},
        "tables": {
            sheet.name: [dict(zip(sheet.head, row, strict=True)) for row in sheet.rows]
            for sheet in sheets(base, report)
        },
    }
