"""Planning a trial: levels, test, tasters, codes and serving orders, all checked at once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound
from advisor.technique.trial.bounds import check_base, check_numbers, level_problem
from advisor.technique.trial.dials import DIALS, dial_called, sense_called
from advisor.technique.trial.methods import method_called
from advisor.technique.trial.model import CONTROL, Base, Cup, Flight, Sample, Trial
from advisor.technique.trial.orders import blocks, codes, shuffled, williams
from advisor.technique.trial.size import least_flights, power_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.technique.trial.dials import Dial

__all__ = ["plan_trial", "power_at_hand"]

_MOST_SAMPLES = 10
_MOST_FLIGHTS = 3000
_MOST_TASTERS = 200
_MOST_TEXT = 500
_ALONE_TEST, _ALONE_REPEATS = "triangle", 12


def plan_trial(
    dial: str,
    levels: Sequence[float] | None = None,
    *,
    second: str | None = None,
    second_levels: Sequence[float] | None = None,
    test: str = "auto",
    sense: str | None = None,
    tasters: int | Sequence[str] = 1,
    repeats: int | None = None,
    seed: int = 1,
    cup_ml: float = 15.0,
    base: Base | None = None,
    fixed: Mapping[str, float] | None = None,
    alpha: float = 0.05,
    wanted: float = 1.5,
    alone: bool | None = None,
    fresh_codes: bool = False,
    title: str = "",
    why: str = "",
) -> Trial:
    """A trial of ``dial`` at ``levels`` (its own unit) beside an untreated control.

    With ``second`` every level of one dial meets every level of the other. ``test`` is a word of
    ``TESTS`` or ``auto``: scores for two or more samples, a paired test for one, repeated
    triangles for one person alone. ``tasters`` are names or a number; one taster is taken to be
    ``alone`` unless told otherwise. ``fixed`` sets other dials, ``wanted`` is the d' that
    matters, ``fresh_codes`` gives every taster other codes for the same sample. The same
    arguments and ``seed`` give the same trial everywhere.

    Raises ``AdvisorError``; ``ProblemsFound`` lists everything that is wrong at once.
    """
    draft = _Draft()
    first = draft.dial(dial)
    other = draft.dial(second) if second else None
    if first is not None and other is not None and first.id == other.id:
        draft.wrong("dial", f"both dials are {first.id}", "name two different dials")
    names = draft.names(tasters)
    lonely = len(names) == 1 if alone is None else alone
    if lonely and len(names) > 1:
        draft.wrong("alone", f"alone is for one taster, and there are {len(names)}")
    settings: list[dict[str, float]] = [{}]
    for one, given in ((first, levels), (other, second_levels)):
        if one is None:
            continue
        usual = (one.usual[1],) if lonely and given is None and other is None else one.usual
        chosen = draft.levels(one, usual if given is None else given)
        settings = [{**s, one.id: level} for s in settings for level in chosen]
    kind = draft.test(test, treated=len(settings), named=sense is not None, alone=lonely)
    asked = draft.sense(sense, first)
    number = (_ALONE_REPEATS if lonely else 1) if repeats is None else repeats
    found = base or Base()
    dials = tuple(d.id for d in (first, other) if d is not None)
    stay = draft.fixed(fixed or {}, [d for d in (first, other) if d is not None], dials)
    draft.text("title", title)
    draft.text("why", why)
    draft.problems += check_base(found)
    draft.problems += check_numbers(
        repeats=number, seed=seed, cup_ml=cup_ml, alpha=alpha, wanted=wanted
    )
    draft.refuse()
    samples = (
        Sample(CONTROL),
        *(Sample(f"s{number}", s) for number, s in enumerate(settings, start=1)),
    )
    if len(samples) > _MOST_SAMPLES:
        raise AdvisorError(
            "trial-too-many-samples",
            f"{len(samples)} samples, the control among them, are more than a panel can hold "
            f"apart; at most {_MOST_SAMPLES}",
            where="levels",
            hint="fewer levels, or one dial at a time",
        )
    trial = Trial(
        title=title or _title(dials),
        test=kind,
        sense=asked,
        dials=dials,
        samples=samples,
        fixed=stay,
        tasters=names,
        repeats=number,
        flights=(),
        seed=seed,
        cup_ml=float(cup_ml),
        base=found,
        alpha=alpha,
        wanted=wanted,
        alone=lonely,
        fresh_codes=fresh_codes,
        why=why,
    )
    _enough(trial)
    return replace(trial, flights=_flights(trial))


def _title(dials: Sequence[str]) -> str:
    return "trial of " + " and ".join(DIALS[d].title for d in dials)


@dataclass(slots=True)
class _Draft:
    """Reads arguments and keeps what is wrong with them."""

    problems: list[Problem] = field(default_factory=list)

    def wrong(self, where: str, message: str, hint: str = "", code: str = "trial-plan") -> None:
        self.problems.append(Problem(code, message, Place(where), hint))

    def refuse(self) -> None:
        if self.problems:
            raise ProblemsFound("this trial cannot be planned", self.problems)

    def text(self, where: str, given: str) -> None:
        if len(given) > _MOST_TEXT or not given.isprintable():
            self.wrong(where, f"a {where} is one line of at most {_MOST_TEXT} printable characters")

    def _kept(self, error: AdvisorError) -> None:
        self.problems.append(Problem(error.code, error.message, error.where, error.hint))

    def dial(self, word: str) -> Dial | None:
        try:
            return dial_called(word)
        except AdvisorError as error:
            self._kept(error)
            return None

    def sense(self, word: str | None, dial: Dial | None) -> str:
        if word is None:
            return next(iter(dial.moves)) if dial is not None else ""
        try:
            return sense_called(word).id
        except AdvisorError as error:
            self._kept(error)
            return ""

    def test(self, word: str, *, treated: int, named: bool, alone: bool) -> str:
        if word == "auto":
            if alone:
                return _ALONE_TEST
            return "rate" if treated > 1 else "paired" if named else "triangle"
        try:
            return method_called(word).id
        except AdvisorError as error:
            self._kept(error)
            return ""

    def names(self, tasters: int | Sequence[str]) -> tuple[str, ...]:
        if isinstance(tasters, int):
            if isinstance(tasters, bool) or not 1 <= tasters <= _MOST_TASTERS:
                self.wrong(
                    "tasters", f"{tasters!r} tasters; there must be 1 to {_MOST_TASTERS}",
                    code="trial-tasters",
                )
                return ("T1",)
            return tuple(f"T{n}" for n in range(1, tasters + 1))
        names = tuple(" ".join(str(name).split()) for name in tasters)
        if not 1 <= len(names) <= _MOST_TASTERS:
            self.wrong(
                "tasters", f"{len(names)} tasters; there must be 1 to {_MOST_TASTERS}",
                code="trial-tasters",
            )
        for name in dict.fromkeys(names):
            if not name or len(name) > 40 or not name.isprintable():
                self.wrong(
                    "tasters", f"{name[:40]!r} cannot be a name: 1 to 40 printable characters",
                    code="trial-tasters",
                )
            if names.count(name) > 1:
                self.wrong(
                    "tasters", f"two tasters are called {name!r}", "tell them apart",
                    code="trial-tasters",
                )
        return names or ("T1",)

    def levels(self, dial: Dial, given: Sequence[float]) -> tuple[float, ...]:
        if not given:
            self.wrong(dial.id, "no levels are given", f"for example {dial.usual}", "trial-level")
        kept = []
        for level in given:
            problem = level_problem(dial, level)
            if problem:
                self.wrong(dial.id, problem, code="trial-level")
            elif level in kept:
                self.wrong(
                    dial.id, f"{level:g} {dial.unit} stands twice", "keep one", "trial-level"
                )
            else:
                kept.append(float(level))
        return tuple(sorted(kept)) or dial.usual[1:2]

    def fixed(
        self, given: Mapping[str, float], turned: Sequence[Dial], dials: Sequence[str]
    ) -> dict[str, float]:
        stay: dict[str, float] = {}
        for word, value in given.items():
            dial = self.dial(word)
            if dial is None:
                continue
            if dial.id in dials:
                self.wrong(dial.id, "this dial is turned and cannot stay put as well")
                continue
            problem = level_problem(dial, value)
            if problem:
                self.wrong(dial.id, problem, code="trial-level")
            else:
                stay[dial.id] = float(value)
        for dial in turned:
            for need, value in dial.needs.items():
                if need not in stay and need not in dials:
                    stay[need] = value
        return stay


def _enough(trial: Trial) -> None:
    """Refuse a panel that no answers could make significant."""
    flights = len(trial.tasters) * trial.repeats
    needed = least_flights(trial.test, len(trial.treated), trial.tail)
    if flights < needed:
        many = len(trial.treated)
        beside = f" of each of {many} samples" if many > 1 else ""
        raise AdvisorError(
            "trial-too-few-tasters",
            f"{flights} flights{beside} prove nothing, whatever is answered: with the "
            f"{trial.method.title} at {trial.alpha:g} it takes at least {needed}",
            where="tasters",
            hint=f"{needed} tasters, or repeats so that tasters x repeats reach {needed}, "
            "or fewer levels",
        )
    if flights * max(1, len(trial.treated) if trial.method.kind == "pick" else 1) > _MOST_FLIGHTS:
        raise AdvisorError(
            "trial-too-many-cups",
            f"more than {_MOST_FLIGHTS} flights",
            hint="fewer tasters or repeats",
        )


def _flights(trial: Trial) -> tuple[Flight, ...]:
    rng = Random(trial.seed)  # noqa: S311  repeatable orders, no secret
    if trial.method.kind == "pick":
        return _picking(trial, rng)
    return _everything(trial, rng)


def _picking(trial: Trial, rng: Random) -> tuple[Flight, ...]:
    treated = [s.id for s in trial.treated]
    rounds = [(t, r) for t in trial.tasters for r in range(trial.repeats)]
    patterns = {s: blocks(trial.method.patterns, len(rounds), rng) for s in treated}
    orders = _orders(len(treated), len(rounds), rng)
    most = {c: max(p.count(c) for p in trial.method.patterns) for c in "CT"}
    each = most["C"] + most["T"]
    cups = trial.method.cups if trial.fresh_codes else each
    wanted = len(treated) * cups * (len(rounds) if trial.fresh_codes else trial.repeats)
    pool = iter(codes(wanted, rng))
    shared: dict[tuple[str, int], dict[str, list[str]]] = {}
    flights: list[Flight] = []
    counts = dict.fromkeys(trial.tasters, 0)
    for place, (taster, repeat) in enumerate(rounds):
        for sample in (treated[i] for i in orders[place]):
            pattern = patterns[sample][place]
            if trial.fresh_codes:
                kept = {c: [next(pool) for _ in range(pattern.count(c))] for c in "CT"}
            else:
                if (sample, repeat) not in shared:
                    shared[sample, repeat] = {
                        c: [next(pool) for _ in range(most[c])] for c in "CT"
                    }
                kept = {c: list(shared[sample, repeat][c]) for c in "CT"}
            counts[taster] += 1
            served = tuple(
                Cup(kept[c].pop(0), CONTROL if c == "C" else sample) for c in pattern
            )
            flights.append(Flight(taster, counts[taster], served, sample))
    return tuple(flights)


def _orders(count: int, rounds: int, rng: Random) -> list[tuple[int, ...]]:
    if count == 1:
        return [(0,)] * rounds
    return blocks(williams(count), rounds, rng)


def _everything(trial: Trial, rng: Random) -> tuple[Flight, ...]:
    # Which sample is which of the square's letters is drawn too.
    samples = shuffled([s.id for s in trial.samples], rng)
    rounds = [(t, r) for t in trial.tasters for r in range(trial.repeats)]
    orders = blocks(williams(len(samples)), len(rounds), rng)
    sets = len(rounds) if trial.fresh_codes else trial.repeats
    pool = iter(codes(sets * len(samples), rng))
    coded = [{s: next(pool) for s in samples} for _ in range(sets)]
    flights = []
    for place, (taster, repeat) in enumerate(rounds):
        names = coded[place if trial.fresh_codes else repeat]
        cups = tuple(Cup(names[samples[i]], samples[i]) for i in orders[place])
        flights.append(Flight(taster, repeat + 1, cups))
    return tuple(flights)


def power_at_hand(trial: Trial) -> float:
    """Chance that this panel finds the difference that matters."""
    flights = len(trial.tasters) * trial.repeats
    return power_of(
        trial.test, flights, trial.wanted, treated=len(trial.treated), alpha=trial.tail
    )
