"""What the tasters said: from a YAML or CSV file, or one by one; checked against the trial."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound, did_you_mean
from advisor.technique.trial.trialfile import as_yaml, mark_of, read_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from advisor.technique.trial.model import Flight, Trial

__all__ = [
    "SCORES",
    "Answer",
    "answer_problem",
    "answers_from",
    "answers_yaml",
    "checked",
    "flight_of",
    "read_answers",
    "taster_called",
]

SCORES = (0.0, 10.0)
"""The scale of the scores; at most two decimals."""

VERSION = 1


@dataclass(frozen=True, slots=True)
class Answer:
    """What one taster said of one flight.

    ``picked`` are the codes of a picking test (one, or the two of a tetrad). ``ranked`` are
    groups of codes from the least to the most, tied codes in one group. ``scored`` maps codes to
    scores from 0 to 10. Only the one that belongs to the test is filled.
    """

    taster: str
    flight: int
    picked: tuple[str, ...] = ()
    ranked: tuple[tuple[str, ...], ...] = ()
    scored: Mapping[str, float] = field(default_factory=dict)
    said: str = ""


def taster_called(trial: Trial, name: str) -> str:
    """The taster meant: as written, or the only one whose name differs in capitals alone."""
    if name in trial.tasters:
        return name
    folded = [t for t in trial.tasters if t.casefold() == name.strip().casefold()]
    return folded[0] if len(folded) == 1 else name


def flight_of(trial: Trial, answer: Answer) -> Flight | None:
    """The flight that an answer is about, or ``None``."""
    for flight in trial.flights_of(answer.taster):
        if flight.number == answer.flight:
            return flight
    return None


def answer_problem(trial: Trial, answer: Answer) -> tuple[str, str]:
    """What is wrong with an answer and what to do; two empty texts when nothing is."""
    flight = flight_of(trial, answer)
    if answer.taster not in trial.tasters:
        return f"nobody is called {answer.taster[:40]!r}", did_you_mean(
            answer.taster, trial.tasters
        ) or f"the tasters are {', '.join(trial.tasters[:12])}"
    if flight is None:
        count = len(trial.flights_of(answer.taster))
        return f"{answer.taster} has flights 1 to {count}, not {answer.flight}", ""
    named = (*answer.picked, *(c for group in answer.ranked for c in group), *answer.scored)
    for code in named:
        if code not in flight.codes:
            return (
                f"code {code[:20]!r} is not in flight {flight.number} of {flight.taster}",
                f"the cups are {', '.join(flight.codes)}",
            )
    twice = [code for code, n in Counter(named).items() if n > 1]
    if twice:
        return f"code {twice[0]} is named twice", "name every cup once"
    return _incomplete(trial, flight, answer)


def _incomplete(trial: Trial, flight: Flight, answer: Answer) -> tuple[str, str]:
    kind = trial.method.kind
    given = {"pick": answer.picked, "rank": answer.ranked, "rate": answer.scored}
    if not given[kind] or any(given[other] for other in given if other != kind):
        word = {"pick": "picked", "rank": "ranked", "rate": "scored"}[kind]
        return f"an answer to a {trial.method.title} says what was {word}", ""
    if kind == "pick":
        if len(answer.picked) != trial.method.picks:
            return f"{len(answer.picked)} codes are picked; it takes {trial.method.picks}", ""
        return "", ""
    named = {c for group in answer.ranked for c in group} | set(answer.scored)
    missing = [code for code in flight.codes if code not in named]
    if missing:
        return f"nothing is said of {', '.join(missing)}", "every cup of the flight needs an answer"
    for code, score in answer.scored.items():
        if not SCORES[0] <= score <= SCORES[1]:
            return f"the score of {code} is {score:g}; scores run from 0 to 10", ""
        if abs(score * 100 - round(score * 100)) > 1e-6:
            return f"the score of {code} has more than two decimals", ""
    return "", ""


def checked(trial: Trial, answers: Iterable[Answer], name: str = "answers") -> tuple[Answer, ...]:
    """The answers in the order of the flights. ``ProblemsFound`` lists all that is wrong."""
    given = tuple(answers)
    problems = []
    for answer in given:
        message, hint = answer_problem(trial, answer)
        if message:
            place = Place(f"{name}: {answer.taster[:40]}, flight {answer.flight}")
            problems.append(Problem("trial-answer", message, place, hint))
    for (taster, number), times in Counter((a.taster, a.flight) for a in given).items():
        if times > 1:
            place = Place(f"{name}: {taster[:40]}, flight {number}")
            problems.append(
                Problem("trial-answered-twice", f"{taster[:40]} answers flight {number} "
                        f"{times} times", place, "keep the first answer that was given")
            )
    if problems:
        raise ProblemsFound("the answers are not right", problems)
    place_of = {(f.taster, f.number): i for i, f in enumerate(trial.flights)}
    return tuple(sorted(given, key=lambda a: place_of[a.taster, a.flight]))


def answers_yaml(trial: Trial, answers: Iterable[Answer]) -> str:
    """The answers as the text of a file; ``answers_from`` reads them back."""
    rows = []
    for answer in answers:
        row: dict[str, Any] = {"taster": answer.taster, "flight": answer.flight}
        if answer.picked:
            row["picked"] = answer.picked[0] if len(answer.picked) == 1 else list(answer.picked)
        if answer.ranked:
            row["ranked"] = [g[0] if len(g) == 1 else list(g) for g in answer.ranked]
        if answer.scored:
            row["scored"] = dict(answer.scored)
        if answer.said:
            row["said"] = answer.said
        rows.append(row)
    header = "# Answers to a curdwise trial. Ranked from the least to the most.\n"
    return header + as_yaml({"version": VERSION, "trial": mark_of(trial), "answers": rows})


def read_answers(trial: Trial, path: Path | str) -> tuple[Answer, ...]:
    """The answers in a file: CSV if its name ends so, else YAML."""
    return answers_from(trial, read_file(path, "answer file"), str(path))


def answers_from(trial: Trial, raw: bytes | str, name: str) -> tuple[Answer, ...]:
    """The answers in the text of a file. ``ProblemsFound`` lists everything that is wrong."""
    if name.lower().endswith(".csv"):
        return _from_csv(trial, raw, name)
    return _from_yaml(trial, raw, name)


_KEYS = ("taster", "flight", "picked", "ranked", "scored", "said")


class _Collected:
    """Answers and what is wrong with them, each with its place."""

    def __init__(self, trial: Trial) -> None:
        self.trial = trial
        self.answers: list[Answer] = []
        self.problems: list[Problem] = []
        self._seen: dict[tuple[str, int], Place] = {}

    def wrong(self, message: str, place: Place, hint: str = "", code: str = "trial-answer") -> None:
        self.problems.append(Problem(code, message, place, hint))

    def take(self, answer: Answer, place: Place) -> None:
        message, hint = answer_problem(self.trial, answer)
        if message:
            self.wrong(message, place, hint)
            return
        key = (answer.taster, answer.flight)
        if key in self._seen:
            before = self._seen[key]
            self.wrong(
                f"{answer.taster} answers flight {answer.flight} again", place,
                f"line {before.line} holds an answer already: keep the first that was given",
                "trial-answered-twice",
            )
            return
        self._seen[key] = place
        self.answers.append(answer)

    def done(self, what: str) -> tuple[Answer, ...]:
        if self.problems:
            raise ProblemsFound(what, self.problems)
        return checked(self.trial, self.answers)


def _from_yaml(trial: Trial, raw: bytes | str, name: str) -> tuple[Answer, ...]:
    from advisor.knowledge.yamlread import read_yaml

    document = read_yaml(raw, name, as_written=("trial", "taster", "said"))
    data = document.data
    found = _Collected(trial)
    if not isinstance(data, dict) or not isinstance(data.get("answers"), list):
        raise AdvisorError(
            "trial-answers", "this is not a file of answers", where=name,
            hint="it needs at least: answers: [{taster: T1, flight: 1, picked: 417}]",
        )
    for key in data:
        if key not in ("version", "trial", "answers", "title", "invented"):
            found.wrong(f"{key!r} is not known here", document.key_place((key,)),
                        did_you_mean(key, ("version", "trial", "answers")))  # fmt: skip
    if data.get("version", VERSION) != VERSION:
        found.wrong(
            f"version {data['version']!r} of an answer file is not known here",
            document.place(("version",)), f"this curdwise reads version {VERSION}",
        )
    if "trial" in data and data["trial"] != mark_of(trial):
        found.wrong(
            f"these answers belong to trial {str(data['trial'])[:20]!r}, and this one is "
            f"{mark_of(trial)!r}",
            document.place(("trial",)), "give the trial file that the sheets were printed from",
        )
    for index, row in enumerate(data["answers"]):
        place = document.place(("answers", index))
        if not isinstance(row, dict):
            found.wrong("an answer is a mapping: taster, flight and what was said", place)
            continue
        for key in row:
            if key not in _KEYS:
                found.wrong(f"{key!r} is not known here",
                            document.key_place(("answers", index, key)),
                            did_you_mean(key, _KEYS))  # fmt: skip
        answer = _row(row, place, found)
        if answer is not None:
            found.take(answer, place)
    return found.done("the answers are not right")


def _code(value: object) -> str | None:
    """A code as text; a file may hold it as a number."""
    if isinstance(value, bool) or not isinstance(value, int | str):
        return None
    return str(value).strip()


def _row(row: dict[str, Any], place: Place, found: _Collected) -> Answer | None:
    taster, number = row.get("taster"), row.get("flight", 1)
    if not isinstance(taster, str):
        found.wrong("taster is missing, or is not a name", place)
        return None
    if isinstance(number, bool) or not isinstance(number, int):
        found.wrong(f"flight must be a whole number, got {str(number)[:40]!r}", place)
        return None
    picked = row.get("picked", ())
    codes = picked if isinstance(picked, list | tuple) else [picked]
    ranked = row.get("ranked", [])
    rankings = ranked if isinstance(ranked, list) else None
    groups = None if rankings is None else [g if isinstance(g, list) else [g] for g in rankings]
    scored = row.get("scored", {})
    said = row.get("said", "")
    read_codes = [_code(c) for c in codes]
    read_groups = None if groups is None else [[_code(c) for c in g] for g in groups]
    if None in read_codes or read_groups is None or any(None in g or not g for g in read_groups):
        found.wrong("a code is three digits; ranked is a list of codes", place)
        return None
    if not isinstance(scored, dict) or not all(
        isinstance(s, int | float) and not isinstance(s, bool) for s in scored.values()
    ):
        found.wrong("scored maps every code to a number from 0 to 10", place)
        return None
    return Answer(
        taster_called(found.trial, taster),
        number,
        tuple(c for c in read_codes if c),
        tuple(tuple(c for c in g if c) for g in read_groups),
        {str(k): float(v) for k, v in scored.items()},
        said if isinstance(said, str) else "",
    )


_COLUMNS = {"pick": "picked", "rank": "rank", "rate": "score"}


def _from_csv(trial: Trial, raw: bytes | str, name: str) -> tuple[Answer, ...]:
    """One line a cup (``taster,flight,code,rank`` or ``score``), or a pick (``...,picked``)."""
    found = _Collected(trial)
    kind = trial.method.kind
    value = _COLUMNS[kind]
    wanted = ["taster", "flight", value] if kind == "pick" else ["taster", "flight", "code", value]
    header, rows = _table(raw, name)
    missing = [column for column in wanted if column not in header]
    if missing:
        raise AdvisorError(
            "trial-answers", f"the column {missing[0]!r} is missing", where=Place(name, 1, 1),
            hint=f"the first line is: {','.join(wanted)}",
        )
    if len(set(header)) != len(header):
        raise AdvisorError(
            "trial-answers", "two columns have the same name", where=Place(name, 1, 1)
        )
    cups: dict[tuple[str, int], dict[str, float]] = {}
    places: dict[tuple[str, int], Place] = {}
    for line, cells in rows:
        place = Place(name, line, 1, ",".join(cells)[:200])
        if len(cells) != len(header):
            found.wrong(f"{len(cells)} cells where the first line has {len(header)}", place)
            continue
        row = dict(zip(header, cells, strict=True))
        number = row["flight"]
        if not number.isdecimal() or len(number) > 6:
            found.wrong(f"flight must be a whole number, got {number[:40]!r}", place)
            continue
        key = (taster_called(trial, row["taster"]), int(number))
        if kind == "pick":
            codes = tuple(row["picked"].replace("+", " ").split())
            found.take(Answer(*key, picked=codes, said=row.get("said", "")), place)
            continue
        score = _number(row[value])
        if score is None:
            found.wrong(f"{value} must be a number, got {row[value][:40]!r}", place)
        elif row["code"] in cups.get(key, {}):
            found.wrong(f"code {row['code']} stands twice for {key[0]}", place,
                        code="trial-answered-twice")  # fmt: skip
        else:
            cups.setdefault(key, {})[row["code"]] = score
            places.setdefault(key, place)
    for key, given in cups.items():
        flight = flight_of(trial, Answer(*key))
        complete = flight is not None and len(given) == len(flight.codes)
        if kind == "rank" and complete and (wrong := _no_ranking(list(given.values()))):
            found.wrong(f"the ranks of {key[0][:40]}, flight {key[1]}, are {wrong}", places[key],
                        f"they run from 1 (the least) to {len(given)}; cups that tie share a "
                        "rank")  # fmt: skip
            continue
        found.take(_of_cups(kind, key, given), places[key])
    return found.done("the answers are not right")


def _table(raw: bytes | str, name: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    try:
        text = raw.decode("utf-8-sig") if isinstance(raw, bytes) else raw
        first = text.partition("\n")[0]
        cut = max(",;\t", key=first.count)
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=cut, strict=True)
        rows = [(reader.line_num, [cell.strip() for cell in cells]) for cells in reader if cells]
    except (UnicodeDecodeError, csv.Error) as error:
        reason = "not UTF-8 text" if isinstance(error, UnicodeDecodeError) else str(error)
        raise AdvisorError(
            "trial-answers", f"this table cannot be read: {reason}", where=name,
            hint="save it as CSV in UTF-8",
        ) from None
    if not rows:
        raise AdvisorError("trial-answers", "the file of answers is empty", where=name)
    return [column.lower() for column in rows[0][1]], rows[1:]


def _number(text: str) -> float | None:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return None
    return number if abs(number) < 1e6 else None


def _no_ranking(ranks: Sequence[float]) -> str:
    """The ranks as text where they are none; empty for 1, 2, 3 with ties in any usual way."""
    ordered = sorted(ranks)
    dense = sorted(set(ordered))
    ways = (
        [dense.index(r) + 1 for r in ordered],  # 1, 1, 2
        [ordered.index(r) + 1 for r in ordered],  # 1, 1, 3
        [ordered.index(r) + (ordered.count(r) + 1) / 2 for r in ordered],  # 1.5, 1.5, 3
    )
    return "" if ordered in ways else ", ".join(f"{rank:g}" for rank in ranks)


def _of_cups(kind: str, key: tuple[str, int], given: Mapping[str, float]) -> Answer:
    if kind == "rate":
        return Answer(*key, scored=dict(given))
    groups: Sequence[float] = sorted(set(given.values()))
    return Answer(
        *key, ranked=tuple(tuple(c for c, r in given.items() if r == rank) for rank in groups)
    )
