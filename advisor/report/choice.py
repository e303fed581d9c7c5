"""A choice of technique as a report: what comes first and why, what it would do, what else."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

from advisor.quantities import UNITS, say
from advisor.report.cite import cite_all
from advisor.report.model import Block, Line, Report
from advisor.technique.choose import ALWAYS_SAID

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from advisor.knowledge.model import Base, Rule
    from advisor.technique.choose import Choice, Conflict, Option, Reason, Refusal
    from advisor.technique.effects import Change

__all__ = [
    "caution_text",
    "change_text",
    "choice_report",
    "conflict_blocks",
    "next_command",
    "standing_text",
    "why_blocks",
]

_PARTS = {
    "taste": "Taste",
    "colour": "Colour",
    "aroma": "Aroma",
    "strength": "Strength",
    "body": "Body",
    "label": "Label",
    "keeping": "Keeping",
}
_MARKS = {"stop": "STOP", "warn": "Mind", "note": "Note"}
_MOST_REASONS = 2
_MOST_NEXT = 2
_MOST_REFUSED = 4
_POOR = -4.0


def choice_report(base: Base, choice: Choice, *, units: str = "metric") -> Report:
    """The report on a choice. ``units`` is ``metric`` or ``us``."""
    first = choice.first
    blocks = []
    if first is not None:
        blocks += [
            Block("WHY", tuple(_why(first))),
            Block("WHAT IT WOULD DO", tuple(_what(base, choice, first, units))),
            Block("WHAT IT LEAVES OPEN", tuple(_left_over(base, choice))),
            Block("NEXT BEST", tuple(_next_best(choice))),
        ]
    blocks += [
        Block("CANNOT BE USED", tuple(_refused(choice))),
        Block("SAY AND MIND", tuple(_cautions(base, first))),
        Block("HOUSE KNOWLEDGE", tuple(Line(text) for text in base.overlays)),
    ]
    brief = choice.brief
    return Report(
        title=brief.title + ("  (invented)" if brief.invented else ""),
        verdict=_verdict(first),
        aside="" if first is None else standing_text(first),
        tone="stop" if first is None else "strong",
        blocks=tuple(block for block in blocks if block.lines),
        footer=tuple(_footer(base, choice)),
    )


def conflict_blocks(choice: Choice) -> tuple[Block, ...]:
    """What pulls against what; it stands above everything else."""
    lines = [line for conflict in choice.conflicts for line in _conflict(conflict)]
    return (Block("THESE PULL AGAINST EACH OTHER", tuple(lines)),) if lines else ()


def _conflict(conflict: Conflict) -> Iterator[Line]:
    word = "cannot both be had" if conflict.kind == "impossible" else "one costs the other"
    yield Line(conflict.title, word, tone="stop" if conflict.kind == "impossible" else "against")
    yield Line(conflict.because, depth=1, tone="quiet")
    yield Line(conflict.trade_off, depth=1)


def standing_text(option: Option) -> str:
    """A standing in words and number."""
    whole = round(option.standing)
    return f"{option.word}, {f'{whole:+d}' if whole else '0'} dB"


def _verdict(first: Option | None) -> str:
    if first is None:
        return "Nothing that can be used does what is wanted"
    if first.standing < _POOR:
        return f"Nothing fits well; the least bad: {first.title}"
    return f"First choice: {first.title}"


def _why(first: Option) -> Iterator[Line]:
    """Two reasons for and the weightiest against, each in a line."""
    for reason in first.for_[:_MOST_REASONS]:
        yield Line(f"+ {reason.text}", reason.word, tone="for")
    for reason in first.against[:1]:
        yield Line(f"- {reason.text}", reason.word, tone="against")


def _what(base: Base, choice: Choice, first: Option, units: str) -> Iterator[Line]:
    yield Line(base.techniques[first.technique].about)
    by_part: dict[str, list[Change]] = {}
    for change in first.effects:
        by_part.setdefault(change.part, []).append(change)
    for part, name in _PARTS.items():
        words = [c.text for c in by_part.get(part, ()) if c.value is None]
        if words:
            yield Line(f"{name}: {'; '.join(words)}")
        for change in by_part.get(part, ()):
            if change.value is not None:
                yield Line(change_text(change, units), depth=1, tone="quiet")
    yield Line(f"Time: {_hours(first.minutes / 60)} of work, ready after {_hours(first.hours)}")
    declared = ", ".join(first.allergens) or "nothing that the technique brings"
    yield Line(f"Declare: {declared}; and what the drink itself holds")


def change_text(change: Change, units: str = "metric") -> str:
    """A number of an effect as a sentence with its range."""
    value = change.value
    if value is None:
        return change.text
    unit = value.unit if value.unit in UNITS else ""
    said = (
        say(value.value, unit, system=units, low=value.low, high=value.high)
        if unit
        else f"{value.value:.3g} ({value.low:.3g} to {value.high:.3g}) {value.unit}".rstrip()
    )
    return f"{change.text}: {said}"


def _left_over(base: Base, choice: Choice) -> Iterator[Line]:
    for goal, helping in choice.left_over.items():
        label = base.brief_findings[goal].label
        if helping:
            names = " or ".join(base.techniques[t].title.lower() for t in helping)
            yield Line(f"It does nothing to make it {label}: add {names} to it")
        else:
            yield Line(f"It does nothing to make it {label}, and neither does anything allowed")


def _next_best(choice: Choice) -> Iterator[Line]:
    others = (o for o in choice.ranked[1:] if o.useful and o.standing >= _POOR)
    for option in list(others)[:_MOST_NEXT]:
        yield Line(f"{option.title}  ({option.technique})", standing_text(option))
        for reason in option.for_[:1]:
            yield Line(f"+ {reason.text}", depth=1, tone="for")
        for reason in option.against[:1]:
            yield Line(f"- {reason.text}", depth=1, tone="against")
        milk = ("milk",) if option.contains_milk else ()
        if brought := ", ".join(dict.fromkeys((*milk, *option.allergens))):
            yield Line(f"contains {brought}", depth=1, tone="quiet")


def _refused(choice: Choice) -> Iterator[Line]:
    """Those that would have served, put together by why they cannot; the rest by name."""
    together: dict[str, list[Refusal]] = {}
    for refusal in choice.refused:
        if refusal.useful:
            together.setdefault(refusal.reasons[0].text, []).append(refusal)
    groups = list(together.items())
    shown: set[str] = set()
    for text, refusals in groups[:_MOST_REFUSED]:
        shown.update(r.technique for r in refusals)
        names = ", ".join(r.technique for r in refusals)
        if len(refusals) == 1:
            names = f"{refusals[0].title} ({names})"
        yield Line(f"{names}: {text[:1].lower()}{text[1:]}")
        for way in refusals[0].way_out[:1]:
            yield Line(f"Way out: {way}", depth=1, tone="quiet")
    rest = [r.technique for r in choice.refused if r.technique not in shown]
    if rest:
        yield Line(f"and besides: {', '.join(rest)}", tone="quiet")


def _cautions(base: Base, first: Option | None) -> Iterator[Line]:
    for key in first.cautions if first is not None else ():
        level = base.cautions[key].level if key in base.cautions else "stop"
        text = caution_text(base, key)
        yield Line(f"{_MARKS[level]}: {text}", tone="stop" if level == "stop" else "")
    shown = () if first is None else first.cautions
    if first is not None and "local-code" in base.cautions and "local-code" not in shown:
        yield Line(base.cautions["local-code"].text, tone="quiet")


def next_command(choice: Choice, saved: str = "", answers: Sequence[str] = ()) -> str:
    """The command that comes next, to be printed unwrapped; empty when there is no first choice.

    ``saved`` is the file that the brief has been saved in; ``answers`` are those given on the
    command line (NAME=VALUE), which no other file holds.
    """
    first = choice.first
    if first is None:
        return ""
    name = saved or choice.brief.name or ("" if answers else "FILE")
    words = ["--brief", name] if name else []
    for text in () if saved else answers:
        words += ["-a", shlex.quote(text)]
    return f"curdwise protocol {' '.join(words)} --technique {first.technique}"


def caution_text(base: Base, key: str) -> str:
    """What a caution says; that milk is in it is said even where the base has lost it."""
    return base.cautions[key].text if key in base.cautions else ALWAYS_SAID[key]


def _footer(base: Base, choice: Choice) -> Iterator[str]:
    yield f"{base.name} {base.version}, engine {choice.backend}"


def why_blocks(base: Base, choice: Choice, technique: str) -> tuple[Block, ...]:
    """Everything behind one technique: what speaks for and against it, with sources."""
    option, refusal = choice.option(technique), choice.refusal(technique)
    if refusal is not None:
        lines: list[Line] = []
        for reason in refusal.reasons:
            lines += _told(base, reason, "x ", "stop")
        lines += [Line(f"Way out: {way}") for way in refusal.way_out]
        return (Block(f"WHY NOT: {refusal.title}", tuple(lines)),)
    if option is None:
        return ()
    lines = []
    for reason in option.for_:
        lines += _told(base, reason, "+ ", "for")
    for reason in option.against:
        lines += _told(base, reason, "- ", "against")
    heading = f"WHY: {option.title}   {standing_text(option)}"
    return (Block(heading, tuple(lines)), *_against_sources(base, option))


def _told(base: Base, reason: Reason, mark: str, tone: str) -> Iterator[Line]:
    weight = f"{reason.weight:+.1f} dB, {reason.word}" if reason.weight else ""
    yield Line(f"{mark}{reason.text}", weight, tone=tone)
    if reason.because:
        yield Line(reason.because, cite_all(base, reason.source), depth=1, tone="quiet")
    if reason.rests_on:
        said = "; ".join(f"{label}: {value}" for label, value in reason.rests_on)
        yield Line(f"You said {said}", depth=1, tone="quiet")


def _against_sources(base: Base, option: Option) -> Iterator[Block]:
    """Where the trade disagrees with what was said."""
    rules = _rules_of(base.choosing, option)
    doubts = [base.techniques[option.technique].against, *(rule.against for rule in rules)]
    lines = [
        Line(citation.says, cite_all(base, (citation,)))
        for against in doubts
        for citation in against
        if citation.says
    ]
    if lines:
        yield Block("OTHERS SAY", tuple(dict.fromkeys(lines)))


def _rules_of(choosing: Mapping[str, Rule], option: Option) -> list[Rule]:
    lines = (r.line for r in (*option.for_, *option.against))
    return [choosing[line] for line in lines if line in choosing]


def _hours(hours: float) -> str:
    if hours < 1.0:
        return f"{hours * 60:.0f} min"
    return f"{hours:.1f}".removesuffix(".0") + " h" if hours < 10.0 else f"{hours:.0f} h"
