"""``curdwise knowledge mutate``: edits of the rules, and what catches them."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from advisor.cli.exits import Exit
from advisor.cli.options import HOUSE, json_option

if TYPE_CHECKING:
    from advisor.evaluation.mutation import Score, Tally

__all__ = ["mutate"]


@click.command()
@click.option(
    "--sample",
    type=click.IntRange(0),
    default=500,
    show_default=True,
    metavar="N",
    help="So many edits, drawn at random; 0 makes them all.",
)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Of the draw.")
@click.option(
    "--cases",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Case files or folders of them, with what they expect.",
)
@click.option(
    "--simulated",
    type=click.IntRange(0, 100_000),
    default=0,
    metavar="N",
    help="So many batches of the simulator, with what was wrong with them.",
)
@click.option(
    "--panel",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The pinned panel of `curdwise knowledge panel`.",
)
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    default=os.cpu_count() or 1,
    show_default="one for each core",
)
@HOUSE
@json_option("Everything as JSON.")
def mutate(
    sample: int,
    seed: int,
    cases: tuple[Path, ...],
    simulated: int,
    panel: Path | None,
    processes: int,
    house: tuple[Path, ...],
    as_json: bool,
) -> int:
    """Edit the rules one at a time and see whether anything notices.

    An edit drops, denies or moves a condition, swaps a weight, a cause or a table word, or drops
    a rule. The rules' own examples, the cases, the static checks and the simulated batches
    are evidence that the base is right; the panel only shows that it is no longer what it was.

    \b
    Example:
      curdwise knowledge mutate --cases scenarios_demo --panel tests/data/standings.json
    """
    from advisor.evaluation.mutation import Setup
    from advisor.evaluation.mutation import mutate as run

    setup = Setup(tuple(house), tuple(cases), simulated, 1, panel)
    tally = run(setup, sample=sample, seed=seed, processes=processes, progress=_say)
    if as_json:
        click.echo(json.dumps(_data(tally, seed), indent=2, ensure_ascii=False))
        return Exit.OK
    _print(tally)
    return Exit.OK


def _say(done: int, whole: int) -> None:
    if done == whole or done % 200 == 0:
        click.echo(f"{done} of {whole} edits", file=sys.stderr)


def _shares(score: Score, sampled: bool) -> str:
    text = f"{score.share:6.1%}"
    return f"{text} ({score.low:.1%} to {score.high:.1%})" if sampled else text


def _print(tally: Tally) -> None:
    from advisor.evaluation.mutation import CATCHERS, EVIDENCE

    for each in tally.survivors:
        click.echo(f"{each.where}: survived: {each.subject}: {each.kind}: {each.what}")
    if tally.survivors:
        click.echo()
    click.echo(f"{'':<16}{'edits':>7}" + "".join(f"{c:>11}" for c in (*CATCHERS, "survived")))
    for kind in (*tally.kinds, ""):
        counts = tally.by_catcher(kind)
        row = "".join(f"{counts[c]:>11}" for c in (*CATCHERS, ""))
        click.echo(f"{kind or 'all':<16}{tally.score(kind).of:>7}{row}   "
                   f"{tally.score(kind).share:6.1%}")
    click.echo()
    click.echo(f"edits caught: {_shares(tally.score(), tally.sampled)}")
    click.echo(
        f"  by evidence of rightness ({', '.join(EVIDENCE)}): "
        f"{_shares(tally.score(by=EVIDENCE), tally.sampled)}"
    )
    click.echo(
        "  by the panel alone, a detector of change: "
        f"{_shares(tally.score(by=('panel',)), tally.sampled)}"
    )
    of = f"{len(tally.results)} of {tally.total} edits" if tally.sampled else "every edit"
    against = [f"{tally.cases} cases", f"{tally.simulated} simulated batches"]
    against.append("the panel" if tally.panel else "no panel")
    click.echo(f"{of}, held against {', '.join(against)}", file=sys.stderr)


def _data(tally: Tally, seed: int) -> dict[str, Any]:
    from advisor.evaluation.mutation import EVIDENCE

    def score(found: Score) -> dict[str, float | int]:
        return {
            "caught": found.caught,
            "of": found.of,
            "share": round(found.share, 4),
            "low": round(found.low, 4),
            "high": round(found.high, 4),
        }

    return {
        "version": 1,
        "edits": tally.total,
        "tried": len(tally.results),
        "seed": seed,
        "cases": tally.cases,
        "simulated": tally.simulated,
        "panel": tally.panel,
        "caught": score(tally.score()),
        "by_evidence": score(tally.score(by=EVIDENCE)),
        "by_panel_alone": score(tally.score(by=("panel",))),
        "kinds": {
            kind: {
                **score(tally.score(kind)),
                "by": {k or "survived": n for k, n in tally.by_catcher(kind).items()},
            }
            for kind in tally.kinds
        },
        "survivors": [
            {"place": e.where, "subject": e.subject, "kind": e.kind, "what": e.what}
            for e in tally.survivors
        ],
    }
