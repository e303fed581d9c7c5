"""``curdwise work``: the calculations one by one, for whoever wants just a number.

Each command lives in a module of its own that is loaded when it is called, so that the first
screen of help stays quick.
"""

from __future__ import annotations

from importlib import import_module

import click

__all__ = ["work"]

# command -> (module, one line of help): the help is repeated here so that nothing is loaded for it
_COMMANDS = {
    "acid": "pH of a mix, dose to a pH, a reading judged, a titration fitted.",
    "checks": "The table of checks against published values.",
    "clarity": "A turbidity in words and in the other scales.",
    "cost": "Serves, cost of a serve, a batch made larger or smaller.",
    "curd": "Will it curdle, how much curd, how much drink, what stays in it.",
    "fat": "A fat wash: rate, setting, floating, water, aroma.",
    "filter": "Which filter holds a particle, and how long a new run takes.",
    "keep": "How to keep a drink, and its last day.",
    "label": "Allergens to declare, by place.",
    "settle": "How fast a particle sinks or creams.",
    "spin": "Pull, speed and time of a spin.",
    "strength": "Mix, dilute, raise, freeze, serve.",
    "strip": "How much tannin, bitterness or colour a curd takes.",
    "taste": "Blind tests: what a result proves, how many tasters, a ranking.",
    "whey": "Whey for body: how much, and what it does.",
    "words": "The kinds of milk, acid, fat and so on that the options take.",
}
_MODULES = {"clarity": "separation", "filter": "separation", "settle": "separation"}
_MODULES["spin"] = "separation"


class _Late(click.Group):
    """A group that imports a command when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        module = import_module(f"advisor.cli.work.{_MODULES.get(cmd_name, cmd_name)}")
        command: click.Command = getattr(module, cmd_name, None) or getattr(module, f"{cmd_name}_")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(sorted(_COMMANDS.items()))


@click.group(cls=_Late)
def work() -> None:
    """One calculation at a time: strength, acid, curd, strip, fat, whey and the rest.

    Amounts are written as people write them: "1 1/2 oz", "about 200 ml", 95 F, 4 to 6 g.
    A bare number is in the unit that the option names. What an amount leaves open ends up in the
    interval of the result.

    \b
    Water to bring a spirit down
      curdwise work strength dilute --volume "700 ml" --strength 60 --to 40
    pH of a mix, with a picture
      curdwise work acid mix --drink "750 ml" --milk "200 ml" --acid lemon-juice \\
          --dose "1 oz" --plot
    Did the panel tell them apart
      curdwise work taste result --right 8 --tasters 12
    Check the calculations
      curdwise work checks
    """
