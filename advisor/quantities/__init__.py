"""What people write about amounts ("1 1/2 oz", "4:1", "overnight") into numbers, and back.

    >>> parse("1 1/2 oz", "mL").value
    44.36029434375
    >>> say(12, "mL", low=8, high=18)
    'about 12 ml (8 to 18)'

Units are converted by pint, from the project's own short list of definitions.
Importing this package does not import pint: it is loaded by the first conversion
between two different units, or beforehand by ``warm_up`` in a background thread.
"""

from __future__ import annotations

from advisor.quantities._say import say
from advisor.quantities._units import UNITS, Quantity, convert, same_dimension

__all__ = ["UNITS", "Quantity", "convert", "figure", "parse", "same_dimension", "say", "warm_up"]


def parse(text: str, unit: str) -> Quantity:
    """Read what somebody wrote as an amount in ``unit`` (one of ``UNITS``).

    A bare number is taken to be in ``unit``; any other unit of the same dimension is
    converted. The interval of the answer is what the wording leaves open: a range
    keeps its ends, "about" is 5 % either way (and at least 2 degC for a
    temperature), a dash or a splash has the spread of the trade, and an ounce that
    does not say whose reaches from the UK ounce (28.4 mL) to the 30 mL bar ounce.

    Raises ``AdvisorError`` with code ``quantity`` for text that is not an amount, is
    ambiguous (a pint), negative where that makes no sense, or measures something
    else (grams where a volume is wanted); with code ``unit`` when ``unit`` itself is
    not one of ``UNITS``. Takes at most 100 characters.
    """
    from advisor.quantities._read import read  # its word lists are not needed at start-up

    return read(text, unit)


def figure(text: str) -> float:
    """A plain number without a unit, with a decimal point or comma: "0.05", "22,50", "-3".

    Raises ``AdvisorError`` with code ``quantity`` for anything else, and for a number that
    may be two ("1,750").
    """
    from advisor.errors import AdvisorError
    from advisor.quantities._numbers import UnreadableError, number

    bare = text.strip()
    sign = -1.0 if bare[:1] in ("-", "−") else 1.0
    try:
        return sign * number(bare[1:] if sign < 0.0 or bare[:1] == "+" else bare)
    except UnreadableError as error:
        raise AdvisorError("quantity", error.message, hint=error.hint) from None


def warm_up() -> None:
    """Load pint and the word lists now, so that the first conversion does not wait.

    May be called in a background thread, and from several at once.
    """
    parse("95 F", "degC")
