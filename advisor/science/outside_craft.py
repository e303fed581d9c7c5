"""The outside checks of the craft: stripping, fat, whey, separation, keeping, labels, tasting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.science import outside_service, outside_wash

if TYPE_CHECKING:
    from advisor.science.outside import OutsideCheck

__all__ = ["craft_bad_references", "craft_checks"]


def craft_checks() -> tuple[OutsideCheck, ...]:
    """All rows of these rooms that must hold."""
    return (*outside_wash.checks(), *outside_service.checks())


def craft_bad_references() -> tuple[OutsideCheck, ...]:
    """Widely copied values of these rooms that are wrong and must not be matched."""
    return (*outside_wash.bad_references(), *outside_service.bad_references())
