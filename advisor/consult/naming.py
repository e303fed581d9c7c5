"""Names as people give them: a remedy by its title, an answer by the words of its label."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean, shortened

if TYPE_CHECKING:
    from advisor.knowledge.findings import Finding
    from advisor.knowledge.model import Base

__all__ = ["answer_named", "remedy_named"]

_SMALL = frozenset(("a", "an", "and", "in", "it", "of", "the", "to"))
_NOT = frozenset(("no", "non", "none", "not", "never", "nothing", "without"))
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


def answer_named(finding: Finding, raw: object) -> object:
    """The answer of a choice that these words mean; ``raw`` itself where that is not plain.

    Words mean an answer that they name between *or*, commas and brackets of its label ("UHT" of
    "long-life (UHT or ultra-pasteurised)"), that they name beside words of the question ("oat
    milk", to which milk it was), or of which they are a piece that no other answer has.
    """
    if finding.kind != "choice" or not isinstance(raw, str):
        return raw
    said = _plain(raw)
    if not said or said.replace(" ", "-") in finding.words:
        return raw
    choices = [(c.value, _plain(c.label)) for c in finding.choices]
    parts = {c.value: {_plain(p) for p in _PARTS.split(c.label)} for c in finding.choices}
    about = _plain(finding.label).split()
    alone = " ".join(word for word in said.split() if word not in about)
    for fits in (
        [value for value, label in choices if said == label or said in parts[value]],
        [value for value, _ in choices if alone and alone == _plain(value)],
        [value for value, label in choices if alone and (alone == label or alone in parts[value])],
        [value for value, label in choices if _piece(said, label)],
    ):
        if fits:
            return fits[0] if len(fits) == 1 else raw
    return raw


_PARTS = re.compile(r"[(),;]|\bor\b")


def _piece(said: str, label: str) -> bool:
    """Whether a label has these words, one after the other, and denies nothing that they do not."""
    denied = _NOT & set(label.split()) == _NOT & set(said.split())
    return denied and any(c.isalpha() for c in said) and f" {said}" in f" {label}"


def _plain(text: str) -> str:
    """Words alone, one blank between them; a per cent sign belongs to its number."""
    text = re.sub(r"\s+%", "%", text.lower().replace("'", "").replace("’", ""))
    return " ".join(re.findall(r"[^\W_]+%?", text))


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
