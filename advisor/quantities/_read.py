"""The grammar of a typed amount: hedges, ranges, tolerances, products, sums and ratios."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import NamedTuple

from advisor.errors import AdvisorError
from advisor.quantities._lookup import (
    Unit,
    stands_alone,
    unit_called,
    unit_text,
    without_number,
)
from advisor.quantities._numbers import (
    Amount,
    Token,
    UnreadableError,
    amount_at,
    normalise,
    tokens,
)
from advisor.quantities._units import (
    ABSOLUTE_ZERO,
    BASES,
    KINDS,
    PINT_NAMES,
    Quantity,
    exchange,
    kind_of,
)
from advisor.quantities._words import PHRASES
from advisor.quantities._wrapping import clock_times, unwrap

__all__ = ["read"]

_LONGEST = 100
_LARGEST = 1e15  # far beyond any batch, and safe to calculate with
_ABOUT = 0.05
_ABOUT_DEGREES = 2.0  # 5 % of 4 degC would claim more than "about" means
_BELOW_ZERO = ("temperature", "evidence")
_SUMS = ("volume", "weight", "time")
_PRODUCTS = (*_SUMS, "count", "length")
_ONE = Amount(1.0, 1.0, 1.0, "figures")
_SIDE_BY_SIDE = "two numbers stand side by side"
_ONE_AMOUNT = "write a single amount, such as 1750 or 1 x 750"
_NEXT_SMALLER = {"hour": "minute", "minute": "second"}

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
            raise UnreadableError(f"an amount has at most {_LONGEST} characters")
        if not shown:
            raise UnreadableError(f"nothing is written, and {wanted} is wanted")
        span = _Reader(unit, kind).whole(normalise(text))
        if not all(abs(number) <= _LARGEST for number in (span.value, span.low, span.high)):
            raise UnreadableError("the amount is too large to work with")
    except UnreadableError as error:
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
        text, hedged = unwrap(text, self.kind)
        if self.kind == "time":
            text = clock_times(text)
        main, bracket, rest = text.partition("(")
        if bracket and main.strip() and rest.endswith(")") and re.search(r"\d", rest):
            toks = tokens(main)
            middle = self._expression(toks)
            inner = tokens(rest[:-1])
            ends = self._range(inner, self._only_unit(toks))
            if ends is None:
                raise UnreadableError(
                    "the interval in brackets is unclear", "write it like (8 to 18)"
                )
            if not ends.low <= middle.value <= ends.high:
                raise UnreadableError("the amount lies outside its interval in brackets")
            return _Span(middle.value, ends.low, ends.high, True)
        span = self._expression(tokens(text), text)
        return self._widened(span) if hedged and not span.settled else span

    def _widened(self, span: _Span) -> _Span:
        if self.kind == "temperature":
            by = max(abs(span.value) * _ABOUT, _ABOUT_DEGREES)
            return _Span(span.value, max(span.low - by, ABSOLUTE_ZERO), span.high + by)
        ends = (span.low * (1 - _ABOUT), span.low * (1 + _ABOUT))
        more = (span.high * (1 - _ABOUT), span.high * (1 + _ABOUT))
        return _Span(span.value, min(*ends, *more), max(*ends, *more))

    def _expression(self, toks: list[Token], text: str = "") -> _Span:
        if (phrase := self._phrase(text)) is not None:
            return phrase
        if not toks:
            raise UnreadableError(f"nothing is written, and {KINDS[self.kind][0]} is wanted")
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
        marks: tuple[str, ...] = ("to", "-", "or", "and") if between else ("to", "-", "or")
        if self.unit == "ratio" and not ratios and not between and inherited is None:
            marks = ("-",)  # "4 to 1" is a ratio
        at = [
            i
            for i, tok in enumerate(toks)
            if tok.text.lower() in marks and i and toks[i - 1].text.lower() not in marks
        ]
        if not at:
            if between:
                raise UnreadableError("a range has two ends", "write it like 200 to 250")
            return None
        if len(at) > 1:
            raise UnreadableError("there is more than one range", "write it like 200 to 250")
        left, right = toks[: at[0]], toks[at[0] + 1 :]
        if self.unit == "ratio" and marks == ("-",) and not ratios:
            raise UnreadableError(
                "a dash may be a ratio or a range", "write 1:4, or between 1 and 4 for a range"
            )
        return self._between(left, right, inherited)

    def _between(self, left: list[Token], right: list[Token], inherited: Unit | None) -> _Span:
        if not left or not right:
            raise UnreadableError("a range has two ends", "write it like 200 to 250")
        left_unit = self._only_unit(left) or self._only_unit(right) or inherited
        right_unit = self._only_unit(right) or self._only_unit(left) or inherited
        first, last = self._side(left, left_unit), self._side(right, right_unit)
        if first.value > last.value:
            if self.kind != "temperature":
                raise UnreadableError(
                    "a range runs from the smaller to the larger", "write it like 200 to 250"
                )
            first, last = last, first
        middle = first.value + (last.value - first.value) / 2
        return _Span(middle, min(first.low, last.low), max(first.high, last.high), True)

    def _tolerance(self, toks: list[Token]) -> _Span:
        at = next(i for i, tok in enumerate(toks) if tok.text == "±")
        left, right = toks[:at], toks[at + 1 :]
        if not left or not right:
            raise UnreadableError("± has an amount on either side", "write it like 200 ± 10 ml")
        amount, end = amount_at(right, 0)
        if amount is None:
            raise UnreadableError("± is followed by a number", "write it like 200 ± 10 ml")
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
                raise UnreadableError(
                    "the tolerance after ± is unclear", "write it like 200 ± 10 ml"
                )
        least = {"temperature": ABSOLUTE_ZERO, "evidence": -math.inf}.get(self.kind, 0.0)
        return _Span(middle.value, max(middle.low - by, least), middle.high + by, True)

    def _step(self, size: float, name: str) -> float:
        """A difference in the wanted unit: 2 degF is 1.1 degC, not -16.7."""
        return abs(exchange(size, name, self.target) - exchange(0.0, name, self.target))

    def _only_unit(self, toks: list[Token]) -> Unit | None:
        """The unit of a side with one term; None for anything else."""
        start = 1 if toks and toks[0].text.lower() in ("-", "+", "minus") else 0
        amount, at = amount_at(toks, start)
        if amount is None:
            return None
        name, at = unit_text(toks, at)
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
                raise UnreadableError(f"{KINDS[self.kind][0]} cannot have a sign before it")
            toks = toks[1:]
        if self.kind in _PRODUCTS:
            times = [i for i, tok in enumerate(toks) if tok.text.lower() == "x"]
            if times:
                return self._product(toks, times)
        return self._sum(toks, inherited, negative=sign in ("-", "minus"))

    def _ratio(self, toks: list[Token], marks: list[int]) -> _Span:
        if self.kind == "time":
            raise UnreadableError("a colon stands between hours and minutes", "write it like 2:30")
        if self.kind != "share":
            raise UnreadableError(f"this is a ratio, and {KINDS[self.kind][0]} is wanted")
        if self.unit == "%":
            raise UnreadableError(
                "a ratio may be read as two percentages: 1:4 is 25 % of the other, 20 % of all",
                "write it in %",
            )
        if len(marks) > 1:
            raise UnreadableError("a ratio has two numbers", "write it like 4:1")
        top = self._part(toks[: marks[0]])
        bottom = self._part(toks[marks[0] + 1 :])
        if not bottom:
            raise UnreadableError("a ratio cannot have zero after the colon")
        value = top / bottom
        return _Span(value, value, value)

    def _part(self, toks: list[Token]) -> float:
        if toks and toks[-1].text.lower() in ("part", "parts"):
            toks = toks[:-1]
        amount, end = amount_at(toks, 0)
        if amount is None or end != len(toks):
            raise UnreadableError("a ratio is two plain numbers", "write it like 4:1")
        return amount.value

    def _product(self, toks: list[Token], times: list[int]) -> _Span:
        left, right = toks[: times[0]], toks[times[0] + 1 :]
        if len(times) > 1:
            raise UnreadableError("one multiplication at a time", "write it like 2 x 750 ml")
        if self.kind == "count" and not (left and right):
            return self._sum(left or right, None)
        number, end = amount_at(left, 0)
        if number is None or end != len(left):
            left, right = right, left
            number, end = amount_at(left, 0)
        if number is None or end != len(left) or not right or right[0].text in "+-":
            raise UnreadableError("this multiplication is unclear", "write it like 2 x 750 ml")
        each = self._sum(right, None)
        return _Span(each.value * number.value, each.low * number.low, each.high * number.high)

    def _sum(self, toks: list[Token], inherited: Unit | None, *, negative: bool = False) -> _Span:
        terms, loose = self._terms(toks, inherited)
        spans = [self._span(term, negative) for term in terms]
        if len(spans) == 1:
            return spans[0]
        if self.kind not in _SUMS:
            raise UnreadableError("there is more than one number", "write a single amount")
        for before, term in pairwise(terms):
            self._check_order(before, term, loose)
        return _Span(
            sum(span.value for span in spans),
            sum(span.low for span in spans),
            sum(span.high for span in spans),
        )

    def _terms(self, toks: list[Token], inherited: Unit | None) -> tuple[list[_Term], bool]:
        """Amounts with their units in a row; whether a plus sign joined any of them."""
        terms: list[_Term] = []
        loose, at = False, 0
        while at < len(toks):
            joiner = toks[at].text.lower()
            if terms and joiner in ("and", "plus", "+", "&", ","):
                loose |= joiner in ("plus", "+")
                at += 1
                if at == len(toks):
                    raise UnreadableError(f"nothing follows {joiner}")
            amount, after = amount_at(toks, at)
            name, end = unit_text(toks, after)
            if amount is None:
                if terms or not stands_alone(name, self.kind):
                    raise without_number(name or toks[at].text, self.kind)
                amount = _ONE
            unit = unit_called(name, self.kind) if name else None
            if unit is None:
                unit = self._unwritten(amount, terms, inherited)
            terms.append(_Term(amount, unit))
            at = end
        if not terms:
            raise UnreadableError(f"there is no number here, and {KINDS[self.kind][0]} is wanted")
        return terms, loose

    def _unwritten(self, amount: Amount, terms: list[_Term], inherited: Unit | None) -> Unit | None:
        """The unit of a number that has none: that of its neighbour; None is the wanted one."""
        if not terms:
            return inherited or self._wanted(amount)
        before = terms[-1].unit
        if before is not None and amount.form == "share" and self.kind in _SUMS:
            return before  # "an hour and a half"
        smaller = _NEXT_SMALLER.get(before.name) if before else None
        if smaller is None:
            raise UnreadableError(_SIDE_BY_SIDE, _ONE_AMOUNT)
        return Unit(smaller)  # "1 h 30"

    def _wanted(self, amount: Amount) -> Unit | None:
        """Figures alone are in the wanted unit; words alone leave the unit open."""
        if amount.form == "share" and self.unit in ("%", "ratio"):
            return Unit("ratio")  # "half" of something is 50 % of it
        if amount.form in ("share", "fraction") and self.unit in ("%", "%vol"):
            raise UnreadableError("a fraction may mean a share or a per cent", "write it in %")
        if amount.form in ("share", "article") or (amount.form == "words" and self.kind != "count"):
            raise UnreadableError(f"a unit is missing, and {KINDS[self.kind][0]} is wanted")
        return None

    def _check_order(self, before: _Term, term: _Term, loose: bool) -> None:
        if before.unit is None:
            raise UnreadableError(_SIDE_BY_SIDE, _ONE_AMOUNT)
        large = self._span(_Term(_ONE, before.unit), False).value
        if loose or (term.unit == before.unit and term.amount.form == "share"):
            return
        if self._span(term, False).value >= large:
            raise UnreadableError(
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
