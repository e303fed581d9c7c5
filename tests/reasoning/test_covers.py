"""Small sets of causes that together explain everything: against plain enumeration."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from advisor.reasoning.covers import minimal_hitting_sets

_groups = st.lists(st.sets(st.sampled_from("abcdef"), max_size=4), max_size=5)


@given(_groups, st.integers(0, 4))
def test_covers_are_those_of_enumeration(groups: list[set[str]], largest: int) -> None:
    """Exactly the minimal sets up to a size that meet each group, smallest first, are found."""
    every = [
        set(chosen)
        for size in range(largest + 1)
        for chosen in combinations("abcdef", size)
        if all(group & set(chosen) for group in groups)
    ]
    minimal = [s for s in every if not any(other < s for other in every)]
    found = minimal_hitting_sets(groups, largest)
    assert sorted(map(sorted, found)) == sorted(map(sorted, minimal))
    assert list(found) == sorted(found, key=lambda s: (len(s), sorted(s)))


def test_nothing_to_explain_needs_no_cause() -> None:
    """Without findings the empty set explains everything; what has no candidate has no cover."""
    assert minimal_hitting_sets([]) == (frozenset(),)
    assert minimal_hitting_sets([set(), {"a"}]) == ()
