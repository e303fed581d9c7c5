"""Names as people give them: a remedy by its id, by its title, or by words that fit one alone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean, shortened

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

__all__ = ["remedy_named"]

_SMALL = frozenset(("a", "an", "and", "in", "it", "of", "the", "to"))
_MOST_OFFERED = 4
_LISTED = "curdwise knowledge list remedy lists them with their titles"


def remedy_named(base: Base, text: str) -> str:
    """The remedy that is meant. Raises ``AdvisorError``: ``unknown-remedy``."""
    said = _plain(text)
    if text.strip() in base.remedies:
        return text.strip()
    slug = said.replace(" ", "-")
    if slug in base.remedies:
        return slug
    titles = {r.id: _plain(r.title) for r in base.remedies.values()}
    # Two may have one title: what is done to this batch comes before what is done to the next.
    batch = sorted(titles, key=lambda r: base.remedies[r].of != "this-batch")
    for remedy in batch:
        if titles[remedy] == said:
            return remedy
    words = [w for w in said.split() if w not in _SMALL]
    fits = [
        r for r in batch if words and all(f" {w}" in f" {_plain(r)} {titles[r]}" for w in words)
    ]
    if len(fits) == 1:
        return fits[0]
    raise AdvisorError(
        "unknown-remedy",
        f"{shortened(text)!r} fits {len(fits)} remedies"
        if fits
        else f"there is no remedy {shortened(text)!r}",
        where="tried",
        hint=_hint(base, fits) if fits else _nearest(base, slug, said, titles),
    )


def _plain(text: str) -> str:
    """Words alone, one blank between them."""
    return " ".join(re.findall(r"[^\W_]+", text.lower().replace("'", "").replace("’", "")))


def _nearest(base: Base, slug: str, said: str, titles: dict[str, str]) -> str:
    close = did_you_mean(slug, base.remedies)
    if close:
        return f"{close} {_LISTED}"
    named = {title: remedy for remedy, title in titles.items()}
    known = [title for title in named if did_you_mean(said, [title])]
    return _hint(base, [named[title] for title in known]) if known else _LISTED


def _hint(base: Base, fits: list[str]) -> str:
    offered = " or ".join(f"{r} ({base.remedies[r].title})" for r in fits[:_MOST_OFFERED])
    more = f" (and {len(fits) - _MOST_OFFERED} more)" if len(fits) > _MOST_OFFERED else ""
    return f"did you mean {offered}?{more} {_LISTED}"
