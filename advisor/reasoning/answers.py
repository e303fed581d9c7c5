"""What has been said of a batch: answers as values, checked against the base when they come in."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from advisor.errors import AdvisorError, did_you_mean
from advisor.knowledge.conditions import NOT_NOW, UNKNOWN
from advisor.reasoning.settled import Settled

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.knowledge.model import Base, Finding

__all__ = [
    "ASSUMED",
    "CALCULATED",
    "MEASURED",
    "TOLD",
    "Answer",
    "Answers",
    "finding_name",
    "read_answer",
]

MEASURED = "measured"
TOLD = "told"
CALCULATED = "calculated"
ASSUMED = "assumed"

_UNKNOWN_WORDS = {"unknown", "don't know", "dont know", "don’t know", "?", "no idea", "not sure"}
_NOT_NOW_WORDS = {"not-now", "not now", "can't now", "later"}
_RATIO = re.compile(r"\d+(?:[.,]\d+)?\s*(?::|to)\s*\d+(?:[.,]\d+)?")
_YES = {"yes", "y", "true", "ja", "oui"}
_NO = {"no", "n", "false"}


@dataclass(frozen=True, eq=False)
class Answer(Settled):
    """One answer.

    ``value`` is a word of the finding or a number in its unit, or ``None`` when
    ``status`` is ``unknown`` or ``not-now``; ``low`` and ``high`` are what the wording
    leaves open; ``basis`` is measured, told or assumed; ``text`` is as written.
    """

    value: str | float | None
    basis: str = TOLD
    low: float = math.nan
    high: float = math.nan
    text: str = ""
    status: str = "given"

    @property
    def given(self) -> bool:
        return self.status == "given"


Answers: TypeAlias = "Mapping[str, Answer]"


def finding_name(name: str) -> str:
    """A finding's own name from the ways in which people write it."""
    return name.strip().lower().replace("-", "_").replace(" ", "_")


def read_answer(
    base: Base,
    name: str,
    raw: object,
    *,
    where: str = "",
    assumed: bool = False,
    answers: Mapping[str, Answer] | None = None,
) -> tuple[str, Answer]:
    """Check one answer and give it with the finding's own name.

    ``raw`` is text as a person writes it, or a plain number in the finding's unit. A ratio
    ("4:1") is read against ``answers`` where the finding says what it is a ratio of.
    Raises ``AdvisorError``: ``unknown-finding``, ``not-asked``, ``unknown-word``, ``quantity`` or
    ``out-of-range``.
    """
    finding = _finding(base, name, where)
    where = where or f"answer {finding.id}"
    if isinstance(raw, bool):
        raw = "yes" if raw else "no"
    if raw is None or isinstance(raw, list | dict):
        raise AdvisorError(
            "answer-form",
            f"{finding.id} needs a single answer",
            where=where,
            hint=_expects(finding),
        )
    text = _text(raw)
    if not text:
        raise AdvisorError("answer-form", "an empty answer", where=where, hint=_expects(finding))
    lowered = text.lower()
    for status, words in ((UNKNOWN, _UNKNOWN_WORDS), (NOT_NOW, _NOT_NOW_WORDS)):
        if lowered in words and lowered not in finding.words:
            return finding.id, Answer(None, text=text, status=status)
    basis = ASSUMED if assumed else MEASURED if finding.group == "measured" else TOLD
    if finding.kind == "quantity":
        if finding.ratio_of and is_ratio(text):
            raw = _share_of(base, finding, text, answers or {}, where)
        return finding.id, _quantity(finding, raw, text, basis, where)
    return finding.id, Answer(_word(finding, text, where), basis, text=text)


def _text(raw: object) -> str:
    try:
        return str(raw).strip()
    except ValueError:  # a whole number with more digits than Python writes out
        return "a number of thousands of digits"


def is_ratio(text: str) -> bool:
    """Whether an amount is written as a ratio: 4:1, 4 to 1."""
    return bool(_RATIO.fullmatch(text.strip()))


def _share_of(
    base: Base, finding: Finding, text: str, answers: Mapping[str, Answer], where: str
) -> float:
    """The amount that a ratio to another amount comes to."""
    from advisor.quantities import parse

    other = base.findings[finding.ratio_of]
    known = answers.get(other.id)
    if known is None or not isinstance(known.value, float):
        raise AdvisorError(
            "quantity",
            f"{finding.id}: {text} of what? The {other.label} is not known",
            where=where,
            hint=f"give {other.id} first, or write an amount in {finding.unit}",
        )
    ratio = parse(text, "ratio").value
    if ratio <= 0.0:
        raise AdvisorError(
            "quantity", f"{finding.id}: {text} is no ratio", where=where, hint="for example 4:1"
        )
    return known.value / ratio


def _finding(base: Base, name: str, where: str) -> Finding:
    key = finding_name(name)
    finding = base.findings.get(key)
    if finding is None:
        figure = base.figures.get(key)
        raise AdvisorError(
            "unknown-finding",
            f"{key} is worked out, not answered" if figure else f"there is no finding {name!r}",
            where=where,
            hint=did_you_mean(key, [f for f in base.findings if base.findings[f].asked])
            or "curdwise questions lists them",
        )
    if not finding.asked:
        raise AdvisorError(
            "not-asked",
            f"{key} is concluded by rules, not answered",
            where=where,
            hint="curdwise questions lists what can be answered",
        )
    return finding


def _quantity(finding: Finding, raw: object, text: str, basis: str, where: str) -> Answer:
    from advisor.quantities import parse, say

    if isinstance(raw, int | float):
        try:
            value = low = high = float(raw)
        except OverflowError:
            value = math.inf
        if not math.isfinite(value):
            raise AdvisorError("quantity", f"{finding.id}: {text} is not an amount", where=where)
    else:
        # A difference may fall below nought where the amount itself cannot.
        below = _below_nought(finding, text)
        try:
            read = parse(below or text, finding.unit)
        except AdvisorError as error:
            raise AdvisorError(
                error.code, f"{finding.id}: {error.message}", where=where, hint=error.hint
            ) from None
        value, low, high = read.value, read.low, read.high
        if below:
            value, low, high = -value, -high, -low
    floor = -math.inf if finding.low is None else finding.low
    ceiling = math.inf if finding.high is None else finding.high
    if not floor <= value <= ceiling:
        raise AdvisorError(
            "out-of-range",
            f"{finding.id} cannot be {text}",
            where=where,
            hint=f"it lies between {say(floor, finding.unit)} and {say(ceiling, finding.unit)}",
        )
    return Answer(value, basis, max(floor, low), min(ceiling, high), text)


def _below_nought(finding: Finding, text: str) -> str:
    """What stands after the minus sign of a difference; empty when there is none."""
    if finding.low is None or finding.low >= 0 or finding.unit == "degC":
        return ""
    sign = next((s for s in ("-", "\N{MINUS SIGN}", "minus ") if text.lower().startswith(s)), "")
    return text[len(sign) :].strip() if sign else ""


def _word(finding: Finding, text: str, where: str) -> str:
    lowered = text.lower()
    if finding.kind == "yes-no":
        if lowered in _YES:
            return "yes"
        if lowered in _NO:
            return "no"
    slug = lowered.replace(" ", "-").replace("_", "-")
    for choice in finding.choices:
        if slug == choice.value or lowered == choice.label.lower():
            return choice.value
    raise AdvisorError(
        "unknown-word",
        f"{finding.id} has no answer {text[:60]!r}",
        where=where,
        hint=did_you_mean(slug, finding.words) or _expects(finding),
    )


def _expects(finding: Finding) -> str:
    if finding.kind == "quantity":
        return f"write an amount in {finding.unit}, for example 1.5 {finding.unit}"
    return f"one of {', '.join(finding.words)}, unknown, not-now"
