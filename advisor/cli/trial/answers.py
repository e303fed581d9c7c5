"""``curdwise trial answers``: the answers typed one flight at a time, or taken from a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.exits import Exit
from advisor.cli.trial.files import JSON, print_data, write
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.technique.trial import Answer, Trial

__all__ = ["answers"]


@click.command()
@click.argument("trial_file", metavar="TRIAL", type=click.Path(path_type=Path))
@click.option("--save", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              required=True, help="Where the answers go; if it is there, they are added to.")
@click.option("--from", "source", type=click.Path(path_type=Path), metavar="FILE",
              help="Take answers from a CSV or YAML file and ask nothing.")
@click.option("--taster", metavar="NAME", help="Ask this taster only.")
@JSON
def answers(
    trial_file: Path, save: Path, source: Path | None, taster: str | None, as_json: bool
) -> Exit:
    """Take the answers of a trial, one taster at a time; each is saved at once.

    \b
    curdwise trial answers trial.yaml --save answers.yaml
    curdwise trial answers trial.yaml --save answers.yaml --from table.csv

    A table has the columns taster, flight, code and score or rank (1 for the least); for tests
    that pick a cup: taster, flight, picked. ACCESSIBLE=1 asks line by line.
    """
    from advisor.technique.trial import read_answers, read_trial
    from advisor.technique.trial.answers import taster_called

    trial = read_trial(trial_file)
    taster = None if taster is None else taster_called(trial, taster)
    if save.suffix.lower() == ".csv":
        raise AdvisorError(
            "options", "answers are saved as YAML", where="--save", hint="for example answers.yaml"
        )
    if taster is not None and taster not in trial.tasters:
        from advisor.errors import did_you_mean

        raise AdvisorError(
            "trial-answer", f"nobody is called {taster[:40]!r}", where="--taster",
            hint=did_you_mean(taster, trial.tasters) or f"{', '.join(trial.tasters[:12])}",
        )
    known = read_answers(trial, save) if save.exists() else ()
    interrupted = False
    if source is not None:
        known = _joined(trial, known, read_answers(trial, source))
        _save(trial, save, known)
    else:
        from advisor.cli.trial.ask import ask_all

        known, interrupted = ask_all(
            trial, known, lambda given: _save(trial, save, given), only=taster
        )
    _told(trial, known, save, as_json=as_json)
    return Exit.INTERRUPTED if interrupted else Exit.OK


def _joined(
    trial: Trial, known: tuple[Answer, ...], more: tuple[Answer, ...]
) -> tuple[Answer, ...]:
    """Old and new answers; whoever answers a flight twice is refused, the same answer is not."""
    from advisor.technique.trial.answers import checked

    fresh = [a for a in more if a not in known]
    return checked(trial, (*known, *fresh), "answers together")


def _save(trial: Trial, path: Path, given: tuple[Answer, ...]) -> None:
    from advisor.technique.trial import answers_yaml

    write(path, answers_yaml(trial, given), replace=True)


def _told(trial: Trial, given: tuple[Answer, ...], path: Path, *, as_json: bool) -> None:
    missing = [
        {"taster": f.taster, "flight": f.number}
        for f in trial.flights
        if not any((a.taster, a.flight) == (f.taster, f.number) for a in given)
    ]
    if as_json:
        print_data(
            {"version": 1, "file": str(path), "answered": len(given),
             "flights": len(trial.flights), "missing": missing}
        )  # fmt: skip
        return
    click.echo(f"{len(given)} of {len(trial.flights)} flights answered, saved in {path}")
    if missing:
        names = dict.fromkeys(str(m["taster"]) for m in missing)
        click.echo(f"Still to come: {', '.join(names)}")
    else:
        click.echo("All are in: now the key may be opened.", err=True)
