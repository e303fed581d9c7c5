"""Equality for values whose interval may be unknown, which is written as NaN."""

from __future__ import annotations

import math

__all__ = ["Settled"]


class Settled:
    """A base for data classes with ``eq=False``: an unknown interval equals an unknown interval.

    NaN differs from itself. Data classes used to hide that where both sides held the same object;
    since Python 3.13 they compare field by field and no longer do.
    """

    __slots__ = ()
    __match_args__: tuple[str, ...] = ()

    def _settled(self) -> tuple[object, ...]:
        values = (getattr(self, name) for name in self.__match_args__)
        return tuple(None if isinstance(v, float) and math.isnan(v) else v for v in values)

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        assert isinstance(other, Settled)  # noqa: S101  (for the type checker)
        return self._settled() == other._settled()

    def __hash__(self) -> int:
        return hash(self._settled())
