"""An independent library for Bayesian networks (pgmpy), as a yardstick."""

from __future__ import annotations

import warnings
from itertools import product
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["naive_posterior", "network", "posterior"]

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    pytest.importorskip("pgmpy", reason="pgmpy is not there for this Python")
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork


def network(tables: Mapping[str, tuple[Sequence[str], Sequence[Sequence[float]]]]) -> Any:
    """A network from ``{variable: (parents, [chance of each state for each parent state])}``.

    The rows follow the parents' states in counting order, state 0 first.
    """
    made = DiscreteBayesianNetwork()
    made.add_nodes_from(tables)
    made.add_edges_from((p, v) for v, (parents, _) in tables.items() for p in parents)
    size = {v: len(rows[0]) for v, (_, rows) in tables.items()}
    for variable, (parents, rows) in tables.items():
        assert len(rows) == len(list(product(*(range(size[p]) for p in parents))))
        columns = [[row[state] for row in rows] for state in range(size[variable])]
        made.add_cpds(
            TabularCPD(variable, size[variable], columns, list(parents), [size[p] for p in parents])
        )
    return made


def posterior(made: Any, variable: str, evidence: Mapping[str, int]) -> list[float]:
    """The distribution of a variable given evidence, by variable elimination."""
    found = VariableElimination(made).query([variable], dict(evidence), show_progress=False)
    return [float(p) for p in found.values]


def naive_posterior(prior: Sequence[float], likelihoods: Sequence[Sequence[float]]) -> list[float]:
    """Posterior of a cause from its prior and, finding by finding, its chance under each cause."""
    tables: dict[str, tuple[Sequence[str], Sequence[Sequence[float]]]] = {"cause": ((), [prior])}
    for i, under in enumerate(likelihoods):
        tables[f"finding{i}"] = (("cause",), [[p, 1.0 - p] for p in under])
    return posterior(network(tables), "cause", {f"finding{i}": 0 for i in range(len(likelihoods))})
