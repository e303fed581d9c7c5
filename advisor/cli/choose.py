"""``curdwise choose``: which technique for this drink, this goal and these limits."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.options import (
    ANSWERS,
    BRIEF,
    HOUSE,
    NO_INPUT,
    engine_option,
    json_option,
    units_option,
)
from advisor.errors import AdvisorError, shortened

if TYPE_CHECKING:
    from advisor.knowledge.model import Base
    from advisor.technique.brief import Brief
    from advisor.technique.choose import Choice

__all__ = ["choose", "show"]


@click.command()
@BRIEF
@ANSWERS
@click.option(
    "--resume",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Go on asking from a saved brief.",
)
@click.option(
    "--save", type=click.Path(path_type=Path), metavar="FILE", help="Save the answers as a brief."
)
@NO_INPUT
@json_option("The choice as JSON.")
@click.option(
    "--why",
    "why",
    metavar="TECHNIQUE",
    help="Add everything that speaks for and against a technique, with sources.",
)
@click.option(
    "--list", "listing", is_flag=True, help="List the techniques and what can be answered."
)
@units_option()
@HOUSE
@engine_option()
def choose(
    brief_file: Path | None,
    answers: tuple[str, ...],
    resume: Path | None,
    save: Path | None,
    no_input: bool,
    as_json: bool,
    why: str | None,
    listing: bool,
    units: str,
    house: tuple[Path, ...],
    engine: str,
) -> None:
    """Find the technique for a drink: milk, fat, whey, a mix of them, or none of them.

    \b
    curdwise choose
    curdwise choose --brief scenarios_demo/briefs/punch-for-a-wedding.yaml
    curdwise choose -a goals=clear,less_astringent -a base_kind=tea-or-coffee -a no_dairy=yes
    curdwise choose --brief FILE --why strip

    ACCESSIBLE=1 asks with numbered lines and no redrawing. Ctrl-C saves what was said.
    """
    from advisor.knowledge.load import load

    if brief_file and resume:
        raise click.UsageError("--brief and --resume are two ways to begin: give one.")
    silent = bool(no_input or brief_file or (answers and not resume) or listing)
    if not silent and not _somebody_there():
        raise click.UsageError(
            "there is no terminal to ask questions on.\n"
            "Give --brief FILE or --answer NAME=VALUE, or --no-input; ACCESSIBLE=1 reads "
            "numbered answers from standard input."
        )
    base = load(house)
    if listing:
        _list(base, as_json)
        return
    known = _technique(base, why) if why else None
    brief = _brief(base, brief_file or resume, answers)
    if not silent:
        from advisor.cli.choosetalk import talk

        brief = talk(base, brief, save, engine)
    if save:
        from advisor.technique.brief import write_brief

        write_brief(save, brief)
        click.echo(f"Saved in {save}", err=True)
    from advisor.technique.choose import choose as choose_for

    choice = choose_for(base, brief, backend=engine)
    show(base, choice, as_json=as_json, why=known, units=units, saved=str(save or ""),
         answers=answers)
    if not silent and not as_json:
        from advisor.cli.choosetalk import afterwards

        afterwards(base, choice, units)


def _brief(base: Base, path: Path | None, answers: tuple[str, ...]) -> Brief:
    """The brief of a file with what the command line says laid over it; all faults at once."""
    from dataclasses import replace

    from advisor.technique.brief import Brief, brief_from, read_brief

    begun = read_brief(path, base) if path is not None else Brief({})
    if not answers:
        return begun
    told = {key: _as_told(answer) for key, answer in begun.answers.items()}
    from advisor.technique.brief import LISTS, finding_names

    for text in answers:
        name, equals, value = text.partition("=")
        if not equals or not name.strip():
            raise AdvisorError(
                "answer-form",
                f"{shortened(text)!r} is not NAME=VALUE",
                where=f"--answer {shortened(text)}",
                hint="for example base_kind=spirit or goals=clear,paler",
            )
        key = name.strip().lower().replace("-", "_")
        if key in LISTS:
            told = {k: v for k, v in told.items() if k not in finding_names(base, key)}
            told[key] = [v for v in value.replace(",", " ").split() if v]
        else:
            told[key] = value
    more = brief_from(base, told)
    return replace(begun, answers=more.answers)


def _as_told(answer: object) -> object:
    from advisor.reasoning.answers import Answer

    if not isinstance(answer, Answer):
        return answer
    return answer.text or (answer.value if answer.value is not None else answer.status)


def _technique(base: Base, name: str) -> str:
    from advisor.errors import did_you_mean

    key = name.strip().lower().replace("_", "-")
    if key not in base.techniques:
        raise AdvisorError(
            "unknown-technique",
            f"there is no technique {shortened(name)!r}",
            where="--why",
            hint=did_you_mean(key, base.techniques) or "curdwise choose --list lists them",
        )
    return key


def show(
    base: Base, choice: Choice, *, as_json: bool, why: str | None, units: str, saved: str = "",
    answers: tuple[str, ...] = (),
) -> None:  # fmt: skip
    """Print a choice on standard output; ``saved`` is where its brief has been saved,
    ``answers`` what the command line added to it."""
    if as_json:
        from advisor.report.choiceresult import choice_result

        data = choice_result(base, choice, units=units)
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    from advisor.report.choice import choice_report, conflict_blocks, next_command, why_blocks

    report = choice_report(base, choice, units=units)
    top = conflict_blocks(choice)
    extra = why_blocks(base, choice, why) if why else ()
    if accessible() or not sys.stdout.isatty():
        from advisor.report.screen import plain_blocks, plain_lines

        for line in plain_blocks(top):
            click.echo(line)
        if top:
            click.echo()
        for line in plain_lines(report):
            click.echo(line)
        for line in plain_blocks(extra):
            click.echo(line)
    else:
        from advisor.report.screen import print_rich, print_rich_blocks

        print_rich_blocks(top)
        if top:
            click.echo()
        print_rich(report)
        print_rich_blocks(extra)
    command = next_command(choice, saved, answers)
    if command:
        click.echo(f"\nnext: {command}")


def _list(base: Base, as_json: bool) -> None:
    from advisor.report.choicelisting import listing_data, listing_lines

    if as_json:
        click.echo(json.dumps(listing_data(base), indent=2, ensure_ascii=False))
    else:
        for line in listing_lines(base):
            click.echo(line)


def accessible() -> bool:
    """Whether the person asked for numbered lines without redrawing."""
    return os.environ.get("ACCESSIBLE", "") not in ("", "0")


def _somebody_there() -> bool:
    return accessible() or (sys.stdin.isatty() and sys.stderr.isatty())
