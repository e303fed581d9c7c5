"""``curdwise knowledge calculations``: what a figure may name."""

from __future__ import annotations

import click

__all__ = ["calculations"]


@click.command()
def calculations() -> None:
    """List the calculations that a figure may name, with inputs, units and source."""
    from advisor.science.registry import calculations as registered

    for calc in registered().values():
        click.echo(f"{calc.id}  [{calc.unit or ', '.join(calc.choices)}]  {calc.title}")
        for name, given in calc.inputs.items():
            needed = "" if given.required else "  (may be left out)"
            words = f"  {', '.join(given.choices)}" if given.choices else ""
            click.echo(f"    {name}: {given.unit}{words}{needed}")
        click.echo(f"    {calc.formula}\n    {calc.source}")
