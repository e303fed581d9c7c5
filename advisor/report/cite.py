"""Where something comes from, in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.knowledge.model import Base, Citation

__all__ = ["citation_data", "cite", "cite_all"]

_PLAIN = {"practice": "common practice", "judgement": "our judgement"}


def cite(base: Base, citation: Citation) -> str:
    """A citation as it stands beside a reason."""
    if citation.ref in _PLAIN:
        return _PLAIN[citation.ref]
    source = base.sources[citation.ref]
    name = source.by or source.title
    authors = [a.split()[0] for a in name.split(",")] if source.by else [name]
    short = " & ".join(authors[:2]) if len(authors) <= 2 else f"{authors[0]} and others"
    text = f"{short} {source.year}" if source.year and source.by else short
    text += f", {citation.at}" if citation.at else ""
    if citation.derived:
        text = f"worked out from {text}"
    if source.mark == "memory":
        text += " (check before relying on this)"
    return text


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
