"""Forward chaining: rules and facts in, firings and what stands behind them out.

``compile_chain`` gives a chain on durable-rules where that can be loaded and on the
reference backend elsewhere; both give the same run for the same facts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from advisor.chain.limits import check_limits
from advisor.chain.lookahead import Change, LookAhead
from advisor.chain.port import Chain, ChainRule, Fact, Firing, Run
from advisor.chain.program import Program
from advisor.chain.reference import ReferenceChain
from advisor.chain.strata import check_strata
from advisor.errors import AdvisorError, ProblemsFound, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "BACKENDS",
    "Chain",
    "ChainRule",
    "Change",
    "CompiledChain",
    "Fact",
    "Firing",
    "LookAhead",
    "ReferenceChain",
    "Run",
    "available",
    "check_limits",
    "check_strata",
    "compile_chain",
]

BACKENDS = ("default", "durable-rules", "reference")


class CompiledChain(Chain, Protocol):
    """A chain as ``compile_chain`` gives it."""

    @property
    def note(self) -> str:
        """Why another backend than the usual one runs, or the empty string."""
        ...

    @property
    def reference(self) -> ReferenceChain:
        """The same rules on the reference backend, for looking ahead and bulk runs."""
        ...


def available() -> tuple[str, ...]:
    """The backends that can be loaded here, the usual one first."""
    from advisor.chain.durable import load_engine

    try:
        load_engine()
    except AdvisorError:
        return ("reference",)
    return ("durable-rules", "reference")


def compile_chain(rules: Sequence[ChainRule], backend: str = "default") -> CompiledChain:
    """Compile rules for a backend: ``default``, ``durable-rules`` or ``reference``.

    ``default`` is durable-rules where it can be loaded and can hold the rules, and the
    reference backend otherwise, with the reason in its ``note``. Raises ``AdvisorError``
    for an unknown backend or one that cannot be loaded, and ``ProblemsFound`` for rules
    that cannot be run.
    """
    if backend not in BACKENDS:
        hint = did_you_mean(backend, BACKENDS) or f"choose {', '.join(BACKENDS)}"
        raise AdvisorError("unknown-backend", f"there is no backend {backend!r}", hint=hint)
    program = Program(rules)
    if backend == "reference":
        return ReferenceChain(program)
    # Imported here, so that a start on the reference backend does not pay for it.
    from advisor.chain.durable import DurableChain

    try:
        return DurableChain(program)
    except AdvisorError as error:
        if backend == "durable-rules":
            raise
        return ReferenceChain(program, _why_not(error))


def _why_not(error: AdvisorError) -> str:
    reason = error.problems[0].message if isinstance(error, ProblemsFound) else error.message
    return f"the reference backend ran instead: {reason}"
