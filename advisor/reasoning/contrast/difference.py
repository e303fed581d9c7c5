"""*What if*: two inferences side by side, and what differs between the advice they give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.chain.port import Fact
from advisor.reasoning.advise import advise
from advisor.reasoning.contrast.gist import Gist, of_advice
from advisor.reasoning.evidence import holds

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base
    from advisor.reasoning.answers import Answer
    from advisor.reasoning.evidence import FigureValue
    from advisor.reasoning.infer import Engine, Inference

__all__ = ["Changed", "Difference", "Moved", "difference", "moved", "ruled_out"]

# A standing counts as moved from one in a hundred up.
_MOVED = 0.01


@dataclass(frozen=True, slots=True)
class Moved:
    """A cause whose standing differs."""

    cause: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Changed:
    """A figure that differs; ``None`` where it cannot be worked out."""

    figure: str
    before: FigureValue | None
    after: FigureValue | None


@dataclass(frozen=True)
class Difference:
    """What other answers would change. Only ``before`` and ``after`` are set if nothing."""

    answers: tuple[tuple[str, Answer | None, Answer | None], ...]  # finding, before, after
    set_aside: tuple[str, ...]  # answers that the change rules out
    before: Gist
    after: Gist
    moved: tuple[Moved, ...]  # furthest first
    remedies_before: tuple[str, ...]  # in the order of advice
    remedies_after: tuple[str, ...]
    figures: tuple[Changed, ...]
    cautions_gained: tuple[str, ...]
    cautions_lost: tuple[str, ...]

    @property
    def changes(self) -> tuple[str, ...]:
        """In what the advice differs: verdict, cause, stage, remedy."""
        return self.before.differs(self.after)

    @property
    def empty(self) -> bool:
        """Whether everything that is advised stays as it is."""
        return not (
            self.changes
            or self.moved
            or self.remedies_before != self.remedies_after
            or self.figures
            or self.cautions_gained
            or self.cautions_lost
        )


def difference(
    engine: Engine, before: Inference, after: Inference, set_aside: tuple[str, ...] = ()
) -> Difference:
    """What differs between the advice of two inferences on one base."""
    one, two = advise(engine, before), advise(engine, after)
    keys = [*before.answers, *(k for k in after.answers if k not in before.answers)]
    return Difference(
        answers=tuple(
            (key, before.answers.get(key), after.answers.get(key))
            for key in keys
            if key not in set_aside
            and _said(before.answers.get(key)) != _said(after.answers.get(key))
        ),
        set_aside=set_aside,
        before=of_advice(one),
        after=of_advice(two),
        moved=moved(before.standing, after.standing),
        remedies_before=tuple(r.remedy.id for r in (*one.this_batch, *one.next_batch)),
        remedies_after=tuple(r.remedy.id for r in (*two.this_batch, *two.next_batch)),
        figures=_figures(engine.base, before, after),
        cautions_gained=tuple(c for c in two.cautions if c not in one.cautions),
        cautions_lost=tuple(c for c in one.cautions if c not in two.cautions),
    )


def moved(before: Mapping[str, float], after: Mapping[str, float]) -> tuple[Moved, ...]:
    """The causes whose standing differs by a hundredth or more, furthest first."""
    found = [
        Moved(cause, chance, after[cause])
        for cause, chance in before.items()
        if abs(after[cause] - chance) >= _MOVED
    ]
    return tuple(sorted(found, key=lambda m: (-abs(m.after - m.before), m.cause)))


def _said(answer: Answer | None) -> tuple[object, ...]:
    if answer is None:
        return ()
    return answer.value, answer.status, answer.basis, str(answer.low), str(answer.high)


def _figures(base: Base, before: Inference, after: Inference) -> tuple[Changed, ...]:
    one, two = before.facts.figures, after.facts.figures
    return tuple(
        Changed(key, one.get(key), two.get(key))
        for key in base.figures
        if _worth(one.get(key)) != _worth(two.get(key))
    )


def _worth(figure: FigureValue | None) -> tuple[object, ...]:
    if figure is None:
        return ()
    return figure.value, str(figure.low), str(figure.high), figure.basis


def ruled_out(base: Base, answers: Mapping[str, Answer]) -> tuple[str, ...]:
    """Answers to questions that are only asked where other answers are different.

    What is assumed, or not known, rules out nothing and is not ruled out.
    """
    facts: dict[str, list[Fact]] = {}
    for key, answer in answers.items():
        if answer.given and answer.basis != "assumed":
            word = answer.value if isinstance(answer.value, str) else None
            number = answer.value if isinstance(answer.value, float) else None
            facts[key] = [Fact(key, word, number)]
    return tuple(
        key
        for key in facts
        if (when := base.findings[key].ask_when)
        and {test.key for option in when for test in option} <= facts.keys()
        and not holds(when, facts)
    )
