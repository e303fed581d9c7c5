"""Names of skills, causes and statements as an instructor reads them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.report.explain import title_of

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

__all__ = ["cause_name", "skill_name", "stage_name", "statement_name", "symptom_name"]

_SKILLS = {
    "dose": "get the dose right",
    "ask": "ask what tells most, and enough of it",
    "sure": "be as sure as one is right",
}
_VERDICTS = {
    "discard": "see that it must be thrown away",
    "stop": "see that it must not be served so",
    "nothing-wrong": "see that nothing is wrong",
}


def skill_name(skill: str) -> str:
    """A skill in words; one that this version does not know stays as it is."""
    kind, _, what = skill.partition(":")
    if kind == "find":
        return f"find a fault of {what}"
    if kind == "mend":
        return f"pick the remedy at {what}"
    if kind == "say":
        return f"say: {what.replace('-', ' ')}"
    if kind == "verdict":
        return _VERDICTS.get(what, skill)
    return _SKILLS.get(skill, skill)


def cause_name(base: Base, cause: str) -> str:
    """The short title of a cause, also of one that the knowledge no longer has."""
    if not cause:
        return "no cause named"
    if cause not in base.causes:
        return cause
    return title_of(base, cause).partition(":")[0].rstrip(".")


def stage_name(stage: str) -> str:
    """A stage, or the verdict of a batch without a fault at any."""
    return {"nothing-wrong": "nothing wrong"}.get(stage, stage)


def symptom_name(base: Base, symptom: str) -> str:
    """A symptom's label."""
    return base.findings[symptom].label if symptom in base.findings else symptom


def statement_name(base: Base, statement: str) -> str:
    """A safety statement: the name of a caution, or what was said wrongly."""
    return statement.replace("-", " ") if statement in base.cautions else statement
