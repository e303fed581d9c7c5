"""``curdwise drill play``: one drill, at the keyboard or from a file of answers."""

from __future__ import annotations

import getpass
import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.options import HOUSE, json_option
from advisor.drills.shape import DIFFICULTIES
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.drills.journal import Journal, Kept
    from advisor.drills.result import DrillResult
    from advisor.drills.scenario import Scenario
    from advisor.drills.session import DrillSession
    from advisor.knowledge.model import Base

__all__ = ["file_of", "finished_drills", "play", "written"]

_LATEST = "/latest"


@click.command()
@click.argument("scenario", required=False, type=click.Path(path_type=Path))
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), help="Make a batch up from this seed.")
@click.option("--difficulty", type=click.Choice(list(DIFFICULTIES)), help="How hard.")
@click.option("--topic", metavar="TOPIC", help="About what: curdwise drill list shows the topics.")
@click.option(
    "--resume",
    is_flag=False,
    flag_value=_LATEST,
    metavar="[NAME]",
    help="Go on with a drill that was left; the latest one when no name is given.",
)
@click.option(
    "--answers",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Take the answers from a file and ask nothing.",
)
@click.option("--learner", metavar="NAME", help="Who plays; by default you.")
@click.option("--group", default="", metavar="NAME", help="The class that the learner is in.")
@click.option("--exam", is_flag=True, help="No hints and no debrief.")
@json_option("The debrief as JSON.")
@HOUSE
def play(
    scenario: Path | None,
    seed: int | None,
    difficulty: str | None,
    topic: str | None,
    resume: str | None,
    answers: Path | None,
    learner: str | None,
    group: str,
    exam: bool,
    as_json: bool,
    house: tuple[Path, ...],
) -> None:
    """Play one drill: find out what is wrong with a batch, and what to do about it.

    Without SCENARIO something sensible is picked. SCENARIO is a file, or a name that
    `curdwise drill list` shows. Every step is kept as it happens: Ctrl-C leaves the drill, and
    --resume goes on with it.

    \b
    curdwise drill
    curdwise drill play two-papers-and-still-milk
    curdwise drill play --seed 7 --difficulty hard
    """
    from advisor.drills.journal import Journal
    from advisor.drills.names import read_name
    from advisor.drills.places import journal_folder
    from advisor.drills.session import EXAM, PRACTICE, DrillSession
    from advisor.knowledge.load import load

    if resume and (scenario or seed is not None):
        raise click.UsageError("--resume goes on with a drill: name no other.")
    if answers and not (scenario or seed is not None):
        raise click.UsageError("--answers needs to know which drill: name it, or give its --seed.")
    if not answers and not _somebody_there():
        raise click.UsageError(
            "there is no terminal to play on.\n"
            "Give --answers FILE, or ACCESSIBLE=1 to read numbered answers from standard input."
        )
    who = _name_of(learner)
    group = read_name(group, "class", where="--group", empty=True)
    base = load(house)
    waiting = _sweep(base)
    if resume:
        journal, session = _resumed(base, resume, waiting)
        _at_the_keyboard(session, journal, as_json)
        return
    chosen = _chosen(base, scenario, seed, difficulty or "", topic or "", who)
    session = DrillSession(
        base,
        chosen,
        datetime.now(UTC),
        who,
        group,
        EXAM if exam else PRACTICE,
        seed or 0,
    )
    if answers:
        _from_file(session, answers, as_json)
        return
    for kept in waiting[-1:]:
        click.echo(
            f"Left earlier: {kept.title}. curdwise drill --resume goes on with it.", err=True
        )
    _at_the_keyboard(session, Journal.begin(journal_folder(), session), as_json)


def _somebody_there() -> bool:
    from advisor.cli.diagnose import accessible

    return accessible() or (sys.stdin.isatty() and sys.stderr.isatty())


def _name_of(learner: str | None) -> str:
    """Who plays. Raises ``AdvisorError`` for a name that could not be kept."""
    from advisor.drills.names import read_name

    if learner is not None:
        return read_name(learner, where="--learner")
    if named := os.environ.get("CURDWISE_LEARNER"):
        return read_name(named, where="CURDWISE_LEARNER")
    try:
        return read_name(getpass.getuser())
    except (KeyError, OSError, AdvisorError):
        return "me"


def _sweep(base: Base) -> list[Kept]:
    """Finish what a killed program left: results are kept, rubbish is set aside and told."""
    from advisor.drills.generated import remake
    from advisor.drills.journal import Journal, unfinished
    from advisor.drills.places import journal_folder

    kept, aside = unfinished(journal_folder())
    for path in aside:
        click.echo(f"Set aside, because it is no journal of a drill: {path}", err=True)
    waiting = []
    for each in kept:
        if not each.over:
            waiting.append(each)
            continue
        try:
            journal, session = Journal.open(each.path, base, remake)
        except AdvisorError as error:
            if error.code != "drill-in-use":
                click.echo(f"The result of {each.title} waits: {error}", err=True)
            continue
        _keep_result(session, journal)
        click.echo(f"Kept the result of {each.title}, which was cut off.", err=True)
    return waiting


def _resumed(base: Base, name: str, waiting: list[Kept]) -> tuple[Journal, DrillSession]:
    from advisor.drills.generated import remake
    from advisor.drills.journal import Journal, set_aside
    from advisor.errors import did_you_mean

    if not waiting:
        raise AdvisorError(
            "nothing-to-resume", "no drill was left", hint="start one: curdwise drill"
        )
    kept = waiting[-1] if name == _LATEST else next((k for k in waiting if k.id == name), None)
    if kept is None:
        names = [k.id for k in waiting]
        raise AdvisorError(
            "nothing-to-resume",
            f"no drill called {name!r} was left",
            hint=did_you_mean(name, names) or f"left are: {', '.join(names)}",
        )
    try:
        return Journal.open(kept.path, base, remake)
    except AdvisorError as error:
        if error.code == "journal":
            raise AdvisorError(
                "journal", f"{error.message}; it was set aside", where=str(set_aside(kept.path))
            ) from None
        raise


def _chosen(
    base: Base, name: Path | None, seed: int | None, difficulty: str, topic: str, learner: str
) -> Scenario:
    from advisor.drills.generated import generate, topics
    from advisor.drills.nextup import next_up
    from advisor.drills.scenario import read_scenario

    if name is not None:  # a written drill takes the seed for its noise
        return read_scenario(file_of(name))
    if seed is not None:
        return generate(base, seed, topic=topic, difficulty=difficulty or "easy")
    now = datetime.now(UTC)
    there = written()
    fit = [
        s
        for s in there
        if (not topic or topic in s.topics) and (not difficulty or s.difficulty == difficulty)
    ]
    own = [r for r in finished_drills() if r.learner == learner]
    found = next_up(base, fit, own, now)
    if found is not None:
        if found.skill:
            click.echo(f"Picked because it exercises {found.skill}.", err=True)
        return found.scenario
    if topic and topic not in topics():
        known = sorted({t for s in there for t in s.topics} | set(topics()))
        raise AdvisorError(
            "no-such-drill",
            f"there is no drill about {topic!r}",
            hint=f"topics: {', '.join(known)}",
        )
    return generate(base, int(now.timestamp()), topic=topic, difficulty=difficulty or "easy")


def finished_drills() -> list[DrillResult]:
    """Every result that is kept here, in the spool and in the store of progress."""
    from advisor.drills.spool import Spool

    results = list(Spool().read()[0])
    try:
        results += _stored()
    except AdvisorError as error:
        click.echo(f"Earlier progress cannot be read: {error}", err=True)
    return results


def _stored() -> tuple[DrillResult, ...]:
    from advisor.drills.progress import Progress
    from advisor.store import open_store

    try:
        with open_store(create=False) as store:
            for notice in store.notices:
                click.echo(f"curdwise: {notice}", err=True)
            return Progress(store).results()
    except AdvisorError as error:
        if error.code == "store-missing":
            return ()  # nothing was ever kept: no need to make a store
        raise


def written() -> list[Scenario]:
    """The written scenarios that ship."""
    from advisor.drills.places import shipped_scenarios
    from advisor.drills.scenario import read_scenario

    return [read_scenario(path) for path in shipped_scenarios()]


def file_of(name: Path) -> Path:
    """A scenario's file from its path, or from the name of one that ships."""
    if name.exists() or name.suffix or len(name.parts) > 1:
        return name
    from advisor.drills.places import shipped_scenarios
    from advisor.errors import did_you_mean

    shipped = {path.stem: path for path in shipped_scenarios()}
    short = {stem.partition("-")[2]: path for stem, path in shipped.items()}
    found = shipped.get(str(name)) or short.get(str(name))
    if found is None:
        raise AdvisorError(
            "no-such-drill",
            f"there is no drill called {str(name)!r}",
            hint=did_you_mean(str(name), [*shipped, *short]) or "curdwise drill list shows them",
        )
    return found


def _at_the_keyboard(session: DrillSession, journal: Journal, as_json: bool) -> None:
    from advisor.cli.drill.asking import asker_for
    from advisor.cli.drill.flow import introduce, run_through

    introduce(session)
    try:
        session = run_through(session, journal, asker_for(session.base))
    except (KeyboardInterrupt, EOFError):
        journal.close()
        click.echo(f"\nKept. Go on with:\ncurdwise drill --resume {journal.id}", err=True)
        raise KeyboardInterrupt from None
    if session.phase == "ending":
        session = session.finish(datetime.now(UTC))
        journal.keep(session.events[-1])
    _keep_result(session, journal)
    click.echo("", err=True)
    _tell(session, as_json)


def _from_file(session: DrillSession, path: Path, as_json: bool) -> None:
    from advisor.drills.scoring import score
    from advisor.drills.sheet import apply, read_answers
    from advisor.drills.spool import Spool

    document = read_answers(path)
    session = apply(session, document.data, document).finish(datetime.now(UTC))
    Spool().save(score(session))
    _tell(session, as_json)


def _keep_result(session: DrillSession, journal: Journal) -> None:
    """The result first, on the disk; only then may the journal go."""
    from advisor.drills.scoring import score
    from advisor.drills.spool import Spool

    Spool().save(score(session))
    journal.done()


def _tell(session: DrillSession, as_json: bool) -> None:
    from advisor.cli.drill.printing import print_report
    from advisor.drills.debrief import debrief
    from advisor.drills.session import EXAM
    from advisor.report.drilldebrief import debrief_data, debrief_report

    if session.mode == EXAM:
        if as_json:
            data = {"version": 1, "kept": True, "scenario": session.scenario.name}
            click.echo(json.dumps(data, indent=2))
        else:
            click.echo("Kept. An exam gives no debrief.")
        return
    told = debrief(session)
    if as_json:
        click.echo(json.dumps(debrief_data(told), indent=2, ensure_ascii=False))
    else:
        print_report(debrief_report(told))
