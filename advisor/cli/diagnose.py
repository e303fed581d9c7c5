"""``curdwise diagnose``: find out what went wrong with a batch, and what to change."""

from __future__ import annotations

import json
import os
import sys
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.options import (
    ANSWERS,
    HOUSE,
    NO_INPUT,
    QUESTIONS,
    engine_option,
    json_option,
    units_option,
)
from advisor.errors import AdvisorError, shortened, shortened_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.consult import Consultation
    from advisor.knowledge.model import Base
    from advisor.report.model import Block
    from advisor.report.wanted import Wanted

__all__ = ["diagnose", "show", "show_explanations", "show_how"]


@click.command()
@click.option(
    "--case",
    "case",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Take the answers from a case file and ask nothing.",
)
@ANSWERS
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
@NO_INPUT
@click.option(
    "--tried",
    multiple=True,
    metavar="REMEDY",
    help="A remedy that was tried and did not help, by name or title (curdwise knowledge list "
    "remedy lists both); may be repeated.",
)
@json_option("The result as JSON.")
@click.option(
    "--how", is_flag=True, help="Add how the verdict follows, down to answers and sources."
)
@click.option("--why", is_flag=True, help="Add why the next question would be asked.")
@click.option(
    "--why-not",
    multiple=True,
    metavar="CAUSE",
    help="Add why this cause does not come first (its name, or words of it); may be repeated.",
)
@click.option(
    "--rather",
    nargs=2,
    multiple=True,
    metavar="CAUSE CAUSE",
    help="Add why one cause rather than the other; may be repeated.",
)
@click.option(
    "--what-changes", is_flag=True, help="Add which single answers would change the advice."
)
@click.option(
    "--what-if",
    multiple=True,
    metavar="NAME=VALUE",
    help="Add what another answer would change; repeated ones are supposed together.",
)
@click.option(
    "--without-practice",
    is_flag=True,
    help="Add the advice with what rests on common practice alone left out.",
)
@units_option()
@QUESTIONS
@HOUSE
@engine_option()
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
    why_not: tuple[str, ...],
    rather: tuple[tuple[str, str], ...],
    what_changes: bool,
    what_if: tuple[str, ...],
    without_practice: bool,
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
    curdwise diagnose --case batch.yaml --why-not "squeezed bed" --what-changes
    curdwise diagnose --case batch.yaml --what-if "milk_volume=300 ml"

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
    wanted = None
    if why_not or rather or what_changes or what_if or without_practice:
        from advisor.report.wanted import Wanted

        wanted = Wanted(why_not, rather, what_changes, _pairs(what_if), without_practice)
    base = load(house)
    if wanted is not None:
        _name_causes(base, wanted)
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
        from advisor.cli.conversation import converse, recap

        if resume and consultation.answers:
            recap(consultation, units)
        consultation = converse(consultation, save)
    if save:
        _save(consultation, save, talked=not silent)
    show(consultation, as_json=as_json, how=how, why=why, units=units, wanted=wanted)
    if silent and not as_json:
        _say_more(consultation)
    if not silent and not as_json:
        from advisor.cli.conversation import afterwards

        afterwards(consultation, save, units)


def _save(consultation: Consultation, path: Path, *, talked: bool) -> None:
    """Save as asked; what somebody was asked for is not lost to a wrong folder."""
    try:
        consultation.save(path)
    except AdvisorError:
        if not talked:
            raise
        from advisor.cli.conversation import keep_as

        keep_as(consultation, path)
    else:
        click.echo(f"Saved in {path}", err=True)


def show(
    consultation: Consultation,
    *,
    as_json: bool,
    how: bool,
    why: bool,
    units: str,
    wanted: Wanted | None = None,
) -> None:
    """Print the result on standard output, with the explanations that are wanted."""
    if as_json:
        from advisor.report.result import result

        data = result(consultation, units=units, wanted=wanted)
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    found = _explained(consultation, wanted, units)  # refuses before anything is printed
    from advisor.report.model import report_on

    report = report_on(consultation, units=units)
    if _plainly():
        from advisor.report.screen import plain_lines

        for line in plain_lines(report):
            click.echo(line)
    else:
        from advisor.report.screen import print_rich

        print_rich(report)
    if how:
        show_how(consultation)
    if why:
        _show_why(consultation)
    _print_blocks(found)


def show_explanations(consultation: Consultation, wanted: Wanted, units: str) -> None:
    """Print explanations alone. Raises ``AdvisorError`` for a name that does not exist."""
    _print_blocks(_explained(consultation, wanted, units))


def _explained(
    consultation: Consultation, wanted: Wanted | None, units: str
) -> Sequence[Block]:
    if not wanted:
        return ()
    from advisor.report.explanationlines import explanation_blocks
    from advisor.report.explanations import explanations

    return tuple(explanation_blocks(explanations(consultation, wanted, units=units)))


def _print_blocks(blocks: Sequence[Block]) -> None:
    if not blocks:
        return
    if _plainly():
        from advisor.report.screen import plain_blocks

        for line in plain_blocks(blocks):
            click.echo(line)
    else:
        from advisor.report.screen import print_rich_blocks

        print_rich_blocks(blocks)


def _plainly() -> bool:
    return accessible() or not sys.stdout.isatty()


def _say_more(consultation: Consultation) -> None:
    """What else can be asked of the result, to somebody who reads it on a terminal."""
    if not (sys.stdout.isatty() and sys.stderr.isatty()):
        return
    others = [c for c in consultation.inference.ranked if c in consultation.base.causes]
    first = consultation.advice.verdict.cause
    named = next((c for c in others if c != first), "")
    asks = ["--how", f"--why-not {named}" if named else "", "--what-changes", "--without-practice"]
    said = " · ".join(ask.replace(" ", "\N{NO-BREAK SPACE}") for ask in asks if ask)
    for line in textwrap.wrap(f"more: {said}", 80, break_on_hyphens=False):
        click.echo(line.replace("\N{NO-BREAK SPACE}", " "), err=True)


def show_how(consultation: Consultation) -> None:
    """Print how the verdict follows."""
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
    if question is None or question.opening:
        stop = consultation.stop_reason
        click.echo(f"  Nothing: {stop.text}." if stop else "  The recipe comes first.")
        return
    click.echo(f"  {question.ask}")
    if question.candidate is None:
        click.echo(f"  {question.because}")
        return
    for line in why_lines(why(consultation.engine, consultation.inference, question.candidate)):
        click.echo(f"  {line}")


def _pairs(texts: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """NAME=VALUE as pairs; all faults at once."""
    from advisor.errors import Place, Problem, ProblemsFound

    pairs: dict[str, str] = {}
    problems = []
    for text in texts:
        name, equals, value = text.partition("=")
        place, name = Place(f"--what-if {shortened(text)}"), name.strip()
        if not equals or not name:
            message = f"{shortened(text)!r} is not NAME=VALUE"
            hint = "for example milk_temperature=cold"
            problems.append(Problem("answer-form", message, place, hint))
        elif name in pairs:
            message = f"{shortened(name)} is supposed twice"
            problems.append(Problem("contradiction", message, place, "keep one of the two"))
        pairs[name] = value
    if problems:
        raise ProblemsFound("the answers are not right", problems)
    return tuple(pairs.items())


def _name_causes(base: Base, wanted: Wanted) -> None:
    """Refuse causes that do not exist before anybody is asked anything; all faults at once."""
    named = [(c, f"--why-not {shortened(c)}") for c in wanted.why_not]
    named += [
        (c, f"--rather {' '.join(map(shortened, pair))}") for pair in wanted.rather for c in pair
    ]
    if not named:
        return
    from advisor.errors import Place, Problem, ProblemsFound
    from advisor.reasoning.contrast import cause_named

    problems = []
    for cause, where in named:
        try:
            cause_named(base, cause)
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, Place(where), error.hint))
    if problems:
        raise ProblemsFound("the causes are not right", problems)


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
                    f"{shortened(text)!r} is not NAME=VALUE",
                    hint="for example acid_drop=flakes",
                )
            if name.strip() == "symptoms":
                consultation = consultation.tell_symptoms(
                    v for v in value.replace(",", " ").split() if v
                )
            else:
                consultation = consultation.tell(name, value)
        except AdvisorError as error:
            where = Place(f"--answer {shortened(text)}")
            message = shortened_in(error.message, name, value)
            problems.append(Problem(error.code, message, where, error.hint))
    for remedy in tried:
        try:
            consultation = consultation.failed(remedy)
        except AdvisorError as error:
            where = Place(f"--tried {shortened(remedy)}")
            problems.append(Problem(error.code, error.message, where, error.hint))
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
