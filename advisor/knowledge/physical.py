"""What no number can be, whatever is asked or worked out: the bounds that a unit has by itself."""

from __future__ import annotations

__all__ = ["bounds_of"]

# Colder than absolute zero is nothing. Water solutions of a bar lie well inside pH 0 to 14. Of
# nothing there is less than none. A share may exceed the whole where a reading is wrong, and a
# ratio has no end.
_BOUNDS: dict[str, tuple[float | None, float | None]] = {
    "pH": (0.0, 14.0),
    "%vol": (0.0, 100.0),
    "degC": (-273.15, None),
    "dB": (None, None),
    "word": (None, None),
}
_AMOUNT = (0.0, None)


def bounds_of(unit: str, *, signed: bool = False) -> tuple[float | None, float | None]:
    """The least and the greatest number of a unit; ``None`` where there is no end.

    ``signed`` for a difference, which goes as far below nought as above it.
    """
    low, high = _BOUNDS.get(unit, _AMOUNT)
    if signed and low is not None:
        return (None if high is None else -high), high
    return low, high
