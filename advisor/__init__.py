"""curdwise: advice for clarifying and enriching drinks with milk, fat and whey.

    >>> import advisor
    >>> batch = advisor.Consultation(advisor.load()).tell_symptoms(["cloud_at_filter"])
    >>> batch = batch.tell("acid_drop", "flakes")
    >>> batch.advice.verdict.cause
    'acid-short-casein-left'
    >>> batch.why_not("acid-swamped").first
    'acid-short-casein-left'

Everything the command does is here without a terminal; nothing is imported before it is used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from advisor.version import __version__

__all__ = [
    "AdvisorError",
    "Consultation",
    "Wanted",
    "__version__",
    "explanations",
    "infer",
    "load",
    "read_case",
    "result",
]

_WHERE = {
    "AdvisorError": "advisor.errors",
    "Consultation": "advisor.consult",
    "Wanted": "advisor.report.wanted",
    "explanations": "advisor.report.explanations",
    "infer": "advisor.reasoning.infer",
    "load": "advisor.knowledge.load",
    "read_case": "advisor.consult",
    "result": "advisor.report.result",
}

if TYPE_CHECKING:
    from advisor.consult import Consultation, read_case
    from advisor.errors import AdvisorError
    from advisor.knowledge.load import load
    from advisor.reasoning.infer import infer
    from advisor.report.explanations import explanations
    from advisor.report.result import result
    from advisor.report.wanted import Wanted


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module 'advisor' has no attribute {name!r}")
    return getattr(import_module(_WHERE[name]), name)
