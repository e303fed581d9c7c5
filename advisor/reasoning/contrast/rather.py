"""*This cause rather than that one*: the difference of their ledgers, line by line.

The difference of two standings in decibans is the sum of the differences of their entries, the
prior among them (Good IJ 1950, *Probability and the Weighing of Evidence*), so nothing is left
over that the rows do not say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.reasoning.answers import ASSUMED
from advisor.reasoning.ledger import probability_words

if TYPE_CHECKING:
    from advisor.reasoning.contrast.supposing import Supposed, Supposing

__all__ = ["PRIOR", "Rather", "Turn", "Weighed", "rather"]

PRIOR = "prior"
_HEARD = 0.005


@dataclass(frozen=True, slots=True)
class Weighed:
    """One line (or the prior) with its weight for either cause, in decibans."""

    line: str
    one: float
    other: float

    @property
    def apart(self) -> float:
        """How far it speaks for the one rather than the other."""
        return self.one - self.other


@dataclass(frozen=True, slots=True)
class Turn:
    """An answer after which the order of the two would be the other way round.

    ``was`` is whether another answer has been given, which then would have to be wrong.
    """

    finding: str
    value: str | float
    chance: float
    check: str
    minutes: float
    wait: float
    one: float  # probabilities after this answer
    other: float
    was: bool
    band: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Rather:
    """Why one cause stands better than another. ``apart`` is negative if it does not."""

    one: str
    other: str
    one_probability: float
    other_probability: float
    one_words: str
    other_words: str
    apart: float  # decibans; the sum of ``rows``
    rows: tuple[Weighed, ...]  # weightiest first
    turns: tuple[Turn, ...]  # likeliest first

    @property
    def speaks_for(self) -> tuple[Weighed, ...]:
        return tuple(row for row in self.rows if row.apart > 0.0)

    @property
    def speaks_against(self) -> tuple[Weighed, ...]:
        return tuple(row for row in self.rows if row.apart < 0.0)


def rather(supposing: Supposing, one: str, other: str) -> Rather:
    """Why ``one`` rather than ``other`` (ids of causes, or ``not-listed``)."""
    inference, priors = supposing.inference, supposing.base.priors
    weights = {PRIOR: [priors[one], priors[other]]}
    for entry in inference.entries:
        # Both may be asked of one cause: then every line speaks for either alike.
        for side, cause in enumerate((one, other)):
            if entry.counted and entry.cause == cause:
                weights.setdefault(entry.line, [0.0, 0.0])[side] += entry.weight
    rows = [Weighed(line, *both) for line, both in weights.items()]
    rows.sort(key=lambda row: (-abs(row.apart), row.line))
    chance, against = inference.standing[one], inference.standing[other]
    total = [priors[c] + inference.sums.get(c, 0.0) for c in (one, other)]
    return Rather(
        one=one,
        other=other,
        one_probability=chance,
        other_probability=against,
        one_words=probability_words(chance),
        other_words=probability_words(against),
        apart=total[0] - total[1],
        rows=tuple(row for row in rows if row.apart != 0.0),
        turns=_turns(supposing, one, other) if one != other else (),
    )


def _turns(supposing: Supposing, one: str, other: str) -> tuple[Turn, ...]:
    """Answers that would turn the two round: of open questions, else of those answered."""
    now = supposing.inference
    front = now.standing[one] >= now.standing[other]
    found: list[Turn] = []
    for finding in supposing.open_findings:
        options = supposing.options(finding)
        turning = [p for p, o in enumerate(options) if _front(supposing, o, one, other) != front]
        if not turning:
            continue
        chances = supposing.chances(options, now)
        best = max(turning, key=lambda p: (chances[p], -p))
        if chances[best] >= _HEARD:
            found.append(_turn(supposing, options[best], chances[best], one, other, was=False))
    if not found:
        found = [
            _turn(supposing, option, 0.0, one, other, was=True)
            for key, answer in now.answers.items()
            if answer.given and answer.basis != ASSUMED and isinstance(answer.value, str)
            for option in supposing.options(supposing.base.findings[key])
            if option.value != answer.value
            and _front(supposing, option, one, other) != front
            and supposing.conceivable(key, option.value)
        ]
    found.sort(key=lambda t: (-t.chance, t.minutes, t.finding, str(t.value)))
    return tuple(found)


def _front(supposing: Supposing, option: Supposed, one: str, other: str) -> bool:
    after = supposing.after(option.finding, option.value)
    return after.standing[one] >= after.standing[other]


def _turn(
    supposing: Supposing, option: Supposed, chance: float, one: str, other: str, *, was: bool
) -> Turn:
    standing = supposing.after(option.finding, option.value).standing
    return Turn(
        option.finding,
        option.value,
        chance,
        *supposing.effort(option.finding),
        standing[one],
        standing[other],
        was,
        option.band,
    )
