"""Invented panels: tasters who feel a difference of a size, and say so in the way of a test."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from advisor.technique.trial import Answer

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.technique.trial import Trial

__all__ = ["answers_of"]


def answers_of(
    trial: Trial, felt: Callable[[Mapping[str, float]], float], seed: int = 1, noise: float = 1.0
) -> list[Answer]:
    """Answers of tasters who feel ``felt(settings)`` with a random error of ``noise``."""
    rng = Random(seed)
    said = []
    for flight in trial.flights:
        values = {
            cup.code: felt(trial.sample(cup.sample).settings) + rng.gauss(0.0, noise)
            for cup in flight.cups
        }
        kind = trial.method.kind
        if kind == "rate":
            scores = {code: float(min(10, max(0, round(v)))) for code, v in values.items()}
            said.append(Answer(flight.taster, flight.number, scored=scores))
        elif kind == "rank":
            order = sorted(values, key=values.__getitem__)
            said.append(Answer(flight.taster, flight.number, ranked=tuple((c,) for c in order)))
        else:
            picked = _pick(trial, values, felt({}), rng)
            said.append(Answer(flight.taster, flight.number, picked=picked))
    return said


def _pick(
    trial: Trial, values: Mapping[str, float], control: float, rng: Random
) -> tuple[str, ...]:
    order = sorted(values, key=values.__getitem__)
    if trial.test == "paired":
        return (order[-1],)
    if trial.test == "triangle":
        near_low = values[order[1]] - values[order[0]] < values[order[2]] - values[order[1]]
        return (order[2],) if near_low else (order[0],)
    if trial.test == "tetrad":
        return (order[0], order[1])
    reference = control + rng.gauss(0.0, 1.0)
    return (min(values, key=lambda c: abs(values[c] - reference)),)
