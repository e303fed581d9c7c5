"""Amounts as a trainee writes them, in the unit that doses are kept in."""

from __future__ import annotations

from advisor.errors import AdvisorError

__all__ = ["read_amount"]

_UNITS = ("mL", "g")


def read_amount(text: str) -> tuple[float, str]:
    """An amount and its unit: mL for a volume, g for a weight.

    Raises ``AdvisorError`` (code ``quantity``) for what is neither, and for a bare number.
    """
    from advisor.quantities import parse

    written = text.strip()
    if any(ch.isalpha() for ch in written):
        for unit in _UNITS:
            try:
                return parse(written, unit).value, unit
            except AdvisorError:
                continue
    raise AdvisorError(
        "quantity",
        f"{text[:60]!r} is neither a volume nor a weight",
        hint="write a number with its unit: 12 ml, 1/2 oz, 0.8 g",
    )
