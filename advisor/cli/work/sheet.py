"""What a calculation found: lines with interval, formula and source; and how they are printed."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from advisor.quantities import UNITS, say
from advisor.science.estimate import Category, Estimate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from advisor.cli.work.plots import Curve
    from advisor.science.wording import Caution

__all__ = ["VERSION", "Line", "Sheet", "as_json", "as_lines", "contains", "written"]

VERSION = 1
_CONTAINS_MILK = "Contains milk: whey protein stays in, however clear it looks."

Value = Estimate | Category | float | int | str

# units that are not read from people, so that ``say`` has no words for them
_SAID = {
    "um/s": "µm/s",
    "kg/m3": "kg/m³",
    "drinks": "",
    "times": "times",
    "x g": "x g",
}
_SMALLEST = 1e-4
_WIDTH = 92


@dataclass(frozen=True, slots=True)
class Line:
    """One result: ``key`` is its name in JSON, ``unit`` the project's unit text.

    ``said`` is how a word of the science is put to a person.
    """

    key: str
    title: str
    value: Value
    unit: str = ""
    formula: str = ""
    source: str = ""
    said: str = ""


@dataclass(slots=True)
class Sheet:
    """The results of one command, in the order in which they are read.

    ``curve`` is called only when a plot is wanted.
    """

    lines: list[Line] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)
    curve: Callable[[], Curve] | None = None

    def add(
        self,
        key: str,
        title: str,
        value: Value,
        unit: str = "",
        *,
        formula: str,
        source: str,
        said: str = "",
    ) -> None:
        """Add a result of a function that is not registered."""
        if isinstance(value, Estimate) and not unit:
            unit = value.unit
        self.lines.append(Line(key, title, value, unit, formula, source, said))

    def figure(self, id: str, *, unit: str = "", title: str = "", **given: Any) -> Value:
        """Add a registered calculation; of ``given`` it takes what it knows and what is said."""
        from advisor.science.registry import get

        calc = get(id)
        inputs = {k: v for k, v in given.items() if k in calc.inputs and v is not None}
        value = calc.function(**inputs)
        self.lines.append(
            Line(
                id.replace(".", "_"),
                title or calc.title,
                value,
                unit or ("" if isinstance(value, Category) else calc.unit),
                calc.formula,
                calc.source,
            )
        )
        return value

    def number(self, id: str, **given: Any) -> Estimate:
        """As ``figure``, for a calculation that gives a number."""
        found = self.figure(id, **given)
        if not isinstance(found, Estimate):
            raise TypeError(f"{id} is not a number")
        return found

    def figure_if_it_holds(self, id: str, *, unit: str = "", title: str = "", **given: Any) -> None:
        """As ``figure``; where the calculation does not apply, a note says why instead."""
        try:
            self.figure(id, unit=unit, title=title, **given)
        except ValueError as error:
            from advisor.science.registry import get

            self.notes.append(f"{title or get(id).title}: not calculated, {error}")


def contains(milk_kind: str | None) -> str:
    """What a drink that this milk has touched must say of itself."""
    from advisor.science.labels import milk_ingredient

    word = milk_ingredient(milk_kind or "whole")
    if word == "milk":
        return _CONTAINS_MILK
    return f"Made with {word}: curdwise work label {word} says what to declare."


def written(value: Value, unit: str, system: str = "metric") -> str:
    """A value as a person would say it, in metric or US measures."""
    if isinstance(value, str):
        return value
    if isinstance(value, Category):
        return f"{value.value} (about {100 * value.certainty:.0f} % sure)"
    if isinstance(value, int):
        return f"{value} {_SAID.get(unit, unit)}".rstrip()
    low, middle, high = _ends(value)
    if unit in UNITS:
        return say(middle, unit, system=system, low=low, high=high)
    after = f" {_SAID.get(unit, unit)}".rstrip()
    if _short(low) == _short(high):
        return _short(middle) + after
    return f"about {_short(middle)}{after} ({_short(low)} to {_short(high)})"


def _ends(value: Estimate | float) -> tuple[float, float, float]:
    if isinstance(value, Estimate):
        return value.low, value.value, value.high
    return value, value, value


def _short(number: float) -> str:
    if number != 0.0 and abs(number) < _SMALLEST:
        return f"{number:.1e}"
    if abs(number) >= 1000.0:
        return f"{number:.0f}"
    return f"{number:.3g}"


def as_lines(sheet: Sheet, *, system: str, how: bool) -> list[str]:
    """The sheet as text: results, then notes, then what to mind."""
    width = max((len(line.title) for line in sheet.lines), default=0)
    text = []
    for line in sheet.lines:
        said = line.said or written(line.value, line.unit, system)
        text.append(f"{line.title:<{width}}  {said}".rstrip())
        if how:
            text += [f"    how: {line.formula}"] if line.formula else []
            text += [f"    source: {line.source}"] if line.source else []
    if sheet.notes:
        text += ["", *(line for note in sheet.notes for line in _wrapped(note))]
    if sheet.cautions:
        text += ["", "MIND"]
        text += [line for words in _minded(sheet.cautions) for line in _wrapped(words, "  ")]
    return text


def _wrapped(text: str, indent: str = "") -> list[str]:
    import textwrap

    return textwrap.wrap(
        text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "  ",
        break_long_words=False, break_on_hyphens=False,
    )


def _minded(cautions: Sequence[Caution]) -> list[str]:
    """Stops first, the same words once with all the laws behind them; who decides at the end."""
    laws: dict[tuple[bool, str, str], list[str]] = {}
    for c in sorted(cautions, key=lambda c: not c.stop):
        laws.setdefault((c.stop, c.fact, c.action), []).append(c.jurisdiction)
    said = [
        f"{'STOP ' if stop else ''}{fact} {action} ({'; '.join(dict.fromkeys(behind))})"
        for (stop, fact, action), behind in laws.items()
    ]
    return [*said, *dict.fromkeys(c.deferral for c in cautions)]


def as_json(sheet: Sheet, *, command: str, inputs: dict[str, Any], plotted: bool) -> dict[str, Any]:
    """The sheet as plain data with stable keys; numbers stay in the unit named beside them."""
    data: dict[str, Any] = {
        "version": VERSION,
        "command": command,
        "inputs": inputs,
        "results": {line.key: _row(line) for line in sheet.lines},
        "notes": list(sheet.notes),
        "cautions": [
            {
                "fact": c.fact,
                "action": c.action,
                "jurisdiction": c.jurisdiction,
                "stop": c.stop,
                "deferral": c.deferral,
            }
            for c in sheet.cautions
        ],
    }
    if plotted and sheet.curve is not None:
        data["curve"] = sheet.curve().as_data()
    return data


def _row(line: Line) -> dict[str, Any]:
    row: dict[str, Any] = {"title": line.title}
    if isinstance(line.value, Category):
        row |= {"word": line.value.value, "certainty": line.value.certainty}
    elif isinstance(line.value, str):
        row["word"] = line.value
    else:
        low, value, high = _ends(line.value)
        if not all(map(math.isfinite, (low, value, high))):
            raise ValueError(f"{line.title} is not finite")
        row |= {"value": value, "low": low, "high": high, "unit": line.unit}
    return row | {"formula": line.formula, "source": line.source}
