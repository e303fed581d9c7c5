"""Two protocols side by side, and "the same, but": what changes and what cannot be had."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.technique.protocol.build import protocol, refuse_prices
from advisor.technique.protocol.wording import amount, measure, minutes

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from advisor.knowledge.model import Base
    from advisor.technique.brief import Brief
    from advisor.technique.protocol.model import Dose, Protocol

__all__ = ["WITHOUT", "Comparison", "Row", "compare", "vary"]

WITHOUT: Mapping[str, str] = {
    "milk": "no_dairy",
    "dairy": "no_dairy",
    "nuts": "no_nuts",
    "peanuts": "no_nuts",
    "sesame": "no_sesame",
    "egg": "no_egg",
    "soy": "no_soy",
    "meat": "no_meat",
    "animal": "no_animal",
}
"""What ``vary`` can leave out, and the limit of the brief that it stands for."""

_MOST_WAYS = 4
# Fats to fall back on, in the order in which they come nearest to most others.
_FATS = ("brown-butter", "coconut-oil", "cocoa-butter", "olive-oil", "ghee", "duck-fat", "lard")


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that may differ: ``kind`` is dial, dose, step, time, expected or label.

    ``a`` and ``b`` are in words, empty where one has no such thing.
    """

    kind: str
    name: str
    a: str
    b: str

    @property
    def differs(self) -> bool:
        """Whether the two say something different."""
        return self.a != self.b


@dataclass(frozen=True, slots=True)
class Comparison:
    """All rows of two protocols, and what was changed to get from one to the other."""

    a: str
    b: str
    rows: tuple[Row, ...]
    changed: tuple[str, ...] = ()

    @property
    def differences(self) -> tuple[Row, ...]:
        """The rows that differ."""
        return tuple(row for row in self.rows if row.differs)


def compare(
    a: Protocol, b: Protocol, *, system: str = "metric", changed: Sequence[str] = ()
) -> Comparison:
    """Two protocols side by side, amounts in words of ``system`` (metric or us)."""
    rows = (
        *_settings(a, b, system),
        *_doses(a, b, system),
        *_steps(a, b),
        *_time(a, b),
        *_expected(a, b, system),
        *_label(a, b),
    )
    names = [p.title + (f", {p.brief_title}" if p.brief_title else "") for p in (a, b)]
    return Comparison(names[0], names[1], rows, tuple(changed))


def _pairs(
    a: Mapping[str, str], b: Mapping[str, str], kind: str, names: Mapping[str, str]
) -> Iterator[Row]:
    for key in dict.fromkeys((*a, *b)):
        yield Row(kind, names.get(key, key), a.get(key, ""), b.get(key, ""))


def _settings(a: Protocol, b: Protocol, system: str) -> Iterator[Row]:
    names = {s.id: s.label for p in (a, b) for s in p.settings}
    yield from _pairs(
        {s.id: measure(s.value, s.unit, system) for s in a.settings},
        {s.id: measure(s.value, s.unit, system) for s in b.settings},
        "dial",
        names,
    )


def _doses(a: Protocol, b: Protocol, system: str) -> Iterator[Row]:
    def said(dose: Dose) -> str:
        return f"{measure(dose.amount.value, dose.amount.unit, system)} {dose.label}"

    names = {d.id: d.id.replace(".", ": ").replace("_", " ") for p in (a, b) for d in p.doses}
    yield from _pairs(
        {d.id: said(d) for d in a.doses}, {d.id: said(d) for d in b.doses}, "dose", names
    )


def _steps(a: Protocol, b: Protocol) -> Iterator[Row]:
    names = {s.id: s.title for p in (a, b) for s in p.steps}

    def said(p: Protocol) -> dict[str, str]:
        return {
            s.id: f"{s.title} ({minutes(s.hands_on)} of work"
            + (f", {minutes(s.wait)} of waiting)" if s.wait >= 0.5 else ")")
            for s in p.steps
        }

    yield from _pairs(said(a), said(b), "step", names)


def _time(a: Protocol, b: Protocol) -> Iterator[Row]:
    for name, pick in (("from start to finish", "total"), ("work", "hands_on")):
        yield Row(
            "time",
            name,
            minutes(getattr(a.timeline, pick)),
            minutes(getattr(b.timeline, pick)),
        )


def _expected(a: Protocol, b: Protocol, system: str) -> Iterator[Row]:
    for name, pick in (
        ("finished volume", "volume"),
        ("strength", "strength"),
        ("pH", "ph"),
        ("wet curd", "curd"),
        ("milk protein dissolved", "whey_protein"),
        ("milk protein in a serve", "protein_per_serve"),
        ("lactose in a serve", "lactose_per_serve"),
    ):
        values = [getattr(p.expected, pick) for p in (a, b)]
        said = ["" if v is None else amount(v, system) for v in values]
        if any(said):
            yield Row("expected", name, said[0], said[1])
    yield Row("expected", "drink put in", *(measure(p.drink_ml, "mL", system) for p in (a, b)))
    yield Row("expected", "whole serves", *(str(p.expected.serves[1]) for p in (a, b)))
    yield Row("expected", "keeps", *(f"{p.expected.keep_days} days" for p in (a, b)))
    costs = [p.expected.cost for p in (a, b)]
    if any(costs):
        yield Row(
            "expected",
            "cost of a litre",
            *("" if c is None else f"{c.per_litre:.2f}" for c in costs),
        )


def _label(a: Protocol, b: Protocol) -> Iterator[Row]:
    yield Row("label", "ingredients", *(", ".join(p.label.ingredients) for p in (a, b)))
    for place in a.label.statements:
        yield Row("label", place, a.label.statements[place], b.label.statements[place])


def vary(
    base: Base,
    brief: Brief,
    technique: str,
    *,
    answers: Mapping[str, object] | None = None,
    without: Sequence[str] = (),
    within_h: float | None = None,
    batch_ml: float | None = None,
    overrides: Mapping[str, str | float] | None = None,
    prices: Mapping[str, float] | None = None,
    system: str = "metric",
) -> tuple[Protocol, Comparison]:
    """The same protocol with something else, without something, or in less time.

    ``answers`` are told as in a brief (``milk_wanted: goat``); ``without`` are words of
    ``WITHOUT``; ``within_h`` are hours. Gives the new protocol and what changed.

    Raises ``AdvisorError`` with the reason where it cannot be had: what has to go is what does
    the work, or is in the drink itself; or the waits alone take longer.
    """
    before = protocol(
        base, brief, technique, batch_ml=batch_ml, overrides=overrides, prices=prices
    )
    refuse_prices(before, prices or {})
    changed: list[str] = []
    other = _answered(base, brief, dict(answers or {}), changed)
    for word in without:
        other = _left_out(base, other, word, changed)
    quick = None
    if within_h is not None:
        if not within_h > 0.0:
            raise AdvisorError(
                "time-impossible", f"{within_h:g} h is no time at all", where="within"
            )
        quick = before.timeline.total > 60.0 * within_h
        changed.append(f"within {minutes(60.0 * within_h)}")
    after = _after(base, other, technique, batch_ml, overrides, prices, quick)
    if within_h is not None and after.timeline.total > 60.0 * within_h + 0.5:
        raise _too_slow(after, within_h)
    return after, compare(before, after, system=system, changed=changed)


def _after(
    base: Base, brief: Brief, technique: str, batch_ml: float | None,
    overrides: Mapping[str, str | float] | None, prices: Mapping[str, float] | None,
    quick: bool | None,
) -> Protocol:  # fmt: skip
    """The varied protocol; a fat that broke a limit is replaced by the nearest that does not."""
    from advisor.reasoning.answers import read_answer
    from advisor.technique.brief import brief_base

    more = {"batch_ml": batch_ml, "overrides": overrides, "prices": prices, "quick": quick}
    try:
        return protocol(base, brief, technique, **more)  # type: ignore[arg-type]
    except AdvisorError as error:
        if error.code != "limit-broken" or not _uses_fat(base, technique):
            raise _explained(base, brief, technique, error) from None
        first = error
    for fat in _FATS:
        name, answer = read_answer(brief_base(base), "wanted_fat", fat)
        try:
            return protocol(base, brief.with_answer(name, answer), technique, **more)  # type: ignore[arg-type]
        except AdvisorError:
            continue
    raise _explained(base, brief, technique, first)


def _uses_fat(base: Base, technique: str) -> bool:
    return any(base.parts[u.part].work == "fat-wash" for u in base.protocols[technique].parts)


def _explained(base: Base, brief: Brief, technique: str, error: AdvisorError) -> AdvisorError:
    """The same refusal with the ways that would do, where there are any."""
    if error.code != "limit-broken":
        return error
    from advisor.technique.choose import choose

    try:
        names = [option.technique for option in choose(base, brief).ranked]
    except AdvisorError:  # a brief without a goal: nothing to rank by
        names = list(base.protocols)
    ways = []
    for name in names:
        try:
            protocol(base, brief, name)
        except AdvisorError:
            continue
        ways.append(name)
        if len(ways) == _MOST_WAYS:
            break
    hint = f"without it can be done: {', '.join(ways)}" if ways else error.hint
    return AdvisorError(error.code, error.message, where=error.where, hint=hint)


def _answered(
    base: Base, brief: Brief, answers: Mapping[str, object], changed: list[str]
) -> Brief:
    from advisor.reasoning.answers import read_answer
    from advisor.technique.brief import brief_base

    seen = brief_base(base)
    for key, raw in answers.items():
        name, answer = read_answer(seen, key, raw, answers=brief.answers)
        brief = brief.with_answer(name, answer)
        changed.append(f"{seen.findings[name].label}: {answer.text or answer.value}")
    return brief


def _left_out(base: Base, brief: Brief, word: str, changed: list[str]) -> Brief:
    limit = WITHOUT.get(word.strip().lower())
    if limit is None:
        raise AdvisorError(
            "without-unknown",
            f"{word!r} cannot be left out by name",
            where="without",
            hint=did_you_mean(word, WITHOUT) or "one of " + ", ".join(WITHOUT),
        )
    from advisor.reasoning.answers import read_answer
    from advisor.technique.brief import brief_base

    name, answer = read_answer(brief_base(base), limit, "yes")
    changed.append(f"without {word}")
    return brief.with_answer(name, answer)


def _too_slow(after: Protocol, within_h: float) -> AdvisorError:
    longest = max(after.timeline.bars, key=lambda bar: bar.end - bar.start)
    return AdvisorError(
        "time-impossible",
        f"even with every short cut it takes {minutes(after.timeline.total)}, not "
        f"{minutes(60.0 * within_h)}",
        where="within",
        hint=f"the longest step is {longest.title!r} ({minutes(longest.end - longest.start)}); "
        "a smaller batch, a wider filter or another technique is faster",
    )
