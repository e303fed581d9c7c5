"""Find entries: by words, and by kind, stage, symptom, source or operation."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.report.browse.model import KINDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from advisor.knowledge.base import HouseChange
    from advisor.report.browse.model import Entry

__all__ = ["chosen", "find", "search"]


def find(entries: Mapping[str, Entry], id: str, house: Iterable[HouseChange] = ()) -> Entry:
    """One entry by id; hyphens and underscores are the same. Raises ``AdvisorError``.

    ``house`` is what a house changed: what it switched off is told as that.
    """
    keys = (id, id.replace("-", "_"), id.replace("_", "-"))
    for key in keys:
        if key in entries:
            return entries[key]
    for change in house:
        if change.id in keys and change.verb == "switched off":
            raise AdvisorError(
                "switched-off",
                f"the house has switched {change.kind} {change.id} off: {change.why}",
                where=change.place,
                hint=f"without --knowledge it is there: curdwise knowledge show {change.id}",
            )
    raise AdvisorError(
        "unknown-entry",
        f"nothing in the knowledge is called {id!r}",
        hint=did_you_mean(id, entries) or "curdwise knowledge search finds by words",
    )


def chosen(
    entries: Mapping[str, Entry],
    *,
    kind: str = "",
    stage: str = "",
    symptom: str = "",
    source: str = "",
    operation: str = "",
) -> list[Entry]:
    """The entries that meet every filter given, in their usual order.

    Raises ``AdvisorError`` for a kind, symptom, source, stage or operation that is none.
    """
    if kind:
        _known("kind", kind, KINDS)
    if symptom:
        symptom = symptom.replace("-", "_")
        _known("symptom", symptom, (e.id for e in entries.values() if e.kind == "symptom"))
    if source:
        _known("source", source, (e.id for e in entries.values() if e.kind == "source"))
    if stage:
        _known("stage", stage, (e.stage for e in entries.values() if e.stage))
    if operation:
        _known("operation", operation, (o for e in entries.values() for o in e.operations))
    return [
        e
        for e in entries.values()
        if (not kind or e.kind == kind)
        and (not stage or e.stage == stage)
        and (not symptom or symptom in e.symptoms)
        and (not source or source in e.sources)
        and (not operation or operation in e.operations)
    ]


def _known(what: str, name: str, known: Iterable[str]) -> None:
    names = list(dict.fromkeys(known))
    if name not in names:
        listed = "one of: " + ", ".join(names) if len(names) <= 20 else ""
        raise AdvisorError(
            f"unknown-{what}",
            f"there is no {what} {name!r}",
            hint=did_you_mean(name, names) or listed or f"curdwise knowledge list {what}",
        )


def search(entries: Mapping[str, Entry], words: str, most: int = 20) -> list[Entry]:
    """The entries that hold all the words (or words that begin so), best first.

    Ranked by BM25 (Robertson & Zaragoza 2009) as SQLite's full-text index computes it: a hit in
    a title counts for ten in the text. When no entry holds all words, those that hold any. What is
    called exactly so stands before all others.
    """
    said = " ".join(words.lower().split())
    called = [e for e in entries.values() if said in (e.title.lower(), e.id)]
    terms = [f'"{word}"*' for word in re.findall(r"\w+", words.lower())]
    if not terms:
        raise AdvisorError("search-empty", "there is no word to search for", hint="give a word")
    with closing(sqlite3.connect(":memory:")) as index:
        index.execute(
            "create virtual table entry using fts5"
            "(id, title, body, tokenize = 'porter unicode61 remove_diacritics 2')"
        )
        index.executemany(
            "insert into entry values (?, ?, ?)",
            ((e.id, f"{e.id.replace('_', ' ')} {e.title}", e.text) for e in entries.values()),
        )
        for join in (" AND ", " OR "):
            found = index.execute(
                "select id from entry where entry match ?"
                " order by bm25(entry, 0.0, 10.0, 1.0), rowid limit ?",
                (join.join(f"{{title body}} : {t}" for t in terms), most),
            ).fetchall()
            if found:
                ranked = (entries[row[0]] for row in found)
                return list({e.id: e for e in (*called, *ranked)}.values())[:most]
    return called[:most]
