"""``curdwise schema``: the JSON Schemas of the files that it reads and writes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["schema", "schema_text", "schemas"]

# Written out so that the help need not import what is behind them.
_NAMES = (
    "knowledge",
    "case",
    "result",
    "evaluation",
    "drill",
    "drill-answers",
    "exam-sheet",
    "brief",
    "choice",
    "protocol",
)


def schemas() -> dict[str, Callable[[], dict[str, Any]]]:
    """The schemas by the name of what they describe."""
    from advisor.consult import case_schema
    from advisor.drills.shape import scenario_schema
    from advisor.drills.sheet import answers_schema, sheet_schema
    from advisor.evaluation.shape import evaluation_schema
    from advisor.knowledge.shapes import knowledge_schema
    from advisor.report.choiceresult import choice_schema
    from advisor.report.protocolshape import protocol_schema
    from advisor.report.resultshape import result_schema
    from advisor.technique.brief import brief_schema

    return {
        "knowledge": knowledge_schema,
        "case": case_schema,
        "result": result_schema,
        "evaluation": evaluation_schema,
        "drill": scenario_schema,
        "drill-answers": answers_schema,
        "exam-sheet": sheet_schema,
        "brief": brief_schema,
        "choice": choice_schema,
        "protocol": protocol_schema,
    }


def schema_text(name: str) -> str:
    """A schema as the file that ships with the package."""
    return json.dumps(schemas()[name](), indent=2, ensure_ascii=False) + "\n"


@click.command()
@click.argument("name", type=click.Choice(_NAMES))
def schema(name: str) -> None:
    """Print the JSON Schema of a knowledge file, a case file, a result, an evaluation,
    a drill, the answers to one, or the sheet of an exam.

    An editor that knows JSON Schema completes and checks the YAML with it.
    """
    click.echo(schema_text(name), nl=False)
