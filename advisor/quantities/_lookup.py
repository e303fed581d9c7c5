"""From the words of a unit to what they mean, or to why they cannot be read."""

from __future__ import annotations

import re

from advisor.errors import did_you_mean
from advisor.quantities._numbers import Token, UnreadableError, amount_at, tokens
from advisor.quantities._units import BASES, KINDS, exchange
from advisor.quantities._words import (
    ALONE,
    COMPOUNDS,
    EXACT_CASE,
    REFUSED,
    SPELLINGS,
)
from advisor.quantities._words import Measure as Unit

__all__ = ["Unit", "stands_alone", "unit_called", "unit_text", "without_number"]


def unit_text(toks: list[Token], at: int) -> tuple[str, int]:
    """The words of a unit from ``at``; a number belongs to it only below the line."""
    start = at
    while at < len(toks):
        tok = toks[at]
        word = tok.text.lower()
        if tok.kind == "number":
            before = toks[at - 1].text.lower()
            if at == start or before not in ("/", "per"):
                break
        elif tok.kind == "word":
            if word in ("to", "or", "and", "plus", "x"):
                break
        elif word not in ("°", "%", "/", ".", "'", "(", ")"):
            break
        at += 1
    return " ".join(tok.text for tok in toks[start:at]), at


def unit_called(text: str, kind: str) -> Unit:
    """The unit that ``text`` names where ``kind`` is wanted; ``UnreadableError`` when none."""
    exact = EXACT_CASE.get(kind, {}).get(_key(text))
    if exact is not None:
        return exact
    key = _key(text).lower()
    if key in REFUSED.get(kind, {}):
        raise _refused(key, kind)
    if key in SPELLINGS[kind]:
        return SPELLINGS[kind][key]
    if kind in COMPOUNDS and (parts := re.split(r"/| per ", key, maxsplit=1))[1:]:
        return _compound(parts[0], parts[1], kind)
    raise _unknown(key, kind)


def stands_alone(text: str, kind: str) -> bool:
    """Whether the measure may stand without a number, as in "splash"."""
    unit = SPELLINGS[kind].get(_key(text).lower())
    return unit is not None and unit.name in ALONE


def without_number(text: str, kind: str) -> UnreadableError:
    """Why a word where a number should be cannot be read."""
    key = _key(text).lower()
    if key in REFUSED.get(kind, {}):
        return _refused(key, kind)
    if key in SPELLINGS[kind]:
        return UnreadableError(f"how much? There is no number before {_key(text)}")
    return UnreadableError(f"{text[:30]} is not an amount, and {KINDS[kind][0]} is wanted")


def _refused(key: str, kind: str) -> UnreadableError:
    message, hint = REFUSED[kind][key]
    return UnreadableError(message.format(word=key), hint)


def _key(text: str) -> str:
    bare = re.sub(r"\s*([%/°()])\s*", r"\1", text.replace(".", ""))
    return re.sub(r"\b([UuIi]) ([SsKk])\b", r"\1\2", " ".join(bare.split()))


def _compound(top: str, bottom: str, kind: str) -> Unit:
    """A weight, volume or amount of substance per so much of something."""
    top_kind, bottom_kind, name, scale = COMPOUNDS[kind]
    above = unit_called(top, top_kind)
    toks = tokens(bottom)
    number, at = amount_at(toks, 0)
    below = unit_called(bottom[toks[at].start :] if at < len(toks) else "", bottom_kind)
    count = number.value if number else 1.0
    if not count:
        raise UnreadableError("an amount per nothing has no meaning")
    over = exchange(above.times, above.name, BASES[top_kind])
    under = exchange(below.times, below.name, BASES[bottom_kind])
    low = high = None
    if above.low is not None or below.low is not None:
        low = scale * (above.low or over) / ((below.high or under) * count)
        high = scale * (above.high or over) / ((below.low or under) * count)
    return Unit(name, scale * over / (under * count), low, high)


def _unknown(key: str, kind: str) -> UnreadableError:
    wanted, example = KINDS.get(kind, ("an amount of substance", "20 mmol"))
    hint = f"write, for example, {example}"
    if not key:
        return UnreadableError(f"a unit is missing, and {wanted} is wanted", hint)
    if kind in COMPOUNDS and key in SPELLINGS[COMPOUNDS[kind][0]]:
        return UnreadableError(f"{key} per how much? {wanted} is wanted", hint)
    for other, (called, _) in KINDS.items():
        if other != kind and key in SPELLINGS[other]:
            return UnreadableError(f"{key} measures {called}, and {wanted} is wanted", hint)
    words = key.split()
    for count in range(len(words) - 1, 0, -1):
        if (known := " ".join(words[:count])) in SPELLINGS[kind]:
            extra = " ".join(words[count:])[:30]
            return UnreadableError(f"{extra} does not belong to an amount", f"end it with {known}")
    # two letters are like too many others to guess from
    close = did_you_mean(key[:30], [word for word in SPELLINGS[kind] if len(word) > 2])
    return UnreadableError(f"unknown unit {key[:30]}, and {wanted} is wanted", close or hint)
