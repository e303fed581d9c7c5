"""``curdwise class``: what a class can do, what it confuses, and what to set next."""

from __future__ import annotations

import json
import os
import shutil
import sys
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.options import json_option
from advisor.errors import AdvisorError
from advisor.files import reason

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from advisor.drills.journal import Kept
    from advisor.drills.progress import Progress
    from advisor.store import Learner

__all__ = ["classroom"]


class _ReportByDefault(click.Group):
    """``curdwise class`` alone is the report, and so is ``curdwise class --html page.html``."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        own = {"-h", "--help"}
        if not args or (args[0] not in self.commands and args[0] not in own):
            args = ["report", *args]
        return super().parse_args(ctx, args)


_STORE = click.option(
    "--store",
    metavar="URL",
    help="Where progress is kept: a file, or postgresql://... [CURDWISE_STORE]",
)
_GROUP = click.option("--class", "group", metavar="NAME", help="The class, where a name is in two.")
_JSON = json_option("As JSON on standard output.")


@contextmanager
def _progress(url: str | None, *, again: bool = False) -> Iterator[Progress]:
    """The progress of everybody, with what was finished since it was last opened.

    What was finished here goes into the store that is used when none is named with --store.
    """
    from advisor.drills.progress import Progress
    from advisor.drills.spool import Spool
    from advisor.store import is_default, open_store

    own = url is None or is_default(url)
    spool = Spool()
    waiting = len(spool.read()[0])
    named = bool(url or os.environ.get("CURDWISE_STORE", "").strip())
    with open_store(url, create=own and (not named or waiting > 0)) as store:
        for notice in store.notices:
            click.echo(f"curdwise: {notice}", err=True)
        progress = Progress(store)
        if own:
            for notice in progress.take(spool).notices:
                click.echo(f"curdwise: {notice}", err=True)
        elif waiting and not again:
            click.echo(
                f"curdwise: {waiting} finished here are not in this store: without --store they "
                "go into your own, or into the one that CURDWISE_STORE names.",
                err=True,
            )
        yield progress


def _one(progress: Progress, name: str, group: str | None) -> Learner:
    """A learner by name, however it is spaced and its accents are put together."""
    if group is not None:
        group = _as_kept(group, progress.store.groups())
    name = _as_kept(name, [p.name for p in progress.store.learners(group)])
    return progress.store.learner(name, group)


def _as_kept(name: str, known: Sequence[str]) -> str:
    from advisor.drills.names import tidy

    if name in known:
        return name
    return next((other for other in known if tidy(other) == tidy(name)), name)


def _warn_alike(people: Iterable[tuple[str, str]]) -> None:
    """People of one class (class, name) whose names differ in capitals or accents alone."""
    from advisor.drills.names import alike

    classes: dict[str, list[str]] = {}
    for group, name in people:
        classes.setdefault(group, []).append(name)
    for group, names in classes.items():
        for same in alike(names):
            where = f" ({group})" if group else ""
            click.echo(
                f"curdwise: {' and '.join(same)}{where} count as {len(same)} people. If they are "
                "one, write the name one way.",
                err=True,
            )


@click.group(cls=_ReportByDefault)
def classroom() -> None:
    """Progress of learners and classes.

    \b
    The report on everybody:            curdwise class
    On one class, as a page:            curdwise class report "Tuesday" --html tuesday.html
    Everything kept of one person:      curdwise class export "Ann" -o ann.json
    """


@classroom.command()
@click.argument("name", default="", metavar="[CLASS]")
@click.option("--mode", type=click.Choice(["practice", "exam"]), help="Only these drills.")
@click.option("--html", type=click.Path(path_type=Path, dir_okay=False), help="Write a page.")
@click.option("--csv", type=click.Path(path_type=Path, file_okay=False),
              help="Write CSV files into this folder, which is made.")  # fmt: skip
@_JSON
@_STORE
def report(
    name: str,
    mode: str | None,
    html: Path | None,
    csv: Path | None,
    as_json: bool,
    store: str | None,
) -> None:
    """The report on a CLASS, or on everybody."""
    from advisor.drills.classreport import report_on
    from advisor.knowledge.load import load
    from advisor.report.classroom.screen import class_lines
    from advisor.report.classroom.tables import as_csv, as_data, sheets

    with _progress(store) as progress:
        groups = progress.store.groups()
        name = _as_kept(name, groups)
        if name and name not in groups:
            raise _unknown_class(name, groups)
        results = progress.results(group=name or None)
    _warn_alike({(r.group, r.learner) for r in results})
    results = tuple(r for r in results if mode is None or r.mode == mode)
    if not results:
        raise AdvisorError(
            "no-drills",
            f"no {mode or 'finished'} drill is kept here yet",
            hint="curdwise drill makes a first one",
        )
    base, now = load(), datetime.now(UTC)
    made = report_on(base, results, now, group=name)
    if html is not None:
        from advisor.report.classroom.page import class_page

        _write(html, class_page(base, made, now))
    if csv is not None:
        _make_folder(csv)
        for sheet in sheets(base, made):
            _write(csv / f"{sheet.name}.csv", as_csv(sheet))
    if as_json:
        _print(as_data(base, made))
    elif html is None and csv is None:
        for line in class_lines(base, made, now, _width()):
            click.echo(line)


@classroom.command("list")
@_JSON
@_STORE
def list_(as_json: bool, store: str | None) -> None:
    """Who is kept here, in which class, with how many drills."""
    with _progress(store) as progress:
        people = progress.store.learners()
    _warn_alike((p.group, p.name) for p in people)
    if as_json:
        rows = [
            {"name": p.name, "class": p.group, "drills": p.attempts, "last": _moment(p.last)}
            for p in people
        ]
        _print({"version": 1, "learners": rows})
        return
    for person in people:
        where = person.group or "no class"
        click.echo(f"{person.name}  ({where})  {person.attempts} drills, last {_day(person.last)}")
    if not people:
        click.echo("nobody yet", err=True)


@classroom.command()
@click.argument("name")
@_GROUP
@_JSON
@_STORE
def learner(name: str, group: str | None, as_json: bool, store: str | None) -> None:
    """What one person can do, and what to practise next."""
    from advisor.drills.classreport import report_on
    from advisor.knowledge.load import load
    from advisor.report.classroom.screen import learner_lines
    from advisor.report.classroom.tables import as_data

    with _progress(store) as progress:
        found = _one(progress, name, group)
        results = progress.results(learner=found.name, group=found.group)
    base, now = load(), datetime.now(UTC)
    made = report_on(base, results, now, group=found.group)
    if as_json:
        _print(as_data(base, made))
        return
    for line in learner_lines(base, made.learners[0], now, _width()):
        click.echo(line)


@classroom.command()
@click.argument("name")
@_GROUP
@click.option("-o", "--output", type=click.Path(path_type=Path, dir_okay=False), help="The file.")
@_STORE
def export(name: str, group: str | None, output: Path | None, store: str | None) -> None:
    """Everything that is kept of one person, as JSON."""
    with _progress(store) as progress:
        found = _one(progress, name, group)
        kept = progress.store.attempts(name=found.name, group=found.group)
    data = {
        "version": 1,
        "name": found.name,
        "class": found.group,
        "drills": [dict(attempt.record) for attempt in kept],
    }
    if output is None:
        _print(data)
        return
    _write(output, json.dumps(data, indent=2, ensure_ascii=False) + "\n")


@classroom.command()
@click.argument("name")
@_GROUP
@click.option("--yes", is_flag=True, help="Without asking.")
@_STORE
def delete(name: str, group: str | None, yes: bool, store: str | None) -> None:
    """Delete a person and everything that is kept of them. It cannot be undone."""
    from advisor.drills.spool import Spool
    from advisor.store import Learner

    failed: AdvisorError | None = None
    try:
        with _progress(store) as progress:
            found = _one(progress, name, group)
    except AdvisorError as error:
        nothing_kept = error.code == "store-missing" and store is None
        if error.code != "unknown-learner" and not nothing_kept:
            raise
        failed, found = error, Learner(name, group or "")
    begun = _unfinished_of(found.name, group if failed else found.group)
    if failed:
        if not begun:
            raise failed
        classes = {kept.group for kept in begun}
        if len(classes) > 1:
            raise AdvisorError(
                "learner-unclear",
                f"{name!r} has left drills in several classes: "
                + ", ".join(sorted(c or "none" for c in classes)),
                hint="name the class too",
            )
        found = Learner(begun[0].learner, begun[0].group)
    where = f" of class {found.group}" if found.group else ""
    also = f" and {len(begun)} left unfinished" if begun else ""
    if not yes:
        if not sys.stdin.isatty():
            raise AdvisorError(
                "delete-unsure",
                f"{found.name}{where} and {found.attempts} drills{also} would be deleted",
                hint="say --yes to do it",
            )
        click.confirm(
            f"Delete {found.name}{where} and {found.attempts} drills{also} for good?",
            abort=True,
            err=True,
        )
    gone = 0
    if failed is None:
        with _progress(store, again=True) as progress:
            gone = progress.store.delete(found.name, found.group)
    for kept in begun:
        kept.path.unlink(missing_ok=True)
    aside = Spool().forget_aside(found.name, found.group)
    also += f" and {aside} set aside" if aside else ""
    click.echo(f"{found.name}{where}: deleted, with {gone} drills{also}", err=True)


def _unfinished_of(name: str, group: str | None) -> list[Kept]:
    """Drills of a person that were begun and left hold the name too; a namesake's are not theirs.

    Without a class, those of every class.
    """
    from advisor.drills.journal import unfinished
    from advisor.drills.names import tidy
    from advisor.drills.places import journal_folder

    left, aside = unfinished(journal_folder())
    for path in aside:
        click.echo(f"Set aside, because it is no journal of a drill: {path}", err=True)
    return [
        kept
        for kept in left
        if tidy(kept.learner) == tidy(name) and (group is None or tidy(kept.group) == tidy(group))
    ]


def _unknown_class(name: str, groups: tuple[str, ...]) -> AdvisorError:
    from advisor.errors import did_you_mean

    named = [g for g in groups if g]
    listed = "the classes are: " + ", ".join(named) if named else "no class is kept here yet"
    return AdvisorError(
        "unknown-class", f"there is no class {name!r}", hint=did_you_mean(name, named) or listed
    )


def _write(path: Path, text: str) -> None:
    if not path.parent.is_dir():
        raise _unwritable(path, f"there is no folder {path.parent}")
    try:
        path.write_text(text, encoding="utf-8", newline="")
    except (OSError, ValueError) as error:
        raise _unwritable(path, reason(error)) from None
    click.echo(f"written: {path}", err=True)


def _make_folder(path: Path) -> None:
    if not path.parent.is_dir():
        raise _unwritable(path, f"there is no folder {path.parent}")
    try:
        path.mkdir(exist_ok=True)
    except (OSError, ValueError) as error:
        raise _unwritable(path, reason(error)) from None


def _unwritable(path: Path, why: str) -> AdvisorError:
    return AdvisorError(
        "report-unwritable",
        f"the file cannot be written: {why}",
        where=str(path),
        hint="choose a folder that is there and that you may write to",
    )


def _print(data: dict[str, Any]) -> None:
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))


def _moment(time: datetime | None) -> str | None:
    return None if time is None else time.isoformat()


def _day(time: datetime | None) -> str:
    return "never" if time is None else f"{time:%d %b %Y}"


def _width() -> int:
    return min(100, shutil.get_terminal_size((80, 24)).columns)
