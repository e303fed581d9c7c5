"""``curdwise schema``: the JSON Schemas of the files that it reads and writes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["schema", "schema_text", "schemas"]


def schemas() -> dict[str, Callable[[], dict[str, Any]]]:
    """The schemas by the name of what they describe."""
    from advisor.consult import case_schema
    from advisor.knowledge.shapes import knowledge_schema
    from advisor.report.resultshape import result_schema

    return {"knowledge": knowledge_schema, "case": case_schema, "result": result_schema}


def schema_text(name: str) -> str:
    """A schema as the file that ships with the package."""
    return json.dumps(schemas()[name](), indent=2, ensure_ascii=False) + "\n"


@click.command()
@click.argument("name", type=click.Choice(["knowledge", "case", "result"]))
def schema(name: str) -> None:
    """Print the JSON Schema of a knowledge file, a case file or a result.

    An editor that knows JSON Schema completes and checks the YAML with it.
    """
    click.echo(schema_text(name), nl=False)
