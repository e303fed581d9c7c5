"""*Without common practice*: the advice when only lines that cite a publication may speak.

Left out are rules, rows of a check's outcomes, and what a cause's table shows, wherever all that
is cited is practice or judgement. Kept are the priors and the reserved cause, which keep the
advice honest whatever is left out, that a cause belongs to the operation that was made, which
is so by definition, and what came of the remedies that were tried.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.knowledge.words import NOT_LISTED
from advisor.reasoning.advise import advise
from advisor.reasoning.contrast.difference import Moved, moved
from advisor.reasoning.contrast.gist import Gist, of_advice
from advisor.reasoning.infer import Engine

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.knowledge.model import Base, Citation, Effect, Line
    from advisor.reasoning.infer import Inference

__all__ = ["LeftOut", "WithoutPractice", "published_engine", "without_practice"]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Weight that counted for or against a cause and rests on practice or judgement alone."""

    line: str
    cause: str
    weight: float


@dataclass(frozen=True)
class WithoutPractice:
    """The advice with and without what has no publication behind it.

    ``share`` is the part (0 to 1) of the weight behind the first cause that has none.
    Cautions are never left out: ``cautions_unsourced`` names those whose only ground here is
    practice or judgement.
    """

    share: float
    before: Gist
    after: Gist
    left_out: tuple[LeftOut, ...]  # of the causes that stand first before and after
    fired: int  # lines that fired
    fired_left_out: int  # of these, lines that were left out whole
    fired_cut: int  # and those that lost their say on some causes
    moved: tuple[Moved, ...]
    remedies: tuple[tuple[str, bool], ...]  # after, with whether each cites a publication
    cautions_unsourced: tuple[str, ...]

    @property
    def changes(self) -> tuple[str, ...]:
        """In what the advice differs: verdict, cause, stage, remedy; empty if it stands."""
        return self.before.differs(self.after)


def without_practice(engine: Engine, inference: Inference) -> WithoutPractice:
    """How far an advice rests on practice and judgement, and what it would be without them."""
    bare = published_engine(engine)
    after = bare.infer(inference.answers, inference.tried)
    one, two = advise(engine, inference), advise(bare, after)
    before, now = of_advice(one), of_advice(two)
    firings = [engine.lines[firing.rule] for firing in inference.run.firings]
    cut = {line.id: _published(engine.base, line) for line in firings}
    return WithoutPractice(
        share=one.practice_share,
        before=before,
        after=now,
        left_out=_left_out(engine, inference, (before.cause, now.cause)),
        fired=len(firings),
        fired_left_out=sum(cut[line.id] is None for line in firings),
        fired_cut=sum(cut[line.id] not in (None, line) for line in firings),
        moved=moved(inference.standing, after.standing),
        remedies=tuple(
            (r.remedy.id, any(c.published for c in r.remedy.source))
            for r in (*two.this_batch, *two.next_batch)
        ),
        cautions_unsourced=tuple(
            c for c in one.cautions if not any(cut[rule] for rule in inference.cautions[c])
        ),
    )


_KEEP: dict[int, tuple[Base, Engine]] = {}  # with the whole base, so that its id stays its own
_MOST_KEPT = 8


def published_engine(engine: Engine) -> Engine:
    """The engine on the same base without what rests on practice or judgement alone.

    Compiled at its first use and kept; it runs on the reference backend.
    """
    base = engine.base
    if id(base) not in _KEEP:
        if len(_KEEP) >= _MOST_KEPT:
            _KEEP.clear()
        kept = (_published(base, line) for line in base.lines)
        lines = tuple(line for line in kept if line is not None)
        _KEEP[id(base)] = base, Engine(replace(base, lines=lines), "reference")
    return _KEEP[id(base)][1]


def _published(base: Base, line: Line) -> Line | None:
    """What is left of a line; ``None`` for nothing."""
    if line.origin == "operation":
        return line
    if line.origin == "shows":
        effects = tuple(e for e in line.effects if _cited(base, e))
        if effects == line.effects:
            return line
        return replace(line, effects=effects) if effects else None
    return line if _any_published(line.source) else None


def _cited(base: Base, effect: Effect) -> bool:
    """Whether what a table shows of a cause has the cause's publication behind it."""
    return effect.target == NOT_LISTED or _any_published(base.causes[effect.target].source)


def _any_published(citations: Iterable[Citation]) -> bool:
    return any(citation.published for citation in citations)


def _left_out(engine: Engine, inference: Inference, causes: Iterable[str]) -> tuple[LeftOut, ...]:
    found = []
    for cause in dict.fromkeys(c for c in causes if c):
        for entry in inference.ledger(cause):
            line = engine.lines.get(entry.line)
            if not entry.counted or line is None:
                continue
            kept = _published(engine.base, line)
            if kept is None or not any(e.target == cause for e in kept.effects):
                found.append(LeftOut(entry.line, cause, entry.weight))
    return tuple(found)
