"""How a fault is written down: what it changes in what was used or done, never what is seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.simulator.state import ORDER

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

    from advisor.simulator.making import Fat, Making, MilkUse, WheyUse

__all__ = [
    "ALL",
    "Fault",
    "UnsuitableError",
    "fat_in",
    "fault",
    "milk_at",
    "milk_in",
    "not_past",
    "until",
    "whey_in",
]

_OFTEN, _SOMETIMES, _RARE = "often", "sometimes", "rare"


class UnsuitableError(Exception):
    """This batch cannot have that fault; another batch is drawn."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that can go wrong.

    ``common`` is its class of frequency (often, sometimes, rare), ``on`` the operations it can
    be met in, ``twins`` causes that name the same physical fault (the reason stands where
    it is declared). ``still`` says whether it is still there when a second fault has been done.
    """

    id: str
    stage: str
    topic: str
    common: str
    on: tuple[str, ...]
    apply: Callable[[Making, Random], None]
    twins: tuple[str, ...] = ()
    verdict: str = "cause"
    still: Callable[[Making], bool] | None = None


ALL: dict[str, Fault] = {}


def fault(
    id: str,
    stage: str,
    topic: str,
    common: str,
    on: str,
    *,
    twins: tuple[str, ...] = (),
    verdict: str = "cause",
    still: Callable[[Making], bool] | None = None,
) -> Callable[[Callable[[Making, Random], None]], Callable[[Making, Random], None]]:
    """Declare a fault; ``on`` lists operations, separated by spaces."""

    def declare(apply: Callable[[Making, Random], None]) -> Callable[[Making, Random], None]:
        if id in ALL:
            raise ValueError(f"fault {id!r} is declared twice")
        ALL[id] = Fault(id, stage, topic, common, tuple(on.split()), apply, twins, verdict, still)
        return apply

    return declare


def milk_in(made: Making) -> MilkUse:
    """The milk, or the fault does not suit."""
    if made.milk is None:
        raise UnsuitableError
    return made.milk


def milk_at(made: Making, temperature: float) -> MilkUse:
    """The milk at ``temperature``, met kindly.

    Only hot milk may be poured into a sharp drink (``draw``): cold, it would be a second fault, the
    wrong order, that nobody wrote down.
    """
    used = milk_in(made)
    used.temperature = temperature
    if made.meeting.order == "milk-into-drink" and temperature < 40.0:
        made.meeting.order = "drink-into-milk"
    return used


def fat_in(made: Making) -> Fat:
    """The fat, or the fault does not suit."""
    if made.fat is None:
        raise UnsuitableError
    return made.fat


def whey_in(made: Making) -> WheyUse:
    """The whey, or the fault does not suit."""
    if made.whey is None:
        raise UnsuitableError
    return made.whey


def until(made: Making, moment: str, days: float | None = None) -> None:
    """The batch comes at least as far as ``moment`` before anybody asks."""
    if ORDER.index(made.plan.moment) < ORDER.index(moment):
        made.plan.moment = moment
    if days is not None:
        made.keeping.days = days
        made.plan.moment = "days" if moment == "days" else made.plan.moment


def not_past(made: Making, moment: str) -> None:
    """Asked at ``moment`` or before: the batch has not come further."""
    if ORDER.index(made.plan.moment) > ORDER.index(moment):
        made.plan.moment = moment
        made.keeping.days = 0.0
