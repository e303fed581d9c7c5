"""The calculations that a knowledge base may name, with their inputs, units and sources.

A calculation is an ordinary function of this package. Registering it publishes
a name (``acid.mix_ph``), the unit of each input and of the result, the formula in
words and the source, so that a figure can be checked when the base is loaded and
explained when it is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.science.estimate import Category, Estimate

__all__ = ["Calculation", "ContradictionError", "Input", "calculation", "calculations", "get"]


class ContradictionError(ValueError):
    """Inputs that are each possible and cannot all be true; the message names them."""


@dataclass(frozen=True, slots=True)
class Input:
    """One argument: its unit (``word`` for a word out of ``choices``), and its range."""

    unit: str
    required: bool = True
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    default: float | str | None = None
    about: str = ""


@dataclass(frozen=True, slots=True)
class Calculation:
    """A registered calculation; ``function`` takes the inputs as keywords."""

    id: str
    title: str
    function: Callable[..., Estimate | Category]
    inputs: Mapping[str, Input]
    unit: str
    formula: str
    source: str
    choices: tuple[str, ...] = ()
    signed: bool = False  # a difference, which may lie below nought


_F = TypeVar("_F", bound="Callable[..., Estimate | Category]")
_REGISTRY: dict[str, Calculation] = {}


def calculation(
    id: str,
    *,
    title: str,
    inputs: Mapping[str, Input],
    unit: str,
    formula: str,
    source: str,
    choices: tuple[str, ...] = (),
    signed: bool = False,
) -> Callable[[_F], _F]:
    """Publish a function under ``id``. An input may be passed as ``Estimate`` or plain number."""

    def register(function: _F) -> _F:
        if id in _REGISTRY:
            raise ValueError(f"calculation {id} is registered twice")
        _REGISTRY[id] = Calculation(
            id, title, function, dict(inputs), unit, formula, source, choices, signed
        )
        return function

    return register


def calculations() -> Mapping[str, Calculation]:
    """All calculations by name."""
    from advisor.science import catalogue  # noqa: F401  registers on import

    return _REGISTRY


def get(id: str) -> Calculation:
    """One calculation; ``KeyError`` when there is none of that name."""
    return calculations()[id]
