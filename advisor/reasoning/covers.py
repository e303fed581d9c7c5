"""Small sets of causes that together explain what was found.

The same idea serves conflicts and explanations: a set of causes that meets every
set of candidates. Parsimonious covering: Peng Y, Reggia JA 1990, *Abductive Inference
Models for Diagnostic Problem-Solving*; hitting sets: de Kleer J, Williams BC 1987,
Artificial Intelligence 32:97.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

__all__ = ["minimal_hitting_sets"]


def minimal_hitting_sets(
    groups: Iterable[Collection[str]], largest: int = 3
) -> tuple[frozenset[str], ...]:
    """Every minimal set of at most ``largest`` members that meets each group.

    A group that is empty cannot be met and gives no sets. Smallest sets first, then
    in the order of their members.
    """
    wanted = sorted((frozenset(g) for g in groups), key=lambda g: (len(g), sorted(g)))
    found: set[frozenset[str]] = set()
    partial: set[frozenset[str]] = {frozenset()}
    while partial:
        grown: set[frozenset[str]] = set()
        for chosen in partial:
            if any(done <= chosen for done in found):
                continue
            unmet = next((group for group in wanted if not group & chosen), None)
            if unmet is None:
                found.add(chosen)
            elif len(chosen) < largest:
                grown.update(chosen | {member} for member in unmet)
        partial = grown
    minimal = [s for s in found if not any(other < s for other in found)]
    return tuple(sorted(minimal, key=lambda s: (len(s), sorted(s))))
