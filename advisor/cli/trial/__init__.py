"""``curdwise trial``: a small blind trial, from the plan to the next dose."""

from __future__ import annotations

import click

from advisor.cli.lazy import LazyGroup

__all__ = ["trial"]

_TABLE = {
    "dials": "advisor.cli.trial.dials:dials",
    "plan": "advisor.cli.trial.plan:plan",
    "sheets": "advisor.cli.trial.sheets:sheets",
    "answers": "advisor.cli.trial.answers:answers",
    "judge": "advisor.cli.trial.judge:judge",
}


@click.group(cls=LazyGroup, table=_TABLE)
def trial() -> None:
    """Plan a small blind trial, print its sheets, take the answers and judge them.

    \b
    What can be tried:   curdwise trial dials
    Plan it:             curdwise trial plan --dial milk-share --tasters 10 --save trial.yaml
    Print the sheets:    curdwise trial sheets trial.yaml --into sheets
    Type the answers:    curdwise trial answers trial.yaml --save answers.yaml
    Judge them:          curdwise trial judge trial.yaml answers.yaml
    """
