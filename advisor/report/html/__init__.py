"""Self-contained HTML pages: one style, no script, nothing fetched; printable on A4 and Letter."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["render", "share", "signed"]


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("advisor.report.html", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["share"] = share
    environment.filters["signed"] = signed
    return environment


def render(template: str, **context: Any) -> str:
    """The page that a template of this room makes of the context.

    ``template`` is a file name under ``templates``. Everything in the context is escaped; a name
    that the template wants and the context lacks is an error (``jinja2.UndefinedError``).
    """
    return _environment().get_template(template).render(**context)


def share(value: float | None) -> str:
    """A fraction (0 to 1) as a whole percentage; a dash for ``None``.

    Never rounds to a certainty that is not there: 0.999 is "> 99 %", 0.001 "< 1 %".
    """
    if value is None:
        return "–"
    if 0 < value < 0.01:
        return "< 1 %"
    if 0.99 < value < 1:
        return "> 99 %"
    return f"{value:.0%}".replace("%", " %")


def signed(value: float) -> str:
    """A number with its sign and one decimal: +4.8, -2.0."""
    return f"{value:+.1f}".replace("-", "\N{MINUS SIGN}")
