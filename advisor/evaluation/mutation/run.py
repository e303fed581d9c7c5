"""Edits caught and not caught, counted by kind and by what caught them."""

from __future__ import annotations

import math
import multiprocessing
import random
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from statistics import NormalDist
from typing import TYPE_CHECKING

from advisor.evaluation.mutation.catch import CATCHERS, Catchers
from advisor.evaluation.mutation.mutant import KINDS, mutants
from advisor.evaluation.mutation.panel import read_panel
from advisor.evaluation.situations import case_consultations, simulated_consultations
from advisor.knowledge.audit.places import Places
from advisor.knowledge.load import load_written

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from pathlib import Path

    from advisor.evaluation.mutation.mutant import Mutant

__all__ = ["EVIDENCE", "Caught", "Score", "Setup", "Tally", "mutate", "wilson"]

# Catchers that say something about rightness; the panel says only that something changed.
EVIDENCE = tuple(name for name in CATCHERS if name != "panel")

_Z95 = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True, slots=True)
class Setup:
    """Which base is edited, and what may catch the edits."""

    house: tuple[Path, ...] = ()
    cases: tuple[Path, ...] = ()
    simulated: int = 0
    seed: int = 1  # of the simulated batches
    panel: Path | None = None

    def ready(self) -> tuple[list[Mutant], Catchers]:
        """All edits, and the catchers."""
        base, gathered = load_written(self.house)
        cases = case_consultations(base, self.cases) if self.cases else ()
        made = simulated_consultations(base, self.simulated, self.seed) if self.simulated else ()
        panel = read_panel(self.panel) if self.panel else None
        edits = mutants(base, gathered, Places(base, gathered))
        return edits, Catchers(base, cases, made, panel)


@dataclass(frozen=True, slots=True)
class Caught:
    """One edit and what caught it; ``by`` is empty when it survived."""

    kind: str
    subject: str
    what: str
    where: str
    by: str


@dataclass(frozen=True, slots=True)
class Score:
    """A share of edits caught, with its 95 % interval when the edits are a sample."""

    caught: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.caught / self.of if self.of else 1.0


@dataclass(frozen=True, slots=True)
class Tally:
    """The outcome of a run."""

    results: tuple[Caught, ...]
    total: int  # edits that there are
    cases: int
    simulated: int
    panel: bool

    @property
    def sampled(self) -> bool:
        return len(self.results) < self.total

    @property
    def survivors(self) -> tuple[Caught, ...]:
        return tuple(each for each in self.results if not each.by)

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds that occur, in their fixed order."""
        there = {each.kind for each in self.results}
        return tuple(kind for kind in KINDS if kind in there)

    def score(self, kind: str = "", by: Iterable[str] = CATCHERS) -> Score:
        """The share caught, of one kind or of all, by some catchers or by any."""
        wanted = frozenset(by)
        flags = [e.by in wanted for e in self.results if not kind or e.kind == kind]
        caught, of = sum(flags), len(flags)
        if not self.sampled or not of:
            share = caught / of if of else 1.0
            return Score(caught, of, share, share)
        return Score(caught, of, *wilson(caught, of))

    def by_catcher(self, kind: str = "") -> Counter[str]:
        """How many each catcher was the first to notice; "" are the survivors."""
        return Counter(e.by for e in self.results if not kind or e.kind == kind)


def wilson(caught: int, of: int) -> tuple[float, float]:
    """The 95 % score interval of a share (Wilson EB 1927, J. Am. Stat. Assoc. 22, 209)."""
    share, z2 = caught / of, _Z95 * _Z95
    middle = (share + z2 / (2 * of)) / (1 + z2 / of)
    half = _Z95 * math.sqrt(share * (1 - share) / of + z2 / (4 * of * of)) / (1 + z2 / of)
    return max(0.0, middle - half), min(1.0, middle + half)


def mutate(
    setup: Setup,
    *,
    sample: int = 0,
    seed: int = 1,
    processes: int = 1,
    progress: Callable[[int, int], None] = lambda done, whole: None,
) -> Tally:
    """Make edits and see what catches them.

    ``sample`` is how many of them, drawn without replacement by ``seed``; 0 is all. What
    comes out depends on neither their order nor the number of processes.
    """
    edits, catchers = setup.ready()
    chosen: Sequence[int] = range(len(edits))
    if 0 < sample < len(edits):
        chosen = sorted(random.Random(seed).sample(chosen, sample))  # noqa: S311  no secret
    results: list[Caught] = []
    if processes > 1:
        context = multiprocessing.get_context("spawn")
        start = partial(_start, setup)
        with ProcessPoolExecutor(processes, context, initializer=start) as pool:
            for caught in pool.map(_one, chosen, chunksize=8):
                results.append(caught)
                progress(len(results), len(chosen))
    else:
        for number in chosen:
            results.append(_caught(edits[number], catchers))
            progress(len(results), len(chosen))
    return Tally(
        tuple(results),
        len(edits),
        len(catchers.cases),
        len(catchers.simulated),
        catchers.panel is not None,
    )


def _caught(edit: Mutant, catchers: Catchers) -> Caught:
    by = catchers.catch(edit.make())
    return Caught(edit.kind, edit.subject, edit.what, str(edit.where), by)


_READY: list[tuple[list[Mutant], Catchers]] = []


def _start(setup: Setup) -> None:
    """Make a process ready; each builds the same edits for itself."""
    _READY[:] = [setup.ready()]


def _one(number: int) -> Caught:
    edits, catchers = _READY[0]
    return _caught(edits[number], catchers)
