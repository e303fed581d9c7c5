"""A scenario: what is seen at once, what the batch answers when asked, and what is right.

A scenario file extends a case file. It is read here for its form, with every fault at once;
whether the advisor can solve it is for ``advisor.drills.check``.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from advisor.drills.shape import scenario_schema
from advisor.errors import AdvisorError, Place, ProblemsFound
from advisor.files import read_bounded
from advisor.reasoning.answers import finding_name

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.yamlread import Document

__all__ = [
    "Batch",
    "Dose",
    "Reading",
    "Scenario",
    "Written",
    "WrongToSay",
    "read_scenario",
    "scenario_from",
]

_MOST_BYTES = 500_000


class Batch(Protocol):
    """What stands behind a drill: it answers whatever is asked, measured or tried."""

    def answer(self, finding: str, attempt: int, seed: int) -> str | float:
        """What comes out; the same finding, attempt and seed always give the same."""
        ...


@dataclass(frozen=True, slots=True)
class Reading:
    """A written answer: ``within`` blurs a number, ``otherwise`` comes instead by ``chance``."""

    answer: str | float
    within: float = 0.0
    otherwise: str | float | None = None
    chance: float = 0.0


@dataclass(frozen=True)
class Written:
    """A batch by the file: what is not written is not known."""

    readings: Mapping[str, Reading]

    def answer(self, finding: str, attempt: int, seed: int) -> str | float:
        """See ``Batch``."""
        reading = self.readings.get(finding)
        if reading is None:
            return "unknown"
        share = _share(f"{seed}/{finding}/{attempt}")
        if reading.otherwise is not None and share < reading.chance:
            return reading.otherwise
        if reading.within and isinstance(reading.answer, int | float):
            digits = 1 if reading.within >= 0.1 else 2
            return round(reading.answer + (2.0 * share - 1.0) * reading.within, digits)
        return reading.answer


def _share(name: str) -> float:
    """A number from 0 to 1 that hangs on the name alone, in every Python alike."""
    return int.from_bytes(hashlib.sha256(name.encode()).digest()[:7], "big") / 2.0**56


@dataclass(frozen=True, slots=True)
class Dose:
    """A right amount of something, with what is still right; ``unit`` is mL or g."""

    of: str
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True)
class WrongToSay:
    """A sentence that must not be said to a guest or a colleague, and why."""

    text: str
    because: str


@dataclass(frozen=True)
class Scenario:
    """One drill, ready to be played.

    ``causes`` has the main cause first and a second one when two faults are there; it is empty
    when nothing is wrong. ``accept`` are causes that nothing asked could tell from the main
    one. ``seen`` keeps the order of the file. ``text`` is what it was read from, empty for a
    generated one, which ``made_from`` describes instead.
    """

    name: str
    title: str
    story: str
    difficulty: str
    topics: tuple[str, ...]
    symptoms: tuple[str, ...]
    seen: Mapping[str, Any]
    batch: Batch
    verdict: str
    causes: tuple[str, ...] = ()
    accept: tuple[str, ...] = ()
    remedies: tuple[str, ...] = ()
    doses: tuple[Dose, ...] = ()
    say: tuple[str, ...] = ()
    wrong_to_say: tuple[WrongToSay, ...] = ()
    misconceptions: Mapping[str, str] = field(default_factory=dict)
    red_herrings: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    panel: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    invented: bool = False
    source: str = ""
    text: str = field(default="", repr=False)
    made_from: Mapping[str, Any] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict, compare=False, repr=False)

    @property
    def cause(self) -> str:
        """The main cause; empty when nothing is wrong."""
        return self.causes[0] if self.causes else ""

    @property
    def right(self) -> tuple[str, ...]:
        """Every cause that counts as right."""
        return (*self.causes, *(c for c in self.accept if c not in self.causes))

    @property
    def digest(self) -> str:
        """Changes whenever what the drill asks or answers changes."""
        told = self.text or repr((sorted(self.made_from.items()), self.symptoms, self.causes))
        return hashlib.sha256(told.encode()).hexdigest()[:16]

    def place(self, key: str) -> Place:
        """Where something stands in the file, or the file."""
        return self.places.get(key, Place(self.name))


def read_scenario(path: Path | str) -> Scenario:
    """Read a scenario file.

    Raises ``AdvisorError``; ``ProblemsFound`` lists every fault of its form.
    """
    path = Path(path)
    raw = read_bounded(
        path,
        _MOST_BYTES,
        code="scenario-unreadable",
        saying="the scenario cannot be read",
        too_large=("scenario-too-large", "a scenario is never this large"),
        hint="curdwise drill list shows the drills that are there",
    )
    return scenario_from(raw, str(path))


def scenario_from(raw: bytes | str, name: str) -> Scenario:
    """A scenario from its text. Raises as ``read_scenario`` does."""
    from advisor.knowledge.shapecheck import shape_problems
    from advisor.knowledge.yamlread import read_yaml

    document = read_yaml(raw, name)
    if document.data is None:
        raise AdvisorError(
            "scenario-empty",
            "the scenario file is empty",
            where=name,
            hint="curdwise drill new FILE writes one to fill in",
        )
    problems = shape_problems(document, scenario_schema)
    if problems:
        raise ProblemsFound("this scenario is not right", problems)
    text = raw if isinstance(raw, str) else raw.decode("utf-8-sig")
    return _scenario(document, text)


def _scenario(document: Document, text: str) -> Scenario:
    data = document.data
    seen = {finding_name(key): value for key, value in data["seen"].items()}
    symptoms = tuple(finding_name(s) for s in seen.pop("symptoms"))
    solution, teaching = data["solution"], data.get("teaching", {})
    readings = {finding_name(key): _reading(value) for key, value in data.get("hidden", {}).items()}
    return Scenario(
        name=Path(document.name).stem,
        title=data["title"],
        story=data["story"].strip(),
        difficulty=data["difficulty"],
        topics=tuple(data["topics"]),
        symptoms=symptoms,
        seen=seen,
        batch=Written(readings),
        verdict=solution["verdict"],
        causes=tuple(solution.get("causes", ())),
        accept=tuple(solution.get("accept", ())),
        remedies=tuple(solution.get("remedies", ())),
        doses=_doses(document),
        say=tuple(solution.get("say", ())),
        wrong_to_say=tuple(WrongToSay(**w) for w in solution.get("wrong_to_say", ())),
        misconceptions=teaching.get("misconceptions", {}),
        red_herrings={finding_name(k): v for k, v in teaching.get("red_herrings", {}).items()},
        note=teaching.get("note", "").strip(),
        panel=solution.get("panel", {}),
        invented=data.get("invented", False),
        source=data.get("source", ""),
        text=text,
        places=_places(document),
    )


def _reading(value: Any) -> Reading:
    if isinstance(value, dict):
        return Reading(
            _plain(value["answer"]),
            float(value.get("within", 0.0)),
            _plain(value["or"]) if "or" in value else None,
            float(value.get("chance", 0.5 if "or" in value else 0.0)),
        )
    return Reading(_plain(value))


def _plain(value: Any) -> str | float:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else float(value)


def _doses(document: Document) -> tuple[Dose, ...]:
    """Ranges as amounts; each fault of an amount is told with its place."""
    from advisor.drills.amounts import read_amount
    from advisor.errors import Problem

    doses, problems = [], []
    for index, written in enumerate(document.data["solution"].get("doses", ())):
        place = document.place(("solution", "doses", index))
        try:
            low, unit = read_amount(written["from"])
            high, other = read_amount(written["to"])
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, place, error.hint))
            continue
        if unit != other or not 0.0 < low < high:
            problems.append(
                Problem(
                    "dose-range",
                    f"from {written['from']} to {written['to']} is no range",
                    place,
                    "two amounts above nothing of the same kind, the smaller one first",
                )
            )
            continue
        doses.append(Dose(written["of"], low, high, unit))
    if problems:
        raise ProblemsFound("this scenario is not right", problems)
    return tuple(doses)


def _places(document: Document) -> dict[str, Place]:
    """Places by ``seen/x``, ``hidden/x``, ``solution/x`` and ``solution/x/id``."""
    places = {}
    for path in document.places:
        if not path:
            continue
        key = "/".join(finding_name(p) if path[0] in ("seen", "hidden") and isinstance(p, str)
                       else str(p) for p in path)  # fmt: skip
        places[key] = document.key_place(path)
        value: Any = document.data
        for part in path:
            value = value[part]
        if isinstance(path[-1], int) and isinstance(value, str):
            places["/".join((*key.split("/")[:-1], value))] = document.place(path)
    return places
