"""The commands and their options. Everything heavy is imported by the command that needs it."""

from __future__ import annotations

import io
import sys

import click

from advisor.cli.exits import Exit
from advisor.cli.lazy import LazyGroup
from advisor.cli.problems import without_long_words
from advisor.version import __version__

__all__ = ["COMMANDS", "app", "run"]

# In the order in which the help lists them.
COMMANDS = {
    "diagnose": "advisor.cli.diagnose:diagnose",
    "choose": "advisor.cli.choose:choose",
    "protocol": "advisor.cli.protocol:protocol",
    "compare": "advisor.cli.compare:compare",
    "questions": "advisor.cli.questions:questions",
    "work": "advisor.cli.work:work",
    "class": "advisor.cli.classroom:classroom",
    "drill": "advisor.cli.drill:drill",
    "trial": "advisor.cli.trial:trial",
    "knowledge": "advisor.cli.knowledge:knowledge",
    "evaluate": "advisor.cli.evaluate:evaluate",
    "schema": "advisor.cli.schema:schema",
}

_EXITS = """
\b
Exit codes:
  0    done
  1    a check found problems
  2    the command line is wrong
  3    an answer or a case file is wrong
  4    the knowledge base is missing or refused
  5    the reasoning engine that was asked for cannot run
  130  interrupted
"""


@click.group(
    cls=LazyGroup,
    table=COMMANDS,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
    epilog=_EXITS,
)
@click.version_option(__version__, prog_name="curdwise", message="%(prog)s %(version)s")
def app() -> None:
    """Advice for drinks clarified or enriched with milk, fat and whey.

    \b
    A batch went wrong:              curdwise diagnose
    Which technique suits a drink:   curdwise choose
    The same, without questions:     curdwise diagnose --case batch.yaml --no-input
    Everything that can be answered: curdwise questions
    Check knowledge you have written: curdwise knowledge check my-folder/
    """


def run(arguments: list[str] | None = None) -> int:
    """Run the command line and give its exit code."""
    try:
        code = app.main(args=arguments, prog_name="curdwise", standalone_mode=False)
    except click.exceptions.Abort:
        return Exit.INTERRUPTED
    except click.ClickException as error:
        said = io.StringIO()
        error.show(file=said)
        sys.stderr.write(without_long_words(said.getvalue(), arguments))
        return Exit.USAGE
    return int(code) if isinstance(code, int) else Exit.OK
