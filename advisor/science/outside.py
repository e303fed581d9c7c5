"""Checks of the calculations against something outside the project, as one table.

Each row names what is computed, the published value, the tolerance and the source, so that the
tests run them and a person can print them. ``mark`` says how well the published value is known:
``seen`` in the source, ``derived`` from seen inputs, or ``memory`` (from memory, not yet
verified).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["OutsideCheck", "bad_references", "outside_checks"]


@dataclass(frozen=True, slots=True)
class OutsideCheck:
    """One published value and how to compute it here; ``tolerance`` is absolute."""

    id: str
    what: str
    value: Callable[[], float]
    expected: float
    tolerance: float
    source: str
    mark: str

    def miss(self) -> float:
        """How far the computed value lies from the published one."""
        return abs(self.value() - self.expected)


def outside_checks() -> tuple[OutsideCheck, ...]:
    """All rows that must hold. The modules are imported late: only checks need them."""
    from advisor.science import (
        outside_acid,
        outside_curd,
        outside_ethanol,
        outside_milk,
        outside_recipes,
    )

    return (
        *outside_ethanol.checks(),
        *outside_acid.checks(),
        *outside_milk.checks(),
        *outside_curd.checks(),
        *outside_recipes.checks(),
    )


def bad_references() -> tuple[OutsideCheck, ...]:
    """Widely copied values that are wrong: the project must *not* match them."""
    from advisor.science import outside_acid, outside_ethanol, outside_milk

    return (
        *outside_ethanol.bad_references(),
        *outside_acid.bad_references(),
        *outside_milk.bad_references(),
    )
