"""Single edits of the knowledge base, and what catches them: how well the base is guarded."""

from __future__ import annotations

from advisor.evaluation.mutation.catch import CATCHERS, Catchers
from advisor.evaluation.mutation.mutant import KINDS, Mutant, mutants
from advisor.evaluation.mutation.panel import (
    Panel,
    differences,
    make_panel,
    read_panel,
    write_panel,
)
from advisor.evaluation.mutation.run import EVIDENCE, Caught, Score, Setup, Tally, mutate, wilson

__all__ = [
    "CATCHERS",
    "EVIDENCE",
    "KINDS",
    "Catchers",
    "Caught",
    "Mutant",
    "Panel",
    "Score",
    "Setup",
    "Tally",
    "differences",
    "make_panel",
    "mutants",
    "mutate",
    "read_panel",
    "wilson",
    "write_panel",
]
