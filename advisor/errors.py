"""The one family of errors that a person is meant to read.

Every error says what is wrong, where, and what to do about it, and carries a
short stable code, so that a report, a test and a page can name it.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = [
    "AdvisorError",
    "Place",
    "Problem",
    "ProblemsFound",
    "did_you_mean",
    "shortened",
    "shortened_in",
]


_MOST_REPEATED = 60
_MOST_OF_A_LINE = 120


@dataclass(frozen=True, order=True)
class Place:
    """Where something stands: a file with 1-based line and column, or a plain name."""

    name: str
    line: int = 0
    column: int = 0
    text: str = ""

    def __str__(self) -> str:
        if not self.line:
            return self.name
        return f"{self.name}:{self.line}:{self.column}"


def _quoted(line: str) -> str:
    """The line of a file that a fault is in, below what is said of it."""
    return f"\n  | {shortened(line.strip(), _MOST_OF_A_LINE)}" if line.strip() else ""


class AdvisorError(Exception):
    """Something a person can put right: a code, what is wrong, where, and what to do."""

    def __init__(self, code: str, message: str, *, where: Place | str = "", hint: str = "") -> None:
        self.code = code
        self.message = message
        self.where = Place(where) if isinstance(where, str) else where
        self.hint = hint
        super().__init__(str(self))

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where.name else ""
        hint = f"\n  {self.hint}" if self.hint else ""
        line = _quoted(self.where.text)
        return f"{place}{self.message} [{self.code}]{line}{hint}"

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild, (type(self), self.code, self.message, self.where, self.hint))


def _rebuild(
    kind: type[AdvisorError], code: str, message: str, where: Place, hint: str
) -> AdvisorError:
    return kind(code, message, where=where, hint=hint)


@dataclass(frozen=True)
class Problem:
    """One thing found wrong in a file, collected rather than raised."""

    code: str
    message: str
    where: Place
    hint: str = ""
    severity: str = "error"  # or "note"

    def __str__(self) -> str:
        kind = "" if self.severity == "error" else f"{self.severity}: "
        line = _quoted(self.where.text)
        hint = f"\n  {self.hint}" if self.hint else ""
        return f"{self.where}: {kind}{self.message} [{self.code}]{line}{hint}"


class ProblemsFound(AdvisorError):  # noqa: N818  it reads as what it is
    """Several problems at once, in the order of their places."""

    def __init__(self, what: str, problems: Sequence[Problem]) -> None:
        self.what = what
        self.problems = tuple(sorted(problems, key=lambda p: (p.where, p.code)))
        first = self.problems[0]
        super().__init__(first.code, what, where=first.where, hint=first.hint)

    def __str__(self) -> str:
        count = len(self.problems)
        noun = "problem" if count == 1 else "problems"
        return "\n".join([f"{self.what}: {count} {noun}", *map(str, self.problems)])

    def __reduce__(self) -> tuple[object, ...]:
        return (ProblemsFound, (self.what, self.problems))


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A hint that names the closest known words, or the empty string."""
    close = get_close_matches(word, list(known), n=3, cutoff=0.6)
    return f"did you mean {' or '.join(close)}?" if close else ""


def shortened(text: str, most: int = _MOST_REPEATED) -> str:
    """What somebody wrote, short enough to be repeated to them."""
    return text if len(text) <= most else f"{text[: most - 3].rstrip()}..."


def shortened_in(message: str, *written: str) -> str:
    """A message in which what somebody wrote is no longer than it need be."""
    forms = {form for text in written for form in (text, text.strip(), repr(text)[1:-1])}
    for form in sorted(forms, key=len, reverse=True):
        if len(form) > _MOST_REPEATED:
            message = message.replace(form, shortened(form))
    return message
