"""The lines that choose: rules as written, and the tables of the techniques made into rules.

They are run as a chain of their own. Nothing here takes part in a diagnosis.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.conditions import InRange, Is
from advisor.knowledge.model import Brought, Citation, Effect, Line
from advisor.knowledge.words import BROUGHT, DOES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from advisor.knowledge.conditions import Alternatives
    from advisor.knowledge.model import Base, Technique

__all__ = ["brings_of", "choosing_lines", "effort", "effort_text", "needed_hours"]

_NOTHING = "nothing"
_RUSHED = -5.0  # decibans: done faster than its ordinary pace
_TIGHT = -10.0  # more work than was wanted, though not by half
# Work may be over what was wanted by this much before the technique is refused.
_SLACK = 1.5
_PRACTICE = (Citation("practice"),)
_MADE_WITH_MILK = {"strip", "whey-dose"}
_MILK_FATS = ("plain-butter", "brown-butter", "ghee")

# Judgement: what trouble weighs, so that of two that serve alike the plainer comes first.
_PER_OPERATION = -2.0
_PER_DOUBLED_WORK = -1.0
_EASY_MINUTES = 20.0
_PER_DOUBLED_TIME = -0.5
_EASY_HOURS = 2.0


def choosing_lines(base: Base) -> tuple[Line, ...]:
    """Every line, in a fixed order: rules, then what techniques do, need, bring and take."""
    return tuple(_lines(base))


def _lines(base: Base) -> Iterator[Line]:
    for rule in base.choosing.values():
        yield Line(
            id=rule.id,
            title=rule.title,
            origin="choosing",
            when=rule.when,
            effects=rule.effects,
            group=rule.group,
            because=rule.because,
            source=rule.source,
            place=rule.place,
        )
    for goal, finding in base.brief_findings.items():
        if goal.startswith("goal_"):
            effects = tuple(_served(technique, goal) for technique in base.techniques.values())
            yield Line(
                id=f"does/{goal}",
                title=finding.label,
                origin="does",
                when=((Is(goal, ("yes",)),),),
                effects=effects,
                group="",
                because="",
                source=(),
                place=finding.place,
            )
    for technique in base.techniques.values():
        yield from _needs(base, technique)
        yield from _brings(technique)
        yield from _time(technique)


def _served(technique: Technique, goal: str) -> Effect:
    word = technique.does.get(goal, _NOTHING)
    weight = DOES[word]
    return Effect("prefer" if weight > 0 else "avoid", technique.id, weight, word)


def _needs(base: Base, technique: Technique) -> Iterator[Line]:
    for number, kit in enumerate(technique.needs, 1):
        labels = [base.brief_findings[k].label for k in kit]
        wanted = " or ".join(labels)
        yield _refusing(
            technique,
            f"needs/{technique.id}/{number}",
            f"needs {wanted}, and there is none",
            "needs",
            ((*(Is(k, ("no",)) for k in kit),),),
            f"Get {wanted}, or take a technique that does without.",
            technique.because,
            technique.source,
        )


def brings_of(technique: Technique) -> tuple[Brought, ...]:
    """What it brings: as written, and milk wherever milk, curd, whey or butter takes part.

    The second part stands here, so that no technique written elsewhere can leave milk out.
    """
    found = list(technique.brings)
    if _MADE_WITH_MILK & set(technique.operations) or any(technique.amounts.values()):
        found.append(Brought("milk"))
    elif "fat-wash" in technique.operations:
        found.append(Brought("milk", ((Is("wanted_fat", _MILK_FATS),),)))
    return tuple(dict.fromkeys(found))


def _brings(technique: Technique) -> Iterator[Line]:
    for number, brought in enumerate(brings_of(technique), 1):
        for limit in BROUGHT[brought.what]:
            options = brought.when or ((),)
            yield _refusing(
                technique,
                f"brings/{technique.id}/{number}/{limit}",
                f"brings {_WHAT[brought.what]} into the drink",
                "brings",
                tuple((Is(limit, ("yes",)), *option) for option in options),
                _INSTEAD[brought.what],
                _STAYS[brought.what],
                _LAW if brought.what != "meat" else _PRACTICE,
            )


def needed_hours(technique: Technique) -> tuple[float, float]:
    """The least hours from start to glass, and the ordinary ones."""
    return technique.shortest / 60.0, technique.hours


def _time(technique: Technique) -> Iterator[Line]:
    least, usual = needed_hours(technique)
    if least > 0.0:
        yield _refusing(
            technique,
            f"time/{technique.id}",
            f"takes {_hours(least)} at the very least",
            "time",
            ((InRange("time_limit", high=least),),),
            f"Give it {_hours(least)}, better {_hours(usual)}, or take something quicker.",
            technique.because,
            _PRACTICE,
        )
    if usual > least:
        yield Line(
            id=f"rushed/{technique.id}",
            title=f"takes {_hours(usual)} in peace: there is no time to spare",
            origin="time",
            when=((InRange("time_limit", low=least, high=usual, low_in=True),),),
            effects=(Effect("avoid", technique.id, _RUSHED),),
            group="",
            because="What is rushed is strained too soon and clouds later.",
            source=_PRACTICE,
            place=technique.place,
        )
    work = technique.minutes / 60.0
    if work > 0.0:
        yield _refusing(
            technique,
            f"work/{technique.id}",
            f"is about {_hours(work)} of work",
            "time",
            ((InRange("hands_on_limit", high=work / _SLACK),),),
            f"Give it {_hours(work)} of work, or take something simpler.",
            technique.because,
            _PRACTICE,
        )
        yield Line(
            id=f"tight/{technique.id}",
            title=f"is about {_hours(work)} of work, more than you want to give it",
            origin="time",
            when=((InRange("hands_on_limit", low=work / _SLACK, high=work, low_in=True),),),
            effects=(Effect("avoid", technique.id, _TIGHT),),
            group="",
            because="The times are those of ordinary hands; yours may be quicker.",
            source=_PRACTICE,
            place=technique.place,
        )


def _refusing(
    technique: Technique,
    id: str,
    title: str,
    origin: str,
    when: Alternatives,
    way_out: str,
    because: str,
    source: tuple[Citation, ...],
) -> Line:
    return Line(
        id=id,
        title=title,
        origin=origin,
        when=when,
        effects=(Effect("forbid", technique.id, word=way_out),),
        group="",
        because=because,
        source=source,
        place=technique.place,
    )


def effort(technique: Technique) -> float:
    """What its trouble weighs against it, in decibans (0 or less)."""
    from math import log2

    return (
        _PER_OPERATION * (len(technique.operations) - 1)
        + _PER_DOUBLED_WORK * log2(max(1.0, technique.minutes / _EASY_MINUTES))
        + _PER_DOUBLED_TIME * log2(max(1.0, technique.hours / _EASY_HOURS))
    )


def effort_text(technique: Technique) -> str:
    """The same in words."""
    steps = len(technique.operations)
    count = "" if steps == 1 else f"{steps} steps one after the other, "
    return f"{count}{_hours(technique.minutes / 60)} of work, ready after {_hours(technique.hours)}"


def _hours(hours: float) -> str:
    if hours < 1.0:
        return f"{hours * 60:.0f} min"
    if hours < 10.0:
        return f"{hours:.1f}".removesuffix(".0") + " h"
    return f"{hours:.0f} h"


_WHAT = {
    "milk": "milk",
    "egg": "egg",
    "nuts": "nuts",
    "peanut": "peanut",
    "sesame": "sesame",
    "soy": "soy",
    "fish": "fish",
    "meat": "something from meat",
}
_INSTEAD = {
    "milk": "Take a technique without milk; no filter, wash or strength takes milk out again.",
    "egg": "Take plant protein for tannin, chickpea liquid for foam.",
    "nuts": "Take coconut oil, cocoa butter or olive oil.",
    "peanut": "Take coconut oil, cocoa butter or olive oil.",
    "sesame": "Take coconut oil, cocoa butter or olive oil.",
    "soy": "Take pea or potato protein for tannin, agar for clarity.",
    "fish": "Take agar for clarity, pea or potato protein for tannin.",
    "meat": "Take agar for clarity, pea or potato protein for tannin, coconut oil for a fat.",
}
_STAYS = {
    "milk": (
        "Only casein is strained out. Whey protein, milk sugar and traces from any butter or ghee "
        "stay, however clear the drink is; it contains milk."
    ),
    "egg": "What fines or foams leaves some of itself behind; it has to be declared.",
    "nuts": "Protein of the nut goes into the spirit and no strainer takes it out.",
    "peanut": "Protein of the peanut goes into the spirit and no strainer takes it out.",
    "sesame": "Pressed and toasted oil keeps protein of the seed.",
    "soy": "Soluble soy protein stays in the drink.",
    "fish": "Isinglass and fish gelatine are fish; outside beer and wine no exception covers them.",
    "meat": "Gelatine and meat fats come from animals, whatever is strained off.",
}
_LAW = (Citation("eu-1169-2011", "Annex II; Art. 9(1)(c)"), Citation("fdca-201qq"))
