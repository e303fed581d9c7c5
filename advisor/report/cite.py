"""Where something comes from, in a few words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.knowledge.model import Base, Citation, Source

__all__ = ["citation_data", "cite", "cite_all"]

# "Fox PF", "van der Burg-Koorevaar MCD": a surname and initials.
_PERSON = re.compile(r"(?=.*[a-zß-ÿ])[^\W\d_][\w'’. -]* [A-ZÀ-Þ]{1,4}")
_PLAIN = {"practice": "common practice", "judgement": "our judgement"}


def cite(base: Base, citation: Citation) -> str:
    """A citation as it stands beside a reason."""
    if citation.ref in _PLAIN:
        return _PLAIN[citation.ref]
    source = base.sources[citation.ref]
    text = _short(source)
    text += f", {citation.at}" if citation.at else ""
    if citation.derived:
        text = f"worked out from {text}"
    if source.mark == "memory":
        text += " (check before relying on this)"
    return text


def _short(source: Source) -> str:
    """Surnames and year for people, the whole name for a body, else the title."""
    if not source.by:
        return source.title
    authors = [a.strip() for a in re.split(r"[,;]", source.by) if a.strip()]
    if all(_PERSON.fullmatch(a) for a in authors):
        names = [a.rsplit(" ", 1)[0] for a in authors]
        name = " & ".join(names) if len(names) <= 2 else f"{names[0]} and others"
    else:
        name = source.by
    return f"{name} {source.year}" if source.year else name


def cite_all(base: Base, citations: Iterable[Citation]) -> str:
    """Several citations in one line."""
    return "; ".join(cite(base, c) for c in citations)


def citation_data(base: Base, citation: Citation) -> dict[str, Any]:
    """A citation for a program."""
    data: dict[str, Any] = {"ref": citation.ref, "text": cite(base, citation)}
    if citation.at:
        data["at"] = citation.at
    if citation.derived:
        data["derived"] = True
    if citation.says:
        data["says"] = citation.says
    return data
