"""Causes: whether anything leads to them, tells them apart and cures them."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from advisor.errors import Problem
from advisor.knowledge.audit.asking import Asking
from advisor.knowledge.audit.logic import possible
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN, Is
from advisor.knowledge.words import FREQUENCIES, NOT_LISTED, OPERATIONS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from advisor.knowledge.audit.book import Book
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.audit.reach import Reach
    from advisor.knowledge.model import Base, Cause, Line, LookAlike, Remedy

__all__ = ["TELLS_APART", "cause_problems"]

# Decibans by which a check must pull two look-alikes apart: a moderate weight.
TELLS_APART = 5.0


def cause_problems(
    base: Base, book: Book, places: Places, reach: Reach
) -> Iterable[Problem]:
    """Causes that cannot be found, cannot come first, cannot be told apart or cannot be cured."""
    weights = _weights(base, reach)
    yield from _cures(base, Asking(book), places, reach)
    led_to = _led_to(base)
    for cause in base.causes.values():
        if cause.id not in led_to:
            yield Problem(
                "cause-unreachable",
                f"{cause.id} shows no symptom, so nobody will ever be led to it",
                places.key("causes", cause.id, "shows"),
                "name a symptom under shows",
            )
    yield from _never_first(base, places, weights)
    yield from _look_alikes(base, places, weights)


def _weights(base: Base, reach: Reach) -> dict[str, dict[str, float]]:
    """Line -> cause -> weight, for the lines that can fire."""
    return {
        line.id: {e.target: e.weight for e in line.effects if e.weight}
        for line in base.lines
        if line.origin != "rule" or line.id in reach.rules
    }


def _cures(base: Base, asking: Asking, places: Places, reach: Reach) -> Iterator[Problem]:
    named: dict[str, list[Remedy]] = defaultdict(list)
    for remedy in base.remedies.values():
        for cause_id in remedy.cures:
            named[cause_id].append(remedy)
    for cause in base.causes.values():
        fit = [r for r in named[cause.id] if _cures_it(base, asking, reach, r, cause)]
        if not fit:
            lost = sorted(r.id for r in named[cause.id])
            ours = [name for name in lost if places.of_house(name)]
            where = places.at("causes", cause.id)
            if ours and not places.of_house(cause.id):
                where = places.key("remedies", ours[0], "cures", cause.id)
            never = all(r.cures[cause.id] <= FREQUENCIES["never"] for r in named[cause.id])
            why = "never cure it" if never else "cannot be offered where it is the cause"
            yield Problem(
                "cause-no-remedy",
                f"no remedy speaks of {cause.id}"
                if not lost
                else f"no remedy helps {cause.id}: of those that name it ({', '.join(lost)}) all "
                f"{why}",
                where,
                "add one, or name it in the cures of one that is there"
                if not lost
                else "add one, or correct what cures it and when it is offered",
            )
        elif not any(r.of == "next-batch" for r in fit):
            yield Problem(
                "cause-no-next",
                f"no remedy for the next batch speaks of {cause.id}",
                places.at("causes", cause.id),
                "say what to do differently next time",
                severity="note",
            )


def _cures_it(
    base: Base, asking: Asking, reach: Reach, remedy: Remedy, cause: Cause
) -> bool:
    """Whether a remedy may cure a cause, and can be offered where the cause can be."""
    if remedy.cures[cause.id] <= FREQUENCIES["never"]:
        return False
    if not remedy.when:
        return True
    made = base.findings.get("operation")
    if made is None:
        return reach.holds(remedy.when)
    # A cause belongs to its operations, and to whatever is none of the three by itself.
    belongs = tuple(w for w in made.words if w in cause.operations or w not in OPERATIONS)
    of_cause = Is("operation", (*belongs, UNKNOWN, NOT_NOW))
    return any(
        reach.blocking(option) is None
        and possible([*option, of_cause])
        and asking.clash([*option, of_cause]) is None
        for option in remedy.when
    )


def _led_to(base: Base) -> set[str]:
    """Causes that some symptom speaks for."""
    return {
        effect.target
        for line in base.lines
        if line.origin == "shows" and _of_symptom(base, line)
        for effect in line.effects
        if effect.weight > 0
    }


def _of_symptom(base: Base, line: Line) -> bool:
    finding, _, word = line.id.removeprefix("shows/").partition("=")
    return base.findings[finding].symptom and word == "yes"


def _never_first(
    base: Base, places: Places, weights: Mapping[str, Mapping[str, float]]
) -> Iterator[Problem]:
    """Causes that stand behind another whatever is answered.

    Another cause keeps a cause down for certain when it starts no lower, every line that
    speaks for the cause speaks for it at least as loudly, and every line that speaks against
    it speaks against the cause at least as loudly.
    """
    speaks_for: dict[str, list[str]] = defaultdict(list)
    against: dict[str, list[str]] = defaultdict(list)
    for line, effects in weights.items():
        for target, weight in effects.items():
            (speaks_for if weight > 0 else against)[target].append(line)
    for cause in base.causes.values():
        lines = speaks_for.get(cause.id, [])
        if not lines:
            continue
        rarest = min((weights[line] for line in lines), key=len)
        for other in rarest:
            if other in (cause.id, NOT_LISTED) or base.priors[other] < base.priors[cause.id]:
                continue
            if all(
                weights[line].get(other, 0.0) >= weights[line][cause.id] for line in lines
            ) and all(
                weights[line].get(cause.id, 0.0) <= weights[line][other]
                for line in against.get(other, ())
            ):
                if _twins(base, weights, cause.id, other) and cause.id < other:
                    continue  # told once
                yield Problem(
                    "cause-never-first",
                    f"{cause.id} can never stand above {other}: whatever speaks for it speaks "
                    f"for {other} at least as much",
                    places.key("causes", cause.id, "shows"),
                    "add what this cause shows and the other does not, or a check that tells them",
                )
                break


def _twins(
    base: Base, weights: Mapping[str, Mapping[str, float]], one: str, two: str
) -> bool:
    return base.priors[one] == base.priors[two] and all(
        effects.get(one, 0.0) == effects.get(two, 0.0) for effects in weights.values()
    )


def _look_alikes(
    base: Base, places: Places, weights: Mapping[str, Mapping[str, float]]
) -> Iterator[Problem]:
    speaking: dict[str, set[str]] = defaultdict(set)
    for name, effects in weights.items():
        for target in effects:
            speaking[target].add(name)
    of_key: dict[str, list[str]] = defaultdict(list)
    for line in base.lines:
        keys = {t.key for option in line.when for t in option}
        if len(keys) == 1 and line.id in weights:
            of_key[next(iter(keys))].append(line.id)
    for cause in base.causes.values():
        for index, alike in enumerate(cause.looks_like):
            yield from _look_alike(
                base, places, weights, of_key, speaking, cause, index, alike
            )


def _look_alike(
    base: Base,
    places: Places,
    weights: Mapping[str, Mapping[str, float]],
    of_key: Mapping[str, list[str]],
    speaking: Mapping[str, set[str]],
    cause: Cause,
    index: int,
    alike: LookAlike,
) -> Iterator[Problem]:
    where = places.at("causes", cause.id, "looks_like", index)
    if alike.cause == cause.id:
        yield Problem("look-alike-itself", f"{cause.id} looks like itself", where, "take it out")
        return
    if alike.check:
        check = base.checks[alike.check]
        key = base.findings[check.finding].measures or check.finding
        lines = of_key.get(key, [])
        if _apart(weights, lines, cause.id, alike.cause) < TELLS_APART:
            yield Problem(
                "look-alike-check",
                f"{alike.check} is to tell {cause.id} from {alike.cause}, and no outcome of it "
                f"pulls them apart by {TELLS_APART:g} decibans",
                places.at("causes", cause.id, "looks_like", index, "check"),
                "name another check, or let an outcome raise the one or lower the other",
            )
    elif _apart(weights, speaking[cause.id] | speaking[alike.cause], cause.id, alike.cause) < (
        TELLS_APART
    ):
        yield Problem(
            "look-alike-no-check",
            f"nothing tells {cause.id} from {alike.cause}: no line pulls them apart by "
            f"{TELLS_APART:g} decibans",
            where,
            "name a check whose outcomes differ for the two",
        )
    mirrored = any(a.cause == cause.id for a in base.causes[alike.cause].looks_like)
    if not mirrored:
        yield Problem(
            "look-alike-one-way",
            f"{cause.id} looks like {alike.cause}, which does not say so of {cause.id}",
            where,
            f"add it to the looks_like of {alike.cause}, seen from there",
            severity="note",
        )


def _apart(
    weights: Mapping[str, Mapping[str, float]], lines: Iterable[str], one: str, two: str
) -> float:
    return max(
        (abs(weights[line].get(one, 0.0) - weights[line].get(two, 0.0)) for line in lines),
        default=0.0,
    )
