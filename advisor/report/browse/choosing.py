"""Entries of what a brief is answered with: techniques, choosing rules, parts and protocols."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from advisor.knowledge.words import weight_word
from advisor.report.browse.model import Entry, Ref, parts, text_rows
from advisor.report.browse.words import about, cause_ref, citations, cited, condition, effect_row

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.knowledge.model import Base, Effect, Rule, Technique
    from advisor.knowledge.protocols import Dial, Part, ProtocolText, StepText
    from advisor.report.browse.model import Bit, Row

__all__ = ["choosing_entries"]

_SPEAKS = {"prefer": "speaks for ", "avoid": "speaks against ", "forbid": "rules out "}
_HEADINGS = {
    "prefer": "Choosing rules for it",
    "avoid": "Choosing rules against it",
    "forbid": "Choosing rules that rule it out",
}
_WORDS = {
    "much": "does much for",
    "some": "does something for",
    "a-little": "does a little for",
    "nothing": "does nothing for",
    "against": "works against",
}


def choosing_entries(base: Base) -> Iterator[Entry]:
    """Techniques, choosing rules, parts and protocols, in this order."""
    spoken: dict[str, list[tuple[Rule, Effect]]] = defaultdict(list)
    for rule in base.choosing.values():
        for effect in rule.effects:
            if effect.kind in _SPEAKS:
                spoken[effect.target].append((rule, effect))
    used: dict[str, list[ProtocolText]] = defaultdict(list)
    for protocol in base.protocols.values():
        for part in dict.fromkeys(use.part for use in protocol.parts):
            used[part].append(protocol)
    yield from (_technique(base, t, spoken[t.id]) for t in base.techniques.values())
    yield from (_rule(base, rule) for rule in base.choosing.values())
    yield from (_part(base, part, used[part.id]) for part in base.parts.values())
    yield from (_protocol(base, p) for p in base.protocols.values())


def _finding(base: Base, key: str) -> Bit:
    found = about(base, key)
    return Ref(key, found.label) if found is not None else key


def _technique(base: Base, technique: Technique, spoken: list[tuple[Rule, Effect]]) -> Entry:
    """A way to treat a drink: what it does, needs and brings, and what speaks of it."""
    protocol = base.protocols.get(technique.id)
    rows: dict[str, list[Row]] = defaultdict(list)
    for rule, effect in spoken:
        weight = f" ({_size(effect.weight)})" if effect.weight else ""
        rows[effect.kind].append((Ref(rule.id, rule.title), weight))
    time = (
        f"{technique.minutes:g} min of work and {technique.wait:g} min of waiting; "
        f"{technique.shortest:g} min at the least."
    )
    return Entry(
        kind="technique",
        id=technique.id,
        title=technique.title,
        operations=technique.operations,
        sources=cited(technique.source, technique.against),
        place=technique.place,
        parts=parts(
            (
                "",
                [*text_rows(technique.about), (f"{', '.join(technique.operations)}; {time}",)],
            ),
            ("How it is done", [(Ref(protocol.id, protocol.title),)] if protocol else ()),
            ("Goals", _does(base, technique)),
            (
                "What it changes",
                [(f"{part}: {text}",) for part, text in technique.effects.items()],
            ),
            ("Needs", _needs(base, technique)),
            ("Brings", _brings(base, technique)),
            (
                "Amounts",
                [
                    (f"{part}: {', then '.join(f'{a:g}' for a in amounts)} ml per litre of drink",)
                    for part, amounts in technique.amounts.items()
                    if amounts
                ],
            ),
            ("Because", text_rows(technique.because)),
            *((heading, rows[kind]) for kind, heading in _HEADINGS.items()),
            ("Source", citations(base, technique.source)),
            ("Disagreeing", citations(base, technique.against)),
        ),
    )


def _does(base: Base, technique: Technique) -> Iterator[Row]:
    for goal, word in technique.does.items():
        yield (f"{_WORDS.get(word, word)} ", _finding(base, goal))


def _needs(base: Base, technique: Technique) -> Iterator[Row]:
    for one_of in technique.needs:
        row: list[Bit] = []
        for number, key in enumerate(one_of):
            row += [" or " if number else "", _finding(base, key)]
        yield tuple(bit for bit in row if bit)


def _brings(base: Base, technique: Technique) -> Iterator[Row]:
    for brought in technique.brings:
        if not brought.when:
            yield (brought.what,)
        for row in condition(base, brought.when):
            yield (f"{brought.what}, when ", *row)


def _size(weight: float) -> str:
    sign = "+" if weight > 0 else "\N{MINUS SIGN}"
    return f"{weight_word(weight)}, {sign}{abs(weight):.1f} dB"


def _rule(base: Base, rule: Rule) -> Entry:
    """A rule that chooses, as it reads aloud."""
    return Entry(
        kind="choosing",
        id=rule.id,
        title=rule.title,
        sources=cited(rule.source, rule.against),
        place=rule.place,
        parts=parts(
            ("When", condition(base, rule.when)),
            ("Then", _effects(base, rule.effects)),
            ("Because", text_rows(rule.because)),
            ("Source", citations(base, rule.source)),
            ("Disagreeing", citations(base, rule.against)),
            ("Speaks of the same evidence as", text_rows(rule.group)),
        ),
    )


def _effects(base: Base, effects: Sequence[Effect]) -> Iterator[Row]:
    """What follows; techniques of which the same is said share a line."""
    alike: dict[tuple[str, float, str], list[str]] = defaultdict(list)
    for effect in effects:
        if effect.kind in _SPEAKS:
            alike[effect.kind, effect.weight, effect.word].append(effect.target)
    for (kind, weight, word), names in alike.items():
        row: list[Bit] = [_SPEAKS[kind]]
        for number, name in enumerate(names):
            row += [", " if number else "", Ref(name, base.techniques[name].title)]
        row.append(f" ({_size(weight)})" if weight else f". Instead: {word}" if word else "")
        yield tuple(bit for bit in row if bit)
    for effect in effects:
        if effect.kind == "conflict":
            said = "cannot be had together" if effect.target == "impossible" else "the trade-off"
            yield (f"{said}: {effect.word}",)
        elif effect.kind not in _SPEAKS:
            yield effect_row(base, effect)


def _part(base: Base, part: Part, used: Iterable[ProtocolText]) -> Entry:
    """A run of steps with what can be set and checked."""
    told: list[Dial | StepText] = [*part.dials.values(), *part.steps]
    return Entry(
        kind="part",
        id=part.id,
        title=part.title,
        sources=cited(*(each.source for each in told)),
        place=part.place,
        parts=parts(
            ("", [(f"Its amounts are those of the work {part.work}.",)]),
            ("What is put in", [(f"{part.item.name}, in {part.item.unit}",)] if part.item else ()),
            ("What can be set", [_dial(base, dial) for dial in part.dials.values()]),
            ("Steps", [_step(base, step) for step in part.steps]),
            ("Points to check", [row for step in part.steps for row in _point(base, step)]),
            (
                "Mind",
                [
                    (Ref(c, base.cautions[c].text),)
                    for c in dict.fromkeys(c for step in part.steps for c in step.cautions)
                ],
            ),
            ("Used by", [(Ref(p.id, p.title),) for p in used]),
        ),
    )


def _dial(base: Base, dial: Dial) -> Row:
    unit = f" {dial.unit}" if dial.unit else ""
    because = f"; {dial.because}" if dial.because else ""
    said = (
        f"{dial.label}: {dial.value:g}{unit} (usually {dial.usual[0]:g} to {dial.usual[1]:g}, "
        f"allowed {dial.allowed[0]:g} to {dial.allowed[1]:g}){because}"
    )
    return (said, *_cited_behind(base, dial))


def _step(base: Base, step: StepText) -> Row:
    only = f" (only: {', '.join(step.when)})" if step.when else ""
    never = f" (not: {', '.join(step.unless)})" if step.unless else ""
    return (f"{step.title}{only}{never}: {step.do}", *_cited_behind(base, step))


def _cited_behind(base: Base, told: Dial | StepText) -> Row:
    """Where it comes from, in brackets behind it."""
    row: list[Bit] = []
    for number, line in enumerate(citations(base, told.source)):
        row += ["; " if number else " [", *line]
    return (*row, "]") if row else ()


def _point(base: Base, step: StepText) -> Iterator[Row]:
    point = step.point
    if point is not None:
        yield (
            f"{step.title}: ",
            _finding(base, point.finding),
            f": {point.should}. If not: ",
            cause_ref(base, point.cause),
            "; ",
            Ref(point.remedy, base.remedies[point.remedy].title),
        )


def _protocol(base: Base, protocol: ProtocolText) -> Entry:
    """Which parts make a technique, in order."""
    technique = base.techniques[protocol.technique]
    rows: list[Row] = []
    for use in protocol.parts:
        words = [
            *(f"{key} {value:g}" for key, value in use.dials.items()),
            *(f"{key}: {value}" for key, value in use.words.items()),
            *(["begins at once, beside what stands before it"] if use.beside else []),
            *([f"only: {', '.join(use.when)}"] if use.when else []),
            *([f"not: {', '.join(use.unless)}"] if use.unless else []),
        ]
        more = f" ({'; '.join(words)})" if words else ""
        rows.append((Ref(use.part, base.parts[use.part].title), more))
    return Entry(
        kind="protocol",
        id=protocol.id,
        title=protocol.title,
        operations=technique.operations,
        sources=cited(protocol.source),
        place=protocol.place,
        parts=parts(
            ("", text_rows(protocol.because)),
            ("Technique", [(Ref(technique.id, technique.title),)]),
            ("Parts, in order", rows),
            ("Source", citations(base, protocol.source)),
        ),
    )
