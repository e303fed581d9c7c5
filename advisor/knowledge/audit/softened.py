"""What a house took away that protects a guest: stops, discards and warnings of allergens.

A house may reword, add to and tighten what is shipped. It may not lower or switch off a caution of
level stop, nor a rule that stops a drink, throws it away, raises such a caution or draws a
conclusion that such a rule rests on; nor take from a question its place among those that everybody
is asked, or from a technique what it brings into the drink.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import Problem
from advisor.knowledge.audit.book import books
from advisor.knowledge.audit.logic import implies
from advisor.knowledge.conditionread import ConditionReader, vocabulary_of
from advisor.knowledge.conditions import Is

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from advisor.knowledge.conditions import Alternatives
    from advisor.knowledge.gather import Gathered, Lost, Record
    from advisor.knowledge.model import Base

__all__ = ["softened_problems"]

_LEVELS = ("note", "warn", "stop")
_GRAVE = ("stop", "discard")


def softened_problems(base: Base, gathered: Gathered | None) -> Iterator[Problem]:
    """What a house lowered or switched off; needs the files, and nothing without a house."""
    if gathered is None or not gathered.lost:
        return
    stops = _stop_cautions(gathered)
    rested_on = _rested_on(base, gathered, stops)
    for lost in gathered.lost:
        left = None if lost.off else gathered.section(lost.section).get(lost.record.id)
        if lost.section == "cautions":
            yield from _caution(lost, left)
        elif lost.section in ("rules", "choosing"):
            yield from _rule(base, lost, left, stops, rested_on)
        elif lost.section == "checks":
            yield from _raised(lost, left, stops, "caution")
        elif lost.section == "findings":
            yield from _finding(lost, left)
        elif lost.section == "techniques":
            yield from _technique(lost, left)


def _stop_cautions(gathered: Gathered) -> set[str]:
    """The cautions that the shipped base says at level stop."""
    shipped = {r.id: r for r in gathered.section("cautions").values()}
    shipped.update((x.record.id, x.record) for x in gathered.lost if x.section == "cautions")
    return {
        name
        for name, record in shipped.items()
        if record.data["level"] == "stop" and (name not in gathered.house or _was(gathered, name))
    }


def _was(gathered: Gathered, name: str) -> bool:
    return any(lost.record.id == name for lost in gathered.lost)


def _rested_on(base: Base, gathered: Gathered, stops: set[str]) -> set[tuple[str, str]]:
    """The conclusions, by finding and word, that rules which protect somebody test for."""
    whens = [
        rule.when
        for rule in base.rules.values()
        if any(
            (e.target == "verdict" and e.word in _GRAVE)
            or (e.kind == "caution" and e.target in stops)
            for e in rule.effects
        )
    ]
    whens += [
        _compiled(base, lost.record, "rules")
        for lost in gathered.lost
        if lost.section == "rules" and _protects(lost.record.data["then"], stops)
    ]
    return {
        (test.key, word)
        for when in whens
        for option in when
        for test in option
        if isinstance(test, Is)
        for word in test.words
    }


def _protects(then: Mapping[str, Any], stops: set[str]) -> list[str]:
    """What a rule does for somebody's safety, in words."""
    verdict = then.get("verdict") or then.get("conclude", {}).get("verdict")
    found = [f"verdict: {verdict}"] if verdict in _GRAVE else []
    return found + [f"caution {name}" for name in then.get("caution", ()) if name in stops]


def _compiled(base: Base, record: Record, section: str) -> Alternatives:
    book = next((b for b in books(base) if b.section == section), None)
    if book is None:
        return ()
    reader = ConditionReader(record.document, vocabulary_of(book.findings, book.figures), [])
    return reader.read(record.data["when"], record.at("when"))


def _caution(lost: Lost, left: Record | None) -> Iterator[Problem]:
    before = lost.record.data["level"]
    if before != "stop":
        return
    if left is None:
        yield _softened(lost, "is switched off, and it is a caution of level stop")
    elif _LEVELS.index(left.data["level"]) < _LEVELS.index(before):
        yield _softened(
            lost,
            f"is lowered from stop to {left.data['level']}",
            left,
            "level",
            hint="reword it as you like and keep `level: stop`",
        )


def _rule(
    base: Base,
    lost: Lost,
    left: Record | None,
    stops: set[str],
    rested_on: set[tuple[str, str]],
) -> Iterator[Problem]:
    then = lost.record.data["then"]
    needed = _protects(then, stops)
    needed += [
        f"conclude {finding}: {word}"
        for finding, word in then.get("conclude", {}).items()
        if finding != "verdict" and (finding, word) in rested_on
    ]
    if not needed:
        return
    if left is None:
        yield _softened(lost, f"is switched off, and it protects a guest ({needed[0]})")
        return
    kept = _protects(left.data["then"], stops)
    kept += [f"conclude {f}: {w}" for f, w in left.data["then"].get("conclude", {}).items()]
    if "verdict: discard" in kept:
        kept.append("verdict: stop")  # the graver covers the other
    gone = [each for each in needed if each not in kept]
    if gone:
        yield _softened(lost, f"no longer says {' and '.join(gone)}", left, "then")
    elif not implies(
        _compiled(base, lost.record, lost.section), _compiled(base, left, lost.section)
    ):
        yield _softened(
            lost,
            "does not fire in all cases in which the shipped one does",
            left,
            "when",
            hint="keep the shipped condition or widen it; what you add can be a rule of your own",
        )


def _raised(lost: Lost, left: Record | None, stops: set[str], key: str) -> Iterator[Problem]:
    gone = [
        name
        for name in lost.record.data.get(key, ())
        if name in stops and (left is None or name not in left.data.get(key, ()))
    ]
    if gone:
        yield _softened(lost, f"no longer raises the caution {' and '.join(gone)}", left)


def _finding(lost: Lost, left: Record | None) -> Iterator[Problem]:
    if left is not None and "closing" in lost.record.data and "closing" not in left.data:
        yield _softened(
            lost,
            "is no longer asked of everybody, and a guest could be hurt by what it asks about",
            left,
            hint="keep its `closing:`",
        )


def _technique(lost: Lost, left: Record | None) -> Iterator[Problem]:
    if left is None:
        return  # nobody is offered it
    brings = {b if isinstance(b, str) else b["what"] for b in left.data["brings"]}
    always = {b for b in left.data["brings"] if isinstance(b, str)}
    for entry in lost.record.data["brings"]:
        what = entry if isinstance(entry, str) else entry["what"]
        if what not in (always if isinstance(entry, str) else brings):
            yield _softened(
                lost, f"no longer says that it brings {what} into the drink", left, "brings"
            )


def _softened(
    lost: Lost, what: str, left: Record | None = None, *path: str | int, hint: str = ""
) -> Problem:
    return Problem(
        "safety-softened",
        f"{lost.record.id} {what}",
        left.place(*(path if path and path[0] in left.data else ("id",)))
        if left is not None
        else lost.where,
        hint
        or (
            "take this out; a house may add to what protects a guest, not take from it"
            if left is None
            else "keep what the shipped one does, and add to it"
        ),
    )
