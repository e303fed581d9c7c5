"""``curdwise diagnose``: find out what went wrong with a batch, and what to change."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from advisor.consult import Consultation

__all__ = ["diagnose"]


@click.command()
@click.option(
    "--case",
    "case",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Take the answers from a case file and ask nothing.",
)
@click.option(
    "--answer",
    "-a",
    "answers",
    multiple=True,
    metavar="NAME=VALUE",
    help="One answer; may be repeated. Ask nothing.",
)
@click.option(
    "--resume",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Go on with a saved consultation.",
)
@click.option(
    "--save",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Save the consultation as a case file.",
)
@click.option("--no-input", is_flag=True, help="Ask nothing; conclude from what is given.")
@click.option(
    "--tried",
    multiple=True,
    metavar="REMEDY",
    help="A remedy that was tried and did not help; may be repeated.",
)
@click.option("--json", "as_json", is_flag=True, help="The result as JSON.")
@click.option(
    "--how", is_flag=True, help="Add how the verdict follows, down to answers and sources."
)
@click.option("--why", is_flag=True, help="Add why the next question would be asked.")
@click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    default="metric",
    show_default=True,
    help="Units for amounts.",
)
@click.option(
    "--questions",
    "limit",
    type=click.IntRange(0, 100),
    default=12,
    show_default=True,
    help="Ask at most this many questions after the recipe.",
)
@click.option(
    "--knowledge",
    "house",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Lay a house's own knowledge over the shipped one.",
)
@click.option(
    "--engine",
    type=click.Choice(["default", "durable-rules", "reference"]),
    default="default",
    show_default=True,
    help="The engine that runs the rules.",
)
def diagnose(
    case: Path | None,
    answers: tuple[str, ...],
    resume: Path | None,
    save: Path | None,
    no_input: bool,
    tried: tuple[str, ...],
    as_json: bool,
    how: bool,
    why: bool,
    units: str,
    limit: int,
    house: tuple[Path, ...],
    engine: str,
) -> None:
    """Find out what went wrong with a batch, whether it can be saved, and what to change.

    \b
    curdwise diagnose
    curdwise diagnose --case scenarios_demo/01-still-cloudy.yaml
    curdwise diagnose -a cloud_at_filter=yes -a acid_drop=flakes --json

    ACCESSIBLE=1 asks with numbered lines and no redrawing. Ctrl-C saves what was said.
    """
    from advisor.consult import Consultation
    from advisor.knowledge.load import load

    if case and resume:
        raise click.UsageError("--case and --resume are two ways to begin: give one.")
    silent = bool(no_input or case or (answers and not resume))
    if not silent and not _somebody_there():
        raise click.UsageError(
            "there is no terminal to ask questions on.\n"
            "Give --case FILE or --answer NAME=VALUE, or --no-input; ACCESSIBLE=1 reads "
            "numbered answers from standard input."
        )
    base = load(house)
    begin = case or resume
    if begin:
        consultation = Consultation.from_case(base, begin, limit=limit, backend=engine)
    else:
        consultation = Consultation(base, limit=limit, backend=engine)
    consultation = _told(consultation, answers, tried)
    if silent:
        if not consultation.answers:
            raise AdvisorError(
                "nothing-told",
                "nothing is known about the batch",
                hint="give --case FILE or --answer NAME=VALUE; curdwise questions lists the names",
            )
    else:
        from advisor.cli.conversation import converse

        consultation = converse(consultation, save)
    if save:
        consultation.save(save)
        click.echo(f"Saved in {save}", err=True)
    show(consultation, as_json=as_json, how=how, why=why, units=units)
    if not silent and not as_json:
        from advisor.cli.conversation import afterwards

        afterwards(consultation, save, units)


def show(consultation: Consultation, *, as_json: bool, how: bool, why: bool, units: str) -> None:
    """Print the result on standard output."""
    if as_json:
        from advisor.report.result import result

        click.echo(json.dumps(result(consultation, units=units), indent=2, ensure_ascii=False))
        return
    from advisor.report.model import report_on

    report = report_on(consultation, units=units)
    if accessible() or not sys.stdout.isatty():
        from advisor.report.screen import plain_lines

        for line in plain_lines(report):
            click.echo(line)
    else:
        from advisor.report.screen import print_rich

        print_rich(report)
    if how:
        _show_how(consultation)
    if why:
        _show_why(consultation)


def _show_how(consultation: Consultation) -> None:
    from advisor.report.explain import how, how_lines, rule_lines, rule_tree

    verdict = consultation.advice.verdict
    click.echo("\nHOW IT FOLLOWS")
    if verdict.because:
        trees = rule_tree(consultation.engine, consultation.inference, verdict.because)
        for line in rule_lines(trees):
            click.echo(line)
    if verdict.cause:
        for line in how_lines(how(consultation.engine, consultation.inference, verdict.cause)):
            click.echo(line)


def _show_why(consultation: Consultation) -> None:
    from advisor.report.explain import why, why_lines

    question = consultation.next_question
    click.echo("\nWHY ASK NEXT")
    if question is None or question.candidate is None:
        stop = consultation.stop_reason
        click.echo(f"  Nothing: {stop.text}." if stop else "  The recipe comes first.")
        return
    click.echo(f"  {question.ask}")
    for line in why_lines(why(consultation.engine, consultation.inference, question.candidate)):
        click.echo(f"  {line}")


def _told(
    consultation: Consultation, answers: tuple[str, ...], tried: tuple[str, ...]
) -> Consultation:
    """Add what the command line says; all faults at once."""
    from advisor.errors import Place, Problem, ProblemsFound

    problems = []
    for text in answers:
        name, equals, value = text.partition("=")
        try:
            if not equals or not name.strip():
                raise AdvisorError(
                    "answer-form",
                    f"{text!r} is not NAME=VALUE",
                    hint="for example acid_drop=flakes",
                )
            if name.strip() == "symptoms":
                consultation = consultation.tell_symptoms(
                    v for v in value.replace(",", " ").split() if v
                )
            else:
                consultation = consultation.tell(name, value)
        except AdvisorError as error:
            problems.append(
                Problem(error.code, error.message, Place(f"--answer {text}"), error.hint)
            )
    for remedy in tried:
        try:
            consultation = consultation.failed(remedy)
        except AdvisorError as error:
            problems.append(
                Problem(error.code, error.message, Place(f"--tried {remedy}"), error.hint)
            )
    if not problems:
        problems = consultation.contradictions(name="these answers")
    if problems:
        raise ProblemsFound("the answers are not right", problems)
    return consultation


def accessible() -> bool:
    """Whether the person asked for numbered lines without redrawing."""
    return os.environ.get("ACCESSIBLE", "") not in ("", "0")


def _somebody_there() -> bool:
    return accessible() or (sys.stdin.isatty() and sys.stderr.isatty())
