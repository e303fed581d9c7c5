"""One page for each code that loading and checking can report.

The pages are Markdown files beside this module, all of one shape: the code, one line that
says what was found, what it means, why it matters, an example with the fault and the same
mended, and how to mend it. The tests run the examples.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from advisor.errors import AdvisorError, did_you_mean

__all__ = ["SECTIONS", "Page", "page", "pages"]

SECTIONS = ("What it means", "Why it matters", "With the fault", "Mended", "How to mend it")

_FOLDER = Path(__file__).parent
_HEADING = re.compile(r"^## (.+)$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Page:
    """What a code means."""

    code: str
    summary: str
    text: str

    def section(self, heading: str) -> str:
        """The text under a heading; empty when the page has no such section."""
        parts = _HEADING.split(self.text)
        found = dict(zip(parts[1::2], parts[2::2], strict=True))
        return found.get(heading, "").strip()

    def as_dict(self) -> dict[str, str]:
        """The page for a program."""
        keys = {heading: heading.lower().replace(" ", "_") for heading in SECTIONS}
        return {
            "code": self.code,
            "summary": self.summary,
            **{key: self.section(heading) for heading, key in keys.items()},
        }


@lru_cache(maxsize=1)
def pages() -> tuple[Page, ...]:
    """All pages, by code."""
    return tuple(_read(path) for path in sorted(_FOLDER.glob("*.md")))


def page(code: str) -> Page:
    """The page of a code. Raises ``AdvisorError`` (``unknown-code``) when there is none."""
    wanted = code.strip().strip("[]").lower()
    path = _FOLDER / f"{wanted}.md"
    known = {p.stem for p in _FOLDER.glob("*.md")}
    if wanted not in known:
        raise AdvisorError(
            "unknown-code",
            f"there is no code {code[:60]!r}",
            hint=did_you_mean(wanted, known) or "curdwise knowledge explain lists them all",
        )
    return _read(path)


def _read(path: Path) -> Page:
    text = path.read_text(encoding="utf-8").strip()
    summary = next(line for line in text.splitlines()[1:] if line.strip())
    return Page(path.stem, summary, text)
