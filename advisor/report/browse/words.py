"""Conditions, effects and citations as lines with links."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.conditions import InRange, Is, Known, Missing
from advisor.knowledge.words import NOT_LISTED, weight_word
from advisor.report.browse.model import Ref
from advisor.report.cite import cite

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.findings import Finding
    from advisor.knowledge.model import Base, Citation, Effect, Figure
    from advisor.report.browse.model import Bit, Row

__all__ = [
    "about",
    "answer_row",
    "cause_ref",
    "citations",
    "cited",
    "condition",
    "effect_row",
    "range_words",
    "test_row",
]

_MARKS = {"memory": "from memory, not verified"}


def cause_ref(base: Base, id: str) -> Bit:
    """A cause by its short title."""
    if id == NOT_LISTED:
        return "something not listed"
    return Ref(id, base.causes[id].title.partition(":")[0].rstrip("."))


def about(base: Base, key: str) -> Finding | Figure | None:
    """The finding or figure of that name, of a batch or of a brief."""
    return (
        base.findings.get(key)
        or base.figures.get(key)
        or base.brief_findings.get(key)
        or base.brief_figures.get(key)
    )


def cited(*groups: Iterable[Citation]) -> tuple[str, ...]:
    """The sources that citations name, once each."""
    return tuple(dict.fromkeys(c.ref for group in groups for c in group if c.published))


def test_row(base: Base, test: Test) -> Row:
    """One test in the words of its finding."""
    found = about(base, test.key)
    label = found.label if found is not None else test.key
    ref: Bit = Ref(test.key, label) if found is not None else label
    if isinstance(test, Missing):
        return ("nothing is known of ", ref)
    if isinstance(test, Known):
        return (ref, " is known")
    if isinstance(test, InRange):
        unit = found.unit if found is not None else ""
        return (ref, f" {range_words(test, unit)}")
    assert isinstance(test, Is)  # noqa: S101  (the four kinds of test)
    return (ref, ": ", " or ".join(_word(base, test.key, word) for word in test.words))


def answer_row(base: Base, test: Test) -> Row:
    """What a test asks of its finding, without naming the finding."""
    row = test_row(base, test)[1:]
    first = row[0].lstrip(": ") if row and isinstance(row[0], str) else ""
    return tuple(bit for bit in (first, *row[1:]) if bit)


def range_words(test: InRange, unit: str) -> str:
    """The ends of a range in words, with the unit once."""
    ends = []
    if test.low is not None:
        ends.append(f"{'at least' if test.low_in else 'above'} {test.low:g}")
    if test.high is not None:
        ends.append(f"{'at most' if test.high_in else 'below'} {test.high:g}")
    text = " and ".join(ends)
    return text if unit in ("", "word", "ratio", "count", "pH") else f"{text} {unit}"


def _word(base: Base, key: str, word: str) -> str:
    finding = base.findings.get(key) or base.brief_findings.get(key)
    if finding is None:
        return word
    if finding.kind == "yes-no":
        return word
    return next((c.label for c in finding.choices if c.value == word), word)


def condition(base: Base, options: Alternatives) -> Iterator[Row]:
    """A condition, an alternative a line."""
    for number, option in enumerate(options):
        bits: list[Bit] = ["or " if number else ""]
        for place, test in enumerate(option):
            bits += [" and ", *test_row(base, test)] if place else test_row(base, test)
        yield tuple(bit for bit in bits if bit)


def effect_row(base: Base, effect: Effect) -> Row:
    """What a rule does when it fires."""
    if effect.kind in ("suspect", "doubt"):
        sign = "+" if effect.weight > 0 else "\N{MINUS SIGN}"
        size = f" ({weight_word(effect.weight)}, {sign}{abs(effect.weight):.1f} dB)"
        speaks = "speaks for " if effect.kind == "suspect" else "speaks against "
        return (speaks, cause_ref(base, effect.target), size)
    if effect.kind == "conclude":
        found = about(base, effect.target)
        label = found.label if found else effect.target
        named: Bit = Ref(effect.target, label) if found else label
        return ("concludes ", named, ": ", effect.word)
    if effect.kind == "suggest":
        return ("suggests ", Ref(effect.target, base.remedies[effect.target].title))
    return ("says ", Ref(effect.target, effect.target.replace("-", " ")))


def citations(base: Base, cited: Iterable[Citation]) -> Iterator[Row]:
    """Where it comes from, a line each."""
    for citation in cited:
        text = cite(base, citation)
        if not citation.published:
            yield (text,)
            continue
        row: list[Bit] = [Ref(citation.ref, text)]
        if citation.says:
            row.append(f": {citation.says}")
        yield tuple(row)
