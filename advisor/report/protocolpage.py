"""A protocol, its label card, and a comparison as HTML pages that print on A4 and Letter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.report.cite import cite_all
from advisor.report.html import render
from advisor.report.protocol import (
    PLACES,
    check_text,
    expected_rows,
    headline,
    purchase_text,
)
from advisor.technique.protocol.wording import amount, fill, measure, minutes, step_text
from advisor.version import __version__

if TYPE_CHECKING:
    from advisor.knowledge.model import Base
    from advisor.technique.protocol import Comparison, Protocol
    from advisor.technique.protocol.model import Step
    from advisor.technique.trial import Trial

__all__ = ["comparison_page", "label_page", "protocol_page"]

_KINDS = {
    "dial": "Settings",
    "dose": "Amounts",
    "step": "Steps",
    "time": "Time",
    "expected": "What to expect",
    "label": "Label",
}
_BEFORE_TASTING = (
    "Say before you taste if you have an allergy: the cups may contain milk, nuts, egg or soy. Do "
    "not take part if you have one, or should not drink alcohol today.",
    "Taste from left to right, rinse with water between cups, spit if you like, and say nothing "
    "of the cups until all have finished.",
)
_LEFT, _WIDTH, _ROW = 250.0, 440.0, 19.0
_THIN = 1.5  # a step of minutes in a day of waiting is still to be seen


def protocol_page(
    base: Base,
    protocol: Protocol,
    *,
    units: str = "metric",
    date: str = "",
    trial: Trial | None = None,
) -> str:
    """The whole protocol, its label card and, with ``trial``, the tasters' sheets of it.

    Label and sheets print on pages of their own. The key of the trial is not on the page.
    """
    context = _context(base, protocol, units, date)
    return render("protocol.html", **context, trial=_trial(trial, units))


def _trial(trial: Trial | None, units: str) -> dict[str, Any] | None:
    if trial is None:
        return None
    from advisor.report.trial import pour_lines
    from advisor.report.trialsheets import taster_sheets
    from advisor.technique.trial import preparation

    made = preparation(trial)
    return {
        "title": trial.title,
        "why": trial.why,
        "before": _BEFORE_TASTING,
        "notes": made.notes,
        "pours": [(p.heading, list(pour_lines(p, units))) for p in made.pours],
        "sheets": taster_sheets(trial),
    }


def label_page(base: Base, protocol: Protocol, *, units: str = "metric", date: str = "") -> str:
    """The label card alone."""
    return render("label.html", **_context(base, protocol, units, date))


def _context(base: Base, protocol: Protocol, units: str, date: str) -> dict[str, Any]:
    return {
        "title": protocol.label.name,
        "version": __version__,
        "knowledge": protocol.knowledge,
        "date": date,
        "headline": f"{protocol.title}: {headline(protocol, units)}",
        "stops": _cautions(base, protocol, ("stop",)),
        "cautions": _cautions(base, protocol, ("warn", "note")),
        "warnings": protocol.warnings,
        "shopping": _shopping(protocol, units),
        "steps": [_step(base, protocol, step, units) for step in protocol.steps],
        "expected": list(expected_rows(protocol.expected, units)),
        "keep_why": protocol.expected.keep_why,
        "timeline": _timeline(protocol),
        "doses": [
            (d.label, amount(d.amount, units), d.footing, f"{d.formula}. {d.source}.", d.notes)
            for d in protocol.doses
        ],
        "settings": [
            (
                s.label,
                measure(s.value, s.unit, units),
                f"{measure(s.low, s.unit, units)} to {measure(s.high, s.unit, units)}",
                s.footing,
                "; ".join(t for t in (s.because, cite_all(base, s.source)) if t),
            )
            for s in protocol.settings
        ],
        "assumptions": protocol.assumptions,
        "not_linear": protocol.not_linear,
        "label": _label(protocol, units),
    }


def _cautions(base: Base, protocol: Protocol, levels: tuple[str, ...]) -> list[tuple[str, str]]:
    found = (base.cautions[c] for c in protocol.cautions)
    return [(c.text, c.jurisdiction) for c in found if c.level in levels]


def _shopping(protocol: Protocol, units: str) -> list[tuple[str, list[tuple[str, str]]]]:
    groups: dict[str, list[tuple[str, str]]] = {}
    for item in protocol.shopping:
        said = f"{purchase_text(item.amount, item.unit, units)} {item.text}".strip()
        groups.setdefault(item.group, []).append((said, item.note))
    return list(groups.items())


def _step(base: Base, protocol: Protocol, step: Step, units: str) -> dict[str, Any]:
    check = step.check
    notes = [
        note
        for dose in protocol.doses
        if dose.id.partition(".")[0] == step.scope
        and f"{{{dose.id.partition('.')[2]}}}" in step.template
        for note in dose.notes
    ]
    return {
        "number": step.number,
        "title": step.title,
        "text": step_text(protocol, step, units),
        "notes": notes,
        "start": minutes(step.start) if step.start >= 0.5 else "start",
        "work": minutes(step.hands_on) if step.hands_on >= 0.5 else "",
        "wait": minutes(step.wait) if step.wait >= 0.5 else "",
        "check": check_text(protocol, step, check, units) if check else "",
        "if_not": fill(protocol, check.do, step.scope, units) if check else "",
        "command": check.command if check else "",
        "source": cite_all(base, step.source),
    }


def _timeline(protocol: Protocol) -> dict[str, Any]:
    """Bars in drawing units; times in words."""
    timeline = protocol.timeline
    scale = _WIDTH / timeline.total if timeline.total > 0.0 else 0.0
    bars = []
    for place, bar in enumerate(timeline.bars):
        start = _LEFT + bar.start * scale
        busy = max(_THIN, (bar.busy_until - bar.start) * scale)
        wait = max(0.0, (bar.end - bar.busy_until) * scale)
        bars.append(
            {
                "y": place * _ROW + 4.0,
                "label": f"{bar.number}. {bar.title}",
                "x": round(start, 1),
                "busy": round(busy, 1),
                "wait_x": round(start + busy, 1),
                "wait": round(wait, 1),
                "critical": bar.critical,
            }
        )
    return {
        "bars": bars,
        "height": len(bars) * _ROW + 26.0,
        "left": _LEFT,
        "right": _LEFT + _WIDTH,
        "total": minutes(timeline.total),
        "hands_on": minutes(timeline.hands_on),
        "beside": [f"While step {a} waits, do step {b}." for a, b in timeline.beside],
    }


def _label(protocol: Protocol, units: str) -> dict[str, Any]:
    label = protocol.label
    drinks = {"us": "US standard drinks", "uk": "UK units", "au": "Australian standard drinks"}
    return {
        "name": label.name,
        "contains_milk": label.contains_milk,
        "ingredients": label.ingredients,
        "statements": [
            (PLACES[place], text, label.list_exempt[place])
            for place, text in label.statements.items()
        ],
        "strength": measure(label.strength.value, "%vol", units),
        "serve": measure(label.serve_ml, "mL", units),
        "drinks": [f"{v.value:.1f} {drinks[k]}" for k, v in label.drinks.items()],
        "lactose": "" if label.lactose is None else amount(label.lactose, units),
        "storage": label.storage,
        "made": label.made,
        "use_by": label.use_by,
        "keep_days": protocol.expected.keep_days,
        "deferral": label.deferral,
    }


def comparison_page(comparison: Comparison, *, knowledge: str = "", date: str = "") -> str:
    """Two protocols side by side: what differs first, then all of it."""
    groups = [
        (heading, [r for r in comparison.rows if r.kind == kind])
        for kind, heading in _KINDS.items()
    ]
    return render(
        "protocol_compare.html",
        title="Two protocols side by side",
        version=__version__,
        knowledge=knowledge,
        date=date,
        a=comparison.a,
        b=comparison.b,
        changed=comparison.changed,
        groups=[(heading, rows) for heading, rows in groups if rows],
    )
