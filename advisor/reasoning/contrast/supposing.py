"""The advice under other answers, quickly.

Most answers that could still be given only make rules fire that did not. The look-ahead
finds those on the finished run, and their weights are put into the ledger as a whole
inference would; wherever more than that could change, a whole inference is made. Both ways
give the same standing and the same advice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.chain.lookahead import LookAhead
from advisor.chain.port import Fact, Run
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN
from advisor.reasoning.answers import read_answer
from advisor.reasoning.contrast.difference import ruled_out
from advisor.reasoning.contrast.gist import gist_of
from advisor.reasoning.evidence import Footing, holds, sureness
from advisor.reasoning.infer import engine_for
from advisor.reasoning.ledger import Entry, standings, strongest_of_groups
from advisor.reasoning.questions import information

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.chain.port import Firing
    from advisor.knowledge.model import Finding
    from advisor.reasoning.answers import Answer
    from advisor.reasoning.contrast.gist import Gist
    from advisor.reasoning.evidence import FigureValue
    from advisor.reasoning.infer import Engine, Inference

__all__ = ["Supposed", "Supposing"]

_MOST_BANDS = 8
_INSET = 0.05  # how far inside its band a reading is supposed, as a share of the band
_SUM_WRONG = 0.2  # how often a calculation says nothing of the reading; judgement
_TWO_SIDED_95 = 1.959964
_WEIGHS = ("suspect", "doubt")


@dataclass(frozen=True, slots=True)
class Supposed:
    """An answer that nobody has given: its value, and its usual share among the answers.

    ``band`` is the range of which a number is one, where every number in it comes to the same.
    """

    finding: str
    value: str | float
    share: float
    band: tuple[float, float] | None = None


class Supposing:
    """One inference, ready to be asked what would follow from other answers.

    Every inference it gives is right in standing, ledger, verdicts, suggestions, cautions and
    what each cause explains; the sets of causes are left as they were. Nothing is changed; answers
    looked at once are kept.
    """

    def __init__(self, engine: Engine, inference: Inference) -> None:
        # The reference backend gives the same runs and is the quickest at many small ones.
        self.engine = engine_for(engine.base, "reference")
        self.base = engine.base
        self.inference = inference
        self._kept: dict[tuple[str, str | float], Inference] = {}
        self._gists: dict[tuple[str, str | float], Gist] = {}

    @cached_property
    def gist(self) -> Gist:
        """The advice as it is."""
        return gist_of(self.engine, self.inference)

    @cached_property
    def open_findings(self) -> tuple[Finding, ...]:
        """What could still be told: asked of such a batch, and not answered with a value."""
        facts = self.inference.facts_by_key()
        return tuple(
            finding
            for finding in self.base.findings.values()
            if finding.asked
            and all(fact.word in (UNKNOWN, NOT_NOW) for fact in facts.get(finding.id, ()))
            and (not finding.ask_when or holds(finding.ask_when, facts))
        )

    def options(self, finding: Finding) -> tuple[Supposed, ...]:
        """The answers that rules tell apart: each choice, or one number of each band.

        That is the middle, or where a reading is expected from a calculation, the nearest to it.
        """
        if finding.choices:
            rates = self.base.base_rates[finding.id]
            return tuple(Supposed(finding.id, c.value, rates[c.value]) for c in finding.choices)
        bands = tuple(pairwise(self.edges(finding)))
        known = self.inference.facts.figures.get(finding.measures)
        if known is not None and isinstance(known.value, float):
            return _readings(finding, known, bands)
        whole = finding.id not in self.feeding and not finding.measures
        return tuple(
            Supposed(
                finding.id,
                (low + high) / 2.0,
                1.0 / len(bands),
                (low, high) if whole else None,
            )
            for low, high in bands
        )

    def edges(self, finding: Finding) -> tuple[float, ...]:
        """The ends of the bands of a number that rules tell apart; empty for a single band."""
        if finding.low is None or finding.high is None:
            return ()
        limits = self.engine.limits.get(finding.measures or finding.id, set())
        inside = sorted(x for x in limits if finding.low < x < finding.high)
        if len(inside) >= _MOST_BANDS:
            step = len(inside) / (_MOST_BANDS - 1)
            inside = [inside[int(i * step)] for i in range(_MOST_BANDS - 1)]
        return (finding.low, *inside, finding.high) if inside else ()

    @cached_property
    def feeding(self) -> frozenset[str]:
        """What figures are worked out from."""
        figures = self.base.figures.values()
        return frozenset(key for figure in figures for key in figure.inputs.values())

    def effort(self, finding: str) -> tuple[str, float, float]:
        """The check that answers a finding (empty for none), minutes of work and of waiting."""
        check = self.engine.check_of.get(finding)
        if check is not None:
            return check.id, check.minutes, check.wait
        return "", self.base.findings[finding].minutes, 0.0

    def conceivable(self, finding: str, value: str | float) -> bool:
        """Whether another answer may stand beside the rest: it rules out none of them, and the
        only complaint stays, without which it would be another batch."""
        if self.inference.reported == (finding,):
            return False
        answers = {**self.inference.answers, finding: self.answer(finding, value)}
        return set(ruled_out(self.base, answers)) <= self._ruled_out

    @cached_property
    def _ruled_out(self) -> frozenset[str]:
        return frozenset(ruled_out(self.base, self.inference.answers))

    # Supposing.

    def answer(self, finding: str, value: str | float) -> Answer:
        """The answer as it would be if somebody gave this value."""
        return read_answer(self.base, finding, value)[1]

    def after(self, finding: str, value: str | float) -> Inference:
        """What would follow if this were the answer."""
        key = (finding, value)
        kept = self._kept.get(key)
        if kept is None:
            answer = self.answer(finding, value)
            kept = self._quickly(finding, answer)
            if kept is None:
                kept = self.with_answers({finding: answer})
            self._kept[key] = kept
        return kept

    def gist_after(self, finding: str, value: str | float) -> Gist:
        """What the advice would come to if this were the answer."""
        key = (finding, value)
        if key not in self._gists:
            self._gists[key] = gist_of(self.engine, self.after(finding, value))
        return self._gists[key]

    def with_answers(self, changes: Mapping[str, Answer]) -> Inference:
        """A whole inference with these answers in place of, or beside, those given."""
        return self.engine.infer({**self.inference.answers, **changes}, self.inference.tried)

    def without(self, finding: str) -> Inference:
        """A whole inference as if a finding had never been asked."""
        left = {k: a for k, a in self.inference.answers.items() if k != finding}
        return self.engine.infer(left, self.inference.tried)

    def chances(self, options: tuple[Supposed, ...], before: Inference) -> list[float]:
        """The chance of each answer to one question, given that ``before`` is all that is known."""
        shifts = [_shift(before, self.after(o.finding, o.value)) for o in options]
        return information(before.standing, [o.share for o in options], shifts)[1]

    # The quick way.

    @cached_property
    def _ahead(self) -> LookAhead:
        return LookAhead(self.engine.reference, self.inference.facts.facts)

    @cached_property
    def _place_of(self) -> dict[str, int]:
        return {line: place for place, line in enumerate(self.engine.lines)}

    @cached_property
    def _not_quickly(self) -> frozenset[str]:
        """Findings whose answer may change more than which rules fire: they feed a figure, or a
        rule that has fired could come to rest on them instead."""
        measuring = {f.id for f in self.base.findings.values() if f.measures}
        resting = {
            test.key
            for firing in self.inference.run.firings
            if len(options := self.engine.lines[firing.rule].when) > 1
            for option in options
            for test in option
        }
        return self.feeding | measuring | resting

    def _quickly(self, finding: str, answer: Answer) -> Inference | None:
        """What follows from one answer more; ``None`` where only a whole inference can tell."""
        if finding in self._not_quickly or finding in self.inference.answers:
            return None
        if self.base.findings[finding].symptom and answer.value == "yes":
            return None  # one more report: other causes may be bystanders now
        if isinstance(answer.value, str):
            fact, footing = Fact(finding, answer.value), Footing(answer.basis)
        else:
            fact = Fact(finding, number=answer.value)
            footing = Footing(answer.basis, answer.low, answer.high)
        change = self._ahead.added([fact])
        lines = self.engine.lines
        if change.lost or any(
            effect.kind == "conclude"
            for firing in change.gained
            for effect in lines[firing.rule].effects
        ):
            return None
        return self._with_firings(finding, answer, fact, footing, change.gained)

    def _with_firings(
        self,
        finding: str,
        answer: Answer,
        fact: Fact,
        footing: Footing,
        gained: tuple[Firing, ...],
    ) -> Inference:
        now, lines = self.inference, self.engine.lines
        known = {**now.footing, fact: footing}
        sure = {
            firing.rule: min(
                (sureness(t, f, known.get(f) if f else None) for t, f in firing.supports),
                default=1.0,
            )
            for firing in gained
        }
        # Nothing falls away here, so that what a stronger entry has silenced stays silent.
        entries = list(now.entries)
        suggestions, cautions = dict(now.suggestions), dict(now.cautions)
        for firing in gained:
            for effect in lines[firing.rule].effects:
                if effect.kind == "suggest":
                    suggestions[effect.target] = (
                        *suggestions.get(effect.target, ()),
                        firing.rule,
                    )
                elif effect.kind == "caution":
                    cautions[effect.target] = (*cautions.get(effect.target, ()), firing.rule)
                elif effect.kind in _WEIGHS and sure[firing.rule] > 0.0:
                    line, weight = lines[firing.rule], effect.weight
                    counts = weight * sure[firing.rule]
                    entries.append(Entry(effect.target, line.id, line.group, weight, counts))
        # In the order of the rules, as a whole inference has them: ties go to the first.
        place = self._place_of
        entries.sort(key=lambda e: place.get(e.line, len(place)))
        counted = strongest_of_groups(entries)
        sums: dict[str, float] = {}
        for entry in counted:
            if entry.counted:
                sums[entry.cause] = sums.get(entry.cause, 0.0) + entry.weight
        run = Run((*now.run.firings, *gained), now.run.facts | {fact})
        explains = self.engine.explained(run, counted, now.reported)
        accounted = {f for found in explains.values() for f in found}
        return replace(
            now,
            answers={**now.answers, finding: answer},
            run=run,
            explains=explains,
            unexplained=tuple(f for f in now.reported if f not in accounted),
            footing=known,
            entries=counted,
            standing=standings(self.base.priors, sums),
            sums=sums,
            suggestions=suggestions,
            cautions=cautions,
            sureness={**now.sureness, **sure},
        )


def _readings(
    finding: Finding, known: FigureValue, bands: tuple[tuple[float, float], ...]
) -> tuple[Supposed, ...]:
    """Readings of what has been calculated: each band by the reading nearest to the sum, and
    likely as the sum makes it, with a share left for a sum that is wrong."""
    middle = float(known.value)
    spread = known.high - known.low if known.low < known.high else 0.0
    sigma = max(spread / (2.0 * _TWO_SIDED_95), 1e-9)

    def below(limit: float) -> float:
        return 0.5 * math.erfc((middle - limit) / (sigma * math.sqrt(2.0)))

    found = []
    for low, high in bands:
        inset = _INSET * (high - low)
        value = min(max(middle, low + inset), high - inset)
        share = (1.0 - _SUM_WRONG) * (below(high) - below(low)) + _SUM_WRONG / len(bands)
        rounded = float(f"{value:.3g}")
        found.append(Supposed(finding.id, rounded if low < rounded < high else value, share))
    whole = math.fsum(option.share for option in found)
    return tuple(replace(option, share=option.share / whole) for option in found)


def _shift(before: Inference, after: Inference) -> dict[str, float]:
    """How many decibans each cause moved."""
    return {
        cause: moved
        for cause in before.sums.keys() | after.sums.keys()
        if abs(moved := after.sums.get(cause, 0.0) - before.sums.get(cause, 0.0)) > 1e-9
    }
