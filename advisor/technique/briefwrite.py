"""Writing a brief so that reading it gives the same answers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.files import write_whole

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.technique.brief import Brief

__all__ = ["brief_text", "write_brief"]

_HEADER = "# A curdwise brief. Answers may be changed by hand.\n"


def brief_text(brief: Brief) -> str:
    """A brief as its file holds it."""
    from advisor.knowledge.yamlwrite import yaml_text

    data: dict[str, Any] = {}
    if brief.title:
        data["title"] = brief.title
    if brief.story:
        data["story"] = brief.story
    if brief.invented:
        data["invented"] = True
    told: dict[str, Any] = {"goals": [g.removeprefix("goal_") for g in brief.goals]}
    for key, answer in brief.answers.items():
        if not key.startswith("goal_"):
            told[key] = answer.text or answer.value or answer.status
    data["brief"] = told
    if brief.expect:
        data["expect"] = dict(brief.expect)
    return _HEADER + yaml_text(data)


def write_brief(path: Path | str, brief: Brief) -> None:
    """Write a brief file in one step: the old file stays whole until the new one is complete."""
    write_whole(
        path,
        brief_text(brief).encode(),
        code="brief-unwritable",
        saying="the brief cannot be saved",
        hint="choose a folder that exists and that you may write to",
    )
