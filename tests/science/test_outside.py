"""Everything that is compared with a publication, row by row."""

from __future__ import annotations

import pytest

from advisor.science.outside import OutsideCheck, bad_references, outside_checks

CHECKS = outside_checks()
BAD = bad_references()


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.id)
def test_matches_the_published_value(check: OutsideCheck) -> None:
    """The computed value lies within the row's tolerance of the published one."""
    assert check.miss() <= check.tolerance + 1e-9, (check.what, check.value(), check.source)


@pytest.mark.parametrize("check", BAD, ids=lambda c: c.id)
def test_stays_clear_of_a_bad_reference(check: OutsideCheck) -> None:
    """A widely copied wrong value is not what the project computes."""
    assert check.miss() > check.tolerance, (check.what, check.value(), check.source)


def test_rows_are_told_apart_and_sourced() -> None:
    """Every row has its own name, a source and one of the three marks."""
    rows = (*CHECKS, *BAD)
    assert len({row.id for row in rows}) == len(rows)
    assert all(row.source and row.what for row in rows)
    assert {row.mark for row in rows} == {"seen", "derived", "memory"}


def test_recalled_rows_say_so() -> None:
    """A row that was recalled and not read names itself as such."""
    for row in CHECKS:
        if row.mark == "memory":
            assert "from memory, not yet verified" in row.source, row.id
