"""Asking in a drill: long lists that are searched, several things at once, and plain lines."""

from __future__ import annotations

import shutil
import sys
import textwrap
from typing import TYPE_CHECKING, Protocol

from advisor.cli.prompts import Asker, Keys, Numbered, checker

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.knowledge.model import Base

__all__ = ["DrillAsker", "asker_for", "tell"]

_LONG = 16  # options from which a list is searched rather than read out


def tell(text: str = "", *, indent: int = 0) -> None:
    """A paragraph of talk on standard error, wrapped to the terminal."""
    room = min(88, shutil.get_terminal_size((80, 24)).columns - 1)
    pad = " " * indent
    for line in text.splitlines() or [""]:
        for piece in textwrap.wrap(line, room, initial_indent=pad, subsequent_indent=pad) or [""]:
            print(piece, file=sys.stderr)  # noqa: T201  talk, not logging


class DrillAsker(Asker, Protocol):
    """An asker that can also search a long list and take several answers."""

    def find(self, ask: str, options: Sequence[tuple[str, str]]) -> str:
        """Pick one of many (value, label), by typing part of it."""
        ...

    def several(self, ask: str, options: Sequence[tuple[str, str]]) -> list[str]:
        """Pick any number of (value, label), none too."""
        ...


def asker_for(base: Base) -> DrillAsker:
    """Arrow keys, or numbered lines where the person asked for them."""
    from advisor.cli.diagnose import accessible

    return _NumberedDrill(checker(base)) if accessible() else _KeysDrill(checker(base))


class _KeysDrill(Keys):
    def find(self, ask: str, options: Sequence[tuple[str, str]]) -> str:
        return self.pick(ask, options)


class _NumberedDrill(Numbered):
    def find(self, ask: str, options: Sequence[tuple[str, str]]) -> str:
        if len(options) < _LONG:
            return self.pick(ask, options)
        while True:
            typed = self.text(f"{ask} {len(options)} things; type a word of it, or Enter for all:")
            words = typed.casefold().split()
            close = [o for o in options if all(w in o[1].casefold() for w in words)]
            if close:
                back = [("/again", "search again")] if words else []
                picked = self.pick(ask, [*close, *back])
                if picked != "/again":
                    return picked
            else:
                tell(f"Nothing here has {typed!r} in it.")

    def several(self, ask: str, options: Sequence[tuple[str, str]]) -> list[str]:
        tell(ask)
        for number, (_, label) in enumerate(options, 1):
            tell(f"{number}. {label}", indent=2)
        while True:
            typed = self.text("Type the numbers with spaces between, or Enter for none:")
            words = typed.replace(",", " ").split()
            if all(w.isdecimal() and 1 <= int(w[:6]) <= len(options) for w in words):
                break
            tell(f"Please type numbers from 1 to {len(options)}.")
        picked = [options[n - 1] for n in sorted({int(w) for w in words})]
        tell("You picked: " + ("; ".join(label for _, label in picked) or "none"))
        return [value for value, _ in picked]
