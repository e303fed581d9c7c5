"""Everything that can go wrong, by where it happens. Importing this room fills the list."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.simulator.faults import (
    acid,
    base,
    chill,
    fat,
    milk,
    people,
    process,
    separation,
    service,
    storage,
    whey,
)
from advisor.simulator.faults._kit import ALL, Fault, UnsuitableError
from advisor.simulator.faults.sound import nothing_wrong

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["FAULTS", "Fault", "UnsuitableError", "nothing_wrong"]

_ROOMS = (acid, base, chill, fat, milk, people, process, separation, service, storage, whey)
FAULTS: Mapping[str, Fault] = MappingProxyType(ALL)
