"""Writing a brief so that reading it gives the same answers."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.technique.brief import Brief

__all__ = ["write_brief"]

_HEADER = "# A curdwise brief. Answers may be changed by hand.\n"


def write_brief(path: Path | str, brief: Brief) -> None:
    """Write a brief file in one step: the old file stays whole until the new one is complete."""
    import tempfile

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
    written = _written(data)
    path = Path(path)
    partial = ""
    try:
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f".{path.name}.", delete=False
        ) as out:
            partial = out.name
            out.write(written)
            out.flush()
            os.fsync(out.fileno())
        Path(partial).replace(path)
    except (OSError, ValueError) as error:
        if partial:
            with suppress(OSError):
                Path(partial).unlink()
        reason = (error.strerror if isinstance(error, OSError) else "") or str(error)
        raise AdvisorError(
            "brief-unwritable",
            f"the brief cannot be saved: {reason}",
            where=str(path),
            hint="choose a folder that exists and that you may write to",
        ) from None


def _written(data: Mapping[str, Any]) -> bytes:
    import yaml

    from advisor.knowledge.yamlread import plain_value

    class Dumper(yaml.SafeDumper):
        pass

    def text(dumper: Any, value: str) -> Any:
        # The writer knows YAML 1.1, our reader 1.2: what reads as something else is quoted.
        style = None if isinstance(plain_value(value), str) else "'"
        return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)

    Dumper.add_representer(str, text)
    written = yaml.dump(dict(data), Dumper=Dumper, sort_keys=False, allow_unicode=True, width=100)
    return _HEADER.encode() + written.encode()
