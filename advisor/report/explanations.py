"""Explanations on demand as data: why not, rather, what changes, what if, without practice.

Each is a plain record for JSON, named as in the result's schema; ``explanationlines`` says the
same to a person.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.knowledge.model import BRACES, Citation
from advisor.knowledge.words import NOT_LISTED, weight_word
from advisor.reasoning.bystanders import BYSTANDER
from advisor.reasoning.contrast.rather import PRIOR
from advisor.reasoning.ledger import probability_words
from advisor.report.cite import citation_data
from advisor.report.explain import ledger, title_of
from advisor.report.namings import (
    answer_words,
    condition_words,
    finding_words,
    found_words,
    value_words,
)
from advisor.report.reasons import Behind, behind

if TYPE_CHECKING:
    from collections.abc import Collection

    from advisor.consult import Consultation
    from advisor.knowledge.model import Base
    from advisor.reasoning.contrast import (
        Difference,
        Flip,
        Gist,
        Missed,
        Pair,
        Raise,
        Rather,
        Turn,
        Weighed,
        WhatChanges,
        WhyNot,
        WithoutPractice,
    )
    from advisor.reasoning.contrast.difference import Changed, Moved
    from advisor.reasoning.evidence import FigureValue
    from advisor.report.wanted import Wanted

__all__ = [
    "explanations",
    "rather_data",
    "what_changes_data",
    "what_if_data",
    "why_not_data",
    "without_practice_data",
]

_MOST_FLIPS = 40
_MOST_MISSED = 20
_MOST_RAISES = 12


def explanations(
    consultation: Consultation, wanted: Wanted, *, units: str = "metric"
) -> dict[str, Any]:
    """The explanations that are wanted, each under its own key; keys not wanted are absent.

    ``units`` is ``metric`` or ``us``. Raises ``AdvisorError`` for a cause or answer that does
    not exist.
    """
    data: dict[str, Any] = {}
    if wanted.why_not:
        data["why_not"] = [
            why_not_data(consultation, consultation.why_not(cause), units=units)
            for cause in wanted.why_not
        ]
    if wanted.rather:
        data["rather"] = [
            rather_data(consultation, consultation.rather(one, other), units=units)
            for one, other in wanted.rather
        ]
    if wanted.what_changes:
        data["what_changes"] = what_changes_data(
            consultation, consultation.what_changes(), units=units
        )
    if wanted.what_if:
        found = consultation.what_if(dict(wanted.what_if))
        data["what_if"] = what_if_data(consultation, found, units=units)
    if wanted.without_practice:
        data["without_practice"] = without_practice_data(
            consultation, consultation.without_practice()
        )
    return data


# Why not.


def why_not_data(
    consultation: Consultation, found: WhyNot, *, units: str = "metric"
) -> dict[str, Any]:
    """Why a cause does not stand first."""
    base = consultation.base
    return {
        **_standing(base, found.cause, found.probability),
        "place": found.place,
        "of": found.of,
        "first": _standing(base, found.first, found.first_probability),
        "behind_decibans": _rounded(found.behind),
        "ledger": ledger(consultation.engine, consultation.inference, found.cause),
        "missed": [_missed(consultation, m, units) for m in found.missed[:_MOST_MISSED]],
        "waiting": [_missed(consultation, m, units) for m in found.waiting[:_MOST_MISSED]],
        "could_raise": [_raise(consultation, r, units) for r in found.could_raise[:_MOST_RAISES]],
    }


def _missed(consultation: Consultation, missed: Missed, units: str) -> dict[str, Any]:
    line = consultation.engine.lines[missed.line]
    base = consultation.base
    return {
        "line": line.id,
        "title": line.title,
        "weight": _rounded(missed.weight),
        "word": weight_word(missed.weight),
        "tests": [
            {
                "test": condition_words(base, t.test, units),
                "key": t.test.key,
                "state": t.state,
                "found": found_words(consultation, t.fact, units),
            }
            for t in missed.tests
        ],
        "sources": [citation_data(base, c) for c in line.source],
    }


def _raise(consultation: Consultation, each: Raise, units: str) -> dict[str, Any]:
    return {
        **_asked(consultation, each, units),
        "probability": _share(each.probability),
        "words": each.words,
        "first": each.first,
    }


# Rather.


def rather_data(
    consultation: Consultation, found: Rather, *, units: str = "metric"
) -> dict[str, Any]:
    """Why one cause rather than another."""
    base = consultation.base
    return {
        "one": _standing(base, found.one, found.one_probability),
        "other": _standing(base, found.other, found.other_probability),
        "apart_decibans": _rounded(found.apart),
        "rows": [_weighed(consultation, row) for row in found.rows],
        "turns": [_turn(consultation, t, units) for t in found.turns[:_MOST_RAISES]],
    }


# Rows that need other words when they part two causes: where both are bystanders there is no row.
_OF_TWO = {
    PRIOR: Behind("how often it is met"),
    BYSTANDER: Behind(
        "only this one brings on any of what was reported", source=(Citation("judgement"),)
    ),
}


def _weighed(consultation: Consultation, row: Weighed) -> dict[str, Any]:
    base = consultation.base
    reason = _OF_TWO.get(row.line) or behind(consultation.engine, row.line)
    return {
        "line": row.line,
        "title": reason.title,
        "one": _rounded(row.one),
        "other": _rounded(row.other),
        "apart": _rounded(row.apart),
        "word": weight_word(row.apart),
        "sources": [citation_data(base, c) for c in reason.source],
    }


def _turn(consultation: Consultation, turn: Turn, units: str) -> dict[str, Any]:
    answer = consultation.answers.get(turn.finding) if turn.was else None
    return {
        **_asked(consultation, turn, units),
        "was": answer_words(consultation.base, turn.finding, answer, units) if answer else None,
        "one_probability": _share(turn.one),
        "other_probability": _share(turn.other),
    }


# What changes.


def what_changes_data(
    consultation: Consultation, found: WhatChanges, *, units: str = "metric"
) -> dict[str, Any]:
    """The answers that would change the advice, nearest first."""
    base = consultation.base
    return {
        "now": _advice(base, found.now),
        "flips": [_flip(consultation, f, units) for f in found.flips[:_MOST_FLIPS]],
        "flips_in_all": len(found.flips),
        "pairs": [_pair(base, p, units) for p in found.pairs],
        "tried": found.tried,
    }


def _flip(consultation: Consultation, flip: Flip, units: str) -> dict[str, Any]:
    base = consultation.base
    return {
        **_asked(consultation, flip, units),
        "was": answer_words(base, flip.finding, flip.was, units) if flip.was else None,
        "basis": flip.was.basis if flip.was else None,
        "changes": list(flip.changes),
        "advice": _advice(base, flip.after),
    }


def _pair(base: Base, pair: Pair, units: str) -> dict[str, Any]:
    return {
        "answers": [
            {
                "finding": finding,
                "label": finding_words(base, finding),
                "value": value,
                "answer": value_words(base, finding, value, units=units),
            }
            for finding, value in zip(pair.findings, pair.values, strict=True)
        ],
        "chance": _share(pair.chance),
        "changes": list(pair.changes),
        "advice": _advice(base, pair.after),
    }


# What if.


def what_if_data(
    consultation: Consultation, found: Difference, *, units: str = "metric"
) -> dict[str, Any]:
    """What other answers would change."""
    base = consultation.base
    advised = {*found.remedies_before, *found.remedies_after}
    named = {key for r in advised for key in BRACES.findall(base.remedies[r].do)}
    return {
        "answers": [
            {
                "finding": key,
                "label": finding_words(base, key),
                "before": answer_words(base, key, before, units) if before else None,
                "after": answer_words(base, key, after, units) if after else None,
            }
            for key, before, after in found.answers
        ],
        "set_aside": [{"finding": k, "label": finding_words(base, k)} for k in found.set_aside],
        "changes": list(found.changes),
        "nothing_changes": found.empty,
        "before": _advice(base, found.before),
        "after": _advice(base, found.after),
        "moved": [_moved(base, m) for m in found.moved],
        "remedies_before": [_remedy(base, r) for r in found.remedies_before],
        "remedies_after": [_remedy(base, r) for r in found.remedies_after],
        "figures": [_changed(base, c, named, units) for c in found.figures],
        "cautions_gained": [_caution(base, c) for c in found.cautions_gained],
        "cautions_lost": [_caution(base, c) for c in found.cautions_lost],
    }


def _caution(base: Base, key: str) -> dict[str, Any]:
    return {"id": key, "level": base.cautions[key].level, "text": base.cautions[key].text}


def _changed(
    base: Base, changed: Changed, named: Collection[str], units: str
) -> dict[str, Any]:
    return {
        "id": changed.figure,
        "dose": changed.figure in named,
        "label": base.figures[changed.figure].label,
        "unit": base.figures[changed.figure].unit,
        "before": _figure(base, changed.before, units),
        "after": _figure(base, changed.after, units),
    }


def _figure(base: Base, value: FigureValue | None, units: str) -> dict[str, Any] | None:
    if value is None:
        return None
    low, high = (None, None) if isinstance(value.value, str) else (value.low, value.high)
    text = value_words(base, value.id, value.value, low=low, high=high, units=units)
    return {"value": value.value, "low": low, "high": high, "text": text}


# Without practice.


def without_practice_data(consultation: Consultation, found: WithoutPractice) -> dict[str, Any]:
    """The advice without what rests on practice or judgement alone."""
    base, lines = consultation.base, consultation.engine.lines
    return {
        "share": round(found.share, 3),
        "stands": not found.changes,
        "changes": list(found.changes),
        "before": _advice(base, found.before),
        "after": _advice(base, found.after),
        "fired": found.fired,
        "fired_left_out": found.fired_left_out,
        "fired_cut": found.fired_cut,
        "left_out": [
            {
                "line": each.line,
                "title": lines[each.line].title,
                "cause": each.cause,
                "weight": _rounded(each.weight),
                "word": weight_word(each.weight),
            }
            for each in found.left_out
        ],
        "moved": [_moved(base, m) for m in found.moved],
        "remedies": [{**_remedy(base, r), "published": p} for r, p in found.remedies],
        "cautions_unsourced": list(found.cautions_unsourced),
    }


# Shared.


def _standing(base: Base, cause: str, probability: float) -> dict[str, Any]:
    return {
        "cause": cause,
        "title": title_of(base, cause),
        "probability": _share(probability),
        "words": probability_words(probability),
    }


def _advice(base: Base, gist: Gist) -> dict[str, Any]:
    title = title_of(base, gist.cause) if gist.cause else title_of(base, NOT_LISTED)
    return {
        "verdict": gist.kind,
        "text": gist.text,
        "cause": gist.cause or None,
        "title": title,
        "stage": gist.stage or None,
        "probability": _share(gist.probability),
        "words": gist.words,
        "remedy": gist.remedy or None,
        "remedy_title": base.remedies[gist.remedy].title if gist.remedy else None,
    }


def _asked(
    consultation: Consultation, each: Flip | Turn | Raise, units: str
) -> dict[str, Any]:
    """An answer that could be given: what it is, how likely, and what it takes to get it."""
    base = consultation.base
    low, high = each.band or (None, None)
    return {
        "finding": each.finding,
        "label": finding_words(base, each.finding),
        "check": each.check or None,
        "check_title": base.checks[each.check].title if each.check else None,
        "value": each.value,
        "answer": value_words(base, each.finding, each.value, band=each.band, units=units),
        "low": low,
        "high": high,
        "chance": _share(each.chance),
        "minutes": each.minutes,
        "wait_minutes": each.wait,
    }


def _moved(base: Base, moved: Moved) -> dict[str, Any]:
    return {
        "cause": moved.cause,
        "title": title_of(base, moved.cause),
        "before": _share(moved.before),
        "after": _share(moved.after),
        "words": probability_words(moved.after),
    }


def _remedy(base: Base, key: str) -> dict[str, Any]:
    return {"id": key, "title": base.remedies[key].title, "for": base.remedies[key].of}


def _share(probability: float) -> float:
    return round(probability, 4)


def _rounded(weight: float) -> float:
    return round(weight, 2) + 0.0
