"""``curdwise drill``: practise on a batch with a hidden cause, alone or as a class."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.cli.lazy import LazyGroup

if TYPE_CHECKING:
    from click import Context

__all__ = ["COMMANDS", "drill"]

# In the order in which the help lists them.
COMMANDS = {
    "play": "advisor.cli.drill.play:play",
    "list": "advisor.cli.drill.listing:list_drills",
    "show": "advisor.cli.drill.listing:show",
    "check": "advisor.cli.drill.writing:check",
    "new": "advisor.cli.drill.writing:new",
    "exam": "advisor.cli.drill.exam:exam",
    "gather": "advisor.cli.drill.exam:gather",
}


class _PlayByDefault(LazyGroup):
    """Whatever is not a command of the group is meant for ``play``."""

    def parse_args(self, ctx: Context, args: list[str]) -> list[str]:
        if not args or (args[0] not in self.table and args[0] not in ("-h", "--help")):
            args = ["play", *args]
        return super().parse_args(ctx, args)


@click.group(cls=_PlayByDefault, table=COMMANDS)
def drill() -> None:
    """Practise: a batch with a hidden cause, what is seen at once, and the clock.

    \b
    Practise now:               curdwise drill
    Something made up:          curdwise drill --seed 7 --topic fat --difficulty hard
    Go on where you left off:   curdwise drill --resume
    An exam for a class:        curdwise drill exam friday/ --count 5
    Its results:                curdwise drill gather friday/
    """
