"""What people put around an amount: "about", "or so", "at", "pH of", clock times."""

from __future__ import annotations

import re

from advisor.quantities._numbers import UnreadableError

__all__ = ["clock_times", "unwrap"]

_ABOUT = re.compile(
    r"(?:about|around|approximately|approx\b\.?|roughly|circa|ca\b\.?|nearly|almost|~)\s*", re.I
)
_AFTERWARDS = re.compile(
    r"(?:\s+or\s+so|\s+or\s+thereabouts)$|(?<=[0-9a-z])[\s-]*ish(?=\s|$)", re.I
)
_LEAD_IN = re.compile(r"(?:at|for|in|exactly|precisely|just)\s+", re.I)
_ONE_SIDED = re.compile(
    r"(?:[<>≤≥]|(?:at least|at most|up to|more than|less than|over|under|below|above|min\.|max\.?"
    r"|a little (?:over|under)|just (?:over|under))(?![a-z]))",
    re.I,
)
_LABELS = {
    "acidity": re.compile(r"ph\s*(?:of|is|=|:)?\s*(?=[\d.,~a-z<>-])", re.I),
    "strength": re.compile(
        r"(?:abv|alc\.?|alcohol|strength)\s*(?:of|is|=|:)?\s*(?=[\d.,~]|ab|ar|ap)", re.I
    ),
}
_CLOCK = re.compile(
    r"(?<![\d:.,])(\d{1,3}):([0-5]\d)(?::([0-5]\d))?(?![\d:]|[.,]\d)"
    r"(?:\s*(h|hrs?|hours?|m|mins?|minutes?)\b)?",
    re.I,
)
_MOST_LAYERS = 4


def unwrap(text: str, kind: str) -> tuple[str, bool]:
    """The amount without hedges and labels, and whether it was hedged.

    Raises ``UnreadableError`` for a one-sided limit ("at least 200 ml"), which leaves the
    amount open.
    """
    text = text.rstrip(" .;,!?")
    shorter = _AFTERWARDS.sub("", text)
    hedged = shorter != text
    text = shorter
    label = _LABELS.get(kind)
    for _ in range(_MOST_LAYERS):
        if _ONE_SIDED.match(text):
            raise UnreadableError(
                "a limit is not an amount", "give the amount, or a range such as 200 to 250"
            )
        if match := _ABOUT.match(text):
            hedged = True
        else:
            match = _LEAD_IN.match(text) or (label.match(text) if label else None)
        if not match:
            break
        text = text[match.end() :]
    return text, hedged


def clock_times(text: str) -> str:
    """2:30 as "2 h 30 min", and "2:30 min" as "2 min 30 s"."""
    return _CLOCK.sub(_spelled_out, text)


def _spelled_out(match: re.Match[str]) -> str:
    first, second, third, unit = match.groups()
    if third is not None:
        return f"{first} h {second} min {third} s"
    if unit and unit.lower().startswith("m"):
        return f"{first} min {second} s"
    return f"{first} h {second} min"
