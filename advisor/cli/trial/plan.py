"""``curdwise trial plan``: a dial, levels, a test and tasters; codes and quantities follow."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.trial.files import JSON, UNITS, print_data, print_report, write
from advisor.cli.work.doses import middle
from advisor.cli.work.options import amount, count, plain, read_amount
from advisor.errors import AdvisorError, Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from advisor.science.estimate import Estimate
    from advisor.technique.trial import Trial

    Number = Estimate | float

__all__ = ["plan"]


def _word(flag: str, name: str, help: str, **more: Any) -> Callable[[Any], Any]:
    return click.option(flag, name, metavar="WORD", help=help, **more)


@click.command()
@_word("--dial", "dial", "The dial to turn (curdwise trial dials).", required=True)
@click.option("--levels", metavar="A,B,C", help="Its levels, in its unit or with units.")
@_word("--second", "second", "A second dial: every level of one meets every level of the other.")
@click.option("--second-levels", metavar="A,B", help="Levels of the second dial.")
@_word("--test", "test", "triangle, duo-trio, tetrad, paired, rank, rate, or auto.",
       default="auto", show_default=True)
@_word("--sense", "sense", "What tasters are asked about; the dial's own if not said.")
@count("--tasters", "tasters", "How many tasters.", 1, 200)
@click.option("--taster", "names", multiple=True, metavar="NAME", help="A taster; may be repeated.")
@count("--repeats", "repeats", "Flights of each sample for every taster.", 1, 60)
@click.option("--pourer", is_flag=True, help="One taster, but somebody else pours and shuffles.")
@plain("--wanted", "wanted", "Size of difference, d', that matters.", 0.1, 6.0, default="1.5")
@plain("--alpha", "alpha", "Chance of seeing what is not there.", 0.0001, 0.5, default="0.05")
@amount("--cup", "cup", "mL", "What is poured into a cup.", default="15 ml", show_default=True)
@amount("--drink", "volume", "mL", "How much of the drink you have.")
@amount("--strength", "strength", "%vol", "Strength of the drink before treatment.")
@amount("--own-acid", "acid", "g/L", "Acid of the drink, as citric acid.")
@_word("--base", "kind", "What the drink is made on (curdwise work words base).", default="")
@_word("--milk-kind", "milk_kind", "Kind of milk.", default="whole")
@_word("--acid", "acid_kind", "Acid powder, or none.", default="citric")
@_word("--fat", "fat_kind", "Kind of fat.", default="plain-butter")
@_word("--whey", "whey_kind", "Kind of whey.", default="acid-whey")
@click.option("--set", "stays", multiple=True, metavar="DIAL=LEVEL",
              help="Another dial, the same for all treated samples; may be repeated.")
@count("--seed", "seed", "Draws codes and orders; the same seed draws the same.", 0, 2**31 - 1,
       default="1")
@click.option("--fresh-codes", is_flag=True, help="Every taster gets codes of their own.")
@click.option("--title", default="", help="What the trial is called.")
@click.option("--save", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE",
              help="Write the trial file.")
@click.option("--replace", is_flag=True, help="Replace a file that is there already.")
@UNITS
@JSON
def plan(
    save: Path | None, replace: bool, units: str, as_json: bool, **given: Any
) -> None:
    """Plan a trial: samples and quantities, panel and power, codes and serving orders.

    \b
    curdwise trial plan --dial milk-share --tasters 10 --strength 25 --own-acid 6
    curdwise trial plan --dial milk-share --levels 10,20,30 --sense bitterness \\
        --taster Ann --taster Ben --taster Cem --repeats 4 --save trial.yaml
    curdwise trial plan --dial fat-rate --levels 8,16 --second steep-time \\
        --second-levels "1 h, 1 day" --tasters 12
    curdwise trial plan --dial milk-share --tasters 1      (alone)

    Without --save nothing is kept. The file is the key: keep it from whoever tastes.
    """
    trial = _planned(**given)
    if save is not None:
        from advisor.technique.trial import trial_yaml

        write(save, trial_yaml(trial), replace=replace)
        click.echo(f"Saved in {save}. Keep it from whoever tastes.", err=True)
    if as_json:
        from advisor.report.trialdata import plan_data

        print_data(plan_data(trial))
        return
    from advisor.report.trial import plan_report

    print_report(plan_report(trial, units=units))
    if save is not None:
        click.echo(f"\nNext: curdwise trial sheets {save} --into sheets", err=True)


def _planned(
    *,
    dial: str,
    levels: str | None,
    second: str | None,
    second_levels: str | None,
    tasters: int | None,
    names: tuple[str, ...],
    pourer: bool,
    cup: Number,
    stays: tuple[str, ...],
    volume: Number | None,
    strength: Number | None,
    acid: Number | None,
    kind: str,
    milk_kind: str,
    acid_kind: str,
    fat_kind: str,
    whey_kind: str,
    **rest: Any,
) -> Trial:
    from advisor.technique.trial import Base, plan_trial

    if tasters is not None and names:
        raise AdvisorError("options", "give names or a number", where="--tasters, --taster")
    if second_levels and not second:
        raise AdvisorError("options", "there is no second dial", where="--second-levels")
    base = Base(
        volume=_middle(volume), strength=_middle(strength), acid=_middle(acid), kind=kind,
        milk_kind=milk_kind, acid_kind=acid_kind, fat_kind=fat_kind, whey_kind=whey_kind,
    )  # fmt: skip
    people: int | Sequence[str] = names or (8 if tasters is None else tasters)
    return plan_trial(
        dial,
        _levels(dial, levels, "--levels"),
        second=second,
        second_levels=_levels(second, second_levels, "--second-levels"),
        tasters=people,
        cup_ml=_middle(cup) or 0.0,
        base=base,
        fixed=_stays(stays),
        alone=False if pourer else None,
        **rest,
    )


def _middle(given: Number | None) -> float | None:
    return None if given is None else middle(given)


def _unit_of(dial: str) -> str:
    from advisor.technique.trial.dials import dial_called

    return dial_called(dial).unit


def _levels(dial: str | None, text: str | None, flag: str) -> list[float] | None:
    """Levels as people write them; all that cannot be read at once."""
    if text is None or dial is None:
        return None
    unit, levels, problems = _unit_of(dial), [], []
    for part in text.replace(";", ",").split(","):
        try:
            levels.append(_middle(read_amount(part, unit, flag)) or 0.0)
        except AdvisorError as error:
            problems.append(Problem(error.code, error.message, error.where, error.hint))
    if problems:
        raise ProblemsFound("the levels are not right", problems)
    return levels


def _stays(given: tuple[str, ...]) -> dict[str, float]:
    stays: dict[str, float] = {}
    problems = []
    for text in given:
        dial, equals, level = text.partition("=")
        try:
            if not equals or not dial.strip():
                raise AdvisorError(
                    "options", f"{text[:40]!r} is not DIAL=LEVEL", where="--set",
                    hint="for example acid-dose=6",
                )
            if dial.strip() in stays:
                raise AdvisorError("options", f"{dial.strip()} is set twice", where="--set")
            stays[dial.strip()] = _middle(read_amount(level, _unit_of(dial), "--set")) or 0.0
        except AdvisorError as error:
            place = error.where if error.where.name else Place("--set")
            problems.append(Problem(error.code, error.message, place, error.hint))
    if problems:
        raise ProblemsFound("the settings are not right", problems)
    return stays
