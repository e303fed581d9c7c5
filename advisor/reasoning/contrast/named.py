"""A cause by the name that somebody typed: its id, its title, or enough words of either."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.knowledge.words import NOT_LISTED

if TYPE_CHECKING:
    from advisor.knowledge.model import Base

__all__ = ["cause_named"]

_SMALL = ("a", "an", "and", "as", "at", "by", "in", "is", "it", "of", "on", "or", "the", "to")
_MOST_OFFERED = 4


def cause_named(base: Base, text: str) -> str:
    """The cause that is meant. Raises ``AdvisorError``: ``unknown-cause``.

    Words that fit a single cause are enough ("disturbed bed"); words that fit several are
    refused with those that they fit.
    """
    said = " ".join(text.lower().split()).rstrip(".?!")
    slug = re.sub(r"[\s_]+", "-", said)
    if slug in base.causes or slug == NOT_LISTED:
        return slug
    for cause in base.causes.values():
        title = cause.title.lower().rstrip(".?!")
        if said in (title, title.partition(":")[0]):
            return cause.id
    words = [w for w in re.split(r"[\s_-]+", said) if w and w not in _SMALL]
    fits = [
        cause.id
        for cause in base.causes.values()
        if words and all(_begins(word, f"{cause.id} {cause.title}".lower()) for word in words)
    ]
    if len(fits) == 1:
        return fits[0]
    raise AdvisorError(
        "unknown-cause",
        f"{text[:60]!r} fits {len(fits)} causes" if fits else f"there is no cause {text[:60]!r}",
        hint=_offered(fits)
        if fits
        else did_you_mean(slug, base.causes) or "name one that the result lists (--json has all)",
    )


def _begins(word: str, text: str) -> bool:
    """Whether a word of the text begins with this one."""
    return re.search(rf"(?<![^\W_]){re.escape(word)}", text) is not None


def _offered(fits: list[str]) -> str:
    more = f" (and {len(fits) - _MOST_OFFERED} more)" if len(fits) > _MOST_OFFERED else ""
    return f"did you mean {' or '.join(fits[:_MOST_OFFERED])}?{more}"
