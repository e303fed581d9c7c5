"""curdwise: advice for clarifying and enriching drinks with milk, fat and whey.

    >>> import advisor
    >>> batch = advisor.Consultation(advisor.load()).tell_symptoms(["cloud_at_filter"])
    >>> batch.tell("acid_drop", "flakes").advice.verdict.cause
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
    "__version__",
    "infer",
    "load",
    "read_case",
    "result",
]

_WHERE = {
    "AdvisorError": "advisor.errors",
    "Consultation": "advisor.consult",
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
    from advisor.report.result import result


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module 'advisor' has no attribute {name!r}")
    return getattr(import_module(_WHERE[name]), name)
