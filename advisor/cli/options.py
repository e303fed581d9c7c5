"""Options that mean the same in several commands, in the same words.

Each is a decorator for a command. Those of the arithmetic stand in ``advisor.cli.work.options``.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from advisor.reasoning import MOST_QUESTIONS

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "ANSWERS",
    "BRIEF",
    "HOUSE",
    "HOUSES",
    "NO_INPUT",
    "QUESTIONS",
    "engine_option",
    "json_option",
    "units_option",
    "with_options",
]

_Command = TypeVar("_Command", bound="Callable[..., Any]")
_HOUSE_HELP = "Lay a house's own knowledge over the shipped one."


def _house(help: str) -> Callable[[_Command], _Command]:
    return click.option(
        "--knowledge",
        "house",
        multiple=True,
        type=click.Path(path_type=Path),
        metavar="DIR",
        help=help,
    )


HOUSE = _house(_HOUSE_HELP)
HOUSES = _house(f"{_HOUSE_HELP} May be repeated.")
ANSWERS = click.option(
    "--answer",
    "-a",
    "answers",
    multiple=True,
    metavar="NAME=VALUE",
    help="One answer; may be repeated. Ask nothing.",
)
BRIEF = click.option(
    "--brief",
    "brief_file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Take the answers from a brief and ask nothing.",
)
NO_INPUT = click.option(
    "--no-input", is_flag=True, help="Ask nothing; conclude from what is given."
)
QUESTIONS = click.option(
    "--questions",
    "limit",
    type=click.IntRange(0, 100),
    default=MOST_QUESTIONS,
    show_default=True,
    help="Ask at most this many questions about the cause, after the recipe.",
)


def json_option(help: str = "As JSON.") -> Callable[[_Command], _Command]:
    """``--json``, with what it prints as JSON."""
    return click.option("--json", "as_json", is_flag=True, help=help)


def engine_option(default: str = "default") -> Callable[[_Command], _Command]:
    """``--engine``, with the one that runs when none is named."""
    return click.option(
        "--engine",
        type=click.Choice(["default", "durable-rules", "reference"]),
        default=default,
        show_default=True,
        help="The engine that runs the rules.",
    )


def units_option(of: str = "amounts") -> Callable[[_Command], _Command]:
    """``--units``, with what is said in them."""
    return click.option(
        "--units",
        type=click.Choice(["metric", "us"]),
        default="metric",
        show_default=True,
        help=f"Units for {of}.",
    )


def with_options(*options: Callable[..., Any]) -> Callable[[_Command], _Command]:
    """Several options at once, in the order in which the help lists them."""

    def decorate(command: _Command) -> _Command:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate
