"""Records that say word for word what another says: one of the two is a slip or a leftover."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator, Mapping

    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.model import Base, Remedy

__all__ = ["twice_problems"]


def twice_problems(base: Base, places: Places) -> Iterator[Problem]:
    """Each record whose wording another has, told of the later one or of the house's."""
    asked = {**base.brief_findings, **base.findings}
    kinds: tuple[tuple[str, Mapping[str, Any], Callable[[Any], Hashable], str, str], ...] = (
        (
            "findings",
            {k: f for k, f in asked.items() if f.asked},
            lambda f: (_plain(f.ask), _plain(f.label), f.group == "brief"),
            "asks the same as",
            "ask",
        ),
        ("remedies", base.remedies, _does, "says the same as", "do"),
        ("checks", base.checks, lambda c: _plain(c.how), "is done like", "how"),
        ("causes", base.causes, lambda c: _plain(c.title), "has the title of", "title"),
        ("cautions", base.cautions, lambda c: _plain(c.text), "says the same as", "text"),
        ("techniques", base.techniques, lambda t: _plain(t.title), "has the title of", "title"),
    )
    for section, records, wording, verb, part in kinds:
        first: dict[Hashable, str] = {}
        for name, record in records.items():
            before = first.setdefault(wording(record), name)
            if before == name:
                continue
            # What a house wrote is told at the house's own line.
            mine, other = (name, before) if _later(places, name, before) else (before, name)
            yield Problem(
                "same-wording",
                f"{mine} {verb} {other}, word for word",
                places.at(section, mine, part),
                "keep one, or say how they differ",
            )


def _later(places: Places, name: str, before: str) -> bool:
    return places.of_house(name) or not places.of_house(before)


def _does(remedy: Remedy) -> Hashable:
    return remedy.of, _plain(remedy.do), _plain(remedy.otherwise)


def _plain(text: str) -> str:
    """Text without what nobody would call a difference: case, spaces and the last full stop."""
    return " ".join(text.casefold().split()).rstrip(" .!?")
