"""The report as plain lines: who, what is hard, what is confused, what was left unsaid."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from advisor.drills.items import FEW
from advisor.drills.mastery import ASSUMED, MASTERED
from advisor.report.classroom.words import (
    cause_name,
    skill_name,
    stage_name,
    statement_name,
    symptom_name,
)
from advisor.report.html import share

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from advisor.drills.classreport import Accuracy, ClassReport, LearnerRow
    from advisor.knowledge.model import Base

__all__ = ["class_lines", "learner_lines", "mastery_note"]

_MOST = 12  # rows of a list that may be long


def mastery_note() -> str:
    """What a mastery rests on; stands wherever one is shown."""
    return (
        f"Mastered is a chance of {share(MASTERED)} that the skill is learned. It assumes"
        f" {share(ASSUMED.known)} at the start, {share(ASSUMED.learned)} learned at each try,"
        f" {share(ASSUMED.slip)} slips and {share(ASSUMED.guess)} lucky guesses; none of it is"
        " fitted to this class."
    )


def class_lines(base: Base, report: ClassReport, now: datetime, width: int = 80) -> Iterator[str]:
    """The whole report."""
    name = report.group or "everybody"
    people = len(report.learners)
    yield f"{name}: {_count(people, 'learner')}, {_count(report.drills, 'drill')}"
    if report.missed:
        yield ""
        yield "LEFT UNSAID (safety)"
        for missed in report.missed:
            text = f"{statement_name(base, missed.statement)}: {_count(missed.times, 'time')}"
            yield from _wrapped(f"{text}, by {', '.join(missed.learners)}", width)
    yield ""
    yield "LEARNERS"
    for person in report.learners:
        yield from _learner_row(person, now, width)
    for heading, rows, label in (
        ("BY STAGE, WEAKEST FIRST", report.stages, stage_name),
        ("BY SYMPTOM, WEAKEST FIRST", report.symptoms, lambda s: symptom_name(base, s)),
    ):
        if rows:
            yield ""
            yield heading
            for row in rows[:_MOST]:
                yield from _wrapped(_accuracy(row, label(row.of)), width)
            yield from _more(len(rows))
    yield from _confusions(base, report, width)
    yield from _confidence(report)
    yield from _items(report, width)
    yield ""
    yield from textwrap.wrap(
        f"{len(report.unexercised)} of {report.rules} rules were never met in a drill"
        " (all of them in --json and --csv).",
        width,
    )
    yield from textwrap.wrap(mastery_note(), width)


def _learner_row(person: LearnerRow, now: datetime, width: int) -> Iterator[str]:
    yield (
        f"  {person.name}: {_count(person.drills, 'drill')} answered, mean of these"
        f" {share(person.score)},"
        f" cause right {share(person.cause)}"
    )
    facts = [
        f"stage right {share(person.stage)}",
        f"{person.minutes_used:.0f} min used where {person.minutes_best:.0f} do",
        f"{person.mastered} of {len(person.masteries)} skills mastered",
    ]
    if person.closed_early:
        facts.append(f"named a cause too early {_count(person.closed_early, 'time')}")
    yield from _wrapped("; ".join(facts), width, 4)
    due = [skill_name(d.skill) for d in person.next if d.due <= now]
    later = [f"{skill_name(d.skill)} on {d.due:%d %b}" for d in person.next if d.due > now]
    text = f"practise now: {'; '.join(due)}" if due else f"practise next: {'; '.join(later)}"
    if due or later:
        yield from _wrapped(text, width, 4)


def _accuracy(row: Accuracy, label: str) -> str:
    return (
        f"{label}: cause right {share(row.cause)} ({share(row.low)} to {share(row.high)}),"
        f" stage {share(row.stage)}, {_count(row.drills, 'drill')}"
    )


def _confusions(base: Base, report: ClassReport, width: int) -> Iterator[str]:
    if not report.confusions:
        return
    yield ""
    yield "TAKEN FOR ANOTHER"
    for row in report.confusions[:_MOST]:
        where = "same stage" if row.same_stage else "another stage"
        text = f"{cause_name(base, row.true)} \N{RIGHTWARDS ARROW} {cause_name(base, row.named)}"
        yield from _wrapped(f"{text}: {_count(row.times, 'time')}, {where}", width)
    yield from _more(len(report.confusions))


def _confidence(report: ClassReport) -> Iterator[str]:
    if not report.confidence:
        return
    yield ""
    yield "HOW SURE, AND HOW OFTEN RIGHT"
    for row in report.confidence:
        yield (
            f"  said {share(row.stated)} on average: right {share(row.right)}"
            f" ({_count(row.answers, 'answer')})"
        )


def _items(report: ClassReport, width: int) -> Iterator[str]:
    if not report.items:
        return
    yield ""
    yield "SCENARIOS, HARDEST FIRST"
    for item in report.items[:_MOST]:
        text = f"{item.scenario}: mean {share(item.difficulty)}, {_count(item.learners, 'learner')}"
        if item.discrimination is not None:
            text += f", tells good from weak {item.discrimination:+.2f}"
        yield from _wrapped(text, width)
    yield from _more(len(report.items))
    if any(item.few for item in report.items):
        yield f"  (under {FEW} learners these say little)"


def learner_lines(base: Base, person: LearnerRow, now: datetime, width: int = 80) -> Iterator[str]:
    """One learner's own page."""
    yield from _learner_row(person, now, width)
    if person.safety_missed:
        yield ""
        yield "LEFT UNSAID (safety)"
        for statement in dict.fromkeys(person.safety_missed):
            times = person.safety_missed.count(statement)
            yield from _wrapped(
                f"{statement_name(base, statement)}: {_count(times, 'time')}", width
            )
    yield ""
    yield "SKILLS"
    for mastery in sorted(person.masteries.values(), key=lambda m: (m.chance, m.skill)):
        mark = "mastered" if mastery.mastered else f"chance learned {share(mastery.chance)}"
        yield from _wrapped(
            f"{skill_name(mastery.skill)}: {mark}, {mastery.shown} of"
            f" {_count(mastery.attempts, 'attempt')}",
            width,
        )
    yield ""
    yield from textwrap.wrap(mastery_note(), width)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _wrapped(text: str, width: int, indent: int = 2) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _more(number: int) -> list[str]:
    return [f"  and {number - _MOST} more"] if number > _MOST else []
