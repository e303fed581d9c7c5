"""Batches whose fault is known: from case files and from the simulator, in one form.

What a person says unasked is *told*; the rest of what is known is an *answer*, and is only
given when it is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.consult import read_case
from advisor.errors import AdvisorError
from advisor.reasoning.answers import finding_name

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from advisor.consult.case import Case
    from advisor.knowledge.model import Base
    from advisor.simulator import SimulatedBatch

__all__ = [
    "BY_VERDICT",
    "TELLING",
    "Expected",
    "KnownCase",
    "case_files",
    "from_case",
    "from_simulated",
]

# How much of a case file is told at once: the recipe that everybody is asked for, all facts
# about batch, process and storage as well, or everything.
TELLING = ("recipe", "facts", "everything")
_FACTS = ("batch", "process", "storage")
# Cases that are right or wrong by their verdict, whatever cause stands first.
BY_VERDICT = ("discard", "stop", "nothing-wrong", "open")


@dataclass(frozen=True, slots=True)
class Expected:
    """The truth of a case.

    ``causes`` are right when named first, ``stages`` when their stage is; either may be empty
    where a case says nothing of it. ``faults`` are what was really wrong, when that is known
    for certain, the main one first; ``twins`` are other names of the main one. ``true`` is the
    name it goes by in tables.
    """

    true: str
    causes: frozenset[str] = frozenset()
    stages: frozenset[str] = frozenset()
    verdict: str = "cause"
    faults: tuple[str, ...] = ()
    twins: frozenset[str] = frozenset()

    @property
    def by_verdict(self) -> bool:
        return self.verdict in BY_VERDICT

    def both_among(self, causes: Sequence[str]) -> bool | None:
        """Whether all of several faults are among these; ``None`` unless there are several."""
        if len(self.faults) < 2 or self.by_verdict:
            return None
        main = self.faults[0] in causes or not self.twins.isdisjoint(causes)
        return main and set(self.faults[1:]) <= set(causes)

    def both_together(self, sets: Sequence[Sequence[str]]) -> bool | None:
        """Whether one of these sets of causes holds all of several faults."""
        if self.both_among(()) is None:
            return None
        return any(self.both_among(each) for each in sets)


@dataclass(frozen=True, slots=True)
class KnownCase:
    """A batch with its truth; ``symptoms`` is ``None`` when no list of them was given."""

    name: str
    expected: Expected
    symptoms: tuple[str, ...] | None
    told: Mapping[str, object]
    answers: Mapping[str, object]
    tried: tuple[str, ...] = ()
    operation: str = ""
    seed: int | None = None
    title: str = field(default="", compare=False)


def case_files(places: Iterable[Path]) -> tuple[Path, ...]:
    """The case files among files and folders (not their subfolders), in order.

    Raises ``AdvisorError`` when there are none.
    """
    found: list[Path] = []
    for place in places:
        if place.is_dir():
            inside = sorted(p for p in place.iterdir() if p.suffix in (".yaml", ".yml"))
            if not inside:
                raise AdvisorError(
                    "no-cases",
                    "there is no case file in this folder",
                    where=str(place),
                    hint="case files end in .yaml; subfolders are not looked into",
                )
            found.extend(inside)
        else:
            found.append(place)
    return tuple(dict.fromkeys(found))


def from_case(base: Base, path: Path | str, telling: str = "facts") -> KnownCase | None:
    """A case of a file; ``None`` when it does not say what is expected of it.

    Everything in it is checked first. Raises ``AdvisorError``; ``ProblemsFound`` lists every
    fault at once.
    """
    from advisor.consult import Consultation

    case = read_case(path)
    Consultation.from_case(base, case, backend="reference")
    expected = _expected(base, case)
    if expected is None:
        return None
    told: dict[str, object] = {}
    answers: dict[str, object] = {}
    for name, raw in case.answers.items():
        finding = base.findings[finding_name(name)]
        at_once = (
            telling == "everything"
            or finding.symptom
            or bool(finding.opening)
            or (telling == "facts" and finding.group in _FACTS)
        )
        (told if at_once else answers)[finding.id] = raw
    return KnownCase(
        name=str(path),
        expected=expected,
        symptoms=case.symptoms and tuple(finding_name(s) for s in case.symptoms),
        told=told,
        answers=answers,
        tried=case.tried,
        operation=str(case.answers.get("operation", "")),
        title=case.title,
    )


def _expected(base: Base, case: Case) -> Expected | None:
    said = case.expect
    verdict = said.get("verdict", "cause")
    causes = [said["cause"]] if "cause" in said else list(said.get("among", ()))
    for cause in causes:
        if cause not in base.causes:
            raise AdvisorError(
                "unknown-cause",
                f"there is no cause {cause!r}",
                where=case.name,
                hint="expect: names a cause of the knowledge base",
            )
    stages = {said["stage"]} if "stage" in said else {base.causes[c].stage for c in causes}
    if not causes and not stages and verdict not in BY_VERDICT:
        return None
    true = verdict if verdict in BY_VERDICT else " or ".join(causes) or f"stage {said['stage']}"
    return Expected(
        true,
        frozenset(causes),
        frozenset(stages),
        verdict,
        (said["cause"],) if "cause" in said else (),
    )


def from_simulated(base: Base, batch: SimulatedBatch) -> KnownCase:
    """A case of a simulated batch."""
    causes = {*batch.accept, *batch.faults}
    by_verdict = batch.verdict in BY_VERDICT
    stages = {batch.stage, *(base.causes[f].stage for f in batch.faults if f in base.causes)}
    return KnownCase(
        name=f"seed {batch.seed}",
        expected=Expected(
            _true_name(batch, by_verdict),
            frozenset(causes),
            frozenset(s for s in stages if s and not by_verdict),
            batch.verdict,
            batch.faults,
            frozenset(batch.accept),
        ),
        symptoms=batch.symptoms,
        told=dict(batch.told),
        answers=dict(batch.answers),
        operation=batch.operation,
        seed=batch.seed,
    )


def _true_name(batch: SimulatedBatch, by_verdict: bool) -> str:
    faults = " + ".join(batch.faults)
    if not by_verdict:
        return faults
    return f"{batch.verdict} ({faults})" if faults else batch.verdict
