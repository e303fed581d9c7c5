"""The trial file: YAML that holds the plan, the codes and the orders; read back strictly.

Orders and codes stand in the file itself, so a trial can be judged whatever draws them later.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Problem, ProblemsFound, did_you_mean
from advisor.files import read_bounded
from advisor.technique.trial.bounds import check_base, check_numbers, level_problem
from advisor.technique.trial.dials import DIALS, SENSES
from advisor.technique.trial.methods import TESTS
from advisor.technique.trial.model import CONTROL, VERSION, Base, Cup, Flight, Sample, Trial
from advisor.technique.trial.orders import CODES

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.yamlread import Document

__all__ = ["as_yaml", "mark_of", "read_file", "read_trial", "trial_from", "trial_yaml"]

_MOST_BYTES = 2_000_000
_CODES = frozenset(CODES)
_HEADER = (
    "# A curdwise trial. This file is the key: whoever tastes must not see it.\n"
    "# Levels, cups and names may be changed only before anybody tastes, by planning again.\n"
)


def trial_yaml(trial: Trial) -> str:
    """The trial as the text of a file; ``trial_from`` reads it back to an equal trial."""
    data: dict[str, Any] = {
        "version": VERSION,
        "title": trial.title,
        "test": trial.test,
        "sense": trial.sense,
        "dials": list(trial.dials),
        "fixed": dict(trial.fixed),
        "samples": {s.id: dict(s.settings) for s in trial.samples},
        "base": {k: v for k, v in asdict(trial.base).items() if v not in (None, "")},
        "cup_ml": trial.cup_ml,
        "alpha": trial.alpha,
        "wanted": trial.wanted,
        "alone": trial.alone,
        "fresh_codes": trial.fresh_codes,
        "seed": trial.seed,
        "repeats": trial.repeats,
        "tasters": list(trial.tasters),
        "why": trial.why,
        "flights": [_flight(f) for f in trial.flights],
    }
    data = {k: v for k, v in data.items() if v not in ("", {})}
    return f"{_HEADER}{as_yaml(data)}"


def as_yaml(data: Any) -> str:
    """Plain data as YAML whose text stays text in the sense of YAML 1.2 (``1e5`` is a number)."""
    from advisor.knowledge.yamlwrite import yaml_text

    return yaml_text(data, width=96, quote='"')


def _flight(flight: Flight) -> dict[str, Any]:
    row: dict[str, Any] = {"taster": flight.taster, "number": flight.number}
    if flight.against:
        row["against"] = flight.against
    return row | {"cups": [f"{cup.code} {cup.sample}" for cup in flight.cups]}


def mark_of(trial: Trial) -> str:
    """Eight characters that tell this trial's cups from any other's; answers carry them along."""
    said = [
        trial.test,
        *(f"{s.id} {sorted(s.settings.items())}" for s in trial.samples),
        *(f"{f.taster} {f.number} {f.cups}" for f in trial.flights),
    ]
    return hashlib.sha256("\n".join(said).encode()).hexdigest()[:8]


def read_file(path: Path | str, what: str) -> bytes:
    """The bytes of a file of at most 2 MB; ``AdvisorError`` (``trial-unreadable``) otherwise."""
    return read_bounded(
        path, _MOST_BYTES, code="trial-unreadable", saying=f"the {what} cannot be read",
        too_large=("trial-too-large", f"a {what} is never this large"),
        hint="check the name and the folder",
    )


def read_trial(path: Path | str) -> Trial:
    """A trial from its file. ``ProblemsFound`` lists everything that is wrong with it."""
    return trial_from(read_file(path, "trial file"), str(path))


def trial_from(raw: bytes | str, name: str) -> Trial:
    """A trial from the text of a file."""
    from advisor.knowledge.yamlread import read_yaml

    document = read_yaml(raw, name)
    if not isinstance(document.data, dict):
        raise AdvisorError(
            "trial-file", "this is not a trial file", where=name,
            hint="curdwise trial plan --save FILE writes one",
        )
    reader = _Reader(document)
    reader.form()
    reader.refuse()
    trial = reader.trial()
    reader.refuse()
    reader.check(trial)
    reader.refuse()
    return trial


_KEYS: dict[str, tuple[type, ...]] = {
    "version": (int,), "title": (str,), "test": (str,), "sense": (str,), "dials": (list,),
    "fixed": (dict,), "samples": (dict,), "base": (dict,), "cup_ml": (int, float),
    "alpha": (int, float), "wanted": (int, float), "alone": (bool,), "fresh_codes": (bool,),
    "seed": (int,), "repeats": (int,), "tasters": (list,), "why": (str,), "flights": (list,),
}  # fmt: skip
_MAY = {"fixed", "base", "why", "title"}
_CALLED = {int: "a whole number", float: "a number", str: "text", list: "a list",
           dict: "a mapping", bool: "true or false"}  # fmt: skip
_BASE: dict[str, tuple[type, ...]] = {
    "volume": (int, float), "strength": (int, float), "acid": (int, float), "kind": (str,),
    "milk_kind": (str,), "acid_kind": (str,), "fat_kind": (str,), "whey_kind": (str,),
}  # fmt: skip


class _Reader:
    """Checks one document from the outside in; a later step runs only if the earlier held."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.data: dict[str, Any] = document.data
        self.problems: list[Problem] = []

    def refuse(self) -> None:
        if self.problems:
            raise ProblemsFound("this trial file is not right", self.problems)

    def wrong(self, path: tuple[str | int, ...], message: str, hint: str = "") -> None:
        place = self.document.place(path)
        self.problems.append(Problem("trial-file", message, place, hint))

    def form(self) -> None:
        """Keys and types."""
        self._keys((), self.data, _KEYS, _MAY)
        if isinstance(self.data.get("version"), int) and self.data["version"] != VERSION:
            self.wrong(
                ("version",), f"version {self.data['version']} of a trial file is not known here",
                f"this curdwise reads version {VERSION}",
            )
        if isinstance(self.data.get("base"), dict):
            self._keys(("base",), self.data["base"], _BASE, set(_BASE))
        for key in ("dials", "tasters"):
            for index, item in enumerate(self._list(key)):
                if not isinstance(item, str) or not item.strip():
                    self.wrong((key, index), "this must be text")
        for index, item in enumerate(self._list("flights")):
            path = ("flights", index)
            if not isinstance(item, dict):
                self.wrong(path, "a flight is a mapping: taster, number, cups")
                continue
            self._keys(
                path, item,
                {"taster": (str,), "number": (int,), "against": (str,), "cups": (list,)},
                {"against"},
            )
            for place, cup in enumerate(item.get("cups") or ()):
                if not isinstance(cup, str) or len(cup.split()) != 2:
                    self.wrong((*path, "cups", place), "a cup is its code and its sample: 417 s1")

    def _list(self, key: str) -> list[Any]:
        value = self.data.get(key)
        return value if isinstance(value, list) else []

    def _keys(
        self,
        path: tuple[str | int, ...],
        data: dict[str, Any],
        known: dict[str, tuple[type, ...]],
        may: set[str],
    ) -> None:
        for key, value in data.items():
            if key not in known:
                place = self.document.key_place((*path, key))
                self.problems.append(
                    Problem("trial-file", f"{key!r} is not known here", place,
                            did_you_mean(key, known))
                )
            elif not isinstance(value, known[key]) or (
                isinstance(value, bool) and bool not in known[key]
            ):
                self.wrong((*path, key), f"{key} must be {_CALLED[known[key][-1]]}")
        for key in known:
            if key not in data and key not in may:
                self.wrong(path, f"{key} is missing")

    def trial(self) -> Trial:
        """Words, levels and numbers."""
        data = self.data
        for key, known in (("test", TESTS), ("sense", SENSES)):
            if data[key] not in known:
                self.wrong((key,), f"{data[key]!r} is not a {key}", did_you_mean(data[key], known))
        dials = self._dials()
        if "base" in data:
            for problem in check_base(base := Base(**data["base"])):
                key = problem.where.name.removeprefix("base ")
                self.wrong(("base", key), problem.message, problem.hint)
        else:
            base = Base()
        numbers = {k: data[k] for k in ("repeats", "seed", "cup_ml", "alpha", "wanted")}
        for problem in check_numbers(**numbers):
            self.wrong((problem.where.name,), problem.message)
        samples = self._samples(dials)
        fixed = self._settings(("fixed",), data.get("fixed", {}), tuple(DIALS))
        return Trial(
            title=data.get("title", ""), test=data["test"], sense=data["sense"], dials=dials,
            samples=samples, fixed=fixed, tasters=tuple(data["tasters"]),
            repeats=data["repeats"], flights=tuple(map(_flight_from, data["flights"])),
            seed=data["seed"], cup_ml=float(data["cup_ml"]), base=base, alpha=data["alpha"],
            wanted=data["wanted"], alone=data["alone"], fresh_codes=data["fresh_codes"],
            why=data.get("why", ""),
        )  # fmt: skip

    def _dials(self) -> tuple[str, ...]:
        dials = tuple(self.data["dials"])
        for index, word in enumerate(dials):
            if word not in DIALS:
                self.wrong(("dials", index), f"{word!r} is not a dial", did_you_mean(word, DIALS))
        if not 1 <= len(dials) <= 2 or len(set(dials)) != len(dials):
            self.wrong(("dials",), "a trial turns one dial, or two different ones")
        return tuple(d for d in dials if d in DIALS)

    def _settings(
        self, path: tuple[str | int, ...], given: object, dials: tuple[str, ...]
    ) -> dict[str, float]:
        if not isinstance(given, dict):
            self.wrong(path, "settings are a mapping of dial to level")
            return {}
        kept = {}
        for word, level in given.items():
            if word not in dials:
                self.wrong((*path, word), f"{word!r} is not a dial of this trial",
                           did_you_mean(word, dials))  # fmt: skip
            elif problem := level_problem(DIALS[word], level):
                self.wrong((*path, word), problem)
            else:
                kept[word] = float(level)
        return kept

    def _samples(self, dials: tuple[str, ...]) -> tuple[Sample, ...]:
        samples: list[Sample] = []
        for name, given in self.data["samples"].items():
            path = ("samples", name)
            settings = self._settings(path, given or {}, dials)
            if name == CONTROL and settings:
                self.wrong(path, "the control has no settings")
            elif name != CONTROL and set(settings) != set(dials) and isinstance(given, dict):
                self.wrong(path, f"sample {name} must set {' and '.join(dials)}")
            elif name != CONTROL and any(dict(s.settings) == settings for s in samples):
                self.wrong(path, f"sample {name} is the same as another one")
            samples.append(Sample(name, settings))
        if CONTROL not in self.data["samples"]:
            self.wrong(("samples",), "there is no control")
        if not 2 <= len(samples) <= 10:
            self.wrong(("samples",), f"{len(samples)} samples; there must be 2 to 10")
        return tuple(samples)

    def check(self, trial: Trial) -> None:
        """Codes, cups and flights against the design."""
        if len(set(trial.tasters)) != len(trial.tasters) or not trial.tasters:
            self.wrong(("tasters",), "tasters must be named, each once")
        if trial.alone and len(trial.tasters) != 1:
            self.wrong(("alone",), "alone is for one taster")
        meanings: dict[str, set[str]] = {}
        served: Counter[tuple[str, int]] = Counter()
        for index, flight in enumerate(trial.flights):
            self._flight(trial, index, flight)
            served[flight.taster, flight.number] += 1
            for cup in flight.cups:
                meanings.setdefault(cup.code, set()).add(cup.sample)
        for code, samples in sorted(meanings.items()):
            if len(samples) > 1:
                self.wrong(
                    ("flights",), f"code {code} stands for {' and '.join(sorted(samples))}",
                    "every code stands for one sample only",
                )
        for (taster, number), times in sorted(served.items()):
            if times > 1:
                self.wrong(("flights",), f"{taster} has flight {number} {times} times")
        each = trial.repeats * (len(trial.treated) if trial.method.kind == "pick" else 1)
        for taster in trial.tasters:
            numbers = sorted(f.number for f in trial.flights_of(taster))
            if numbers != list(range(1, each + 1)):
                self.wrong(("flights",), f"{taster} must have flights 1 to {each}, has {numbers}")

    def _flight(self, trial: Trial, index: int, flight: Flight) -> None:
        path = ("flights", index)
        known = {s.id for s in trial.samples}
        if flight.taster not in trial.tasters:
            self.wrong((*path, "taster"), f"{flight.taster!r} is not one of the tasters",
                       did_you_mean(flight.taster, trial.tasters))  # fmt: skip
        for place, cup in enumerate(flight.cups):
            where = (*path, "cups", place)
            if cup.code not in _CODES:
                self.wrong(where, f"{cup.code!r} is not a code: three digits, the first not 0")
            if cup.sample not in known:
                message = f"{cup.sample!r} is not a sample"
                self.wrong(where, message, did_you_mean(cup.sample, known))
        twice = [c for c, n in Counter(flight.codes).items() if n > 1]
        if twice:
            self.wrong((*path, "cups"), f"code {', '.join(twice)} stands twice in one flight")
        if trial.method.kind == "pick":
            pattern = "".join("C" if c.sample == CONTROL else "T" for c in flight.cups)
            others = {c.sample for c in flight.cups} - {CONTROL}
            treated = {s.id for s in trial.treated}
            if pattern not in trial.method.patterns or others != {flight.against}:
                self.wrong(
                    (*path, "cups"),
                    f"these are not the cups of a {trial.method.title}: one sample and the control",
                )
            elif flight.against not in treated:
                self.wrong(path, "against must name a treated sample")
        elif Counter(c.sample for c in flight.cups) != Counter(known) or flight.against:
            self.wrong((*path, "cups"), "this flight must hold one cup of every sample")


def _flight_from(row: dict[str, Any]) -> Flight:
    cups = tuple(Cup(*cup.split()) for cup in row["cups"])
    return Flight(row["taster"], row["number"], cups, row.get("against", ""))
