"""What stands behind one row of a ledger: its title, why it is so, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.knowledge.model import Citation
from advisor.reasoning.bystanders import BYSTANDER

if TYPE_CHECKING:
    from advisor.reasoning.infer import Engine

__all__ = ["Behind", "behind"]

_BYSTANDER = (
    "it brings on none of what was reported",
    "Somebody asked because of what they saw or tasted. Nothing that we know of this cause would "
    "make them.",
)


@dataclass(frozen=True, slots=True)
class Behind:
    """The title of a row, the reason in a sentence or two (may be empty), and its citations."""

    title: str
    because: str = ""
    source: tuple[Citation, ...] = ()


def behind(engine: Engine, row: str) -> Behind:
    """What is behind a row, by what ``Entry.line`` names: a line of the base, a remedy, or neither.

    Raises ``KeyError`` for a row that the base knows nothing of.
    """
    line = engine.lines.get(row)
    if line is not None:
        return Behind(line.title, line.because, line.source)
    if row == BYSTANDER:
        return Behind(*_BYSTANDER, (Citation("judgement"),))
    remedy = engine.base.remedies[row.removeprefix("tried/")]
    return Behind(f"tried, and it did not help: {remedy.title}", "", remedy.source)
