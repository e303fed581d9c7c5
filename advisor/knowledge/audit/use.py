"""What is written and never used: findings, conclusions, sources, cautions, remedies; circles."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.audit.book import books
from advisor.knowledge.audit.promises import promise_problems
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, Is, Known
from advisor.knowledge.model import BRACES
from advisor.knowledge.words import OPERATIONS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.model import Base, Citation, Remedy

__all__ = ["use_problems"]

def use_problems(base: Base, places: Places) -> Iterable[Problem]:
    """Everything that stands in the base and leads nowhere, and circles."""
    yield from _findings(base, places)
    for book in books(base):
        yield from _conclusions(base, book, places)
        yield from _against_answers(book, places)
        yield from _rule_circles(book, places)
    yield from _figures(base, places)
    yield from _sources(base, places)
    yield from _cautions(base, places)
    yield from _remedies(base, places)
    yield from _figure_circles(base, places)
    yield from promise_problems(base, places)


def _used_keys(base: Base) -> set[str]:
    used = {t.key for line in base.lines for option in line.when for t in option}
    used.update(t.key for rule in base.choosing.values() for o in rule.when for t in o)
    for technique in base.techniques.values():
        used.update(t.key for brought in technique.brings for o in brought.when for t in o)
    for figure in base.brief_figures.values():
        used.update(figure.inputs.values())
    for part in base.parts.values():
        for point in (step.point for step in part.steps):
            used.update(() if point is None else (point.finding, *point.bad))
    for finding in base.findings.values():
        used.update(t.key for option in finding.ask_when for t in option)
        if finding.measures:
            used.add(finding.id)
        if finding.ratio_of:
            used.add(finding.ratio_of)
    for figure in base.figures.values():
        used.update(figure.inputs.values())
    for remedy in base.remedies.values():
        used.update(t.key for option in remedy.when for t in option)
        used.update(BRACES.findall(" ".join((remedy.do, remedy.trial, remedy.expect))))
    return used


def _findings(base: Base, places: Places) -> Iterator[Problem]:
    used = _used_keys(base)
    concluded = {e.target for line in base.lines for e in line.effects if e.kind == "conclude"}
    for finding in base.findings.values():
        where = places.at("findings", finding.id)
        if finding.asked and finding.id not in used:
            yield Problem(
                "finding-unused",
                f"{finding.id} is asked, and nothing depends on the answer",
                where,
                "use it or take it out",
            )
        if not finding.asked and finding.id not in concluded and finding.id != "verdict":
            yield Problem(
                "finding-unasked",
                f"{finding.id} is never asked and no rule concludes it",
                where,
                "let a rule conclude it, or ask for it",
            )


def _figures(base: Base, places: Places) -> Iterator[Problem]:
    """Figures that are worked out and shown nowhere that anything rests on."""
    used = _used_keys(base)
    for figure in (*base.figures.values(), *base.brief_figures.values()):
        if figure.id not in used and not figure.measures:
            yield Problem(
                "figure-unused",
                f"{figure.id} is worked out, and no rule, remedy or figure uses it",
                places.at("figures", figure.id),
                "use it, or take it out",
                severity="note",
            )


def _conclusions(base: Base, book: Book, places: Places) -> Iterator[Problem]:
    tested: dict[str, set[str]] = {}
    for when in (
        *(rule.when for rule in book.rules.values()),
        *(line.when for line in base.lines),
        *(f.ask_when for f in book.findings.values()),
        *(r.when for r in base.remedies.values()),
        *(b.when for technique in base.techniques.values() for b in technique.brings),
    ):
        for option in when:
            for test in option:
                words: tuple[str, ...] = test.words if isinstance(test, Is) else ("*",)
                tested.setdefault(test.key, set()).update(words)
    fed = {key for figure in book.figures.values() for key in figure.inputs.values()}
    for rule in book.rules.values():
        for effect in rule.effects:
            if effect.kind != "conclude" or effect.target == "verdict" or effect.target in fed:
                continue
            used = tested.get(effect.target, set())
            if effect.word not in used and "*" not in used:
                yield Problem(
                    "conclusion-dead-end",
                    f"{rule.id} concludes {effect.target}: {effect.word}, which nothing uses",
                    places.key(book.section, rule.id, "then", "conclude", effect.target),
                    "use it in a rule, or take it out",
                )


def _against_answers(book: Book, places: Places) -> Iterator[Problem]:
    """Rules that conclude what somebody is asked, or another answer than the one they test."""
    for rule in book.rules.values():
        for effect in rule.effects:
            if effect.kind != "conclude" or effect.target == "verdict":
                continue
            told = {
                word
                for option in rule.when
                for test in option
                if isinstance(test, Is) and test.key == effect.target
                for word in test.words
                if word not in (UNKNOWN, NOT_NOW)
            }
            finding = book.findings.get(effect.target)
            if told - {effect.word}:
                yield Problem(
                    "conclusion-against-answer",
                    f"{rule.id} tests for {effect.target}: {' or '.join(sorted(told))} and "
                    f"concludes {effect.target}: {effect.word}; both would hold",
                    places.effect(book.section, rule.id, effect),
                    "conclude onto a finding of its own, with `asked: false`",
                )
            elif finding is not None and finding.asked:
                yield Problem(
                    "conclusion-asked",
                    f"{rule.id} concludes {effect.target}: {effect.word}, which is asked as well: "
                    "whoever answers otherwise has both answers hold",
                    places.effect(book.section, rule.id, effect),
                    "conclude onto a finding of its own, with `asked: false`, and test for either",
                    severity="error" if finding.symptom else "note",
                )


def _sources(base: Base, places: Places) -> Iterator[Problem]:
    cited: set[str] = set()

    def note(citations: Iterable[Citation]) -> None:
        cited.update(c.ref for c in citations)

    for group in (
        base.checks,
        base.causes,
        base.rules,
        base.remedies,
        base.cautions,
        base.techniques,
        base.choosing,
    ):
        for record in group.values():
            note(record.source)
            note(getattr(record, "against", ()))
    for part in base.parts.values():
        for dial in part.dials.values():
            note(dial.source)
        for step in part.steps:
            note(step.source)
    for protocol in base.protocols.values():
        note(protocol.source)
    for source in base.sources.values():
        if source.id not in cited:
            yield Problem(
                "source-unused",
                f"nothing cites {source.id}",
                places.at("sources", source.id),
                "cite it where it is relied on, or take it out",
                severity="note",
            )


def _cautions(base: Base, places: Places) -> Iterator[Problem]:
    raised = {e.target for line in base.lines for e in line.effects if e.kind == "caution"}
    raised.update(c for check in base.checks.values() for c in check.caution)
    raised.update(
        e.target for rule in base.choosing.values() for e in rule.effects if e.kind == "caution"
    )
    raised.update(c for part in base.parts.values() for s in part.steps for c in s.cautions)
    for caution in base.cautions.values():
        if caution.id not in raised:
            yield Problem(
                "caution-unused",
                f"no rule and no check ever raises {caution.id}",
                places.at("cautions", caution.id),
                "let a rule raise it: then: {caution: [" + caution.id + "]}",
            )


def _remedies(base: Base, places: Places) -> Iterator[Problem]:
    suggested = {e.target for line in base.lines for e in line.effects if e.kind == "suggest"}
    for remedy in base.remedies.values():
        made = _operations(remedy)
        curable = {o for cause in remedy.cures for o in base.causes[cause].operations}
        if made and made.isdisjoint(curable) and remedy.id not in suggested:
            yield Problem(
                "remedy-unreachable",
                f"{remedy.id} is offered only after {' or '.join(sorted(made))}, and no cause "
                "that it cures belongs to that",
                places.test("remedies", remedy.id, "when", "operation"),
                "correct its when or its cures",
            )


def _operations(remedy: Remedy) -> set[str]:
    """The operations that a remedy's condition limits it to; empty when it does not."""
    made: set[str] = set()
    for option in remedy.when:
        words = next(
            (t.words for t in option if isinstance(t, Is) and t.key == "operation"), None
        )
        if words is None or not set(words) <= set(OPERATIONS):
            return set()
        made.update(words)
    return made


def _figure_circles(base: Base, places: Places) -> Iterator[Problem]:
    feeds = {
        f.id: [k for k in f.inputs.values() if k in base.figures] for f in base.figures.values()
    }
    for figure in base.figures.values():
        if figure.measures in base.figures:
            feeds[figure.measures].append(figure.id)
    for circle in _circles(feeds):
        for name in sorted(set(circle)):
            yield Problem(
                "figure-circular",
                f"{name} is worked out from itself: {' from '.join(circle)}",
                places.key("figures", name, "inputs"),
                "feed one of them from a finding",
            )


def _rule_circles(book: Book, places: Places) -> Iterator[Problem]:
    """Conclusions that rest on themselves through rules, word by word."""
    rests: dict[str, set[str]] = {}
    by: dict[tuple[str, str], str] = {}
    words: dict[str, set[str]] = {}
    for rule in book.rules.values():
        for effect in rule.effects:
            if effect.kind == "conclude":
                words.setdefault(effect.target, set()).add(effect.word)
    for rule in book.rules.values():
        targets = [f"{e.target}={e.word}" for e in rule.effects if e.kind == "conclude"]
        if not targets:
            continue
        behind = {
            f"{test.key}={word}"
            for option in rule.when
            for test in option
            if isinstance(test, Is | Known)
            for word in words.get(test.key, ())
            if test.holds_word(word)
        }
        for target in targets:
            rests.setdefault(target, set()).update(behind)
            for one in behind:
                by.setdefault((target, one), rule.id)
    for circle in _circles(rests):
        rules = [by[pair] for pair in pairwise(circle)]
        first = max(rules, key=lambda name: book.rules[name].place)
        yield Problem(
            "rule-circular",
            f"{circle[0].replace('=', ': ')} rests on itself, by way of "
            f"{', '.join(dict.fromkeys(rules))}",
            places.at(book.section, first),
            "let each conclusion rest on what was found, not on what follows from it",
        )


def _circles(rests: Mapping[str, Iterable[str]]) -> Iterator[list[str]]:
    """Circles, one after another until none is left; each begins and ends with one name."""
    left = {name: set(others) for name, others in rests.items()}
    while True:
        try:
            TopologicalSorter(left).prepare()
        except CycleError as error:
            circle = list(reversed(error.args[1]))
            yield circle
            for name in circle:
                left.pop(name, None)
            left = {n: {o for o in others if o not in circle} for n, others in left.items()}
        else:
            return
