"""``curdwise knowledge explain``: what a code of the checks means, and how to mend it."""

from __future__ import annotations

import json

import click

from advisor.cli.exits import Exit
from advisor.cli.options import json_option

__all__ = ["explain"]


@click.command()
@click.argument("code", required=False)
@json_option("The page, or the list, as JSON.")
def explain(code: str | None, as_json: bool) -> int:
    """Explain a CODE that a check reports; without one, list them all.

    \b
    Examples:
      curdwise knowledge explain
      curdwise knowledge explain rule-subsumed
    """
    from advisor.knowledge.audit.pages import page, pages

    if code is not None:
        found = page(code)
        click.echo(
            json.dumps(found.as_dict(), indent=2, ensure_ascii=False) if as_json else found.text
        )
        return Exit.OK
    if as_json:
        rows = [{"code": p.code, "summary": p.summary} for p in pages()]
        click.echo(json.dumps({"version": 1, "codes": rows}, indent=2, ensure_ascii=False))
        return Exit.OK
    width = max(len(p.code) for p in pages())
    for each in pages():
        click.echo(f"{each.code:<{width}}  {each.summary}")
    return Exit.OK
