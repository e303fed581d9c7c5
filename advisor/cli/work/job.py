"""The frame of every command here: run it, put errors into words, print what it found."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from advisor.cli.exits import Exit
from advisor.cli.work.options import GIVEN, flag_of
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Callable

    from advisor.cli.work.sheet import Sheet

__all__ = ["Job", "job", "named"]

_OUTPUT = ("units", "how", "json_wanted", "plot", "plot_file")
_DOSES = ((("acid_g", "acid_ml"), "--dose"), (("fat_g", "fat_ml"), "--amount"))
_AN_ARGUMENT = re.compile(r"^[A-Za-z0-9_ ]+?(?= (?:is|must|of|for|and)\b)")


class Job(click.Command):
    """A command whose function returns a ``Sheet``."""

    def invoke(self, ctx: click.Context) -> Exit:
        """Run it, and print the sheet in the way that was asked for."""
        output = {name: ctx.params.pop(name, None) for name in _OUTPUT}
        if output["units"] == "us":
            _no_bare_degrees(self, ctx)
        try:
            sheet: Sheet = super().invoke(ctx)
            sheet.notes = [_flagged(note, _flags(self)) for note in sheet.notes]
            self._show(ctx, sheet, output)
        except (ValueError, ArithmeticError) as error:
            raise named(self, error) from None
        return Exit.OK

    def _show(self, ctx: click.Context, sheet: Sheet, output: dict[str, Any]) -> None:
        from advisor.cli.work.sheet import as_json, as_lines

        plotted = bool(output["plot"] or output["plot_file"])
        if plotted and sheet.curve is not None and output["plot_file"]:
            from advisor.cli.work.plots import to_file

            to_file(sheet.curve(), Path(output["plot_file"]))
            click.echo(f"Drawn into {output['plot_file']}", err=True)
        if output["json_wanted"]:
            data = as_json(
                sheet,
                command=ctx.command_path.removeprefix("curdwise "),
                inputs=_inputs(ctx),
                plotted=bool(output["plot"]),
            )
            click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
            return
        lines = as_lines(sheet, system=output["units"] or "metric", how=bool(output["how"]))
        if output["plot"] and sheet.curve is not None:
            from advisor.cli.diagnose import accessible
            from advisor.cli.work.plots import as_table, as_text

            # Drawn before anything is printed: a plot that is refused leaves no half answer.
            lines += ["", (as_table if accessible() else as_text)(sheet.curve())]
        for line in lines:
            click.echo(line)


def _no_bare_degrees(command: click.Command, ctx: click.Context) -> None:
    """Who works in US units may mean Fahrenheit by a bare number: it is refused, as a pint is."""
    for param in command.params:
        entry = ctx.meta.get(GIVEN, {}).get(param.name)
        if (
            getattr(param.type, "unit", "") == "degC"
            and isinstance(entry, dict)
            and ctx.get_parameter_source(str(param.name)) is ParameterSource.COMMANDLINE
            and not re.search(r"[^\W\d_]|[°º]", entry["text"])
        ):
            bare = entry["text"].strip()
            raise AdvisorError(
                "quantity", f"{bare} may be degrees Celsius or Fahrenheit", where=flag_of(param),
                hint=f'with --units us write "{bare} F" or "{bare} C"',
            )


def _inputs(ctx: click.Context) -> dict[str, Any]:
    """What was said: amounts as they were read, the rest as it was written."""
    said: dict[str, Any] = dict(ctx.meta.get(GIVEN, {}))
    for name, value in ctx.params.items():
        if name not in said and isinstance(value, str | bool) and value:
            said[name] = {"text": str(value).lower() if isinstance(value, bool) else value}
        elif name not in said and isinstance(value, tuple) and value:
            said[name] = [{"text": str(one)} for one in value]
    return said


def named(command: click.Command, error: Exception) -> AdvisorError:
    """A refusal of the science as an error about the option that the value came from."""
    message = str(error) or type(error).__name__
    if isinstance(error, ArithmeticError):
        message = "an amount is too large or too small to calculate with"
    flags = _flags(command)
    found = _AN_ARGUMENT.match(message)
    first = found.group(0) if found else ""
    known = flags.get(first.replace(" ", "_")) or _by_ending(first, flags)
    if first and known:
        message = message.replace(first, known, 1)
    return AdvisorError("out-of-range", _flagged(message, flags))


def _flags(command: click.Command) -> dict[str, str]:
    return {param.name: flag_of(param) for param in command.params if param.name}


def _flagged(text: str, flags: dict[str, str]) -> str:
    """Argument names of the science as the options that they come from."""
    for names, flag in _DOSES:
        if flag in flags.values():
            flags = {**flags, **dict.fromkeys(names, flag)}
    for name, flag in flags.items():
        if "_" in name:
            text = re.sub(rf"\b{name}\b", flag, text)
    return text


def _by_ending(first: str, flags: dict[str, str]) -> str:
    """The one option that the words of the message can mean, as ``strength`` or ``drink`` do."""
    if not first:
        return ""
    last = first.replace(" ", "_").lower()
    fits = [
        flag
        for name, flag in flags.items()
        if name.endswith(f"_{last}") or name in (last, f"{last}_ml")
    ]
    return fits[0] if len(fits) == 1 else ""


def job(
    group: click.Group | None = None, *, name: str, plots: bool = False
) -> Callable[[Any], Job]:
    """Make a function that returns a ``Sheet`` a command, with the options that all have."""

    def decorate(function: Callable[..., Sheet]) -> Job:
        command = click.command(name=name, cls=Job)(function)
        command.params += _output_options(plots)
        if group is not None:
            group.add_command(command)
        return command

    return decorate


def _output_options(plots: bool) -> list[click.Parameter]:
    """Those that all commands have; they stand last in the help."""
    options = [
        click.Option(
            ["--units"], type=click.Choice(["metric", "us"]), default="metric", show_default=True,
            help="Units of the answer.",
        ),
        click.Option(["--how"], is_flag=True, help="Add formula and source."),
        click.Option(
            ["--json", "json_wanted"], is_flag=True, help="The result as JSON, in named units."
        ),
    ]
    if plots:
        options += [
            click.Option(
                ["--plot"], is_flag=True,
                help="Draw it here, in characters; with --json the points.",
            ),
            click.Option(
                ["--plot-file"], metavar="FILE",
                help="Draw it into a file whose name ends in .svg or .png.",
            ),
        ]
    return [*options]
