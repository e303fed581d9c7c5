"""Answers at the edge of a condition: just inside it, and just outside by one test at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.knowledge.conditions import InRange, Is, Known

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from advisor.knowledge.conditions import Alternatives, Test
    from advisor.knowledge.model import Base

__all__ = ["edge_answers", "edges", "near_miss", "some_inside"]

# How far inside or outside a threshold an answer stands, as a share of it.
_STEP = 0.01


def edge_answers(base: Base, when: Alternatives) -> Iterator[dict[str, str | float]]:
    """Answers that meet a condition at each of its edges, and answers that just do not."""
    seen: set[tuple[tuple[str, str], ...]] = set()
    for option in when:
        for given in _of_option(base, option):
            mark = tuple(sorted((key, repr(value)) for key, value in given.items()))
            if mark not in seen:
                seen.add(mark)
                yield given


def _of_option(base: Base, option: Sequence[Test]) -> Iterator[dict[str, str | float]]:
    inside: dict[str, list[str | float]] = {}
    outside: dict[str, list[str | float | None]] = {}
    # A word or a range says more of its key than "known" does, so it comes last and stays.
    for test in sorted(option, key=lambda t: isinstance(t, Is | InRange)):
        inside[test.key], outside[test.key] = edges(base, test)
    whole = {key: values[0] for key, values in inside.items() if values}
    yield whole
    for key, values in inside.items():
        for value in values[1:]:
            yield {**whole, key: value}
        for other in outside[key]:
            if other is None:
                yield {k: v for k, v in whole.items() if k != key}
            else:
                yield {**whole, key: other}


def some_inside(base: Base, option: Sequence[Test]) -> dict[str, str | float]:
    """Some answers that meet an alternative."""
    return next(_of_option(base, option))


def near_miss(
    base: Base, firing: Mapping[str, str | float], test: Test
) -> dict[str, str | float] | None:
    """Answers on which a rule fires, changed so that just one test fails; ``None`` if it cannot."""
    others = edges(base, test)[1]
    other = next((value for value in others if value is not None), None)
    return None if other is None else {**firing, test.key: other}


def edges(base: Base, test: Test) -> tuple[list[str | float], list[str | float | None]]:
    """Values that just meet a test, and values that just do not; ``None`` is no answer at all."""
    finding = base.findings.get(test.key)
    figure = base.figures.get(test.key)
    words = finding.words if finding else figure.words if figure else ()
    if isinstance(test, Is):
        others: list[str | float | None] = [w for w in words if w not in test.words]
        return list(test.words), others[:1] or [None]
    if isinstance(test, InRange):
        met: list[str | float] = []
        unmet: list[str | float | None] = []
        for end, included, side in ((test.low, test.low_in, 1), (test.high, test.high_in, -1)):
            if end is not None:
                step = side * (abs(end) * _STEP or _STEP)
                met.append(end if included else round(end + step, 6))
                out = round(end - step, 6) if included else end
                if finding is None or (finding.low or out) <= out <= (finding.high or out):
                    unmet.append(out)
        return met, unmet or [None]
    some: str | float = words[0] if words else 1.0
    return ([some], [None]) if isinstance(test, Known) else ([], [some])
