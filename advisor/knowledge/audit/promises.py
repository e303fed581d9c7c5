"""Promises of safety and of freedom from allergens, which no text of a base may make.

A text may name such a promise in order to forbid it, to report it or to ask about it: "never call
it dairy free", "guests were told that it is safe", "is it sterile?". So the clause around a promise
is read as well.
"""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, TypeAlias

from advisor.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from advisor.errors import Place
    from advisor.knowledge.audit.places import Places
    from advisor.knowledge.model import Base

__all__ = ["promise_in", "promise_problems"]

_ALLERGENS = "(?:milk|dairy|casein|whey|allergens?|nuts?|peanuts?|sesame|soya?|eggs?|fish|gluten)"
_LIFE = "(?:bacteria|germs?|microbes?|pathogens?|spores?|yeasts?|moulds?|everything|anything)"
_PROMISES = re.compile(
    rf"""\b(?:
      {_ALLERGENS}[ -]free
    | free\ (?:of|from)\ (?:all\ |any\ |the\ )?(?:traces?\ of\ )?{_ALLERGENS}
    | contains?\ no\ (?:more\ )?{_ALLERGENS}
    | (?:is|are|be|was|were|it's|stays?|remains?|becomes?|made|makes?\ it|makes?\ them|and|now
        |perfectly|completely|quite|entirely|always|absolutely)\ safe
    | safe\ (?:for|to)
    | suitable\ for\ (?:all|any|every|guests|people|those|milk|dairy|allerg\w*|vegans?|lactose)
    | sterile | sterili[sz]e[sd]? | pasteuri[sz]es
    | kills?\ (?:all|every|any)\b | kills?\ (?:the\ |off\ )?{_LIFE}
    | shelf[ -]stable | risk[ -]free | no\ (?:risk|danger)\ (?:to|for|at\ all)
    | preserved\ by\ (?:the\ )?(?:alcohol|acid|spirit)
    | keeps?\ for\ ?ever
    | (?:never|cannot|can't|won't|will\ not)\ (?:spoils?|go(?:es)?\ off|go(?:es)?\ bad)
    )\b""",
    re.VERBOSE,
)
# Where one thought ends and the next begins.
_CLAUSE = re.compile(
    r"""[.;:!?()]\s | \s-\s
    | (?:,|\b(?:and|so|but|because|which|hence|therefore)\b)\s+
      (?=(?:it|that|this|they|the|these|so|now|then|you|is|are)\b)""",
    re.VERBOSE,
)
# Turns of phrase with a "no" or "not" that deny nothing.
_STRONGER = re.compile(
    r"\b(?:no doubt|no question|not only|not just|nothing but|no worr\w+|why not)\b"
)
_DENIED = re.compile(
    r"""\b(?:never|not|no|nor|neither|nobody|nothing|none|cannot|\w+n't|without|hardly
    |rather\ than|instead\ of|unless|whether|wrongly|falsely|false|untrue)\b""",
    re.VERBOSE,
)
_REPORTED = re.compile(
    r"""\b(?:called|sold\ as|were\ told|was\ told|been\ told|claim(?:s|ed)?|says|said|read\ as
    |believed?|supposed|asks?|asked|asking|wants?|wanted|wish(?:es|ed)?|question\w*|taken\ for
    |must\ (?:be|stay)|should\ be|has\ to\ be|have\ to\ be|to\ be|for\ an?)\b""",
    re.VERBOSE,
)
_ABOUT_A_WORD = re.compile(
    r"[\"'”’]?\s*(?:claims?|words?|menus?|guests?|diets?|questions?|names?|labels?|promises?)\b"
)
_TELLS = re.compile(r"\b(?:write|say|print|put|tell|call|label|advertise|promise|note)\b")
_ORDER = re.compile(r"(?:^|[.;:,]\s*|\b(?:and|then|or)\s+)$")


def promise_in(text: str) -> str:
    """The first promise that a text makes, as it is written there; empty when it makes none."""
    plain = re.sub("[‐-―]", "-", " ".join(text.split())).casefold()
    for found in _PROMISES.finditer(plain):
        if not _meant_otherwise(plain, found):
            return found.group()
    return ""


def _meant_otherwise(text: str, found: re.Match[str]) -> bool:
    """Whether the clause around a promise denies it, reports it or asks about it."""
    start = max((m.end() for m in _CLAUSE.finditer(text, 0, found.start())), default=0)
    before = _STRONGER.sub(" ", text[start : found.start()])
    after = text[found.end() :]
    ends = re.search(r"[.!?;]", after)
    if ends is not None and ends.group() == "?":
        return True
    if _DENIED.search(before) or _REPORTED.search(before):
        return True
    if found.group().startswith(("sterili", "pasteuri")) and not found.group().endswith("s"):
        # "Sterilise the bottles" is something to do, not something that is so.
        return bool(_ORDER.search(text[: found.start()])) and found.group().endswith("e")
    if _ABOUT_A_WORD.match(after):
        return True
    quoted = text[: found.start()].count('"') % 2 == 1
    return quoted and not _TELLS.search(before)


def promise_problems(base: Base, places: Places) -> Iterator[Problem]:
    """Texts that promise what nobody can."""
    for text, place in _texts(base, places):
        promise = promise_in(text)
        if promise:
            yield Problem(
                "text-promises",
                f"the text says {promise!r}: never promise that",
                place(),
                "say what to do, and let local code decide",
            )


_Text: TypeAlias = tuple[str, "Callable[[], Place]"]

# The texts of each kind of record: by themselves, and in a list of things that each have one.
_PLAIN = {
    "cautions": ("text",),
    "remedies": ("title", "do", "otherwise", "expect", "trial"),
    "causes": ("title", "because"),
    "checks": ("title", "how"),
    "rules": ("title", "because"),
    "choosing": ("title", "because"),
    "techniques": ("title", "about", "because"),
}
_LISTED = {
    "remedies": (("risks", "text"),),
    "causes": (("looks_like", "tell"),),
    "checks": (("outcomes", "says"),),
    "parts": (("steps", "title"), ("steps", "do")),
}
# Under which key of `then` the words of an effect stand.
_WORDED = {"forbid": "way_out", "impossible": "impossible", "trade-off": "trade_off"}


def _texts(base: Base, places: Places) -> Iterator[_Text]:
    """Every text of a base that tells somebody something, with what gives its place."""
    for section, parts in _PLAIN.items():
        for record in getattr(base, section).values():
            for part in parts:
                yield getattr(record, part), partial(places.at, section, record.id, part)
    for section, lists in _LISTED.items():
        for record in getattr(base, section).values():
            for listed, part in lists:
                for number, entry in enumerate(getattr(record, listed)):
                    at = partial(places.at, section, record.id, listed, number, part)
                    yield getattr(entry, part), at
    yield from _choosing_texts(base, places)


def _choosing_texts(base: Base, places: Places) -> Iterator[_Text]:
    """What is said where a technique is chosen: ways out, conflicts and what each changes."""
    for rule in base.choosing.values():
        for effect in rule.effects:
            key = _WORDED.get(effect.kind) or _WORDED.get(effect.target)
            if key and effect.word:
                yield effect.word, partial(places.at, "choosing", rule.id, "then", key)
    for technique in base.techniques.values():
        for changed, text in technique.effects.items():
            yield text, partial(places.at, "techniques", technique.id, "effects", changed)
