"""``curdwise trial judge``: what the answers prove, what they cannot, and the next dose."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.cli.trial.files import JSON, UNITS, print_data, print_report
from advisor.cli.work.doses import middle
from advisor.cli.work.options import amount, plain

if TYPE_CHECKING:
    from advisor.science.estimate import Estimate

__all__ = ["judge"]


@click.command()
@click.argument("trial_file", metavar="TRIAL", type=click.Path(path_type=Path))
@click.argument("answer_file", metavar="ANSWERS", type=click.Path(path_type=Path))
@amount("--aim", "aim", "%", "How much of the sense should go, or of the most should be reached.")
@plain("--aim-score", "aim_score", "A mean score to aim at instead.", 0.0, 10.0)
@UNITS
@JSON
def judge(
    trial_file: Path,
    answer_file: Path,
    aim: Estimate | float | None,
    aim_score: float | None,
    units: str,
    as_json: bool,
) -> None:
    """Judge the answers of a trial: p-value, size of the difference, power, and the next dose.

    \b
    curdwise trial judge trial.yaml answers.yaml
    curdwise trial judge trial.yaml table.csv --aim 60% --json

    Without --aim the next dose takes away half of what is unwanted, or reaches three quarters of
    what is wanted.
    """
    from advisor.technique.trial import fit, read_answers, read_trial
    from advisor.technique.trial import judge as judged

    trial = read_trial(trial_file)
    given = read_answers(trial, answer_file)
    judgement = judged(trial, given)
    share = None if aim is None else middle(aim) / 100.0
    fits = fit(judgement, given, aim=share, aim_score=aim_score)
    if as_json:
        from advisor.report.trialdata import judged_data

        print_data(judged_data(judgement, fits))
        return
    from advisor.report.trial import judged_report

    print_report(judged_report(judgement, fits, units=units))
