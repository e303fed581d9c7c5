"""``curdwise drill list`` and ``show``: what there is, and how the advisor works one."""

from __future__ import annotations

import json
from pathlib import Path

import click

from advisor.cli.options import HOUSE, json_option

__all__ = ["list_drills", "show"]


@click.command(name="list")
@json_option()
def list_drills(as_json: bool) -> None:
    """List the written drills, easy ones first, with your latest score.

    A made-up drill needs only a seed: curdwise drill --seed 7.
    """
    from advisor.cli.drill.play import finished_drills, written
    from advisor.drills.generated import topics
    from advisor.drills.shape import DIFFICULTIES

    latest = {r.scenario: r for r in sorted(finished_drills(), key=lambda r: r.finished)}
    scenarios = sorted(written(), key=lambda s: DIFFICULTIES.index(s.difficulty))
    if as_json:
        rows = [
            {
                "name": s.name,
                "title": s.title,
                "difficulty": s.difficulty,
                "topics": list(s.topics),
                "score": latest[s.name].score if s.name in latest else None,
            }
            for s in scenarios
        ]
        data = {"version": 1, "drills": rows, "made_up_topics": list(topics())}
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    for s in scenarios:
        score = f"{round(100 * latest[s.name].score):>3}" if s.name in latest else "  -"
        click.echo(f"{score}  {s.difficulty:<9} {s.name}: {s.title}  [{', '.join(s.topics)}]")
    click.echo(f"\nMade up with --seed, about: {', '.join(topics())}", err=True)


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@click.option("--seed", type=click.IntRange(0), default=0, help="Of the noise.")
@HOUSE
def show(scenario: Path, seed: int, house: tuple[Path, ...]) -> None:
    """Show a drill with its solution: how the advisor works it, step by step.

    For whoever teaches it, or to learn from a worked example. It spoils the drill.
    """
    from advisor.cli.drill.play import file_of
    from advisor.cli.drill.printing import print_report
    from advisor.drills.scenario import read_scenario
    from advisor.knowledge.load import load
    from advisor.report.drilldebrief import worked_report

    print_report(worked_report(load(house), read_scenario(file_of(scenario)), seed))
