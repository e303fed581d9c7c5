"""Which explanations somebody asks for, beside the advice itself."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Wanted"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which explanations to give. ``what_if`` pairs findings with answers, all told together."""

    why_not: tuple[str, ...] = ()
    rather: tuple[tuple[str, str], ...] = ()
    what_changes: bool = False
    what_if: tuple[tuple[str, str], ...] = ()
    without_practice: bool = False

    def __bool__(self) -> bool:
        return bool(
            self.why_not
            or self.rather
            or self.what_changes
            or self.what_if
            or self.without_practice
        )
