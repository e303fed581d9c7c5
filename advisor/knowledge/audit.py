"""Checks over a whole base that was built: what can never serve, and what is missing."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from advisor.errors import Place, Problem
from advisor.knowledge.conditions import InRange, Is, Known, Missing

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Base, Citation, Rule

__all__ = ["audit", "example_holds"]

_PROMISES = (
    "is safe",
    "are safe",
    "safe to drink",
    "sterile",
    "shelf stable",
    "shelf-stable",
    "allergen free",
    "allergen-free",
    "kills bacteria",
    "preserved by alcohol",
)


def audit(base: Base) -> list[Problem]:
    """Every problem and note, in no particular order."""
    return [
        *_examples(base),
        *_causes(base),
        *_findings(base),
        *_figures(base),
        *_conclusions(base),
        *_sources(base),
        *_same_rules(base),
        *_promises(base),
    ]


def example_holds(when: Alternatives, given: Mapping[str, object]) -> bool:
    """Whether a rule's condition holds when exactly the findings of an example are known."""
    return any(all(_meets(test, given) for test in option) for option in when)


def _meets(test: Test, given: Mapping[str, object]) -> bool:
    value = given.get(test.key)
    if value is None or value == "missing":
        return isinstance(test, Missing)
    if value == "known":
        return isinstance(test, Known)
    if isinstance(value, int | float):
        return test.holds_number(float(value))
    return test.holds_word(str(value))


def _examples(base: Base) -> Iterable[Problem]:
    for rule in base.rules.values():
        fires = {e.fires for e in rule.examples if not e.known_gap}
        if fires != {True, False}:
            wanted = "fires" if True not in fires else "does not fire"
            yield Problem("rule-untested", f"{rule.id} has no example that {wanted}", rule.place)
        for number, example in enumerate(rule.examples, 1):
            given = {k: _in_unit(base, k, v) for k, v in example.given.items()}
            held = example_holds(rule.when, given)
            if held != example.fires and not example.known_gap:
                yield Problem(
                    "example-fails",
                    f"{rule.id}: example {number} "
                    + ("should fire and does not" if example.fires else "fires and should not"),
                    rule.place,
                    "correct the rule or the example",
                )
            if held == example.fires and example.known_gap:
                yield Problem(
                    "example-gap-closed",
                    f"{rule.id}: example {number} is marked as a known gap and holds now",
                    rule.place,
                    "take known_gap away",
                )


def _in_unit(base: Base, key: str, value: object) -> object:
    about = base.findings.get(key) or base.figures.get(key)
    if about is None or not about.unit or not isinstance(value, str):
        return value
    if value in ("known", "missing", "unknown", "not-now"):
        return value
    from advisor.quantities import parse

    return value if about.unit == "word" else parse(value, about.unit).value


def _causes(base: Base) -> Iterable[Problem]:
    cured = {
        of: {c for r in base.remedies.values() if r.of == of for c in r.cures}
        for of in ("this-batch", "next-batch")
    }
    shown = Counter(
        effect.target
        for line in base.lines
        if line.origin == "shows" and _symptom_line(base, line.id)
        for effect in line.effects
        if effect.kind == "suspect"
    )
    for cause in base.causes.values():
        if not (cause.id in cured["this-batch"] or cause.id in cured["next-batch"]):
            yield Problem(
                "cause-no-remedy",
                f"no remedy speaks of {cause.id}",
                cause.place,
                "add one, or name it in the cures of one that is there",
            )
        elif cause.id not in cured["next-batch"]:
            yield Problem(
                "cause-no-next",
                f"no remedy for the next batch speaks of {cause.id}",
                cause.place,
                severity="note",
            )
        if not shown[cause.id]:
            yield Problem(
                "cause-unreachable",
                f"{cause.id} shows no symptom, so nobody will ever be led to it",
                cause.place,
                "name a symptom under shows",
            )


def _symptom_line(base: Base, id: str) -> bool:
    finding, _, word = id.removeprefix("shows/").partition("=")
    return base.findings[finding].symptom and word == "yes"


def _used_keys(base: Base) -> set[str]:
    used = {t.key for line in base.lines for option in line.when for t in option}
    for finding in base.findings.values():
        used.update(t.key for option in finding.ask_when for t in option)
        if finding.measures:
            used.add(finding.id)
    for figure in base.figures.values():
        used.update(figure.inputs.values())
    for remedy in base.remedies.values():
        used.update(t.key for option in remedy.when for t in option)
    return used


def _findings(base: Base) -> Iterable[Problem]:
    used = _used_keys(base)
    for finding in base.findings.values():
        if finding.asked and finding.id not in used:
            yield Problem(
                "finding-unused",
                f"{finding.id} is asked, and nothing depends on the answer",
                finding.place,
                "use it or take it out",
            )
    concluded = {e.target for line in base.lines for e in line.effects if e.kind == "conclude"}
    for finding in base.findings.values():
        if not finding.asked and finding.id not in concluded and finding.id != "verdict":
            yield Problem(
                "finding-unasked",
                f"{finding.id} is never asked and no rule concludes it",
                finding.place,
            )
    for rule in base.rules.values():
        for option in rule.when:
            for test in option:
                problem = _out_of_reach(base, rule, test)
                if problem:
                    yield problem


def _out_of_reach(base: Base, rule: Rule, test: Test) -> Problem | None:
    finding = base.findings.get(test.key)
    if not isinstance(test, InRange) or finding is None:
        return None
    too_low = finding.low is not None and not _reaches(test.high, finding.low, test.high_in, 1)
    too_high = finding.high is not None and not _reaches(test.low, finding.high, test.low_in, -1)
    if too_low or too_high:
        return Problem("rule-unreachable", f"{rule.id}: no answer can make {test} true", rule.place)
    return None


def _reaches(bound: float | None, end: float, included: bool, side: int) -> bool:
    """Whether a bound leaves at least the end of a finding's range."""
    return bound is None or side * bound > side * end or (included and bound == end)


def _figures(base: Base) -> Iterable[Problem]:
    feeds = {
        f.id: [k for k in f.inputs.values() if k in base.figures] for f in base.figures.values()
    }
    for figure in base.figures.values():
        if figure.measures in base.figures:
            feeds[figure.measures].append(figure.id)
    for figure in base.figures.values():
        seen: set[str] = set()
        todo = list(feeds[figure.id])
        while todo:
            key = todo.pop()
            if key not in seen:
                seen.add(key)
                todo.extend(feeds[key])
        if figure.id in seen:
            yield Problem("figure-circular", f"{figure.id} is worked out from itself", figure.place)


def _conclusions(base: Base) -> Iterable[Problem]:
    tested: dict[str, set[str]] = {}
    for line in base.lines:
        for option in line.when:
            for test in option:
                if isinstance(test, Is):
                    tested.setdefault(test.key, set()).update(test.words)
                else:
                    tested.setdefault(test.key, set()).add("*")
    for rule in base.rules.values():
        for effect in rule.effects:
            if effect.kind != "conclude" or effect.target == "verdict":
                continue
            words = tested.get(effect.target, set())
            if effect.word not in words and "*" not in words:
                yield Problem(
                    "conclusion-dead-end",
                    f"{rule.id} concludes {effect.target}: {effect.word}, which nothing uses",
                    rule.place,
                )


def _sources(base: Base) -> Iterable[Problem]:
    cited: set[str] = set()

    def note(citations: Iterable[Citation]) -> None:
        cited.update(c.ref for c in citations)

    for group in (base.checks, base.causes, base.rules, base.remedies, base.cautions):
        for record in group.values():
            note(record.source)
            note(getattr(record, "against", ()))
    for source in base.sources.values():
        if source.id not in cited:
            yield Problem(
                "source-unused", f"nothing cites {source.id}", source.place, severity="note"
            )


def _same_rules(base: Base) -> Iterable[Problem]:
    seen: dict[object, str] = {}
    for rule in base.rules.values():
        key = (rule.when, rule.effects)
        if key in seen:
            yield Problem("rule-duplicate", f"{rule.id} says the same as {seen[key]}", rule.place)
        seen[key] = rule.id
        suspected = {e.target for e in rule.effects if e.kind == "suspect"}
        both = suspected & {e.target for e in rule.effects if e.kind == "doubt"}
        for cause in sorted(both):
            yield Problem(
                "rule-contradicts-itself", f"{rule.id} both suspects and doubts {cause}", rule.place
            )


def _promises(base: Base) -> Iterable[Problem]:
    texts: list[tuple[str, Place]] = []
    texts += [(c.text, c.place) for c in base.cautions.values()]
    texts += [
        (" ".join((r.do, r.otherwise, r.expect, r.trial)), r.place) for r in base.remedies.values()
    ]
    texts += [(c.title, c.place) for c in base.causes.values()]
    for text, place in texts:
        for promise in _PROMISES:
            if promise in text.lower():
                yield Problem(
                    "text-promises",
                    f"the text says {promise!r}: never promise that",
                    place,
                    "say what to do, and let local code decide",
                )
