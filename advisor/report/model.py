"""One model of a report: headed blocks of plain lines, in the order in which they are told.

Renderers know nothing of causes and rules; this knows nothing of terminals.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.knowledge.words import NOT_LISTED, weight_word
from advisor.report.cite import cite_all
from advisor.report.doses import filled, instruction
from advisor.report.explain import title_of
from advisor.report.explanationwords import lower_first
from advisor.report.reasons import behind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.consult import Consultation
    from advisor.reasoning.advise import Alternative, RemedyAdvice

__all__ = ["Block", "Line", "Report", "report_on"]

# A verdict that comes before any cause offers no rescue, only what must be done at once.
_SAVE_HEADINGS = {"discard": "DO NOW", "stop": "DO NOW"}
_MOST_REASONS = 6
# From here up an open result says that it may be something that nobody has written down.
_UNLISTED_TOLD = 0.15
_MOST_GROUNDS = 3  # for a verdict that comes before any cause
_LEVEL_MARKS = {"stop": "STOP", "warn": "Mind", "note": "Note"}


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a block; ``aside`` goes to its right or after it, ``depth`` indents it."""

    text: str
    aside: str = ""
    depth: int = 0
    tone: str = ""  # strong, quiet, for, against, stop


@dataclass(frozen=True, slots=True)
class Block:
    """Lines under a heading; the heading may be empty."""

    heading: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report: the verdict, blocks in order, and what it rests on."""

    title: str
    verdict: str
    aside: str
    tone: str
    blocks: tuple[Block, ...]
    footer: tuple[str, ...]


def report_on(consultation: Consultation, *, units: str = "metric") -> Report:
    """The report on what is known so far. ``units`` is ``metric`` or ``us``."""
    verdict = consultation.advice.verdict
    blocks = [
        Block("WHY IT COMES FIRST", tuple(_verdict_rules(consultation)))
        if verdict.because
        else Block("", ()),
        Block("THIS CANNOT ALL BE TRUE", tuple(_clashes(consultation))),
        Block(_save_heading(consultation), tuple(_save(consultation, units))),
        Block("APART FROM THAT", tuple(_fault(consultation))),
        Block(_next_heading(consultation), tuple(_next(consultation, units))),
        Block(
            "IF THAT FAILS" if verdict.kind == "cause" else "IT COULD BE",
            tuple(_otherwise(consultation)),
        ),
        Block("ASK NEXT" if verdict.kind == "open" else "", tuple(_ask(consultation))),
        Block("WHY", tuple(_reasons(consultation))),
        Block("STILL UNEXPLAINED", tuple(_unexplained(consultation))),
        Block("SAY AND MIND", tuple(_cautions(consultation))),
        Block("HOUSE KNOWLEDGE", tuple(Line(t) for t in consultation.base.overlays)),
    ]
    return Report(
        title=consultation.title + ("  (invented)" if consultation.invented else ""),
        verdict=verdict.text,
        aside=_standing(consultation),
        tone="stop" if verdict.kind in ("discard", "stop") else "strong",
        blocks=tuple(b for b in blocks if b.lines),
        footer=tuple(_footer(consultation)),
    )


def _standing(consultation: Consultation) -> str:
    verdict = consultation.advice.verdict
    if verdict.kind == "cause":
        return f"{verdict.words}, {in_ten(verdict.probability)}"
    return ""


def in_ten(probability: float) -> str:
    """A probability as people say it: 9 in 10, 1 in 20."""
    if probability > 0.985:
        return "99 in 100"
    if probability >= 0.945:
        return f"{min(19, round(probability * 20))} in 20"
    if probability >= 0.095:
        return f"{round(probability * 10)} in 10"
    for floor, text in ((0.075, "1 in 10"), (0.035, "1 in 20"), (0.015, "1 in 50")):
        if probability >= floor:
            return text
    return "under 1 in 50"


def _verdict_rules(consultation: Consultation) -> Iterator[Line]:
    base = consultation.base
    for rule in consultation.advice.verdict.because[:_MOST_GROUNDS]:
        about = base.rules[rule]
        yield Line(about.because, cite_all(base, about.source))


def _save_heading(consultation: Consultation) -> str:
    advised = consultation.advice.this_batch
    kind = consultation.advice.verdict.kind
    if kind in _SAVE_HEADINGS:
        return _SAVE_HEADINGS[kind]
    if kind == "nothing-wrong":
        return "MEANWHILE"
    return "THIS BATCH" if advised and advised[0].remedy.loses_batch else "SAVE THIS BATCH"


def _fault(consultation: Consultation) -> Iterator[Line]:
    """What is wrong with the batch where something else stops it."""
    cause = consultation.advice.fault
    if cause:
        yield Line(
            _stopped(title_of(consultation.base, cause)),
            in_ten(consultation.inference.standing[cause]),
        )


def _save(consultation: Consultation, units: str) -> Iterator[Line]:
    advised = consultation.advice.this_batch
    verdict = consultation.advice.verdict
    for cause, chance in consultation.advice.hold_for[:2]:
        title = _lower(title_of(consultation.base, cause))
        yield Line(
            f"Serve none of it before this is ruled out: {title}.", in_ten(chance), tone="stop"
        )
    if not advised:
        if verdict.kind == "cause":
            yield Line("Nothing is known that would save it: see what to change next time.")
        elif verdict.kind == "open":
            yield Line("Too early to change anything: answer what is asked next first.")
        return
    if verdict.kind in _SAVE_HEADINGS:
        for each in advised[:3]:
            told = instruction(consultation.base, consultation.inference, each.remedy, units)
            yield Line(told.text, cite_all(consultation.base, each.remedy.source))
        return
    first = advised[0]
    if _treats_another(consultation, first):
        title = _lower(title_of(consultation.base, first.treats))
        yield Line(f"It helps in about {in_ten(first.chance)}, mostly if it is this: {title}.")
    yield from _remedy(consultation, first, units)
    if len(advised) > 1 and advised[1].chance >= 0.15:
        second = advised[1]
        then = "If that does not do it"
        if second.treats != first.treats and not second.remedy.cures.get(first.treats):
            then = f"If it is {_cause_told(consultation, second)}"
        yield Line(f"{then}: {_lower(second.remedy.title)}.", tone="quiet")


def _treats_another(consultation: Consultation, advised: RemedyAdvice) -> bool:
    """Whether a remedy is for another cause than the verdict's, which then has to be said."""
    verdict = consultation.advice.verdict
    if verdict.kind == "nothing-wrong" or not advised.treats:
        return False
    return verdict.kind == "open" or not advised.remedy.cures.get(verdict.cause)


def _cause_told(consultation: Consultation, advised: RemedyAdvice) -> str:
    chance = in_ten(consultation.inference.standing.get(advised.treats, 0.0))
    return f"{_lower(title_of(consultation.base, advised.treats))} ({chance})"


def _remedy(consultation: Consultation, advised: RemedyAdvice, units: str) -> Iterator[Line]:
    remedy = advised.remedy
    told = instruction(consultation.base, consultation.inference, remedy, units)
    yield Line(told.text)
    extra = []
    trial = filled(consultation.base, consultation.inference, remedy.trial, units)
    if trial and trial.text:
        extra.append(f"Try it small first: {_lower(trial.text)}")
    expect = filled(consultation.base, consultation.inference, remedy.expect, units)
    if expect and expect.text:
        extra.append(f"Expect: {_lower(expect.text)}")
    if extra:
        yield Line(" ".join(_stopped(e) for e in extra))
    if remedy.risks:
        yield Line(
            "It costs: " + "; ".join(f"{r.text.rstrip('.')} ({r.to})" for r in remedy.risks) + ".",
            tone="quiet",
        )
    yield Line(
        _minutes(remedy.minutes, remedy.wait),
        cite_all(consultation.base, remedy.source),
        tone="quiet",
    )


def _next_heading(consultation: Consultation) -> str:
    advised = consultation.advice.next_batch
    return f"NEXT TIME   change: {advised[0].remedy.stage}" if advised else "NEXT TIME"


def _next(consultation: Consultation, units: str) -> Iterator[Line]:
    for advised in consultation.advice.next_batch[:2]:
        told = instruction(consultation.base, consultation.inference, advised.remedy, units)
        yield Line(told.text, cite_all(consultation.base, advised.remedy.source))


def _otherwise(consultation: Consultation) -> Iterator[Line]:
    if consultation.advice.verdict.kind == "open" and consultation.advice.verdict.cause:
        first = consultation.advice.verdict
        yield Line(_stopped(title_of(consultation.base, first.cause)), in_ten(first.probability))
    for other in consultation.advice.alternatives:
        yield Line(_stopped(title_of(consultation.base, other.cause)), in_ten(other.probability))
        tell = _tell(consultation, other)
        if tell:
            yield Line(tell, depth=1, tone="quiet")
    unlisted = consultation.inference.standing.get(NOT_LISTED, 0.0)
    if consultation.advice.verdict.kind == "open" and unlisted >= _UNLISTED_TOLD:
        yield Line("Or something that is not listed here: too little is known yet.")
    both = _two_together(consultation)
    if both:
        yield Line(both)


def _two_together(consultation: Consultation) -> str:
    """Two causes that together explain what no single likely one does; empty when one does."""
    base, inference = consultation.base, consultation.inference
    first = consultation.advice.verdict.cause
    if len(inference.reported) < 2 or not first:
        return ""
    alone = [s.causes[0] for s in inference.sets if len(s.causes) == 1]
    if any(inference.standing[c] >= inference.standing[first] / 2 for c in alone):
        return ""
    pair = next((s.causes for s in inference.sets if len(s.causes) == 2 and first in s.causes), ())
    if not pair:
        return ""
    titles = " and ".join(_lower(title_of(base, c).partition(":")[0]) for c in pair)
    return f"No single likely cause explains all of it. Two together would: {titles}."


def _tell(consultation: Consultation, other: Alternative) -> str:
    base = consultation.base
    check = base.checks.get(other.check)
    parts = []
    if check is not None:
        parts.append(f"{check.title}: {check.how}")
    elif other.finding in base.findings:
        parts.append(base.findings[other.finding].ask)
    if other.tell:
        parts.append(f"It tells: {_lower(other.tell)}.")
    return " ".join(parts)


def _ask(consultation: Consultation) -> Iterator[Line]:
    question = consultation.next_question
    if consultation.advice.verdict.kind != "open" or question is None:
        return
    yield Line(question.ask, f"--answer {question.finding}=…")
    if question.how:
        yield Line(question.how, depth=1)


def _clashes(consultation: Consultation) -> Iterator[Line]:
    """Answers that contradict each other by the sum, in the words of their questions."""
    base, facts = consultation.base, consultation.inference.facts
    told: dict[str, None] = {}
    for key in facts.clashes:
        figure, said = base.figures[key], facts.failed[key]
        for argument, source in figure.inputs.items():
            if source in base.findings:
                said = said.replace(argument, base.findings[source].label)
        told[said] = None
    for said in told:
        told_whole = f"{said[:1].upper()}{said[1:]}"
        yield Line(f"{told_whole}. Put right what is wrong; until then no dose rests on it.")


def _reasons(consultation: Consultation) -> Iterator[Line]:
    verdict = consultation.advice.verdict
    if not verdict.cause:
        return
    base, inference = consultation.base, consultation.inference
    yield Line(
        base.causes[verdict.cause].because, cite_all(base, base.causes[verdict.cause].source)
    )
    rows = [e for e in inference.ledger(verdict.cause) if e.counted and abs(e.weight) >= 0.8]
    for entry in rows[:_MOST_REASONS]:
        reason = behind(consultation.engine, entry.line)
        sign = "+" if entry.weight > 0 else "-"
        word = weight_word(entry.weight)
        tone = "for" if entry.weight > 0 else "against"
        yield Line(f"{sign} {word:<9} {reason.title}", cite_all(base, reason.source), tone=tone)
    if len(rows) > _MOST_REASONS:
        yield Line(f"and {len(rows) - _MOST_REASONS} more: --how lists them", tone="quiet")


def _unexplained(consultation: Consultation) -> Iterator[Line]:
    for finding in consultation.inference.unexplained:
        yield Line(consultation.base.findings[finding].label)


def _cautions(consultation: Consultation) -> Iterator[Line]:
    base = consultation.base
    for key in consultation.advice.cautions:
        caution = base.cautions[key]
        where = f" ({caution.jurisdiction})" if caution.jurisdiction else ""
        yield Line(
            f"{_LEVEL_MARKS[caution.level]}: {caution.text}{where}",
            tone="stop" if caution.level == "stop" else "",
        )
    yield Line(
        "General information only: your local food code, alcohol law and licence decide.",
        tone="quiet",
    )


def _footer(consultation: Consultation) -> Iterator[str]:
    advice, base = consultation.advice, consultation.base
    rests = ", ".join(f"{len(keys)} {kind}" for kind, keys in advice.rests_on.items() if keys)
    parts = [f"rests on: {rests}"] if rests else []
    parts.append(f"engine {consultation.inference.backend}")
    parts.append(f"knowledge {base.version} ({base.hash[:8]})")
    yield " · ".join(parts)


def _minutes(minutes: float, wait: float) -> str:
    text = f"About {minutes:g} min of work"
    if wait >= 120:
        return f"{text} and {wait / 60:.3g} h of waiting."
    return f"{text} and {wait:g} min of waiting." if wait else f"{text}."


def _lower(text: str) -> str:
    return lower_first(text.rstrip("."))


def _stopped(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else text + "."
