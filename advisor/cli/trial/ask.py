"""Asking for answers flight by flight, with arrow keys or line by line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.prompts import Keys, Numbered, say_to_person

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from advisor.cli.prompts import Asker
    from advisor.report.trialsheets import TasterSheet
    from advisor.technique.trial import Answer, Flight, Trial

__all__ = ["ask_all"]

_BACK, _SKIP, _STOP = "back", "skip", "stop"
_SIDES = "or: skip (no answer) · back · stop"


class _Leave(Exception):  # noqa: N818  it is a reply, no fault
    """Something else than an answer was said."""


def _asker() -> Asker:
    from advisor.cli.diagnose import accessible

    if accessible():
        return Numbered(lambda *_: "")
    import sys

    if sys.stdin.isatty() and sys.stderr.isatty():
        return Keys(lambda *_: "")
    raise click.UsageError(
        "there is no terminal to ask on.\n"
        "Give --from FILE with a table of answers; ACCESSIBLE=1 reads them from standard input."
    )


def ask_all(
    trial: Trial,
    known: tuple[Answer, ...],
    save: Callable[[tuple[Answer, ...]], None],
    *,
    only: str | None = None,
) -> tuple[tuple[Answer, ...], bool]:
    """Ask for every flight that is not answered yet, saving after each.

    Ends when all are answered, at *stop*, at the end of the input or at Ctrl-C; nothing is lost.
    Gives the answers and whether it was interrupted.
    """
    from advisor.report.trialsheets import taster_sheets

    asker = _asker()
    pages = {sheet.taster: sheet for sheet in taster_sheets(trial)}
    open_flights = [
        f
        for f in trial.flights
        if (only is None or f.taster == only)
        and not any((a.taster, a.flight) == (f.taster, f.number) for a in known)
    ]
    given = list(known)
    place = 0
    last = ""
    interrupted = False
    while place < len(open_flights):
        flight = open_flights[place]
        if flight.taster != last:
            say_to_person()
            say_to_person(f"Taster {flight.taster}. {pages[flight.taster].ask}")
            last = flight.taster
        try:
            answer = _ask(asker, trial, flight, pages[flight.taster])
        except _Leave as reply:
            if str(reply) == _STOP:
                break
            place = max(0, place - 1) if str(reply) == _BACK else place + 1
            if str(reply) == _BACK:
                again = open_flights[place]
                given = [a for a in given if (a.taster, a.flight) != (again.taster, again.number)]
                save(tuple(given))
            continue
        except (KeyboardInterrupt, EOFError, click.Abort) as end:
            say_to_person()
            say_to_person("Stopped. What was answered is saved.")
            interrupted = not isinstance(end, EOFError)
            break
        given.append(answer)
        save(tuple(given))
        place += 1
    return tuple(given), interrupted


def _ask(asker: Asker, trial: Trial, flight: Flight, page: TasterSheet) -> Answer:
    from advisor.technique.trial import Answer

    say_to_person()
    number = f", flight {flight.number}" if len(page.flights) > 1 else ""
    say_to_person(f"{flight.taster}{number}: {'  '.join(flight.codes)}")
    if page.blank == "pick":
        picked = tuple(_pick(asker, page, flight.codes))
        return Answer(flight.taster, flight.number, picked=picked)
    if page.blank == "rank":
        return _ranked(asker, trial, flight)
    scores = {}
    for code in flight.codes:
        scores[code] = _score(asker, code)
    return Answer(flight.taster, flight.number, scored=scores)


def _pick(asker: Asker, page: TasterSheet, codes: Sequence[str]) -> list[str]:
    picked: list[str] = []
    for turn in range(page.picks):
        left = [code for code in codes if code not in picked]
        ask = "Which cup?" if page.picks == 1 else f"Cup {turn + 1} of the pair?"
        sides = [(_SKIP, "no answer"), (_BACK, "back"), (_STOP, "stop here")]
        reply = asker.pick(ask, [*((code, code) for code in left), *sides])
        _leave(reply)
        picked.append(reply)
    return picked


def _leave(reply: str) -> None:
    if reply.strip().lower() in (_BACK, _SKIP, _STOP):
        raise _Leave(reply.strip().lower())


def _ranked(asker: Asker, trial: Trial, flight: Flight) -> Answer:
    from advisor.technique.trial import Answer
    from advisor.technique.trial.answers import answer_problem

    say_to_person("From the least to the most, with spaces; tied cups with = between them.")
    say_to_person(f"({_SIDES})", indent=2)
    while True:
        typed = asker.text("Order:")
        _leave(typed)
        joined = typed.replace(",", " ").replace(" = ", "=").replace("= ", "=").replace(" =", "=")
        groups = tuple(tuple(part.split("=")) for part in joined.split())
        answer = Answer(flight.taster, flight.number, ranked=groups)
        message, hint = answer_problem(trial, answer)
        if not message:
            return answer
        say_to_person(". ".join(t[:1].upper() + t[1:] for t in (message, hint) if t) + ".")


def _score(asker: Asker, code: str) -> float:
    while True:
        typed = asker.text(f"{code}, 0 to 10 ({_SIDES}):")
        _leave(typed)
        try:
            score = float(typed.strip().replace(",", "."))
        except ValueError:
            score = -1.0
        if 0.0 <= score <= 10.0 and abs(score * 100 - round(score * 100)) < 1e-6:
            return score
        say_to_person("Type a number from 0 to 10, at most two decimals.")
