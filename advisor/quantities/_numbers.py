"""Typed text into tokens, and tokens into numbers: "1½", "0,75", "1 1/2", "a couple of"."""

from __future__ import annotations

import re
import unicodedata
from typing import NamedTuple

from advisor.quantities._words import NUMBER_WORDS, PARTS_OF_ONE

__all__ = ["Amount", "Token", "UnreadableError", "amount_at", "normalise", "number", "tokens"]

_LONGEST_NUMBER = 20


class UnreadableError(Exception):
    """The text is not an amount: what is wrong, and what to write instead."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class Token(NamedTuple):
    """A number, a word or one sign, with where it stands in the normalised text."""

    kind: str  # "number", "word" or "sign"
    text: str
    start: int
    end: int


class Amount(NamedTuple):
    """A bare number with its interval; ``form`` says how it was written.

    ``figures`` (also "two"), ``fraction`` ("1/4"), ``share`` ("half"), ``article``
    ("a") or ``words`` ("a few").
    """

    value: float
    low: float
    high: float
    form: str


_SAME = {
    **dict.fromkeys("−–—‐‑‒―", "-"),
    **dict.fromkeys("º˚", "°"),
    **dict.fromkeys("×✕✖*·", "x"),
    **dict.fromkeys("≈∼", "~"),
    **dict.fromkeys("µμ", "u"),
    **dict.fromkeys("’‘`", "'"),
    **dict.fromkeys("⁄∕", "/"),
    "…": " to ",
    "_": " ",
}
_TOKEN = re.compile(
    r"""
      (?P<number> (?: [0-9][0-9.,]*[0-9] | [0-9] | [.,][0-9]+ )
                  (?: [eE][+-]?[0-9]{1,3}(?![^\W_]) )? )
    | (?P<word> [^\W\d_]+ )
    | (?P<sign> \S )
    """,
    re.VERBOSE,
)
_REWRITES = tuple(
    (re.compile(pattern, re.IGNORECASE), new)
    for pattern, new in (
        # thousands set apart by a narrow or unbreakable space or an apostrophe, or
        # by a plain space where nothing else can be meant: "1 000"
        (r"(?<=[0-9])[\u00a0\u2009\u202f'](?=[0-9]{3}(?![0-9]))", ""),
        (r"(?<![0-9.,/])([1-9][0-9]{0,2}) 000(?![0-9/.,])", r"\g<1>000"),
        (r"\.\.+|-to-", " to "),
        (r"\s*\+\s*/?\s*-\s*", " ± "),
        (r"(?<=[a-z])-(?=[a-z])", " "),  # fl-oz, bar-spoon
        # the hyphen of "1-1/2", which is not a range
        (r"(?<![0-9.,/-])([1-9][0-9]*)-([0-9]+)/([0-9]+)(?![0-9])", None),
        (r"\s+", " "),
    )
)


def normalise(text: str) -> str:
    """One spelling for the many forms of dashes, digits, fractions and spaces."""
    shaped = "".join(map(_plain, text))
    for pattern, new in _REWRITES:
        shaped = pattern.sub(_mixed if new is None else new, shaped)
    return shaped.strip()


def _plain(char: str) -> str:
    if char in _SAME:
        return _SAME[char]
    if char.isascii() or char in "\u00a0\u2009\u202f":
        return char
    digit = unicodedata.decimal(char, None)
    decomposed = unicodedata.decomposition(char)
    if digit is not None:
        # a raised digit is a power or a footnote, never a further digit
        return char if decomposed.startswith("<su") else str(digit)
    if decomposed.startswith("<fraction>"):
        return f" {unicodedata.normalize('NFKC', char).replace('⁄', '/')} "
    if decomposed.startswith("<su"):
        return char
    return unicodedata.normalize("NFKC", char)


def _mixed(match: re.Match[str]) -> str:
    whole, top, bottom = match.groups()
    proper = len(top) < 4 and len(bottom) < 4 and int(top) < int(bottom)
    return f"{whole} {top}/{bottom}" if proper else match[0]


def tokens(text: str) -> list[Token]:
    """Numbers, words and signs in order."""
    return [
        Token(match.lastgroup or "", match[0], match.start(), match.end())
        for match in _TOKEN.finditer(text)
    ]


def number(text: str) -> float:
    """A number in figures, with a decimal point or comma and thousands either way.

    A point alone is always a decimal point. One comma before exactly three digits may be
    either ("1,750 l" is a bottle to one and a tank to another) and is refused, unless the
    number begins with a zero ("0,750") or has a second mark ("1,500.5", "1,000,000").
    """
    if len(text) > _LONGEST_NUMBER:
        raise UnreadableError("a number has too many digits", "round it")
    figures, mark, exponent = re.sub("E", "e", text).partition("e")
    if re.fullmatch(r"[0-9]*\.?[0-9]+", figures):
        plain = figures
    elif re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", figures):
        raise UnreadableError(
            f"{text} may be {figures.replace(',', '')} or {figures.replace(',', '.')}",
            f"write {figures.replace(',', '')} or {figures.replace(',', '.').rstrip('0')}".rstrip(
                "."
            ),
        )
    elif re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", figures):
        plain = figures.replace(",", "")
    elif re.fullmatch(r"[1-9][0-9]{0,2}((\.[0-9]{3})+,[0-9]+|(\.[0-9]{3}){2,})", figures):
        plain = figures.replace(".", "").replace(",", ".")
    elif re.fullmatch(r"[0-9]*,[0-9]+", figures):
        plain = figures.replace(",", ".")
    else:
        raise UnreadableError(f"{text} is not a number", "write it like 1.5 or 1500")
    value = float(plain + mark + exponent)
    if value == float("inf"):
        raise UnreadableError(f"{text} is too large a number")
    return value


def amount_at(toks: list[Token], at: int) -> tuple[Amount | None, int]:
    """The amount that begins at a token, and where it ends; None when there is none."""
    if at >= len(toks):
        return None, at
    read = _in_figures if toks[at].kind == "number" else _in_words
    found, after = read(toks, at)
    if found is None:
        return None, at
    if found.form != "words":
        # a word of number may be followed by "of" or "a": "half of a", "a couple of"
        extra, after = _and_part(toks, after)
        if extra is not None:
            total = found.value + extra
            found = Amount(total, total, total, found.form)
    return found, _skip(toks, after, ("of", "a", "an")) if found.form != "figures" else after


def _exactly(value: float, form: str) -> Amount:
    return Amount(value, value, value, form)


def _in_figures(toks: list[Token], at: int) -> tuple[Amount | None, int]:
    first = number(toks[at].text)
    share, after = _fraction(toks, at)
    if share is not None:
        return _exactly(share, "fraction"), after
    share, after = _fraction(toks, at + 1)
    if share is None:
        return _exactly(first, "figures"), at + 1
    if share >= 1 or not first.is_integer():
        raise UnreadableError(
            f"{toks[at].text} and then a fraction is unclear", "write it like 1 1/2 or 1.5"
        )
    return _exactly(first + share, "figures"), after


def _fraction(toks: list[Token], at: int) -> tuple[float | None, int]:
    """Two numbers with a stroke between them, at ``at``."""
    if at + 2 >= len(toks) or toks[at + 1].text != "/" or toks[at + 2].kind != "number":
        return None, at
    if toks[at].kind != "number":
        return None, at
    top, bottom = number(toks[at].text), number(toks[at + 2].text)
    if not bottom:
        raise UnreadableError("a fraction cannot have zero below the line")
    return top / bottom, at + 3


def _in_words(toks: list[Token], at: int) -> tuple[Amount | None, int]:
    word = toks[at].text.lower()
    following = toks[at + 1].text.lower() if at + 1 < len(toks) else ""
    if word in PARTS_OF_ONE:
        return _exactly(PARTS_OF_ONE[word], "share"), at + 1
    if word in ("a", "an", "one") and following in PARTS_OF_ONE:
        return _exactly(PARTS_OF_ONE[following], "share"), at + 2
    if word == "a" and following == "couple":
        return _exactly(2.0, "words"), at + 2
    if word == "a" and following == "few":
        return Amount(3.0, 2.0, 5.0, "words"), at + 2
    if word in ("a", "an", "one") and following == "dozen":
        return _exactly(12.0, "words"), at + 2
    if word in ("a", "an"):
        return _exactly(1.0, "article"), at + 1
    if word in NUMBER_WORDS:
        if following in PARTS_OF_ONE:
            return _exactly(NUMBER_WORDS[word] * PARTS_OF_ONE[following], "share"), at + 2
        return _exactly(NUMBER_WORDS[word], "figures"), at + 1
    return None, at


def _and_part(toks: list[Token], at: int) -> tuple[float | None, int]:
    """The "and a half" of "two and a half" or "2 and 1/2"."""
    if at >= len(toks) or toks[at].text.lower() != "and":
        return None, at
    share, after = _fraction(toks, at + 1)
    if share is None:
        begin = _skip(toks, at + 1, ("a", "an", "one"))
        if begin < len(toks) and toks[begin].text.lower() in PARTS_OF_ONE:
            share, after = PARTS_OF_ONE[toks[begin].text.lower()], begin + 1
    return (share, after) if share is not None and share < 1 else (None, at)


def _skip(toks: list[Token], at: int, words: tuple[str, ...]) -> int:
    while at < len(toks) and toks[at].text.lower() in words:
        at += 1
    return at
