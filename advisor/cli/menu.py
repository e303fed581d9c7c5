"""A list on a terminal to pick from: arrow keys move, letters find, one entry or several.

``Menu`` is what happens at each key, without a terminal; ``run`` puts it on one.
"""

from __future__ import annotations

import re
import shutil
import textwrap
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from advisor.errors import shortened

if TYPE_CHECKING:
    from collections.abc import Sequence

    from prompt_toolkit.application import Application
    from prompt_toolkit.formatted_text import StyleAndTextTuples
    from prompt_toolkit.key_binding import KeyBindings
    from prompt_toolkit.output import Output

__all__ = ["Entry", "Menu", "fitting", "run"]

_APOSTROPHES = re.compile("['’‘`´]")
_WORD = re.compile(r"[^\W_]+")
# Words that say nothing of what is looked for.
_SMALL = frozenset(("a", "an", "and", "in", "is", "it", "its", "my", "of", "the", "to"))
_SHORT = 3
_WIDEST = 96
_LEAST_LINES = 3
_MOST_LETTERS = 60


@dataclass(frozen=True)
class Entry:
    """A line to pick. ``aside`` ones stand apart below; ``more`` are words that find it too."""

    value: str
    label: str
    more: str = ""
    aside: bool = False


def _words(text: str) -> list[str]:
    return _WORD.findall(_APOSTROPHES.sub("", text.lower()))


def fitting(entries: Sequence[Entry], letters: str) -> list[Entry]:
    """The entries in which every word of ``letters`` begins a word, in any order.

    The label counts first; where no label fits, what else is said of the entries.
    """
    wanted = _words(letters)
    if letters.strip() == "?":  # what stands for "I don't know" wherever something is typed
        return [e for e in entries if e.value == "/unknown"]
    if not wanted:
        return [] if letters.strip() else list(entries)
    wanted = [w for w in wanted if w not in _SMALL] or wanted

    def fits(text: str) -> bool:
        known = _words(text)
        return all(any(_begins(word, w) for word in known) for w in wanted)

    close = [e for e in entries if fits(e.label)]
    return close or [e for e in entries if e.more and fits(f"{e.label} {e.value} {e.more}")]


def _begins(word: str, wanted: str) -> bool:
    """Whether a word begins so, one more s at its end forgiven: tastes, taste."""
    fewer = wanted[:-1] if len(wanted) > _SHORT and wanted.endswith("s") else wanted
    return word.startswith((wanted, fewer))


@dataclass
class Menu:
    """The state of a menu, and what each key does to it."""

    ask: str
    entries: Sequence[Entry]
    several: bool = False
    least: int = 0  # of several: so many must be picked
    letters: str = ""
    at: int = 0  # of those shown
    picked: list[str] = field(default_factory=list)
    note: str = ""
    done: bool = False
    _typing: bool = False  # the last key was a letter: Space goes on with the words
    _top: int = 0  # the first entry shown

    @property
    def shown(self) -> list[Entry]:
        """The entries that the letters leave, those aside last."""
        close = fitting(self.entries, self.letters)
        return sorted(close, key=lambda e: e.aside)

    @property
    def answer(self) -> list[str]:
        """The values picked, in the order of the entries."""
        return [e.value for e in self.entries if e.value in self.picked]

    # Keys.

    def move(self, by: int) -> None:
        """Up or down; round at the ends for a single step."""
        count = len(self.shown)
        self.note, self._typing = "", False
        if not count:
            return
        self.at = (self.at + by) % count if abs(by) == 1 else min(max(self.at + by, 0), count - 1)

    def type(self, text: str) -> None:
        """Letters that find."""
        if text.isspace():
            self._space()
            return
        self.letters = (self.letters + " ".join(text.split()))[:_MOST_LETTERS]
        self.at, self.note, self._typing = 0, "", True

    def rub_out(self, *, all_: bool = False) -> None:
        """Take the last letter away, or all of them."""
        self.letters = "" if all_ else self.letters[:-1]
        self.at, self.note, self._typing = 0, "", bool(self.letters)

    def _space(self) -> None:
        if self.letters and self._typing and not self.letters.endswith(" "):
            self.letters += " "
            self.note = ""
            if self.several and len(self.shown) != 1:
                self.note = "Type on, or Space once more picks the one that is pointed at."
        elif not self.shown:
            self._nothing_fits()
        elif self.several:
            self._toggle(self.shown[self.at])
        else:
            self.note = "Enter takes the one that is pointed at."

    def _toggle(self, entry: Entry) -> None:
        if entry.value in self.picked:
            self.picked.remove(entry.value)
        else:
            self.picked.append(entry.value)
        # The next letters begin anew; the pointer stays where it is.
        self.letters, self.note, self._typing = "", "", False
        self.at = self.shown.index(entry)

    def enter(self) -> None:
        """Take what is pointed at, or go on with what is picked."""
        self._typing = False
        shown = self.shown
        if not shown:
            self._nothing_fits()
        elif not self.several:
            self.picked, self.done = [shown[self.at].value], True
        elif self.letters.strip() and len(shown) > 1:
            self.note = f"{len(shown)} fit: go to one with the arrow keys, and Space picks it."
        else:
            if self.letters.strip() and shown[0].value not in self.picked:
                self.picked.append(shown[0].value)
            self.done = len(self.picked) >= self.least
            if not self.done:
                self.note = "Pick at least one: Space picks the one that is pointed at."

    def _nothing_fits(self) -> None:
        said = shortened(self.letters.strip(), 30)
        self.note = f"Nothing fits {said!r}: Backspace, or other words."

    # What is seen.

    def lines(self, width: int, height: int) -> list[tuple[str, str]]:
        """What is seen, as (style, line): no line wider or list longer than there is room."""
        room = max(20, min(width, _WIDEST)) - 1
        if self.done:
            return self._answered(room)
        head = [("class:question", line) for line in _wrap(self.ask, room, "  ")]
        head += [("class:instruction", line) for line in _wrap(self._hint, room, "  ")]
        foot: list[tuple[str, str]] = []
        if self.letters:
            fit, of = len(self.shown), len(self.entries)
            said = f"/ {shortened(self.letters, 30)}   ({fit} of {of} fit)"
            foot += [("class:search", line) for line in _wrap(said, room, "  ")]
        foot += [("class:note", line) for line in _wrap(self.note, room, "  ") if self.note]
        left = max(_LEAST_LINES, height - 1 - len(head) - len(foot))
        return [*head, *self._list(room, left), *foot]

    @property
    def _hint(self) -> str:
        if self.several:
            return "(Space picks, letters find, Enter goes on)"
        return "(arrow keys move, letters find, Enter takes it)"

    def _answered(self, room: int) -> list[tuple[str, str]]:
        labels = [shortened(e.label, 74) for e in self.entries if e.value in self.picked]
        said = "; ".join(labels) or "none of these"
        text = f"{self.ask} [{said}]" if self.several else f"{self.ask} {said}"
        return [("class:question", line) for line in _wrap(text, room, "  ")]

    def _list(self, room: int, left: int) -> list[tuple[str, str]]:
        """As many entries as there is room for, and how many stand above and below."""
        shown = self.shown
        blocks = [self._block(i, e, room) for i, e in enumerate(shown)]
        for i in range(1, len(shown)):
            if shown[i].aside and not shown[i - 1].aside:
                blocks[i].insert(0, ("", ""))
        if sum(map(len, blocks)) <= left:
            self._top = 0
            return [line for block in blocks for line in block]
        left -= 2  # for the lines that say there is more
        self._top = min(self._top, self.at)
        while sum(map(len, blocks[self._top : self.at + 1])) > left and self._top < self.at:
            self._top += 1
        end, used = self._top, 0
        while end < len(blocks) and (used + len(blocks[end]) <= left or end == self._top):
            used += len(blocks[end])
            end += 1
        while self._top and used + len(blocks[self._top - 1]) <= left:  # no room left over
            self._top -= 1
            used += len(blocks[self._top])
        above, below = self._top, len(blocks) - end
        return [
            ("class:more", f"   ↑ {above} more above" if above else ""),
            *(line for block in blocks[self._top : end] for line in block),
            ("class:more", f"   ↓ {below} more below" if below else ""),
        ]

    def _block(self, index: int, entry: Entry, room: int) -> list[tuple[str, str]]:
        pointer = " » " if index == self.at else "   "
        mark = ("● " if entry.value in self.picked else "○ ") if self.several else ""
        style = "class:pointed" if index == self.at else ""
        if entry.value in self.picked:
            style = "class:picked"
        first = f"{pointer}{mark}"
        return [(style, line) for line in _wrap(entry.label, room, first, " " * (len(first) + 2))]


def _wrap(text: str, room: int, first: str, then: str | None = None) -> list[str]:
    return textwrap.wrap(
        text, room, initial_indent=first, subsequent_indent=first if then is None else then
    ) or [first]


def run(menu: Menu, output: Output) -> list[str]:
    """Put the menu on the terminal and wait. ``KeyboardInterrupt`` and ``EOFError`` pass."""
    _application(menu, output).run()
    return menu.answer


def _application(menu: Menu, output: Output) -> Application[None]:
    from prompt_toolkit.application import Application, get_app
    from prompt_toolkit.layout import FormattedTextControl, Layout, Window
    from prompt_toolkit.styles import Style

    def seen() -> StyleAndTextTuples:
        size = output.get_size()
        lines = menu.lines(size.columns, size.rows)
        if get_app().is_done and not menu.done:
            lines = lines[:1]  # interrupted: the list would only be in the way
        parts: StyleAndTextTuples = [(style, line + "\n") for style, line in lines[:-1]]
        return [*parts, lines[-1]]

    window = Window(
        FormattedTextControl(seen, focusable=True, show_cursor=False),
        dont_extend_height=True,
        always_hide_cursor=True,
    )
    style = Style.from_dict(
        {"question": "bold", "pointed": "bold", "picked": "fg:ansigreen", "note": "fg:ansiyellow"}
    )
    return Application(
        Layout(window), key_bindings=_keys(menu), style=style, output=output, full_screen=False
    )


def _keys(menu: Menu) -> KeyBindings:
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
    from prompt_toolkit.keys import Keys

    keys = KeyBindings()

    def page() -> int:
        return max(2, shutil.get_terminal_size().lines // 2)

    moves = {
        Keys.Down: lambda: 1, Keys.ControlN: lambda: 1,
        Keys.Up: lambda: -1, Keys.ControlP: lambda: -1,
        Keys.PageDown: page, Keys.PageUp: lambda: -page(),
        Keys.End: lambda: len(menu.entries), Keys.Home: lambda: -len(menu.entries),
    }  # fmt: skip
    for key, by in moves.items():
        keys.add(key)(lambda _, by=by: menu.move(by()))
    keys.add(Keys.Backspace)(lambda _: menu.rub_out())
    keys.add(Keys.ControlU)(lambda _: menu.rub_out(all_=True))
    keys.add(Keys.Escape, eager=True)(lambda _: menu.rub_out(all_=True))

    @keys.add(Keys.Enter)
    def enter(event: KeyPressEvent) -> None:
        menu.enter()
        if menu.done:
            event.app.exit()

    @keys.add(Keys.Any)
    def letter(event: KeyPressEvent) -> None:
        if event.data.isprintable() and event.data:  # not the tail of some other key
            menu.type(event.data)

    @keys.add(Keys.BracketedPaste)
    def paste(event: KeyPressEvent) -> None:
        text = " ".join(event.data.split())
        if text:
            menu.type(text)

    @keys.add(Keys.ControlC)
    @keys.add(Keys.ControlQ)
    def interrupt(event: KeyPressEvent) -> None:
        event.app.exit(exception=KeyboardInterrupt, style="class:aborting")

    @keys.add(Keys.ControlD)
    def end(event: KeyPressEvent) -> None:
        event.app.exit(exception=EOFError, style="class:aborting")

    return keys
