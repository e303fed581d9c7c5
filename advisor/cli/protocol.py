"""``curdwise protocol``: how it is done, with amounts, and the same with something else."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.options import BRIEF, HOUSE, json_option, with_options
from advisor.errors import AdvisorError
from advisor.files import write_whole

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from advisor.knowledge.model import Base
    from advisor.report.model import Report
    from advisor.technique.brief import Brief
    from advisor.technique.protocol import Comparison, Protocol
    from advisor.technique.trial import Trial

__all__ = [
    "ANSWER",
    "BATCH",
    "HTML",
    "JSON",
    "MARKDOWN",
    "UNITS",
    "brief_of",
    "first_choice",
    "parsed",
    "protocol",
    "show_comparison",
    "write_file",
]

UNITS = click.option(
    "--units",
    type=click.Choice(["metric", "us", "oz"]),
    default="metric",
    show_default=True,
    help="Units for amounts; oz is the same as us.",
)
JSON = json_option()
MARKDOWN = click.option("--markdown", is_flag=True, help="As Markdown.")
HTML = click.option(
    "--html",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write one HTML page to FILE, to read or to print on A4 or Letter.",
)
BATCH = click.option(
    "--batch", metavar="AMOUNT", help="What should stand in bottles at the end: '2 l', '24 oz'."
)
ANSWER = click.option(
    "--answer",
    "-a",
    "answers",
    multiple=True,
    metavar="NAME=VALUE",
    help="One answer of the brief; may be repeated. Ask nothing.",
)
_PROTOCOL_OPTIONS = (
    BRIEF,
    ANSWER,
    click.option(
        "--technique",
        metavar="ID",
        help="The technique; left out, the first that choose finds. choose --list lists them.",
    ),
    BATCH,
    click.option(
        "--set",
        "settings",
        multiple=True,
        metavar="NAME=VALUE",
        help="Set a dial or an amount: milk_share='25 %', rest='2 h', milk='300 ml'. --how lists "
        "the dials. May be repeated.",
    ),
    click.option(
        "--price",
        "prices",
        multiple=True,
        metavar="ITEM=NUMBER",
        help="A price per litre or kilogram, in any one currency: drink=20 for what is treated, "
        "milk=1.2; a name or a group of the shopping list. May be repeated.",
    ),
    click.option("--made", metavar="DATE", default="", help="The date for the label: 2026-11-25."),
    click.option("--quick", is_flag=True, help="Take every short cut that the steps allow."),
    click.option(
        "--vary",
        "varied",
        multiple=True,
        metavar="NAME=VALUE",
        help="The same with another answer, milk_wanted=goat: show what changes.",
    ),
    click.option(
        "--without",
        multiple=True,
        metavar="WORD",
        help="The same without nuts, sesame, egg, soy, milk, meat: show what changes.",
    ),
    click.option("--within", metavar="TIME", help="The same in this time: show what changes."),
    click.option(
        "--save",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="Save the protocol as JSON, for compare and for later.",
    ),
    click.option(
        "--label",
        "label_file",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="Also write the label card alone as an HTML page.",
    ),
    click.option(
        "--trial",
        "tasters",
        type=click.IntRange(1, 200),
        metavar="N",
        help="With --html: add the sheets of a blind trial for N tasters that would prove it.",
    ),
    click.option(
        "--trial-file",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="With --trial: save the trial, which is its key; curdwise trial judges it.",
    ),
    click.option(
        "--how",
        is_flag=True,
        help="Add where each amount comes from, its dial, and the diagnosis of a failed check.",
    ),
    click.option("--no-input", is_flag=True, help="Ask nothing; go by what is given."),
)


@click.command()
@with_options(*_PROTOCOL_OPTIONS, UNITS, HTML, MARKDOWN, JSON, HOUSE)
def protocol(
    brief_file: Path | None,
    answers: tuple[str, ...],
    technique: str | None,
    batch: str | None,
    settings: tuple[str, ...],
    prices: tuple[str, ...],
    made: str,
    quick: bool,
    varied: tuple[str, ...],
    without: tuple[str, ...],
    within: str | None,
    save: Path | None,
    label_file: Path | None,
    tasters: int | None,
    trial_file: Path | None,
    how: bool,
    no_input: bool,
    units: str,
    html: Path | None,
    markdown: bool,
    as_json: bool,
    house: tuple[Path, ...],
) -> None:
    """Write the protocol: ordered steps with quantities, what to check, what to expect.

    \b
    curdwise protocol
    curdwise protocol --brief scenarios_demo/briefs/punch-for-a-wedding.yaml --batch '2 l'
    curdwise protocol -a base_kind=spirit -a base_strength=45 --technique fat-wash --how
    curdwise protocol --brief FILE --technique strip --html punch.html --made 2026-11-25
    curdwise protocol --brief FILE --technique strip --vary milk_wanted=goat
    curdwise protocol --brief FILE --technique strip --within '3 h'

    Amounts are for the batch wanted, from 50 ml on a bench to 20 litres and more.
    """
    from advisor.knowledge.load import load
    from advisor.technique.protocol import protocol as write
    from advisor.technique.protocol import refuse_prices

    base = load(house)
    system = "metric" if units == "metric" else "us"
    brief = brief_of(base, brief_file, answers, no_input)
    name = technique.strip().lower().replace("_", "-") if technique else first_choice(base, brief)
    amount = None if batch is None else parsed(batch, "mL", "--batch")
    chosen: dict[str, str | float] = dict(_pairs(settings, "--set"))
    known = _prices(prices)
    comparison = None
    if varied or without or within is not None:
        from advisor.technique.protocol import vary

        result, comparison = vary(
            base,
            brief,
            name,
            answers=_pairs(varied, "--vary"),
            without=without,
            within_h=None if within is None else parsed(within, "h", "--within"),
            batch_ml=amount,
            overrides=chosen,
            prices=known,
            system=system,
        )
    else:
        result = write(
            base,
            brief,
            name,
            batch_ml=amount,
            overrides=chosen,
            prices=known,
            made=made,
            quick=True if quick else None,
        )
        refuse_prices(result, known)
    if tasters is None and trial_file is not None:
        raise click.UsageError("--trial-file goes with --trial N.")
    trial = None
    if tasters is not None:
        from advisor.technique.protocol.bench import bench_trial

        trial = bench_trial(result, brief.goals, tasters=tasters)
        if trial_file is not None:
            from advisor.technique.trial import trial_yaml

            write_file(trial_file, trial_yaml(trial))
    _files(base, result, comparison, trial, save=save, html=html, label=label_file, system=system)
    if comparison is not None:
        show_comparison(comparison, as_json=as_json, markdown=markdown)
    else:
        _show_protocol(base, result, as_json=as_json, markdown=markdown, how=how, system=system)


def brief_of(base: Base, path: Path | None, answers: Sequence[str], no_input: bool) -> Brief:
    """The brief of a file with the answers laid over it; asked for when there is neither."""
    from advisor.technique.brief import Brief, brief_from, read_brief

    if path is None and not answers and not no_input:
        from advisor.cli.diagnose import accessible

        if not (accessible() or (sys.stdin.isatty() and sys.stderr.isatty())):
            raise click.UsageError(
                "there is no terminal to ask questions on.\n"
                "Give --brief FILE or --answer NAME=VALUE, or --no-input."
            )
        from advisor.cli.choosetalk import talk

        return talk(base, Brief({}), None, "default")
    begun = read_brief(path, base) if path is not None else Brief({})
    if not answers:
        return begun
    from dataclasses import replace

    from advisor.technique.brief import LISTS

    told: dict[str, object] = {
        key: answer.text or (answer.value if answer.value is not None else answer.status)
        for key, answer in begun.answers.items()
    }
    for key, value in _pairs(answers, "--answer").items():
        name = key.lower().replace("-", "_")
        listed = name in LISTS
        told[name] = value.replace(",", " ").split() if listed else value
    return replace(begun, answers=brief_from(base, told).answers)


def first_choice(base: Base, brief: Brief) -> str:
    """The technique that the choice puts first."""
    from advisor.technique.choose import choose

    choice = choose(base, brief)
    if choice.first is None:
        raise AdvisorError(
            "nothing-fits",
            "no technique can be used for this brief",
            where="technique",
            hint="curdwise choose says why; or name one with --technique",
        )
    click.echo(f"{choice.first.title}: the first choice; --technique takes another", err=True)
    return choice.first.technique


def parsed(text: str, unit: str, where: str) -> float:
    """An amount above nothing, as people write it; ``AdvisorError`` names the option."""
    from advisor.quantities import parse

    try:
        value = parse(text, unit).value
    except AdvisorError as error:
        raise AdvisorError(error.code, error.message, where=where, hint=error.hint) from None
    if not value > 0.0:
        raise AdvisorError("quantity", f"{text} is no amount", where=where)
    return value


def _pairs(texts: Sequence[str], option: str) -> dict[str, str]:
    pairs = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise AdvisorError("answer-form", f"{text!r} is not NAME=VALUE", where=option)
        if option == "--price" and name.strip() in pairs:
            raise AdvisorError(
                "price", f"{name.strip()} has two prices", where=option,
                hint="a price is per litre or kilogram, so one is enough",
            )
        pairs[name.strip()] = value.strip()
    return pairs


def _prices(texts: Sequence[str]) -> dict[str, float]:
    from advisor.quantities import figure

    prices = {}
    for name, value in _pairs(texts, "--price").items():
        hint = ""
        try:
            price = figure(value)
        except AdvisorError as error:
            price, hint = float("nan"), error.hint
        if not 0.0 <= price < 1e9:
            raise AdvisorError(
                "price",
                f"{value!r} is no price",
                where=f"--price {name}",
                hint=hint or "a number per litre or kilogram, without a currency: milk=1.2",
            )
        prices[name] = price
    return prices


def _files(
    base: Base, result: Protocol, comparison: Comparison | None, trial: Trial | None, *,
    save: Path | None, html: Path | None, label: Path | None, system: str,
) -> None:  # fmt: skip
    if save is not None:
        from advisor.report.protocoldata import protocol_data

        data = protocol_data(base, result, units=system)
        write_file(save, json.dumps(data, indent=2, ensure_ascii=False) + "\n")
    if html is not None:
        from advisor.report.protocolpage import comparison_page, protocol_page

        page = (
            protocol_page(base, result, units=system, trial=trial)
            if comparison is None
            else comparison_page(comparison, knowledge=result.knowledge)
        )
        write_file(html, page)
    if label is not None:
        from advisor.report.protocolpage import label_page

        write_file(label, label_page(base, result, units=system))


def write_file(path: Path, text: str) -> None:
    """A file in one step: the old one stays whole until the new one is complete."""
    write_whole(
        path,
        text,
        code="file-unwritable",
        saying="the file cannot be written",
        hint="choose a folder that exists and that you may write to",
    )
    click.echo(f"Written to {path}", err=True)


def _show_protocol(
    base: Base, result: Protocol, *, as_json: bool, markdown: bool, how: bool, system: str
) -> None:
    if as_json:
        from advisor.report.protocoldata import protocol_data

        _json(protocol_data(base, result, units=system))
    elif markdown:
        from advisor.report.protocolmarkdown import protocol_markdown

        click.echo(protocol_markdown(base, result, units=system), nl=False)
    else:
        from advisor.report.protocol import protocol_report

        _print(protocol_report(base, result, units=system, how=how))


def show_comparison(comparison: Comparison, *, as_json: bool, markdown: bool) -> None:
    """Print what differs on standard output."""
    if as_json:
        from advisor.report.protocoldata import comparison_data

        _json(comparison_data(comparison))
    elif markdown:
        from advisor.report.protocolmarkdown import comparison_markdown

        click.echo(comparison_markdown(comparison), nl=False)
    else:
        from advisor.report.protocol import comparison_report

        _print(comparison_report(comparison))


def _json(data: Mapping[str, Any]) -> None:
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))


def _print(report: Report) -> None:
    from advisor.cli.diagnose import accessible

    if accessible() or not sys.stdout.isatty():
        from advisor.report.screen import plain_lines

        for line in plain_lines(report):
            click.echo(line)
    else:
        from advisor.report.screen import print_rich

        print_rich(report)
