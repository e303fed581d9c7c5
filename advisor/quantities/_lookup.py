"""From the words of a unit to what they mean, or to why they cannot be read."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.errors import did_you_mean
from advisor.quantities._numbers import Unreadable, amount_at, tokens
from advisor.quantities._units import BASES, KINDS, exchange
from advisor.quantities._words import (
    COMPOUNDS,
    EXACT_CASE,
    REFUSED,
    SPELLINGS,
    VAGUE,
)
from advisor.quantities._words import Measure as Unit

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["Unit", "is_vague", "unit_called"]

_ALWAYS = ("volume", "weight", "temperature", "time", "strength", "length")
