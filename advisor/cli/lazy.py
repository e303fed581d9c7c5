"""Command groups whose commands are imported only when they are wanted."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import click

__all__ = ["LazyGroup"]


class LazyGroup(click.Group):
    """A group over a table of name -> ``module:attribute``, in the order of the table.

    A start with one command pays for that command alone; only the list of commands in the
    help imports them all.
    """

    def __init__(self, *args: Any, table: dict[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.table = table or {}

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names, in the order of the table, then those added by hand."""
        return [*self.table, *(name for name in self.commands if name not in self.table)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now; ``None`` when there is none."""
        if cmd_name not in self.table:
            return super().get_command(ctx, cmd_name)
        module, _, attribute = self.table[cmd_name].partition(":")
        command = getattr(import_module(module), attribute)
        assert isinstance(command, click.Command)  # noqa: S101  (a typo in the table)
        return command
