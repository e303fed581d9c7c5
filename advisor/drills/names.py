"""Names of learners and classes: tidied the same way wherever one comes in."""

from __future__ import annotations

import unicodedata
from collections import defaultdict
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.errors import Place

__all__ = ["alike", "read_name", "tidy"]

_LONGEST = 200
# What turns the writing round, so that a name looks like another one.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")


def tidy(name: str) -> str:
    """A name in one form (NFC), on one line, with single spaces and none around it."""
    return " ".join(unicodedata.normalize("NFC", name).split())


def read_name(
    written: str, what: str = "learner", *, where: Place | str = "", empty: bool = False
) -> str:
    """A name, tidied. Raises ``AdvisorError`` (``name``) for one that cannot be kept.

    ``what`` is a learner or a class; ``empty`` allows none.
    """
    name = tidy(written)
    if not name and not empty:
        raise AdvisorError(
            "name", f"the name of the {what} is empty", where=where, hint="write who it is"
        )
    if len(name) > _LONGEST:
        raise AdvisorError(
            "name",
            f"the name of the {what} has {len(name)} characters: {name[:30]!r} and so on",
            where=where,
            hint=f"at most {_LONGEST} are kept: shorten it",
        )
    wrong = next((c for c in name if unicodedata.category(c) in ("Cc", "Cs") or c in _TURNING), "")
    if wrong:
        raise AdvisorError(
            "name",
            f"{wrong!r} stands in the name of the {what}: {name[:60]!r}",
            where=where,
            hint="it is no letter and cannot be seen: type the name anew",
        )
    return name


def alike(names: Iterable[str]) -> list[tuple[str, ...]]:
    """Names that differ in nothing but capitals or accents, together."""
    found: dict[str, set[str]] = defaultdict(set)
    for name in names:
        found[_folded(name)].add(name)
    return [tuple(sorted(same)) for _, same in sorted(found.items()) if len(same) > 1]


def _folded(name: str) -> str:
    parts = unicodedata.normalize("NFKD", tidy(name).casefold())
    return "".join(c for c in parts if not unicodedata.combining(c))
