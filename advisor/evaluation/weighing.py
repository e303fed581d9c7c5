"""The base held against simulated batches: how often an answer comes, and what it weighs here.

A row of a cause's table promises how often an answer comes when that cause is there. The model
of a batch knows nothing of the tables, so it can be asked the same: make many batches with one
fault, and count. Where the two are far apart one of them is wrong, or a row is missing; which,
a person has to judge.

Outcomes of checks and rules weigh an answer too. Those that need nothing else are counted with
the row, as the ledger would: what a weight makes of the usual share of an answer is a share
again. Those with further conditions are named and not counted.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.knowledge.conditions import Is
from advisor.knowledge.lines import likelihoods
from advisor.knowledge.words import FREQUENCIES, decibans
from advisor.reasoning.ledger import Entry, strongest_of_groups

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base

__all__ = ["Picture", "Row", "Telling", "parting", "picture_of", "weigh"]

# Answers counted in fewer batches than this, or in less than this share of them, say too little.
_LEAST, _LEAST_SHARE = 12, 0.15
# No share is taken to be nought or one: the model does not know everything either.
_HALF = 0.5
_FLOOR = 0.004
# Rows are suggested where they bring the table at least this much nearer, in decibans a batch.
_WORTH = 0.5


@dataclass(frozen=True, slots=True)
class Picture:
    """What simulated batches with one fault showed: by finding, how often each answer came."""

    cause: str
    batches: int
    answers: Mapping[str, Counter[str]]


@dataclass(frozen=True, slots=True)
class Row:
    """One finding under one cause, as the base has it and as the model shows it.

    ``written`` is the row, empty where the table is silent; ``base`` the share of each answer
    that follows from the row and from every line that weighs it alone; ``apart`` the
    Kullback-Leibler divergence of that from the model, in decibans a batch. ``better`` is the
    row whose words come nearest to the model, and ``then`` what would be left apart.
    ``counted`` are the lines besides the row, ``not_counted`` those that need more than this.
    """

    cause: str
    finding: str
    known: int  # batches in which the answer was known
    written: str | Mapping[str, str]
    base: Mapping[str, float]
    model: Mapping[str, float]
    apart: float
    better: str | Mapping[str, str]
    then: float
    counted: tuple[str, ...] = ()
    not_counted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Telling:
    """An answer that parts two causes: its share under each, and the ratio in decibans."""

    finding: str
    answer: str
    here: float
    there: float
    model: float
    base: float


def picture_of(cause: str, *, batches: int = 120, seed: int = 1) -> Picture:
    """Simulate batches in which only ``cause`` went wrong, and count what they showed.

    Seeds with which no such batch can be drawn are passed over. ``AdvisorError`` when none can,
    or when the model does not know the cause.
    """
    from advisor.simulator import simulate

    counted: dict[str, Counter[str]] = {}
    made = 0
    for number in range(seed, seed + batches):
        try:
            batch = simulate(number, faults=[cause])
        except AdvisorError as error:
            if error.code != "simulate-no-batch":
                raise
            continue
        made += 1
        shown = {**batch.told, **batch.answers, **dict.fromkeys(batch.symptoms, "yes")}
        for finding, answer in shown.items():
            counted.setdefault(finding, Counter())[answer] += 1
    if not made:
        raise AdvisorError(
            "simulate-no-batch",
            f"no batch could be drawn in which {cause} shows anything",
            hint="give more batches, or another seed",
        )
    return Picture(cause, made, counted)


def weigh(
    base: Base, written: Mapping[str, str | Mapping[str, str]], picture: Picture
) -> tuple[Row, ...]:
    """Every finding in words that the model often knows of, the farthest apart first.

    ``written`` is the table of the cause as it stands in the base (its ``shows``).
    """
    rows = []
    beside = _Beside(base, picture.cause)
    for finding in base.findings.values():
        if not finding.choices or finding.id == "operation":
            continue
        rate = base.base_rates[finding.id]
        model = _shares(picture, finding.id, rate)
        if model is None:
            continue
        row = written.get(finding.id, "")
        says = beside.shares(finding.id, row)
        better: str | Mapping[str, str] = _nearest_row(
            model, rate, yes_no=finding.kind == "yes-no"
        )
        apart = divergence(model, says)
        then = divergence(model, beside.shares(finding.id, better)) if better else apart
        if apart - then < _WORTH:
            better, then = row, apart
        known = sum(picture.answers[finding.id][answer] for answer in rate)
        rows.append(
            Row(
                picture.cause, finding.id, known, row, says, model, apart, better, then,
                beside.counted(finding.id), beside.not_counted(finding.id),
            )
        )
    return tuple(sorted(rows, key=lambda r: (-r.apart, r.finding)))


class _Beside:
    """What weighs a cause besides its table, by the finding that it needs."""

    def __init__(self, base: Base, cause: str) -> None:
        self._base = base
        self._cause = cause
        self._groups = {c.finding: c.group for c in base.checks.values() if c.group}
        self._lone: dict[str, list[tuple[tuple[str, ...], Entry]]] = defaultdict(list)
        self._more: dict[str, dict[str, None]] = defaultdict(dict)
        for line in base.lines:
            if line.origin not in ("outcome", "rule"):
                continue
            weight = math.fsum(e.weight for e in line.effects if e.target == cause)
            if weight == 0.0:
                continue
            entry = Entry(cause, line.id, line.group, weight, weight)
            for alternative in line.when:
                for test in alternative:
                    if len(alternative) == 1 and isinstance(test, Is):
                        self._lone[test.key].append((test.words, entry))
                    else:
                        self._more[test.key][line.id] = None

    def shares(self, finding: str, row: str | Mapping[str, str]) -> dict[str, float]:
        """The share of each answer under the cause that the base amounts to, with this row."""
        rate = self._base.base_rates[finding]
        table = likelihoods(row, rate) if row else rate
        group = self._groups.get(finding, f"finding/{finding}")
        odds = {}
        for answer, usual in rate.items():
            said = decibans(table[answer] / usual)
            entries = [Entry(self._cause, "row", group, said, said)]
            entries += [entry for words, entry in self._lone[finding] if answer in words]
            counted = strongest_of_groups(entries)
            odds[answer] = usual * 10 ** (
                math.fsum(e.weight for e in counted if e.counted) / 10
            )
        whole = math.fsum(odds.values())
        return {answer: share / whole for answer, share in odds.items()}

    def counted(self, finding: str) -> tuple[str, ...]:
        return tuple(dict.fromkeys(entry.line for _, entry in self._lone[finding]))

    def not_counted(self, finding: str) -> tuple[str, ...]:
        return tuple(self._more[finding])


def parting(
    base: Base,
    tables: Mapping[str, Mapping[str, str | Mapping[str, str]]],
    here: Picture,
    there: Picture,
) -> tuple[Telling, ...]:
    """Answers that speak for one cause against the other, in the model and in the base.

    Those that tell most in the batches of the first cause come first.
    """
    found = []
    beside = [(_Beside(base, p.cause), tables[p.cause]) for p in (here, there)]
    for finding in base.findings.values():
        if not finding.choices:
            continue
        rate = base.base_rates[finding.id]
        one, other = _shares(here, finding.id, rate), _shares(there, finding.id, rate)
        if one is None or other is None:
            continue
        said = [lines.shares(finding.id, table.get(finding.id, "")) for lines, table in beside]
        for answer in rate:
            model = _decibans(one[answer], other[answer])
            weighs = _decibans(said[0][answer], said[1][answer])
            if one[answer] * abs(model) >= 1.0 or one[answer] * abs(weighs) >= 1.0:
                found.append(
                    Telling(finding.id, answer, one[answer], other[answer], model, weighs)
                )
    return tuple(sorted(found, key=lambda t: (-t.here * abs(t.model - t.base), t.finding)))


def divergence(model: Mapping[str, float], other: Mapping[str, float]) -> float:
    """Kullback-Leibler divergence of other shares from the model's, in decibans.

    Kullback S, Leibler RA 1951, Annals of Mathematical Statistics 22:79.
    """
    return math.fsum(p * _decibans(p, other.get(a, 0.0)) for a, p in model.items() if p > 0.0)


def _decibans(one: float, other: float) -> float:
    return 10.0 * math.log10(max(one, _FLOOR) / max(other, _FLOOR))


def _shares(
    picture: Picture, finding: str, rate: Mapping[str, float]
) -> dict[str, float] | None:
    """How often each answer came; ``None`` when it was too seldom known."""
    counted = picture.answers.get(finding)
    if counted is None:
        return None
    known = sum(counted[answer] for answer in rate)
    if known < max(_LEAST, _LEAST_SHARE * picture.batches):
        return None
    return {a: (counted[a] + _HALF * share) / (known + _HALF) for a, share in rate.items()}


def _nearest_row(
    model: Mapping[str, float], rate: Mapping[str, float], *, yes_no: bool
) -> str | dict[str, str]:
    """The row whose words come nearest; only what is unusual is named in it."""
    if yes_no:
        return _nearest_word(model["yes"])
    return {
        answer: _nearest_word(share)
        for answer, share in sorted(model.items(), key=lambda item: -item[1])
        if share >= 0.3
        or (share >= 0.07 and share > 1.8 * rate[answer])
        or (rate[answer] >= 0.12 and share < 0.45 * rate[answer])
    }


def _nearest_word(share: float) -> str:
    def apart(word: str) -> float:
        said = FREQUENCIES[word]
        return abs(math.log((said + _FLOOR) / (share + _FLOOR))) + abs(said - share)

    return min(FREQUENCIES, key=apart)
