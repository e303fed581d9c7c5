"""The protocol of a technique: steps with quantities, what to expect, how two of them differ."""

from __future__ import annotations

from advisor.technique.protocol.build import protocol, refuse_prices
from advisor.technique.protocol.compare import Comparison, compare, vary
from advisor.technique.protocol.model import Protocol

__all__ = ["Comparison", "Protocol", "compare", "protocol", "refuse_prices", "vary"]
