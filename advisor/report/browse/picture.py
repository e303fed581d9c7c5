"""A picture of one symptom: what tells its causes apart, the causes, and what helps (SVG)."""

from __future__ import annotations

import re
import textwrap
from collections import defaultdict
from dataclasses import dataclass, replace
from statistics import pstdev
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, did_you_mean
from advisor.knowledge.conditions import Is
from advisor.knowledge.words import weight_word
from advisor.report.browse.model import plain
from advisor.report.browse.words import answer_row

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from advisor.knowledge.model import Base

__all__ = ["Box", "Edge", "Picture", "crossings", "picture", "svg"]

_WIDTHS = (270, 270, 270)  # of the boxes of each column
_LEFT = (10, 405, 800)
_GAP, _LINE, _PAD, _TOP = 9, 15, 7, 56
_LEAST = 3.0  # decibans: what tells less is not drawn
_LEAST_AGAINST = -9.0
_ANSWERS = 14  # boxes on the left at most
_ANSWERS_EACH = 2  # of one finding
_MOST_LINES = 60  # on the left; more are a tangle, so the weaker ones are left out
_WRAP = 38
_SWEEPS = 24  # of putting the columns in order; it seldom takes more than six
_HEADS = ("what tells them apart", "causes, the likeliest is 1", "what helps")
_COLUMNS = ("answer", "cause", "remedy")
# What no XML may hold (XML 1.0, section 2.2), however it got into a text.
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Box:
    """A box of text; ``x`` and ``y`` of its upper left corner in pixels."""

    id: str
    column: int
    lines: tuple[str, ...]
    x: float = 0.0
    y: float = 0.0

    @property
    def name(self) -> str:
        """Its name in the file, so that a page can point at it."""
        return f"{_COLUMNS[self.column]}-{self.id.replace('=', '-')}"

    @property
    def height(self) -> float:
        return len(self.lines) * _LINE + 2 * _PAD

    @property
    def width(self) -> float:
        return float(_WIDTHS[self.column])


@dataclass(frozen=True, slots=True)
class Edge:
    """A line between boxes; ``weight`` is in decibans or, on the right, a share of cures."""

    start: str
    end: str
    weight: float
    thickness: float
    says: str = ""  # the same in words


@dataclass(frozen=True, slots=True)
class Picture:
    """Everything that is drawn, placed."""

    title: str
    boxes: tuple[Box, ...]
    edges: tuple[Edge, ...]
    width: float
    height: float
    left_out: int  # causes that were not drawn
    weaker: int = 0  # lines between what is drawn that were left out


def picture(base: Base, symptom: str, most: int = 12) -> Picture:
    """The picture of a symptom with its ``most`` likeliest causes.

    Raises ``AdvisorError`` when there is no such symptom.
    """
    symptom = symptom.replace("-", "_")
    known = [f.id for f in base.findings.values() if f.symptom]
    if symptom not in known:
        raise AdvisorError(
            "unknown-symptom",
            f"there is no symptom {symptom!r}",
            hint=did_you_mean(symptom, known) or "curdwise knowledge list symptom",
        )
    weights = {
        effect.target: effect.weight + base.priors[effect.target]
        for line in base.lines
        if line.id == f"shows/{symptom}=yes"
        for effect in line.effects
        if effect.weight > 0 and effect.target in base.causes
    }
    ranked = sorted(weights, key=lambda c: (-weights[c], c))
    causes = ranked[:most]
    answers, found = _answers(base, causes, symptom)
    remedies, helped = _remedies(base, causes)
    columns = [
        [Box(key, 0, _wrapped(text)) for key, text in answers.items()],
        [Box(c, 1, _wrapped(f"{n}. {_short(base, c)}")) for n, c in enumerate(causes, 1)],
        [Box(key, 2, _wrapped(text)) for key, text in remedies.items()],
    ]
    drawn = _strongest(found)
    edges = [*drawn, *helped]
    columns = _untangled(columns, edges)
    tall = max(sum(b.height + _GAP for b in column) for column in columns)
    return Picture(
        title=base.findings[symptom].label,
        boxes=tuple(box for column in columns for box in _placed(column, tall)),
        edges=tuple(edges),
        width=float(_LEFT[2] + _WIDTHS[2] + 10),
        height=tall + _TOP + 24,
        left_out=len(ranked) - len(causes),
        weaker=len(found) - len(drawn),
    )


def _short(base: Base, cause: str) -> str:
    return base.causes[cause].title.partition(":")[0]


def _wrapped(text: str) -> tuple[str, ...]:
    return tuple(textwrap.wrap(text, _WRAP)) or ("",)


def _answers(base: Base, causes: Sequence[str], symptom: str) -> tuple[dict[str, str], list[Edge]]:
    """The answers that tell these causes apart most, and what each says of which."""
    told: dict[tuple[str, str], dict[str, float]] = {}
    for line in base.lines:
        if line.origin not in ("shows", "outcome"):
            continue
        test = line.when[0][0]
        if not isinstance(test, Is) or len(test.words) != 1 or test.key in (symptom, "operation"):
            continue
        row = told.setdefault((test.key, test.words[0]), {})
        for effect in line.effects:
            if effect.target in causes and effect.kind in ("suspect", "doubt"):
                before = row.get(effect.target, 0.0)
                row[effect.target] = max(before, effect.weight, key=abs)

    def spread(row: Mapping[str, float]) -> float:
        return pstdev([row.get(c, 0.0) for c in causes]) if len(causes) > 1 else sum(row.values())

    best: list[tuple[str, str]] = []
    for pair in sorted(told, key=lambda pair: (-spread(told[pair]), pair)):
        if sum(key == pair[0] for key, _ in best) < _ANSWERS_EACH:
            best.append(pair)
    texts, edges = {}, []
    for key, word in best[:_ANSWERS]:
        row = {c: w for c, w in told[key, word].items() if w >= _LEAST or w <= _LEAST_AGAINST}
        if not row:
            continue
        name = f"{key}={word}"
        answer = plain(answer_row(base, Is(key, (word,))))
        texts[name] = f"{base.findings[key].label}: {answer}"
        for cause, weight in row.items():
            speaks = "for" if weight > 0 else "against"
            sign = "+" if weight > 0 else "\N{MINUS SIGN}"
            says = (
                f"{texts[name]} \N{EM DASH} speaks {speaks} it: {_short(base, cause)} "
                f"({weight_word(weight)}, {sign}{abs(weight):.1f} dB)"
            )
            edges.append(Edge(name, cause, weight, 0.6 + abs(weight) / 4, says))
    return texts, edges


def _strongest(edges: Sequence[Edge]) -> list[Edge]:
    """The lines that weigh most, and of every answer and cause at least its strongest."""
    loudest = sorted(edges, key=lambda e: (-abs(e.weight), e.start, e.end))
    kept = set(loudest[:_MOST_LINES])
    for end in ("start", "end"):
        first: dict[str, Edge] = {}
        for edge in loudest:
            first.setdefault(getattr(edge, end), edge)
        kept.update(first.values())
    return [edge for edge in edges if edge in kept]


def _remedies(base: Base, causes: Sequence[str]) -> tuple[dict[str, str], list[Edge]]:
    """For each cause the likeliest cure of this batch and of the next."""
    texts, edges = {}, []
    for cause in causes:
        for of, when in (("this-batch", "now"), ("next-batch", "next time")):
            cures = [r for r in base.remedies.values() if r.of == of and cause in r.cures]
            if cures:
                best = min(cures, key=lambda r: (-r.cures[cause], r.minutes + r.wait, r.id))
                texts[best.id] = f"{when}: {best.title}"
                share = best.cures[cause]
                says = (
                    f"{_short(base, cause)} \N{EM DASH} {texts[best.id]} "
                    f"(cures it {share:.0%} of the time)"
                )
                edges.append(Edge(cause, best.id, share, 0.6 + 3 * share, says))
    return texts, edges


def _untangled(columns: list[list[Box]], edges: Sequence[Edge]) -> list[list[Box]]:
    """The columns in an order in which few lines cross.

    Each box is put at the mean place of what it touches (the barycentre), the outer columns and
    the middle one in turn; Sugiyama, Tagawa & Toda, IEEE Trans. Syst. Man Cybern. 11, 1981. The
    best order that was met is kept.
    """
    best, least = columns, crossings(columns, edges)
    for sweep in range(_SWEEPS):
        left, middle, right = columns
        if sweep % 2:
            columns = [left, _by_neighbours(middle, [left, right], edges), right]
        else:
            columns = [
                _by_neighbours(left, [middle], edges),
                middle,
                _by_neighbours(right, [middle], edges),
            ]
        now = crossings(columns, edges)
        if now < least:
            best, least = columns, now
    return best


def crossings(columns: Sequence[Sequence[Box]], edges: Sequence[Edge]) -> int:
    """How many pairs of lines cross when the columns stand in this order."""
    place = {box.id: number for column in columns for number, box in enumerate(column)}
    column_of = {box.id: box.column for column in columns for box in column}
    count = 0
    for gap in (0, 1):
        lines = sorted((place[e.start], place[e.end]) for e in edges if column_of[e.start] == gap)
        count += sum(
            one[0] < two[0] and one[1] > two[1]
            for number, one in enumerate(lines)
            for two in lines[number + 1 :]
        )
    return count


def _by_neighbours(
    boxes: Sequence[Box], beside: Sequence[Sequence[Box]], edges: Iterable[Edge]
) -> list[Box]:
    """Boxes in the order of the mean place of what they touch in the columns beside them."""
    # As a share of the column, so that a long and a short one count alike.
    place = {
        box.id: (number + 0.5) / len(column)
        for column in beside
        for number, box in enumerate(column)
    }
    touched: dict[str, list[float]] = defaultdict(list)
    for edge in edges:
        for here, there in ((edge.start, edge.end), (edge.end, edge.start)):
            if there in place:
                touched[here].append(place[there])
    mean = {key: sum(places) / len(places) for key, places in touched.items()}
    before = {box.id: (number + 0.5) / len(boxes) for number, box in enumerate(boxes)}
    return sorted(boxes, key=lambda b: (mean.get(b.id, before[b.id]), before[b.id]))


def _placed(column: Sequence[Box], tall: float) -> list[Box]:
    spare = (tall - sum(b.height for b in column)) / max(1, len(column))
    y, placed = _TOP + spare / 2, []
    for box in column:
        placed.append(Box(box.id, box.column, box.lines, float(_LEFT[box.column]), round(y, 1)))
        y += box.height + spare
    return placed


def svg(drawn: Picture) -> str:
    """The picture as a self-contained SVG file."""
    from advisor.report.html import render

    drawn = _plain_xml(drawn)
    places = {box.id: box for box in drawn.boxes}
    curves = []
    for edge in sorted(drawn.edges, key=lambda e: abs(e.weight)):
        start, end = places[edge.start], places[edge.end]
        x1, y1 = start.x + start.width, start.y + start.height / 2
        x2, y2 = end.x, end.y + end.height / 2
        middle = (x1 + x2) / 2
        path = f"M{x1:.1f} {y1:.1f} C{middle:.1f} {y1:.1f} {middle:.1f} {y2:.1f} {x2:.1f} {y2:.1f}"
        curves.append((path, edge, start.name, end.name))
    return render(
        "picture.svg",
        drawn=drawn,
        curves=curves,
        heads=tuple(zip(_LEFT, _HEADS, strict=True)),
        line=_LINE,
        pad=_PAD,
    )


def _plain_xml(drawn: Picture) -> Picture:
    """The same without a character that no XML may hold."""

    def clean(text: str) -> str:
        return _NO_XML.sub("\N{REPLACEMENT CHARACTER}", text)

    return replace(
        drawn,
        title=clean(drawn.title),
        boxes=tuple(replace(b, lines=tuple(map(clean, b.lines))) for b in drawn.boxes),
        edges=tuple(replace(e, says=clean(e.says)) for e in drawn.edges),
    )
