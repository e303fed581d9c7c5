"""A curve, and how it is drawn: as text in the terminal, or into an SVG or PNG file."""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["Curve", "Series", "as_table", "as_text", "curve_of", "to_file"]

_POINTS = 61
_ROWS_OF_TABLE = 13
_COLOUR = re.compile(r"\x1b\[[0-9;]*m")
_WIDEST, _NARROWEST, _TALL = 100, 40, 20


@dataclass(frozen=True, slots=True)
class Series:
    """One line, or with ``dots`` single points; ``y`` may have ``low`` and ``high``."""

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    dots: bool = False


@dataclass(frozen=True, slots=True)
class Curve:
    """What is drawn: axes with units, lines, and levels (such as pH limits) with their names."""

    title: str
    x_name: str
    y_name: str
    series: tuple[Series, ...]
    levels: tuple[tuple[str, float], ...] = ()

    def as_data(self) -> dict[str, Any]:
        """The numbers behind the picture."""
        return {
            "title": self.title,
            "x": self.x_name,
            "y": self.y_name,
            "series": [
                {
                    "name": s.name,
                    "x": list(s.x),
                    "y": list(s.y),
                    "low": list(s.low),
                    "high": list(s.high),
                }
                for s in self.series
            ],
            "levels": [{"name": name, "at": at} for name, at in self.levels],
        }


def curve_of(
    name: str, low: float, high: float, function: Callable[[float], Any], points: int = _POINTS
) -> Series:
    """``function`` (a number or an ``Estimate``) over an even grid from ``low`` to ``high``."""
    x = tuple(low + (high - low) * i / (points - 1) for i in range(points))
    found = [function(at) for at in x]
    if found and hasattr(found[0], "low"):
        return Series(
            name,
            x,
            tuple(e.value for e in found),
            tuple(e.low for e in found),
            tuple(e.high for e in found),
        )
    return Series(name, x, tuple(float(y) for y in found))


def as_text(curve: Curve) -> str:
    """The curve in characters, without colour, so that it survives a pipe."""
    import plotext as plt

    width = max(_NARROWEST, min(_WIDEST, shutil.get_terminal_size((80, 24)).columns))
    plt.clear_figure()
    plt.theme("clear")
    plt.limitsize(False, False)
    plt.plotsize(width, _TALL)
    for series in curve.series:
        x, y = list(series.x), list(series.y)
        if series.dots:
            plt.scatter(x, y, marker="o")
        else:
            plt.plot(x, y, marker="*")
        for edge in (series.low, series.high):
            if edge:
                plt.plot(x, list(edge), marker=".")
    for _, level in curve.levels:
        plt.hline(level)
    plt.title(curve.title)
    plt.xlabel(curve.x_name)
    plt.ylabel(curve.y_name)
    drawn = _COLOUR.sub("", plt.build())
    lines = [line.rstrip() for line in drawn.splitlines()]
    return "\n".join([*lines, *_legend(curve)])


def _legend(curve: Curve) -> list[str]:
    """Said below the drawing, because colours cannot tell the lines apart here."""
    said = []
    for series in curve.series:
        said.append(f"{'o' if series.dots else '*'}  {series.name}")
        if series.low:
            said.append(".  its interval")
    return [*said, *(f"─  {name} ({level:.3g})" for name, level in curve.levels)]


def as_table(curve: Curve) -> str:
    """The curve as rows to be read aloud."""
    lines = [curve.title, *(f"{name}: {level:.3g}" for name, level in curve.levels)]
    for series in curve.series:
        lines.append(f"{series.name}: {curve.x_name}, then {curve.y_name}")
        step = 1 if series.dots else max(1, (len(series.x) - 1) // (_ROWS_OF_TABLE - 1))
        for i in range(0, len(series.x), step):
            span = f" ({series.low[i]:.3g} to {series.high[i]:.3g})" if series.low else ""
            lines.append(f"  {series.x[i]:.4g}: {series.y[i]:.3g}{span}")
    return "\n".join(lines)


def to_file(curve: Curve, path: Path) -> None:
    """Draw into ``path``, an .svg or .png file; ``AdvisorError`` when that is not possible."""
    kind = path.suffix.lower().lstrip(".")
    if kind not in ("svg", "png"):
        raise AdvisorError(
            "plot-file",
            f"the name must end in .svg or .png, got {path.name!r}",
            where="--plot-file",
            hint="for example --plot-file curve.svg",
        )
    try:
        import matplotlib as mpl
        from matplotlib.figure import Figure
    except ImportError:
        raise AdvisorError(
            "plot-file",
            "drawing into a file needs matplotlib, which is not installed",
            where="--plot-file",
            hint="pip install 'curdwise[plot]', or use --plot to draw in the terminal",
        ) from None
    # A fixed salt and no date: the same numbers give the same file.
    with mpl.rc_context({"svg.hashsalt": "curdwise", "svg.fonttype": "none"}):
        figure = Figure(figsize=(7.0, 4.5), layout="constrained")
        axes = figure.add_subplot()
        for series in curve.series:
            if series.low:
                axes.fill_between(series.x, series.low, series.high, alpha=0.2, linewidth=0)
            style = "o" if series.dots else "-"
            axes.plot(series.x, series.y, style, label=series.name)
        for (name, level), dash in zip(curve.levels, ("--", ":", "-.", "--"), strict=False):
            axes.axhline(level, color="0.3", linewidth=1, linestyle=dash, label=name)
        axes.set(title=curve.title, xlabel=curve.x_name, ylabel=curve.y_name)
        axes.grid(alpha=0.3)
        axes.legend()
        try:
            metadata: dict[str, Any] = {"Date": None} if kind == "svg" else {}
            figure.savefig(path, format=kind, metadata=metadata, dpi=150)
        except OSError as error:
            raise AdvisorError(
                "plot-file",
                f"{path} cannot be written: {error.strerror or error}",
                where="--plot-file",
            ) from None
