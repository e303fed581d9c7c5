"""What the answers prove: p-values, the size of each difference with its interval, and power.

Picking tests are exact binomials, rankings Friedman and Page, scores permutation tests. Every
sample is held against the control and the p-values are raised for having looked several times
(Holm). Nothing here concludes that there is no difference: what is reported instead is the
largest difference that still fits the answers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.science import ranking, tasting
from advisor.technique.trial.answers import checked, flight_of
from advisor.technique.trial.dials import DIALS
from advisor.technique.trial.model import CONTROL
from advisor.technique.trial.permute import holm, signs, within_flights
from advisor.technique.trial.pours import title_of
from advisor.technique.trial.size import found_by, power_of
from advisor.technique.trial.student import mean_interval

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.science.estimate import Estimate
    from advisor.science.tasting import DPrime, Similarity
    from advisor.technique.trial.answers import Answer
    from advisor.technique.trial.model import Flight, Trial

__all__ = ["Comparison", "Judgement", "Overall", "judge", "ranks_of", "table"]


@dataclass(frozen=True, slots=True)
class Comparison:
    """One treated sample against the control.

    ``right`` of ``flights`` were right, or went the foretold way, ``ties`` neither. ``p`` is
    exact unless ``exact`` is false, when ``error`` is its standard error; ``adjusted`` is raised
    by Holm. ``d`` is the size of the difference with its interval, ``difference`` that of the mean
    scores (the foretold way counts as positive), ``share`` the tasters who truly told them apart.
    ``power`` is the chance that a difference of the wanted size had been found, ``finds`` the
    smallest one found 8 times in 10. ``reversed``: most went the other way; ``fewer``: so few were
    right that guessing alone seldom (1 in 20) gives it.
    """

    sample: str
    title: str
    flights: int
    right: int
    ties: int
    p: float
    adjusted: float
    exact: bool
    error: float
    d: DPrime
    difference: Estimate | None
    share: Similarity | None
    power: float
    finds: float | None
    found: bool
    reversed: bool
    fewer: bool


@dataclass(frozen=True, slots=True)
class Overall:
    """A test over all samples: ``what`` it asks, its statistic (if it has one) and p-value.

    ``how`` the p-value was come by: exact, drawn, or an approximation by its name.
    """

    id: str
    what: str
    statistic: float | None
    p: float
    exact: bool
    error: float
    source: str
    how: str = "exact"


@dataclass(frozen=True, slots=True)
class Judgement:
    """All that the answers prove. ``answered`` of ``flights`` came back; ``tasters`` answered.

    ``means`` are the mean score or mean rank of every sample in its order, empty for a picking
    test.
    """

    trial: Trial
    comparisons: tuple[Comparison, ...]
    overall: tuple[Overall, ...]
    means: tuple[tuple[str, float], ...]
    answered: int
    flights: int
    tasters: int


def judge(trial: Trial, answers: Iterable[Answer]) -> Judgement:
    """Judge the answers to a trial.

    They may be incomplete: missing flights are counted and left out. Raises ``AdvisorError``
    (``trial-no-answers``) when there are none, ``ProblemsFound`` when any does not fit the trial.
    """
    given = checked(trial, answers)
    if not given:
        raise AdvisorError(
            "trial-no-answers", "nobody has answered yet",
            hint="curdwise trial answers takes them one by one",
        )
    kind = trial.method.kind
    if kind == "pick":
        raw = _picked(trial, given)
        overall: tuple[Overall, ...] = ()
        means: tuple[tuple[str, float], ...] = ()
    else:
        rows = table(trial, given)
        raw = _ordered(trial, rows)
        overall = (_ranked_overall if kind == "rank" else _scored_overall)(trial, rows)
        columns = zip(*rows, strict=True)
        means = tuple(
            (s.id, math.fsum(c) / len(rows)) for s, c in zip(trial.samples, columns, strict=True)
        )
    adjusted = holm([c.p for c in raw])
    comparisons = tuple(_final(c, p, trial.alpha) for c, p in zip(raw, adjusted, strict=True))
    return Judgement(
        trial, comparisons, overall, means, len(given), len(trial.flights),
        len({a.taster for a in given}),
    )  # fmt: skip


def _final(comparison: Comparison, adjusted: float, alpha: float) -> Comparison:
    from dataclasses import replace

    return replace(comparison, adjusted=adjusted, found=adjusted <= alpha)


# -- picking -----------------------------------------------------------------------------


def _right(flight: Flight, answer: Answer, trial: Trial) -> bool:
    """Whether the pick is the right one for the test."""
    of = {cup.code: cup.sample for cup in flight.cups}
    if trial.test == "duo-trio":
        return of[answer.picked[0]] == CONTROL
    if trial.test == "tetrad":
        return len({of[code] for code in answer.picked}) == 1
    if trial.test == "triangle":
        samples = list(of.values())
        return samples.count(of[answer.picked[0]]) == 1
    # A paired test has a right answer only where the direction is foretold.
    return (of[answer.picked[0]] != CONTROL) == (trial.foretold >= 0)


def _picked(trial: Trial, answers: Sequence[Answer]) -> list[Comparison]:
    results: dict[str, list[bool]] = {s.id: [] for s in trial.treated}
    for answer in answers:
        flight = flight_of(trial, answer)
        if flight is not None:
            results[flight.against].append(_right(flight, answer, trial))
    return [_counted(trial, s, sum(rights), len(rights), 0) for s, rights in results.items()]


def _counted(
    trial: Trial, sample: str, right: int, flights: int, ties: int, scores: Sequence[float] = ()
) -> Comparison:
    """One comparison by counting; by its scores where there are any."""
    method = trial.method.method
    two_sided = method == "paired" and trial.foretold == 0
    decided = flights - ties
    turned = 2 * right < decided
    counted = max(right, decided - right) if two_sided else right
    p, exact, error = 1.0, True, 0.0
    if scores:
        chance = signs(scores, seed=trial.seed, two_sided=two_sided)
        p, exact, error = chance.p, chance.exact, chance.error
    elif decided:
        p = tasting.p_value("paired-two-sided" if two_sided else method, counted, decided)
    # One sample of a ranking against the control is a pair; the trend over all has more power.
    test = "paired" if trial.method.kind == "rank" else trial.test
    many = len(trial.treated)
    return Comparison(
        sample=sample,
        title=title_of(trial.sample(sample)),
        flights=flights,
        right=counted,
        ties=ties,
        p=p,
        adjusted=p,
        exact=exact,
        error=error,
        d=_size_of(method, counted, flights, ties),
        difference=mean_interval(scores) if scores else None,
        share=_share(trial, counted, flights),
        power=power_of(test, flights, trial.wanted, treated=many, alpha=trial.tail)
        if flights
        else 0.0,
        finds=found_by(test, flights, treated=many, alpha=trial.tail) if flights else None,
        found=False,
        reversed=turned and method == "paired" and not two_sided,
        fewer=bool(decided)
        and method != "paired"
        and 1.0 - tasting.p_value(method, min(right + 1, decided), decided) < 0.05
        and right < decided,
    )


def _share(trial: Trial, right: int, flights: int) -> Similarity | None:
    if trial.method.kind != "pick" or not flights:
        return None
    return tasting.similarity(trial.method.method, right, flights)


def _size_of(method: str, right: int, flights: int, ties: int) -> DPrime:
    """d' with its interval; a tie may fall either way, so the interval covers both."""
    if not flights:
        return tasting.DPrime(0.0, 0.0, None, 0.95)
    if not ties:
        return tasting.d_prime_interval(method, right, flights)
    low = tasting.d_prime_interval(method, right, flights).low
    high = tasting.d_prime_interval(method, right + ties, flights).high
    return tasting.DPrime(tasting.d_prime(method, (right + ties / 2) / flights), low, high, 0.95)


# -- ranking and scoring -----------------------------------------------------------------


def ranks_of(answer: Answer) -> dict[str, float]:
    """Rank of every code, 1 for the least; tied codes share the mean of their places."""
    ranks: dict[str, float] = {}
    for group in answer.ranked:
        place = len(ranks) + (len(group) + 1) / 2
        ranks |= dict.fromkeys(group, place)
    return ranks


def table(trial: Trial, answers: Iterable[Answer]) -> list[list[float]]:
    """One row a flight: the score or rank of every sample, in the order of the samples."""
    rows = []
    for answer in answers:
        flight = flight_of(trial, answer)
        if flight is None:
            continue
        values = ranks_of(answer) if answer.ranked else answer.scored
        by_sample = {cup.sample: values[cup.code] for cup in flight.cups}
        rows.append([by_sample[s.id] for s in trial.samples])
    return rows


def _ordered(trial: Trial, rows: Sequence[Sequence[float]]) -> list[Comparison]:
    place = {s.id: i for i, s in enumerate(trial.samples)}
    sign = trial.foretold or 1
    found = []
    for sample in trial.treated:
        # To two decimals, as scores are: sums of such differences must not tie by rounding only.
        steps = [
            round(sign * (row[place[sample.id]] - row[place[CONTROL]]), 4) for row in rows
        ]
        right, ties = sum(s > 0 for s in steps), sum(s == 0 for s in steps)
        scores = steps if trial.method.kind == "rate" else ()
        found.append(_counted(trial, sample.id, right, len(rows), ties, scores))
    return found


def _ranked_overall(trial: Trial, rows: Sequence[Sequence[float]]) -> tuple[Overall, ...]:
    if len(rows) < 2:
        return ()
    any_difference = ranking.friedman(rows)
    found = [
        Overall("friedman", "do the samples differ at all", any_difference.statistic,
                any_difference.p_value, any_difference.exact, 0.0, "ISO 8587; Friedman 1937",
                any_difference.how)
    ]  # fmt: skip
    for dial in trial.dials:
        sign = DIALS[dial].moves.get(trial.sense, 0)
        levels = _by_level(trial, rows, dial)
        if not sign or len(levels[0]) < 2:
            continue
        ordered = [_ranked(row[::sign]) for row in levels]
        page = ranking.page(ordered)
        way = "rises" if sign > 0 else "falls"
        found.append(
            Overall(f"page {dial}", f"{trial.asked.title} {way} step by step with "
                    f"{dial.replace('-', ' ')}", page.statistic, page.p_value, page.exact, 0.0,
                    "ISO 8587; Page, J. Am. Stat. Assoc. 58 (1963) 216", page.how)
        )
    return tuple(found)


def _ranked(row: Sequence[float]) -> list[float]:
    ordered = sorted(row)
    return [ordered.index(v) + (ordered.count(v) + 1) / 2 for v in row]


def _by_level(trial: Trial, rows: Sequence[Sequence[float]], dial: str) -> list[list[float]]:
    """Each row by the levels of one dial, rising; other dials averaged.

    With one dial the control is its level 0. With two it would be the only sample that has
    neither, and unfair to both, so it is left out.
    """
    levels: dict[float, list[int]] = {}
    for place, sample in enumerate(trial.samples):
        if sample.is_control and len(trial.dials) > 1:
            continue
        levels.setdefault(sample.settings.get(dial, 0.0), []).append(place)
    return [
        [math.fsum(row[i] for i in levels[level]) / len(levels[level]) for level in sorted(levels)]
        for row in rows
    ]


def _scored_overall(trial: Trial, rows: Sequence[Sequence[float]]) -> tuple[Overall, ...]:
    source = "permutation of the cups within each flight"
    chance = within_flights(rows, seed=trial.seed)
    found = [
        Overall("any difference", "do the samples differ at all", None, chance.p, chance.exact,
                chance.error, source, chance.how)
    ]  # fmt: skip
    if len(trial.dials) < 2:
        return tuple(found)
    for dial in trial.dials:
        levels = _by_level(trial, rows, dial)
        if len(levels[0]) < 2:
            continue
        chance = within_flights(levels, seed=trial.seed)
        found.append(
            Overall(f"effect of {dial}", f"does {dial.replace('-', ' ')} matter, the other dial "
                    "averaged", None, chance.p, chance.exact, chance.error, source, chance.how)
        )
    together = _interplay(trial, rows)
    if together:
        chance = signs(together, seed=trial.seed, two_sided=True)
        found.append(
            Overall("interplay", "does one dial change what the other does", None, chance.p,
                    chance.exact, chance.error, "signs of each flight's contrast flipped",
                    chance.how)
        )
    return tuple(found)


def _interplay(trial: Trial, rows: Sequence[Sequence[float]]) -> list[float]:
    """Each flight's contrast: how much faster one dial acts at the high end of the other."""
    first, second = trial.dials
    ends = []
    for dial in (first, second):
        levels = sorted({s.settings[dial] for s in trial.treated})
        if len(levels) < 2:
            return []
        ends.append((levels[0], levels[-1]))
    weight: dict[int, int] = {}
    for place, sample in enumerate(trial.samples):
        pair = (sample.settings.get(first), sample.settings.get(second))
        if pair[0] in ends[0] and pair[1] in ends[1]:
            weight[place] = (1 if pair[0] == ends[0][1] else -1) * (
                1 if pair[1] == ends[1][1] else -1
            )
    return [round(math.fsum(w * row[i] for i, w in weight.items()), 4) for row in rows]
