"""Contrasts: why not that cause, this rather than that, what would change the advice, what if.

Every one of them asks what the advice would be under other answers or with fewer rules, and
none of them changes the inference it is asked of.
"""

from __future__ import annotations

from advisor.reasoning.contrast.changes import Flip, Pair, WhatChanges, what_changes
from advisor.reasoning.contrast.difference import Changed, Difference, Moved, difference, ruled_out
from advisor.reasoning.contrast.gist import Gist, gist_of
from advisor.reasoning.contrast.named import cause_named
from advisor.reasoning.contrast.published import (
    LeftOut,
    WithoutPractice,
    published_engine,
    without_practice,
)
from advisor.reasoning.contrast.rather import Rather, Turn, Weighed, rather
from advisor.reasoning.contrast.supposing import Supposed, Supposing
from advisor.reasoning.contrast.whynot import Missed, Raise, TestState, WhyNot, why_not

__all__ = [
    "Changed",
    "Difference",
    "Flip",
    "Gist",
    "LeftOut",
    "Missed",
    "Moved",
    "Pair",
    "Raise",
    "Rather",
    "Supposed",
    "Supposing",
    "TestState",
    "Turn",
    "Weighed",
    "WhatChanges",
    "WhyNot",
    "WithoutPractice",
    "cause_named",
    "difference",
    "gist_of",
    "published_engine",
    "rather",
    "ruled_out",
    "what_changes",
    "why_not",
    "without_practice",
]
