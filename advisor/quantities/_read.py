"""The grammar of a typed amount: hedges, ranges, tolerances, products, sums and ratios."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from advisor.errors import AdvisorError
from advisor.quantities._lookup import Unit, is_vague, unit_called
from advisor.quantities._numbers import (
    Amount,
    Token,
    Unreadable,
    amount_at,
    normalise,
    tokens,
)
from advisor.quantities._units import BASES, KINDS, PINT_NAMES, Quantity, exchange, kind_of
from advisor.quantities._words import PHRASES

__all__ = ["read"]

_LONGEST = 100
_ABOUT = 0.05
_ABOUT_DEGREES = 2.0  # 5 % of 4 degC would claim more than "about" means
_BELOW_ZERO = ("temperature", "evidence")
_SUMS = ("volume", "weight", "time")
_PRODUCTS = (*_SUMS, "count", "length")
_NEXT_SMALLER = {"hour": "minute", "minute": "second"}

_LEAD = re.compile(
    r"(?:about|around|approximately|approx\b\.?|roughly|circa|ca\b\.?|nearly|almost|~)\s*", re.I
)
_LEAD_IN = re.compile(r"(?:at|for|in|exactly|precisely|just)\s+", re.I)
_TRAIL = re.compile(r"(?:\s+or\s+so|\s+or\s+thereabouts|[\s-]*ish|\s*\(approx\.?\))$", re.I)
_ONE_SIDED = re.compile(
    r"(?:[<>≤≥]|(?:at least|at most|up to|more than|less than|over|under|below|above|min\.|max\.?"
    r"|a little (?:over|under)|just (?:over|under))\b)",
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
_PLACE = re.compile(r"(?:(?:at|in|from)\s+)?(?:the\s+|an?\s+)?", re.I)


class _Span(NamedTuple):
    """A reading in the wanted unit; ``settled`` when the writer gave the interval."""

    value: float
    low: float
    high: float
    settled: bool = False


class _Term(NamedTuple):
    amount: Amount
    unit: Unit | None


def read(text: str, unit: str) -> Quantity:
    """See ``advisor.quantities.parse``."""
    kind = kind_of(unit)
    if not isinstance(text, str):
        raise AdvisorError(
            "quantity", f"an amount is read from text, not from {type(text).__name__}"
        )
    shown = "".join(char if char.isprintable() else " " for char in text[:40]).strip()
    where = f'"{shown}{"..." if len(text) > 40 else ""}"'
    wanted, example = KINDS[kind]
    try:
        if len(text) > _LONGEST:
            raise Unreadable(f"an amount has at most {_LONGEST} characters")
        if not shown:
            raise Unreadable(f"nothing is written, and {wanted} is wanted")
        span = _Reader(unit, kind).whole(normalise(text))
    except Unreadable as error:
        hint = error.hint or f"write only the amount, for example {example}"
        raise AdvisorError("quantity", error.message, where=where, hint=hint) from None
    except AdvisorError as error:  # from a conversion, which knows no place
        raise AdvisorError(
            error.code, error.message, where=where, hint=f"for example {example}"
        ) from None
    return Quantity(span.value, unit, span.low, span.high, text)


class _Reader:
    """Reads for one wanted unit."""

    __slots__ = ("kind", "target", "unit")

    def __init__(self, unit: str, kind: str) -> None:
        self.unit = unit
        self.kind = kind
        self.target = PINT_NAMES[unit]

    def whole(self, text: str) -> _Span:
        """Hedges and labels around an amount, and an interval in brackets after it."""
        text, hedged = self._unwrap(text)
        if self.kind == "time":
            text = _CLOCK.sub(_clock, text)
        main, bracket, rest = text.partition("(")
        if bracket and main.strip() and rest.endswith(")") and re.search(r"\d", rest):
            toks = tokens(main)
            middle = self._expression(toks)
            inner = tokens(rest[:-1])
            ends = self._range(inner, self._only_unit(toks))
            if ends is None:
                raise Unreadable("the interval in brackets is unclear", "write it like (8 to 18)")
            if not ends.low <= middle.value <= ends.high:
                raise Unreadable("the amount lies outside its interval in brackets")
            return _Span(middle.value, ends.low, ends.high, True)
        span = self._expression(tokens(text), text)
        return self._widened(span) if hedged and not span.settled else span

    def _unwrap(self, text: str) -> tuple[str, bool]:
        hedged = False
        text = text.rstrip(" .;,!?")
        if (shorter := _TRAIL.sub("", text)) != text:
            text, hedged = shorter, True
        for _ in range(4):
            if _ONE_SIDED.match(text):
                raise Unreadable(
                    "a limit is not an amount", "give the amount, or a range such as 200 to 250"
                )
            if match := _LEAD.match(text):
                hedged = True
            else:
                label = _LABELS.get(self.kind)
                match = _LEAD_IN.match(text) or (label.match(text) if label else None)
            if not match:
                break
            text = text[match.end() :]
        return text, hedged

    def _widened(self, span: _Span) -> _Span:
        if self.kind == "temperature":
            by = max(abs(span.value) * _ABOUT, _ABOUT_DEGREES)
            return _Span(span.value, span.low - by, span.high + by)
        ends = (span.low * (1 - _ABOUT), span.low * (1 + _ABOUT))
        more = (span.high * (1 - _ABOUT), span.high * (1 + _ABOUT))
        return _Span(span.value, min(*ends, *more), max(*ends, *more))

    def _expression(self, toks: list[Token], text: str = "") -> _Span:
        if (phrase := self._phrase(text)) is not None:
            return phrase
        if not toks:
            raise Unreadable(f"nothing is written, and {KINDS[self.kind][0]} is wanted")
        if any(tok.text == "±" for tok in toks):
            return self._tolerance(toks)
        return self._range(toks) or self._side(toks)

    def _phrase(self, text: str) -> _Span | None:
        known = PHRASES.get(self.kind, {})
        bare = _PLACE.sub("", text.lower(), count=1)
        for words, numbers in known.items():
            if text.lower() in words or bare in words:
                if self.unit == "%":  # "equal parts" is a ratio
                    return None
                value, low, high = (self._from_base(number) for number in numbers)
                return _Span(value, low, high)
        return None

    # -- ranges and tolerances ---------------------------------------------------------

    def _range(self, toks: list[Token], inherited: Unit | None = None) -> _Span | None:
        """Two sides with a dash, "to" or "or" between them; None when there is no range."""
        between = bool(toks) and toks[0].text.lower() in ("between", "from")
        toks = toks[1:] if between else toks
        ratios = self.kind == "share" and any(tok.text == ":" for tok in toks)
        marks = ("to", "-", "or", "and") if between else ("to", "-", "or")
        if self.unit == "ratio" and not ratios and not between and inherited is None:
            marks = ("-",)  # "4 to 1" is a ratio
        at = [
            i
            for i, tok in enumerate(toks)
            if tok.text.lower() in marks and i and toks[i - 1].text.lower() not in marks
        ]
        if not at:
            if between:
                raise Unreadable("a range has two ends", "write it like 200 to 250")
            return None
        if len(at) > 1:
            raise Unreadable("there is more than one range", "write it like 200 to 250")
        left, right = toks[: at[0]], toks[at[0] + 1 :]
        if self.unit == "ratio" and marks == ("-",) and not ratios:
            raise Unreadable(
                "a dash may be a ratio or a range", "write 1:4, or between 1 and 4 for a range"
            )
        return self._between(left, right, inherited)

    def _between(
        self, left: list[Token], right: list[Token], inherited: Unit | None
    ) -> _Span:
        if not left or not right:
            raise Unreadable("a range has two ends", "write it like 200 to 250")
        left_unit = self._only_unit(left) or self._only_unit(right) or inherited
        right_unit = self._only_unit(right) or self._only_unit(left) or inherited
        first, last = self._side(left, left_unit), self._side(right, right_unit)
        if first.value > last.value:
            if self.kind != "temperature":
                raise Unreadable(
                    "a range runs from the smaller to the larger", "write it like 200 to 250"
                )
            first, last = last, first
        middle = first.value + (last.value - first.value) / 2
        return _Span(middle, min(first.low, last.low), max(first.high, last.high), True)

    def _tolerance(self, toks: list[Token]) -> _Span:
        at = next(i for i, tok in enumerate(toks) if tok.text == "±")
        left, right = toks[:at], toks[at + 1 :]
        if not left or not right:
            raise Unreadable("± has an amount on either side", "write it like 200 ± 10 ml")
        amount, end = amount_at(right, 0)
        if amount is None:
            raise Unreadable("± is followed by a number", "write it like 200 ± 10 ml")
        per_cent = [tok.text for tok in right[end:]] == ["%"]
        if per_cent and self.kind not in ("share", "strength"):
            middle = self._side(left)
            by = abs(middle.value) * amount.value / 100
        else:
            unit = self._only_unit(right)
            middle = self._side(left, self._only_unit(left) or unit)
            scale = unit or self._only_unit(left)
            name, times = (scale.name, scale.times) if scale else (self.target, 1.0)
            by = self._step(amount.value * times, name)
            if end < len(right) and unit is None:
                raise Unreadable("the tolerance after ± is unclear", "write it like 200 ± 10 ml")
        low = middle.low - by
        if low < 0 and self.kind not in _BELOW_ZERO:
            low = 0.0
        return _Span(middle.value, min(low, middle.value), middle.high + by, True)

    def _step(self, size: float, name: str) -> float:
        """A difference in the wanted unit: 2 degF is 1.1 degC, not -16.7."""
        return abs(exchange(size, name, self.target) - exchange(0.0, name, self.target))

    def _only_unit(self, toks: list[Token]) -> Unit | None:
        """The unit of a side with one term; None for anything else."""
        start = 1 if toks and toks[0].text.lower() in ("-", "+", "minus") else 0
        amount, at = amount_at(toks, start)
        if amount is None:
            return None
        name, at = self._unit_text(toks, at)
        return unit_called(name, self.kind) if name and at == len(toks) else None

    # -- one side ----------------------------------------------------------------------

    def _side(self, toks: list[Token], inherited: Unit | None = None) -> _Span:
        if self.kind in PHRASES and toks[0].kind == "word":
            phrase = self._phrase(" ".join(tok.text for tok in toks))
            if phrase is not None:
                return phrase
        colon = [i for i, tok in enumerate(toks) if tok.text == ":"]
        to = [i for i, tok in enumerate(toks) if tok.text.lower() == "to"]
        if colon or (to and self.unit == "ratio"):
            return self._ratio(toks, colon or to)
        sign = toks[0].text.lower()
        if sign in ("-", "+", "minus"):
            if self.kind not in _BELOW_ZERO:
                raise Unreadable(f"{KINDS[self.kind][0]} cannot have a sign before it")
            toks = toks[1:]
        if self.kind in _PRODUCTS:
            times = [i for i, tok in enumerate(toks) if tok.text.lower() == "x"]
            if times:
                return self._product(toks, times)
        span = self._sum(toks, inherited, negative=sign in ("-", "minus"))
        if math.isinf(span.high) or math.isinf(span.low):
            raise Unreadable("the amount is too large to work with")
        return span

    def _ratio(self, toks: list[Token], marks: list[int]) -> _Span:
        if self.kind == "time":
            raise Unreadable("a colon stands between hours and minutes", "write it like 2:30")
        if self.kind != "share":
            raise Unreadable(f"this is a ratio, and {KINDS[self.kind][0]} is wanted")
        if self.unit == "%":
            raise Unreadable(
                "a ratio may be read as two percentages: 1:4 is 25 % of the other, 20 % of all",
                "write it in %",
            )
        if len(marks) > 1:
            raise Unreadable("a ratio has two numbers", "write it like 4:1")
        top = self._part(toks[: marks[0]])
        bottom = self._part(toks[marks[0] + 1 :])
        if not bottom:
            raise Unreadable("a ratio cannot have zero after the colon")
        value = top / bottom
        if math.isinf(value):
            raise Unreadable("the ratio is too large to work with")
        return _Span(value, value, value)

    def _part(self, toks: list[Token]) -> float:
        if toks and toks[-1].text.lower() in ("part", "parts"):
            toks = toks[:-1]
        amount, end = amount_at(toks, 0)
        if amount is None or end != len(toks):
            raise Unreadable("a ratio is two plain numbers", "write it like 4:1")
        return amount.value

    def _product(self, toks: list[Token], times: list[int]) -> _Span:
        left, right = toks[: times[0]], toks[times[0] + 1 :]
        if len(times) > 1:
            raise Unreadable("one multiplication at a time", "write it like 2 x 750 ml")
        if self.kind == "count" and not (left and right):
            return self._sum(left or right, None)
        number, end = amount_at(left, 0)
        if number is None or end != len(left):
            left, right = right, left
            number, end = amount_at(left, 0)
        if number is None or end != len(left) or not right or right[0].text in "+-":
            raise Unreadable("this multiplication is unclear", "write it like 2 x 750 ml")
        each = self._sum(right, None)
        span = _Span(each.value * number.value, each.low * number.low, each.high * number.high)
        if math.isinf(span.high):
            raise Unreadable("the amount is too large to work with")
        return span

    def _sum(
        self, toks: list[Token], inherited: Unit | None, *, negative: bool = False
    ) -> _Span:
        terms, loose = self._terms(toks)
        if len(terms) == 1 and terms[0].unit is None and inherited is not None:
            terms = [_Term(terms[0].amount, inherited)]
        spans = [self._span(term, negative) for term in terms]
        if len(spans) == 1:
            return spans[0]
        if self.kind not in _SUMS:
            raise Unreadable("there is more than one number", "write a single amount")
        for before, term in zip(terms, terms[1:], strict=False):
            self._check_order(before, term, loose)
        return _Span(*(math.fsum(column) for column in zip(*(s[:3] for s in spans), strict=True)))

    def _terms(self, toks: list[Token]) -> tuple[list[_Term], bool]:
        """Amounts with their units in a row; whether a plus sign joined any of them."""
        terms: list[_Term] = []
        loose, at = False, 0
        while at < len(toks):
            joiner = toks[at].text.lower()
            if terms and joiner in ("and", "plus", "+", "&", ","):
                loose |= joiner in ("plus", "+")
                at += 1
            amount, after = amount_at(toks, at)
            name, end = self._unit_text(toks, after)
            if amount is None:
                if terms or not is_vague(name, self.kind):
                    raise Unreadable(self._not_an_amount(toks[at:]))
                amount = Amount(1.0, 1.0, 1.0, "figures")
            if name:
                unit: Unit | None = unit_called(name, self.kind)
            else:
                unit = self._unwritten(amount, terms)
            terms.append(_Term(amount, unit))
            at = end
        if not terms:
            raise Unreadable(f"there is no number here, and {KINDS[self.kind][0]} is wanted")
        return terms, loose

    def _not_an_amount(self, toks: list[Token]) -> str:
        word = toks[0].text[:20] if toks else "this"
        return f"{word} is not an amount, and {KINDS[self.kind][0]} is wanted"

    def _unwritten(self, amount: Amount, terms: list[_Term]) -> Unit | None:
        """The unit of a number that has none: that of its neighbour, or the wanted one."""
        if not terms:
            if self.unit in ("%", "%vol"):
                return self._unit_of_share(amount)
            return None
        before = terms[-1].unit
        if before is not None and amount.form == "share" and self.kind in _SUMS:
            return before  # "an hour and a half"
        smaller = _NEXT_SMALLER.get(before.name) if before else None
        if smaller is None:
            raise Unreadable("two numbers stand side by side", "write a single amount")
        return Unit(smaller)  # "1 h 30"

    def _unit_of_share(self, amount: Amount) -> Unit | None:
        if amount.form == "share" and self.unit == "%":
            return Unit("ratio")  # "half" of something is 50 % of it
        if amount.form in ("share", "fraction"):
            raise Unreadable("a fraction may mean a share or a per cent", "write it in %")
        return None

    def _check_order(self, before: _Term, term: _Term, loose: bool) -> None:
        if before.unit is None:
            raise Unreadable("two numbers stand side by side", "write a single amount")
        large = self._span(_Term(Amount(1.0, 1.0, 1.0, "figures"), before.unit), False).value
        if loose or term.unit == before.unit and term.amount.form == "share":
            return
        if self._span(term, False).value >= large:
            raise Unreadable(
                "the second amount should be less than one of the first",
                "join separate amounts with a plus sign: 2 oz + 3 oz",
            )

    def _span(self, term: _Term, negative: bool) -> _Span:
        amount, unit = term
        factor = -1.0 if negative else 1.0
        if unit is None:
            ends = (amount.value, amount.low, amount.high)
            value, low, high = (
                exchange(factor * number, self.target, self.target) for number in ends
            )
        else:
            each = factor * unit.times
            value, low, high = (
                exchange(number * each, unit.name, self.target)
                for number in (amount.value, amount.low, amount.high)
            )
            if unit.low is not None:
                low = min(value, self._from_base(amount.low * unit.low))
            if unit.high is not None:
                high = max(value, self._from_base(amount.high * unit.high))
        return _Span(value, min(low, high), max(low, high))

    def _from_base(self, number: float) -> float:
        return exchange(number, BASES[self.kind], self.target)

    def _unit_text(self, toks: list[Token], at: int) -> tuple[str, int]:
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
        if at < len(toks) and toks[at].text == "-" and at > start and toks[at - 1].kind == "word":
            at = self._hyphenated(toks, at)
        return " ".join(tok.text for tok in toks[start:at]), at

    @staticmethod
    def _hyphenated(toks: list[Token], at: int) -> int:
        """Past "-oz" of "fl-oz"; a dash before anything else ends the unit."""
        joined = at + 1 < len(toks) and toks[at + 1].kind == "word"
        return at + 2 if joined and toks[at].end == toks[at + 1].start else at


def _clock(match: re.Match[str]) -> str:
    first, second, third, unit = match.groups()
    if third is not None:
        return f"{first} h {second} min {third} s"
    if unit and unit.lower().startswith("m"):
        return f"{first} min {second} s"
    return f"{first} h {second} min"
