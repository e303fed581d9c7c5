"""What each check would show, done on this batch: add acid, warm, strengthen, filter, stand, look.

Every outcome is worked out again from the state; noise is a slip of the eye near a limit. Limits
are judgement unless said otherwise. ``None``: the check cannot be done on this batch now.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from advisor.simulator.checks.acid import ACID
from advisor.simulator.checks.clarity import CLARITY
from advisor.simulator.checks.curd import CURD
from advisor.simulator.checks.nose import NOSE
from advisor.simulator.checks.trials import TRIALS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from advisor.simulator.chance import Chance
    from advisor.simulator.state import State

__all__ = ["CHECKS"]

CHECKS: Mapping[str, Callable[[State, Chance], str | None]] = MappingProxyType(
    {**ACID, **CLARITY, **CURD, **TRIALS, **NOSE}
)
