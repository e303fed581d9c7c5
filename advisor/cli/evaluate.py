"""``curdwise evaluate``: how good the advice is, on batches whose fault is known."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, QUESTIONS, engine_option, json_option
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.evaluation.cases import KnownCase
    from advisor.evaluation.evaluation import Evaluation
    from advisor.knowledge.model import Base

__all__ = ["evaluate"]

_TELLING = ("recipe", "facts", "everything")
_BY = ("fault", "stage", "symptom", "operation", "questions")


@click.command()
@click.argument("places", nargs=-1, metavar="[CASES]...", type=click.Path(path_type=Path))
@click.option(
    "--simulated",
    "-n",
    "simulated",
    type=click.IntRange(1, 1_000_000),
    metavar="N",
    help="Simulate so many batches.",
)
@click.option("--seed", default=1, show_default=True, help="Seed of the first simulated batch.")
@click.option("--topic", metavar="TOPIC", help="Simulate batches of one topic only.")
@click.option("--difficulty", default="ordinary", show_default=True, help="Of simulated batches.")
@click.option(
    "--fault",
    "faults",
    multiple=True,
    metavar="CAUSE",
    help="Simulate batches with this fault; give it twice for two faults in each batch.",
)
@click.option(
    "--told",
    "telling",
    type=click.Choice(_TELLING),
    default="facts",
    show_default=True,
    help="What of a case file is told unasked: symptoms and the recipe; or also all that is "
    "known of batch, process and storage; or everything.",
)
@click.option(
    "--conditions",
    is_flag=True,
    help="Also with a wrong answer, with fewer answers, and with other priors.",
)
@click.option(
    "--disturb",
    type=click.IntRange(min=1),
    default=3,
    show_default=True,
    metavar="K",
    help="With --conditions: disturb one case in K.",
)
@QUESTIONS
@click.option(
    "--at-least",
    multiple=True,
    metavar="NAME=NUMBER",
    help="Exit with 1 when a measure is below this, as top1=0.85; may be repeated.",
)
@click.option(
    "--at-most",
    multiple=True,
    metavar="NAME=NUMBER",
    help="Exit with 1 when a measure is above this, as questions=6; may be repeated.",
)
@click.option(
    "--by",
    "tables",
    multiple=True,
    type=click.Choice(_BY),
    help="Add a table by fault, operation ...; may be repeated.",
)
@click.option("--details", is_flag=True, help="List every miss, with what spoke for it.")
@json_option("Everything as JSON.")
@click.option(
    "--csv",
    "tables_to",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Also write the tables as CSV files into a folder.",
)
@click.option("--progress", is_flag=True, help="Say on standard error how far it is.")
@click.option(
    "--jobs",
    "-j",
    type=click.IntRange(1, 256),
    metavar="N",
    help="Processes to use; by default one for each core.",
)
@HOUSE
@engine_option("reference")
@click.option(
    "--show-seed",
    type=int,
    metavar="SEED",
    help="Print one simulated batch as a case file, and do nothing else.",
)
@click.option(
    "--as-asked", is_flag=True, help="With --show-seed: only what was told and asked, no more."
)
def evaluate(
    places: tuple[Path, ...],
    simulated: int | None,
    seed: int,
    topic: str | None,
    difficulty: str,
    faults: tuple[str, ...],
    telling: str,
    conditions: bool,
    disturb: int,
    limit: int,
    at_least: tuple[str, ...],
    at_most: tuple[str, ...],
    tables: tuple[str, ...],
    details: bool,
    as_json: bool,
    tables_to: Path | None,
    progress: bool,
    jobs: int | None,
    house: tuple[Path, ...],
    engine: str,
    show_seed: int | None,
    as_asked: bool,
) -> int:
    """Measure the advice on batches whose fault is known.

    CASES are case files or folders of them that say what is expected; --simulated makes batches
    from a model of what happens in them, which knows nothing of the rules. Every case answers
    what it is asked, and nothing else.

    \b
    curdwise evaluate scenarios_demo
    curdwise evaluate --simulated 300 --conditions --at-least top1=0.85
    curdwise evaluate --simulated 300 --by fault --details
    curdwise evaluate --show-seed 17 --as-asked > batch.yaml
    """
    from advisor.evaluation.evaluation import evaluate as run
    from advisor.evaluation.evaluation import missed, read_limit
    from advisor.evaluation.run import Settings
    from advisor.knowledge.load import load

    made = _Simulated(seed, topic, difficulty, faults)
    if show_seed is not None:
        click.echo(_as_yaml(load(house), made, show_seed, limit if as_asked else None), nl=False)
        return Exit.OK
    if as_asked:
        raise click.UsageError("--as-asked goes with --show-seed.")
    if not places and not simulated:
        raise click.UsageError("Give case files, folders of them, or --simulated N.")
    floors = [read_limit(text, "--at-least") for text in at_least]
    ceilings = [read_limit(text, "--at-most") for text in at_most]
    base = load(house)
    began = time.perf_counter()
    cases = [*_from_files(base, places, telling), *made.cases(base, simulated or 0)]
    evaluation = run(
        base,
        cases,
        Settings(
            seed=seed,
            limit=limit,
            backend=engine,
            disturb=disturb if conditions else 0,
            simulator=made.in_words(simulated or 0),
        ),
        jobs=jobs or os.cpu_count() or 1,
        progress=_Progress() if progress else None,
    )
    if progress:
        click.echo(f"{len(cases)} cases in {time.perf_counter() - began:.1f} s", err=True)
    failed = missed(evaluation, floors, ceilings)
    _show(evaluation, base, tables, details=details, as_json=as_json)
    if tables_to:
        from advisor.evaluation.tables import write_tables

        written = write_tables(evaluation, tables_to)
        click.echo(f"{len(written)} tables in {tables_to}", err=True)
    for case, text in evaluation.unread:
        click.echo(f"{case}: {text}", err=True)
    for text in failed:
        click.echo(text, err=True)
    return Exit.FOUND if failed or evaluation.unread else Exit.OK


def _show(
    evaluation: Evaluation, base: Base, tables: Sequence[str], *, details: bool, as_json: bool
) -> None:
    """Print on standard output."""
    if as_json:
        from advisor.evaluation.data import evaluation_data

        data = evaluation_data(evaluation, base)
        click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
        return
    from advisor.evaluation.lines import evaluation_lines, miss_lines, table_lines

    click.echo(f"Knowledge: {base.name} {base.version} ({base.hash[:8]})")
    for line in evaluation_lines(evaluation):
        click.echo(line)
    for what in tables:
        if what in ("stage", "symptom"):
            continue  # always there
        click.echo()
        for line in table_lines(what, evaluation.by(what)):
            click.echo(line)
    if details:
        click.echo(f"\nMISSES ({len(evaluation.misses)})")
        for outcome in evaluation.misses:
            for line in miss_lines(outcome):
                click.echo(line)


def _from_files(base: Base, places: Sequence[Path], telling: str) -> list[KnownCase]:
    """The cases of files; all faults of all files at once."""
    from advisor.errors import Problem, ProblemsFound
    from advisor.evaluation.cases import case_files, from_case

    found: list[KnownCase] = []
    problems: list[Problem] = []
    left_out = 0
    for path in case_files(places):
        try:
            case = from_case(base, path, telling)
        except ProblemsFound as error:
            problems.extend(error.problems)
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, error.where, error.hint))
        else:
            if case is None:
                left_out += 1
            else:
                found.append(case)
    if problems:
        raise ProblemsFound("the case files are not right", problems)
    if left_out:
        click.echo(f"{left_out} case files say nothing of what is expected: left out", err=True)
    return found


class _Simulated:
    """Batches of the simulator, as the options ask for them."""

    def __init__(
        self, seed: int, topic: str | None, difficulty: str, faults: tuple[str, ...]
    ) -> None:
        self.seed, self.topic, self.difficulty, self.faults = seed, topic, difficulty, faults

    def case(self, base: Base, seed: int) -> KnownCase:
        from advisor.evaluation.cases import from_simulated
        from advisor.simulator import simulate

        batch = simulate(
            seed, topic=self.topic, difficulty=self.difficulty, faults=self.faults or None
        )
        return from_simulated(base, batch)

    def in_words(self, count: int) -> str:
        if not count:
            return ""
        said = [f"seeds {self.seed} to {self.seed + count - 1}", self.difficulty]
        said += [f"topic {self.topic}"] if self.topic else []
        said += [f"fault {fault}" for fault in self.faults]
        return ", ".join(said)

    def cases(self, base: Base, count: int) -> list[KnownCase]:
        return [self.case(base, self.seed + i) for i in range(count)]


def _as_yaml(base: Base, made: _Simulated, seed: int, limit: int | None) -> str:
    """A batch as a case file: whole, or what was asked of it within a limit of questions."""
    from tempfile import TemporaryDirectory

    from advisor.consult.case import write_case
    from advisor.evaluation.keep import as_asked, whole_case

    known = made.case(base, seed)
    case = whole_case(base, known) if limit is None else as_asked(base, known, limit=limit)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "batch.yaml"
        write_case(path, case)
        return path.read_text(encoding="utf-8")


class _Progress:
    """Says every tenth part on standard error, each once."""

    def __init__(self) -> None:
        self._said = 0

    def __call__(self, done: int, of: int) -> None:
        tenth = 10 * done // of
        if tenth > self._said:
            self._said = tenth
            click.echo(f"{done} of {of}", err=True)


