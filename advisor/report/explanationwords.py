"""Pieces of sentences that the explanations on demand share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from advisor.report.explain import percent, short

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "chance_words",
    "effort_words",
    "first_sentence",
    "gist_words",
    "leading_words",
    "lower_first",
    "odds_words",
    "ordinal",
    "remedy_words",
    "standing_words",
    "upper_first",
]


def standing_words(standing: Mapping[str, Any]) -> str:
    """How sure: the word and the number."""
    return f"{standing['words']}, {chance_words(standing['probability'])}"


def chance_words(probability: float) -> str:
    """A probability in words that never say none or all: it was rounded on the way here."""
    return percent(min(max(probability, 1e-9), 1.0 - 1e-9))


def effort_words(asked: Mapping[str, Any]) -> str:
    """What an answer costs in work and waiting."""
    minutes, wait = asked["minutes"], asked["wait_minutes"]
    work = f"about {minutes:g} min" if minutes >= 1.0 else "under a minute"
    if wait >= 120:
        return f"{work} and {wait / 60:.3g} h of waiting"
    return f"{work} and {wait:g} min of waiting" if wait else work


def ordinal(place: int) -> str:
    """A place in a row: 1st, 2nd, 11th, 22nd."""
    if place % 100 in (11, 12, 13):
        return f"{place}th"
    return f"{place}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(place % 10, 'th') }"


def upper_first(text: str) -> str:
    """A text as it begins a sentence."""
    return text[:1].upper() + text[1:]


def lower_first(text: str) -> str:
    """A text as it stands within a sentence; pH and UHT keep their letters."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def odds_words(apart: float) -> str:
    """Decibans as odds that people say."""
    odds = 10.0 ** (apart / 10.0)
    if odds < 1.25:
        return "about even"
    if odds >= 1000.0:
        return "more than 1000 to 1"
    return f"about {float(f'{odds:.2g}'):g} to 1"


def gist_words(advice: Mapping[str, Any]) -> str:
    """An advice in one line."""
    remedy = f" To try first: {remedy_words(advice)}." if advice["remedy"] else ""
    if advice["verdict"] == "cause":
        return f"{short(advice['title'])}: {standing_words(advice)}.{remedy}"
    if advice["verdict"] == "open":
        return f"it is open; {leading_words(advice)}.{remedy}"
    return lower_first(advice["text"])


def leading_words(advice: Mapping[str, Any]) -> str:
    """What leads where nothing is settled."""
    if advice["cause"] is None:
        return "nothing listed here leads"
    leads = lower_first(short(advice["title"]))
    return f"{leads} leads with {chance_words(advice['probability'])}"


def remedy_words(advice: Mapping[str, Any]) -> str:
    """The remedy to try first."""
    return lower_first(advice["remedy_title"] or "nothing").rstrip(".")


def first_sentence(text: str) -> str:
    """The first sentence of a text, with its full stop."""
    head, stop, _ = text.partition(". ")
    return head + "." if stop else text
