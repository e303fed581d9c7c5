"""``curdwise knowledge``: the trade rules, and the tools that keep them true."""

from __future__ import annotations

import click

from advisor.cli.lazy import LazyGroup

__all__ = ["COMMANDS", "knowledge"]

# In the order in which the help lists them.
COMMANDS = {
    "list": "advisor.cli.knowledge.browse:list_",
    "search": "advisor.cli.knowledge.browse:search",
    "show": "advisor.cli.knowledge.browse:show",
    "pages": "advisor.cli.knowledge.browse:pages",
    "picture": "advisor.cli.knowledge.browse:picture",
    "check": "advisor.cli.knowledge.check:check",
    "explain": "advisor.cli.knowledge.explain:explain",
    "coverage": "advisor.cli.knowledge.coverage:coverage",
    "weigh": "advisor.cli.knowledge.weigh:weigh",
    "mutate": "advisor.cli.knowledge.mutate:mutate",
    "panel": "advisor.cli.knowledge.panel:panel",
    "calculations": "advisor.cli.knowledge.calculations:calculations",
}


@click.group(cls=LazyGroup, table=COMMANDS)
def knowledge() -> None:
    """The trade rules: read them, check them, and see what they can be built from."""
