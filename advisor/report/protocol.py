"""A protocol and a comparison of two as reports: headed blocks of plain lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.report.cite import cite_all
from advisor.report.model import Block, Line, Report
from advisor.technique.protocol.wording import amount, fill, measure, minutes, step_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.model import Base
    from advisor.technique.protocol import Comparison, Protocol
    from advisor.technique.protocol.model import CheckPoint, Expected, LabelCard, Step

__all__ = [
    "PLACES",
    "bar_lines",
    "check_text",
    "comparison_report",
    "expected_rows",
    "headline",
    "label_lines",
    "protocol_report",
    "purchase_text",
]

PLACES = {"eu": "EU", "uk": "UK", "us": "US", "canada": "Canada"}
_DRINKS = {"us": "US standard drinks", "uk": "UK units", "au": "Australian standard drinks"}
_MARKS = {"stop": "STOP", "warn": "Mind", "note": "Note"}
_GROUPS = {
    "drink": "Drink",
    "milk": "Milk",
    "acid": "Acid",
    "fat": "Fat",
    "clarifier": "Clarifier",
    "other": "Other",
    "kit": "Kit",
}
_BAR = 40  # characters of a time line
_KINDS = {
    "dial": "SETTINGS",
    "dose": "AMOUNTS",
    "step": "STEPS",
    "time": "TIME",
    "expected": "WHAT TO EXPECT",
    "label": "LABEL",
}


def headline(protocol: Protocol, system: str = "metric") -> str:
    """Size, strength and time in one line."""
    expected = protocol.expected
    return (
        f"{measure(protocol.batch_ml, 'mL', system)} from "
        f"{measure(protocol.drink_ml, 'mL', system)} of drink, "
        f"{measure(expected.strength.value, '%vol', system)}, in "
        f"{minutes(protocol.timeline.total)} ({minutes(protocol.timeline.hands_on)} of work)"
    )


def protocol_report(
    base: Base, protocol: Protocol, *, units: str = "metric", how: bool = False
) -> Report:
    """The report on a protocol.

    ``how`` adds where each amount comes from, and the diagnosis that a failed check leads to.
    """
    blocks = [
        Block("FIRST OF ALL", tuple(_first(base, protocol))),
        Block("GET", tuple(_shopping(protocol, units))),
        Block("STEPS", tuple(_steps(protocol, units, how))),
        Block("WHAT TO EXPECT", tuple(_rows(protocol.expected, units))),
        Block("TIME", tuple(_time(protocol))),
        Block("WHAT DOES NOT SCALE", tuple(Line(t, tone="quiet") for t in protocol.not_linear)),
        Block("TAKEN FOR GRANTED", tuple(Line(t) for t in protocol.assumptions)),
        Block("WHERE THE AMOUNTS COME FROM", tuple(_how(base, protocol, units)) if how else ()),
        Block("LABEL", tuple(Line(t) for t in label_lines(protocol.label, units))),
        Block("SAY AND MIND", tuple(_cautions(base, protocol))),
        Block("HOUSE KNOWLEDGE", tuple(Line(t) for t in base.overlays)),
    ]
    return Report(
        title=protocol.brief_title,
        verdict=f"{protocol.title}: {headline(protocol, units)}",
        aside="",
        tone="strong",
        blocks=tuple(b for b in blocks if b.lines),
        footer=(
            f"knowledge {protocol.knowledge} · --how shows where each amount comes from,"
            " and the diagnosis of a failed check",
        ),
    )


def _first(base: Base, protocol: Protocol) -> Iterator[Line]:
    for key in protocol.cautions:
        caution = base.cautions[key]
        if caution.level == "stop":
            where = f" ({caution.jurisdiction})" if caution.jurisdiction else ""
            yield Line(f"STOP: {caution.text}{where}", tone="stop")
    for text in protocol.warnings:
        yield Line(f"Mind: {text}", tone="against")


def purchase_text(amount_: float, unit: str, system: str) -> str:
    """An amount to buy."""
    return measure(amount_, unit, system) if unit else ""


def _shopping(protocol: Protocol, units: str) -> Iterator[Line]:
    for group, name in _GROUPS.items():
        items = [p for p in protocol.shopping if p.group == group]
        if not items:
            continue
        if group == "kit":
            yield Line(f"{name}: " + ", ".join(p.text for p in items), tone="quiet")
            continue
        for item in items:
            text = f"{purchase_text(item.amount, item.unit, units)} {item.text}".strip()
            yield Line(f"{name}: {text}", item.note)


def _steps(protocol: Protocol, units: str, how: bool) -> Iterator[Line]:
    for step in protocol.steps:
        yield Line(f"{step.number}. {step.title}", _when(step), tone="strong")
        yield Line(step_text(protocol, step, units), depth=1)
        for note in _notes(protocol, step):
            yield Line(note, depth=1)
        if step.check is not None:
            yield Line(
                f"Check: {check_text(protocol, step, step.check, units)}", depth=1, tone="for"
            )
            yield Line(
                f"If not: {fill(protocol, step.check.do, step.scope, units)}",
                depth=1,
                tone="against",
            )
            if how:
                yield Line(step.check.command, depth=2, tone="quiet")


def _when(step: Step) -> str:
    parts = [f"at {minutes(step.start)}" if step.start >= 0.5 else "at the start"]
    if step.hands_on >= 0.5:
        parts.append(f"{minutes(step.hands_on)} of work")
    if step.wait >= 0.5:
        parts.append(f"{minutes(step.wait)} of waiting" + (" beside it" if step.attended else ""))
    return ", ".join(parts)


def _notes(protocol: Protocol, step: Step) -> Iterator[str]:
    """How to measure what a step names, where a scale or a jug is too coarse."""
    for dose in protocol.doses:
        scope, _, name = dose.id.partition(".")
        if scope == step.scope and f"{{{name}}}" in step.template:
            yield from dose.notes


def check_text(protocol: Protocol, step: Step, check: CheckPoint, units: str) -> str:
    """What a check should show."""
    return fill(protocol, check.should, step.scope, units)


def expected_rows(expected: Expected, units: str) -> Iterator[tuple[str, str]]:
    """What to expect, as name and amount."""
    yield "finished volume", amount(expected.volume, units)
    yield "strength", amount(expected.strength, units)
    for name, value in (
        ("pH", expected.ph),
        ("wet curd", expected.curd),
        ("sugar", expected.sugar),
        ("milk protein that stays in it", expected.whey_protein),
        ("milk protein in a serve", expected.protein_per_serve),
        ("lactose in a serve", expected.lactose_per_serve),
    ):
        if value is not None:
            yield name, amount(value, units)
    if expected.acid_excess is not None:
        over = expected.acid_excess
        yield "acid against need", f"{over.value:.2g} times ({over.low:.2g} to {over.high:.2g})"
    low, usual, high = expected.serves
    serve = measure(expected.serve_ml, "mL", units)
    count = str(usual) if usual else "less than one"
    yield "serves", f"{count} of {serve}" + (f" ({low} to {high})" if low != high else "")
    for basis, drinks in expected.drinks.items():
        yield f"{_DRINKS[basis]} in a serve", f"{drinks.value:.2f}"
    yield "keeps", f"{expected.keep_days} days at 5 °C or below, today counted"
    cost = expected.cost
    if cost is not None:
        text = f"{cost.per_litre:.2f} a litre, {cost.total:.2f} in all"
        if cost.per_serve is not None:
            text += f", {cost.per_serve:.2f} a serve"
        if cost.missing:
            text += "; no price for " + ", ".join(cost.missing)
        yield "cost", text


def _rows(expected: Expected, units: str) -> Iterator[Line]:
    rows = list(expected_rows(expected, units))
    width = max(len(name) for name, _ in rows)
    for name, text in rows:
        yield Line(f"{name:<{width}}  {text}")
    for why in expected.keep_why:
        yield Line(f"{'':<{width}}  {why}", tone="quiet")


def bar_lines(protocol: Protocol) -> Iterator[str]:
    """The time line: # is work, - is waiting; a step on the critical path has a star."""
    timeline = protocol.timeline
    scale = _BAR / timeline.total if timeline.total > 0.0 else 0.0
    for bar in timeline.bars:
        before = round(bar.start * scale)
        busy = max(round(bar.busy_until * scale) - before, 1 if bar.busy_until > bar.start else 0)
        wait = max(0, round(bar.end * scale) - before - busy)
        marks = " " * before + "#" * busy + "-" * wait
        yield f"{bar.number:>3}{'*' if bar.critical else ' '} |{marks[: _BAR + 1]:<{_BAR + 1}}|"


def _time(protocol: Protocol) -> Iterator[Line]:
    timeline = protocol.timeline
    yield Line(
        f"{minutes(timeline.total)} from start to finish, {minutes(timeline.hands_on)} of it work "
        "for one person."
    )
    for text in bar_lines(protocol):
        yield Line(text)
    yield Line("# work, - waiting, * decides how long it takes", tone="quiet")
    for waiting, other in timeline.beside:
        yield Line(f"While step {waiting} waits, do step {other}.", tone="quiet")


def _how(base: Base, protocol: Protocol, units: str) -> Iterator[Line]:
    for dose in protocol.doses:
        yield Line(f"{dose.label}: {amount(dose.amount, units)}", dose.footing)
        yield Line(f"{dose.formula}. {dose.source}.", depth=1, tone="quiet")
    for setting in protocol.settings:
        said = measure(setting.value, setting.unit, units)
        low, high = (measure(n, setting.unit, units) for n in (setting.low, setting.high))
        yield Line(
            f"{setting.label}: {said} (practice {low} to {high}); --set {setting.id}=…",
            setting.footing,
        )
        because = setting.because or "no reason was written down"
        yield Line(because, cite_all(base, setting.source), depth=1, tone="quiet")


def label_lines(label: LabelCard, units: str) -> Iterator[str]:
    """The label card as lines."""
    yield label.name
    yield "Made with: " + ", ".join(label.ingredients)
    for place, statement in label.statements.items():
        exempt = (
            " (no ingredient list due at this strength, the allergens are)"
            if label.list_exempt[place]
            else ""
        )
        yield f"{PLACES[place]}: {statement}{exempt}"
    yield f"Strength: {measure(label.strength.value, '%vol', units)}"
    drinks = ", ".join(f"{v.value:.1f} {_DRINKS[k]}" for k, v in label.drinks.items())
    yield f"In {measure(label.serve_ml, 'mL', units)}: {drinks}"
    if label.lactose is not None:
        yield f"Lactose in a serve: {amount(label.lactose, units)}"
    yield f"Made: {label.made or '____-__-__'}   Use by: {label.use_by or '____-__-__'}"
    yield from label.storage
    yield label.deferral


def _cautions(base: Base, protocol: Protocol) -> Iterator[Line]:
    for key in protocol.cautions:
        caution = base.cautions[key]
        if caution.level == "stop":
            continue
        where = f" ({caution.jurisdiction})" if caution.jurisdiction else ""
        yield Line(f"{_MARKS[caution.level]}: {caution.text}{where}")
    yield Line(
        "General information only: your local food code, alcohol law and licence decide.",
        tone="quiet",
    )


def comparison_report(comparison: Comparison) -> Report:
    """What differs between two protocols, by kind."""
    blocks = []
    rows = comparison.differences
    for kind, heading in _KINDS.items():
        lines = []
        for row in rows:
            if row.kind != kind:
                continue
            lines.append(Line(f"{row.name}: {row.a or 'none'} → {row.b or 'none'}"))
        blocks.append(Block(heading, tuple(lines)))
    verdict = f"{len(rows)} differences" if rows else "Nothing differs."
    changed = "; ".join(comparison.changed)
    return Report(
        title=f"A: {comparison.a}   B: {comparison.b}",
        verdict=verdict + (f" - {changed}" if changed else ""),
        aside="",
        tone="strong",
        blocks=tuple(b for b in blocks if b.lines),
        footer=(),
    )
