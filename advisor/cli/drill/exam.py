"""``curdwise drill exam`` and ``gather``: the same drills for a whole class."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, json_option
from advisor.drills.shape import DIFFICULTIES
from advisor.errors import AdvisorError
from advisor.files import reason, replace_file

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.drills.exam import Gathered
    from advisor.drills.scenario import Scenario
    from advisor.errors import Problem
    from advisor.knowledge.model import Base

__all__ = ["exam", "gather"]



@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("scenarios", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--count", type=click.IntRange(1, 40), default=5, show_default=True,
    help="How many drills, when none is named.",
)  # fmt: skip
@click.option(
    "--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True,
    help="The same for everybody: it picks the drills and fixes their noise.",
)  # fmt: skip
@click.option("--made-up", is_flag=True, help="Make the drills up from the seed.")
@click.option("--difficulty", type=click.Choice(list(DIFFICULTIES)), help="How hard.")
@click.option("--topic", default="", metavar="TOPIC", help="About what.")
@click.option("--learner", "learners", multiple=True, metavar="NAME",
              help="Write a sheet with this name on it; may be repeated.")  # fmt: skip
@click.option("--group", default="", metavar="NAME", help="The class.")
@HOUSE
def exam(
    folder: Path,
    scenarios: tuple[Path, ...],
    count: int,
    seed: int,
    made_up: bool,
    difficulty: str | None,
    topic: str,
    learners: tuple[str, ...],
    group: str,
    house: tuple[Path, ...],
) -> None:
    """Write an exam into a new FOLDER: paper, booklet of results, sheets, and the exam file.

    The exam file (exam.json) holds the solutions: keep it. Hand out paper.md, booklet.md and a
    sheet; get the sheets back into the folder, then run `curdwise drill gather FOLDER`.
    """
    from advisor.drills.exam import BOOKLET, EXAM_FILE, PAPER, Exam, booklet
    from advisor.drills.names import read_name
    from advisor.knowledge.load import load
    from advisor.report.drillpaper import booklet_page, paper, sheet_page

    learners = tuple(read_name(name, where="--learner") for name in learners)
    group = read_name(group, "class", where="--group", empty=True)
    base = load(house)
    made = Exam.of(
        base,
        _drills(base, scenarios, count, seed, made_up, difficulty or "", topic),
        seed,
        datetime.now(UTC).replace(microsecond=0),
    )
    numbers = booklet(base, made)
    pages = {
        EXAM_FILE: json.dumps(made.data(), indent=2, ensure_ascii=False) + "\n",
        PAPER: paper(base, made, numbers),
        BOOKLET: booklet_page(base, made, numbers),
    }
    for learner in learners:
        pages[f"sheet-{_file_name(learner)}.yaml"] = sheet_page(made, learner, group)
    if not learners:
        pages["sheet.yaml"] = sheet_page(made, "", group)
    if len(pages) < 3 + max(1, len(learners)):
        raise AdvisorError(
            "learner-twice", "two learners would get the same sheet", hint="give each another name"
        )
    _write(folder, pages)
    click.echo(f"Exam {made.id}: {len(made.scenarios)} drills in {folder}", err=True)
    click.echo(f"Keep {EXAM_FILE} to yourself: it holds the solutions.", err=True)
    for name in pages:
        click.echo(str(folder / name))


def _drills(
    base: Base,
    named: Sequence[Path],
    count: int,
    seed: int,
    made_up: bool,
    difficulty: str,
    topic: str,
) -> list[Scenario]:
    from advisor.cli.drill.play import file_of, written
    from advisor.drills.check import check_scenario
    from advisor.drills.generated import generate
    from advisor.drills.scenario import read_scenario
    from advisor.errors import ProblemsFound

    if named:
        chosen = [read_scenario(file_of(name)) for name in named]
        wrong = [p for s in chosen for p in check_scenario(base, s) if p.severity == "error"]
        if wrong:
            raise ProblemsFound("a drill of this exam is not fit to be played", wrong)
        return chosen
    if made_up:
        return [
            generate(base, seed * 1000 + n, topic=topic, difficulty=difficulty or "ordinary")
            for n in range(count)
        ]
    fit = [
        s
        for s in written()
        if (not topic or topic in s.topics) and (not difficulty or s.difficulty == difficulty)
    ]
    if len(fit) < count:
        raise AdvisorError(
            "exam-drills",
            f"there are {len(fit)} written drills of that kind, not {count}",
            hint="ask for fewer, or add --made-up",
        )
    fit.sort(key=lambda s: _order(seed, s.name))
    return sorted(fit[:count], key=lambda s: DIFFICULTIES.index(s.difficulty))


def _order(seed: int, name: str) -> bytes:
    import hashlib

    return hashlib.sha256(f"{seed}/{name}".encode()).digest()


def _file_name(learner: str) -> str:
    return "".join(ch if ch.isalnum() else "-" for ch in learner.strip().lower())[:60] or "learner"


def _write(folder: Path, pages: dict[str, str]) -> None:
    from advisor.drills.exam import EXAM_FILE

    there = [name for name in pages if (folder / name).exists()]
    if there:
        raise AdvisorError(
            "exam-there",
            f"there is an exam in this folder already: {', '.join(sorted(there))}",
            where=str(folder),
            hint="name a new folder; nothing was written over",
        )
    if not folder.parent.is_dir():
        raise AdvisorError(
            "exam-unwritable",
            f"it cannot be written: there is no folder {folder.parent}",
            where=str(folder),
            hint="only the last folder is made: name one inside a folder that is there",
        )
    try:
        folder.mkdir(exist_ok=True)
        for name, text in pages.items():
            if name == EXAM_FILE:  # the solutions are for its owner alone
                replace_file(folder / name, text)
            else:
                (folder / name).write_text(text, encoding="utf-8")
    except (OSError, ValueError) as error:
        raise AdvisorError(
            "exam-unwritable", f"it cannot be written: {reason(error)}", where=str(folder)
        ) from None


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--exam", "exam_file", type=click.Path(path_type=Path), metavar="FILE",
              help="The exam file, when it is not in the folder.")  # fmt: skip
@click.option("--keep/--no-keep", default=True, help="Keep the results with those of drills.")
@json_option("All results as JSON.")
@HOUSE
def gather(
    folder: Path, exam_file: Path | None, keep: bool, as_json: bool, house: tuple[Path, ...]
) -> int:
    """Score every sheet (.yaml or .yml) in FOLDER, and tell all that is wrong with any at once.

    A fault in one drill keeps no other from being scored. Blank sheets and other files are passed
    over, and named. Running it again keeps nothing twice: what a sheet gives stands in place of
    what it gave before, also when the name on it was corrected.
    """
    from advisor.drills.exam import EXAM_FILE, gather, read_exam, sheets_in
    from advisor.drills.generated import remake
    from advisor.drills.spool import Spool
    from advisor.knowledge.load import load

    base = load(house)
    made = read_exam(exam_file or folder / EXAM_FILE, base, remake)
    if made.knowledge != base.hash:
        click.echo(
            "Note: the knowledge has changed since the exam was made; what holds now scores it.",
            err=True,
        )
    sheets, others = sheets_in(folder, exam_file or folder / EXAM_FILE)
    done = gather(base, made, sheets)
    if keep:
        spool = Spool()
        for sheet in done.sheets:
            spool.save_sheet(sheet)
    for problem in (*done.problems, *done.notes):
        click.echo(str(problem), err=True)
    for path in done.blank:
        click.echo(f"Blank: {_shown(path)}", err=True)
    for path in others:
        click.echo(f"Passed over, because it is no plain .yaml file: {_shown(path)}", err=True)
    if as_json:
        click.echo(json.dumps(_data(done, others), indent=2, ensure_ascii=False))
    else:
        _table(done)
    return Exit.FOUND if done.problems else Exit.OK


def _shown(path: Path) -> str:
    """A name of a file, whatever it is called, in a form that does nothing to a terminal."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in str(path))


def _data(done: Gathered, others: Sequence[Path]) -> dict[str, object]:
    from advisor.drills.spool import data_of_result

    def rows(problems: Sequence[Problem]) -> list[dict[str, str]]:
        return [
            {"code": p.code, "message": p.message, "where": str(p.where), "hint": p.hint}
            for p in problems
        ]

    return {
        "version": 1,
        "exam": done.exam.id,
        "results": [data_of_result(r) for r in done.results],
        "unanswered": [{"learner": learner, "drill": n} for learner, n in done.unanswered],
        "refused": [{"learner": learner, "drill": n} for learner, n in done.refused],
        "blank": [_shown(path) for path in done.blank],
        "passed_over": [_shown(path) for path in others],
        "problems": rows(done.problems),
        "notes": rows(done.notes),
    }


def _table(done: Gathered) -> None:
    """One line a learner: the score of each drill, means, and what protects people apart."""
    names = [s.name for s in done.exam.scenarios]
    learners = sorted({r.learner for r in done.results}
                      | {who for who, _ in (*done.unanswered, *done.refused)})  # fmt: skip
    if not learners:
        click.echo("No sheet could be scored." if done.problems else "No sheet has been filled in.")
        return
    width = max(8, *(len(who) for who in learners))
    head = "".join(f"{n:>6}" for n in range(1, len(names) + 1))
    click.echo(f"{'learner':<{width}}{head}{'of all':>8}{'answered':>10}  missed, too early")
    for who in learners:
        mine = {r.scenario: r for r in done.results if r.learner == who}
        cells = "".join(
            f"{round(100 * mine[name].score):>6}"
            if name in mine
            else f"{'fault' if (who, n) in done.refused else '-':>6}"
            for n, name in enumerate(names, 1)
        )
        total = sum(r.score for r in mine.values())
        answered = f"{round(100 * total / len(mine))}" if mine else "-"
        missed = [
            f"{n}: {', '.join(mine[name].safety_missed)}"
            for n, name in enumerate(names, 1)
            if name in mine and mine[name].safety_missed
        ]
        early = sum(r.closed_early for r in mine.values())
        tail = f"{'; '.join(missed) or '-'}; {early} early"
        click.echo(
            f"{who:<{width}}{cells}{round(100 * total / len(names)):>8}{answered:>10}  {tail}"
        )
    click.echo(
        "of all: the mean over the whole exam, where a drill that was not answered (-) or was\n"
        "refused (fault) counts nothing. answered: the mean of the others, which is the one that\n"
        "curdwise class gives. missed: safety statements; too early: causes.",
        err=True,
    )
    if done.refused:
        click.echo(
            f"{len(done.refused)} answered but refused for a fault: mend the sheet as told above, "
            "and gather again.",
            err=True,
        )
