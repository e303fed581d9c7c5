"""``curdwise trial dials``: what a trial can turn, and what tasters can be asked about."""

from __future__ import annotations

import click

from advisor.cli.trial.files import JSON, print_data

__all__ = ["dials"]


@click.command()
@JSON
def dials(as_json: bool) -> None:
    """List the dials that a trial can turn, their usual levels, the senses and the tests.

    \b
    curdwise trial dials
    curdwise trial dials --json
    """
    from advisor.quantities import say
    from advisor.technique.trial.dials import DIALS, SENSES
    from advisor.technique.trial.methods import TESTS

    if as_json:
        print_data(
            {
                "version": 1,
                "dials": {
                    d.id: {
                        "title": d.title, "unit": d.unit, "low": d.low, "high": d.high,
                        "usual": list(d.usual), "moves": dict(d.moves), "curve": d.shape,
                        "control": d.control, "source": d.source,
                    }
                    for d in DIALS.values()
                },
                "senses": {s.id: s.ask for s in SENSES.values()},
                "tests": {t.id: {"title": t.title, "source": t.source} for t in TESTS.values()},
            }
        )  # fmt: skip
        return
    click.echo("DIALS")
    for dial in DIALS.values():
        usual = ", ".join(say(level, dial.unit) for level in dial.usual)
        ends = f"{say(dial.low, dial.unit)} to {say(dial.high, dial.unit)}"
        click.echo(f"  {dial.id:<13} {dial.title}; usually {usual} ({ends})")
        click.echo(f"  {'':<13} moves {', '.join(dial.moves)}")
    click.echo("SENSES")
    for sense in SENSES.values():
        click.echo(f"  {sense.id:<13} {sense.ask}")
    click.echo("TESTS")
    for test in TESTS.values():
        click.echo(f"  {test.id:<13} {test.title} ({test.source})")
