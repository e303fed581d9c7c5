"""The report as one self-contained HTML page with charts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.drills.items import FEW
from advisor.report.classroom.screen import mastery_note
from advisor.report.classroom.words import (
    cause_name,
    skill_name,
    stage_name,
    statement_name,
    symptom_name,
)
from advisor.version import __version__

if TYPE_CHECKING:
    from datetime import datetime

    from advisor.drills.classreport import ClassReport
    from advisor.knowledge.model import Base

__all__ = ["class_page"]


def class_page(base: Base, report: ClassReport, now: datetime) -> str:
    """The page."""
    from advisor.report.html import render

    return render(
        "class.html",
        title=report.group or "Everybody who practised",
        version=__version__,
        knowledge=f"{base.version} ({base.hash[:6]})",
        date=f"{now:%d %B %Y}",
        report=report,
        now=now,
        few=FEW,
        note=mastery_note(),
        rules=[(rule, base.rules[rule].title) for rule in report.unexercised],
        stages=[(stage_name(a.of), a.cause, f"{a.drills} drills") for a in report.stages],
        symptoms=[
            (symptom_name(base, a.of), a.cause, f"{a.drills} drills") for a in report.symptoms
        ],
        confusions=[
            (
                cause_name(base, c.true),
                cause_name(base, c.named),
                c.times,
                "yes" if c.same_stage else "no",
            )
            for c in report.confusions
        ],
        skill_name=skill_name,
        statement_name=lambda s: statement_name(base, s),
    )
