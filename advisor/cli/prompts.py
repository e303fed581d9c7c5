"""Asking one question: with arrow keys on a terminal, or numbered and line by line.

Every question can be answered with *don't know*, *can't do this now*, *why do you ask?*,
*back* and *stop here* as well. Talk goes to standard error, so that standard output
holds nothing but the result.
"""

from __future__ import annotations

import shutil
import sys
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from advisor.cli.menu import Entry, Menu, fitting, run
from advisor.errors import AdvisorError, shortened_in

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from advisor.consult import Question

__all__ = ["Asker", "Keys", "Numbered", "Reply", "say_to_person"]

_TYPING = 8  # columns that stay free to type in
_SOMETHING_ELSE = "something else (type a word)"
_SIDE = (
    ("unknown", "I don't know"),
    ("not-now", "I can't do this now"),
    ("why", "Why do you ask?"),
    ("back", "Back"),
    ("stop", "Stop here and tell me what you think"),
)
_TYPED = {
    "?": "unknown",
    "don't know": "unknown",
    "dont know": "unknown",
    "unknown": "unknown",
    "skip": "unknown",
    "not now": "not-now",
    "later": "not-now",
    "why": "why",
    "why?": "why",
    "back": "back",
    "stop": "stop",
}


@dataclass(frozen=True)
class Reply:
    """A reply to a question.

    ``kind`` is answer, unknown, not-now, why, back, stop, skip-rest or other; ``value`` goes
    with an answer, and with *other* holds what was picked beside it.
    """

    kind: str
    value: Any = None


class Asker(Protocol):
    """Somebody to put questions to."""

    def ask(self, question: Question, *, can_go_back: bool) -> Reply:
        """Put a question and wait for the reply. ``KeyboardInterrupt`` and ``EOFError`` pass."""
        ...

    def pick(self, ask: str, options: Sequence[tuple[str, str]]) -> str:
        """Pick one of (value, label)."""
        ...

    def text(self, ask: str) -> str:
        """A line of text."""
        ...


def say_to_person(text: str = "", *, indent: int = 0) -> None:
    """A paragraph of talk on standard error."""
    pad = " " * indent
    room = _room()
    for line in text.splitlines() or [""]:
        wrapped = textwrap.wrap(line, room, initial_indent=pad, subsequent_indent=pad) or [""]
        for piece in wrapped:
            print(piece, file=sys.stderr)  # noqa: T201  talk, not logging


def _room() -> int:
    """How wide a line of talk may be."""
    return max(20, min(88, shutil.get_terminal_size((89, 24)).columns - 1))


def _introduce(question: Question) -> None:
    """How to do the check, what it needs and how long it takes."""
    if question.how:
        say_to_person(question.how, indent=2)
    notes = []
    if question.check:
        work = f"about {question.minutes + question.wait:g} min"
        if question.wait:
            work += f" ({question.minutes:g} of work)"
        notes.append(work)
        if question.kit:
            notes.append("you need " + ", ".join(question.kit))
    if notes:
        say_to_person(" · ".join(notes), indent=2)


def _hint(question: Question, can_go_back: bool) -> str:
    back = " · back" if can_go_back else ""
    if question.opening:
        return f"Enter to leave it out · why{back} · 'skip all' leaves out the rest"
    return f"Enter or ? if you don't know · later · why{back} · stop"


def _typed(question: Question, text: str) -> Reply:
    lowered = text.strip().lower()
    if not lowered:
        return Reply("unknown")
    if lowered == "skip all" and question.opening:
        return Reply("skip-rest")
    if lowered in _TYPED:
        return Reply(_TYPED[lowered])
    return Reply("answer", text)


def _sides(question: Question, can_go_back: bool) -> list[tuple[str, str]]:
    sides = [s for s in _SIDE if s[0] != "back" or can_go_back]
    if question.opening:
        sides = [s for s in sides if s[0] not in ("not-now", "why")]
        sides.append(("skip-rest", "Skip all questions about the recipe"))
    return sides


def _aside(sides: Sequence[tuple[str, str]]) -> list[Entry]:
    """What stands below the answers; the words that mean it elsewhere find it too."""
    return [
        Entry(f"/{value}", label, " ".join(w for w, v in _TYPED.items() if v == value), aside=True)
        for value, label in sides
    ]


def _entries(question: Question) -> list[Entry]:
    return [Entry(o.value, o.label, f"{o.help} {o.ask}") for o in question.options]


class Keys:
    """Arrow keys, letters and space, on a terminal."""

    def __init__(self, check: Callable[[Question, str], str]) -> None:
        """``check`` gives what is wrong with a typed answer, or the empty string."""
        import questionary
        from prompt_toolkit.output import create_output

        self._q = questionary
        self._check = check
        self._output = create_output(stdout=sys.stderr)

    def ask(self, question: Question, *, can_go_back: bool) -> Reply:
        say_to_person()
        if question.kind == "symptoms":
            return self._symptoms(question)
        if question.kind == "quantity":
            return self._amount(question, can_go_back)
        rows = [(o.value, o.label) for o in question.options]
        _introduce(question)
        picked = self.pick(question.ask, rows, _sides(question, can_go_back))
        if picked.startswith("/"):
            return Reply(picked[1:])
        return Reply("answer", picked)

    def pick(
        self,
        ask: str,
        options: Sequence[tuple[str, str]],
        sides: Sequence[tuple[str, str]] = (),
    ) -> str:
        entries = [Entry(value, label) for value, label in options]
        entries += _aside(sides)
        return self._menu(Menu(ask, entries))[0]

    def several(
        self,
        ask: str,
        options: Sequence[tuple[str, str]],
        sides: Sequence[tuple[str, str]] = (),
    ) -> list[str]:
        """Pick any number of (value, label), none too; ``sides`` come back with a slash."""
        entries = [Entry(value, label) for value, label in options]
        entries += _aside(sides)
        return self._menu(Menu(ask, entries, several=True))

    def text(self, ask: str) -> str:
        *above, last = textwrap.wrap(ask, _room() - _TYPING) or [""]
        for line in above:
            say_to_person(line, indent=2)
        return str(self._q.text(last, qmark=" ", output=self._output).unsafe_ask())

    def _menu(self, menu: Menu) -> list[str]:
        return run(menu, self._output)

    def _symptoms(self, question: Question) -> Reply:
        entries = _entries(question)
        entries.append(Entry("/other", _SOMETHING_ELSE, aside=True))
        picked = self._menu(Menu(question.ask, entries, several=True, least=1))
        if "/other" in picked:
            return Reply("other", [p for p in picked if p != "/other"])
        return Reply("answer", picked)

    def _amount(self, question: Question, can_go_back: bool) -> Reply:
        _introduce(question)
        say_to_person(question.ask, indent=2)
        say_to_person(f"({_hint(question, can_go_back)})", indent=2)
        while True:
            typed = self._q.text(
                f"{question.unit}:", qmark="  ", output=self._output
            ).unsafe_ask()
            reply = _typed(question, typed)
            wrong = self._check(question, typed) if reply.kind == "answer" else ""
            if not wrong:
                return reply
            say_to_person(wrong, indent=4)


class Numbered:
    """Numbered choices, one line at a time: for screen readers, pipes and plain terminals."""

    def __init__(self, check: Callable[[Question, str], str]) -> None:
        self._check = check

    def ask(self, question: Question, *, can_go_back: bool) -> Reply:
        say_to_person()
        if question.kind == "symptoms":
            return self._symptoms(question)
        if question.kind == "quantity":
            return self._amount(question, can_go_back)
        _introduce(question)
        rows = [(o.value, o.label) for o in question.options]
        sides = [(f"/{v}", label) for v, label in _sides(question, can_go_back)]
        picked = self.pick(question.ask, [*rows, *sides])
        return Reply(picked[1:]) if picked.startswith("/") else Reply("answer", picked)

    def pick(self, ask: str, options: Sequence[tuple[str, str]]) -> str:
        say_to_person(ask)
        for number, (_, label) in enumerate(options, 1):
            say_to_person(f"{number}. {label}", indent=2)
        while True:
            typed = self._line("Type a number, or a word of it: ").strip()
            named = [
                (value, label)
                for value, label in options
                if typed.lower() in (value.lower().lstrip("/"), label.lower())
            ]
            if not named and typed.isdecimal() and 1 <= int(typed[:6]) <= len(options):
                named = [options[int(typed) - 1]]
            close = []
            if not named and typed and not typed.isdecimal():
                found = fitting([Entry(v, label) for v, label in options], typed)
                close = [option for option in options if option[0] in {e.value for e in found}]
            if named or len(close) == 1:
                value, label = (named or close)[0]
                say_to_person(f"You picked: {label}")
                return value
            for option in close:
                say_to_person(f"{options.index(option) + 1}. {option[1]}", indent=2)
            say_to_person(f"Please type a number from 1 to {len(options)}, or words of one.")

    def text(self, ask: str) -> str:
        return self._line(f"{ask} ")

    def _symptoms(self, question: Question) -> Reply:
        say_to_person(question.ask)
        for number, option in enumerate(question.options, 1):
            say_to_person(f"{number}. {option.label}", indent=2)
        last = len(question.options) + 1
        say_to_person(f"{last}. {_SOMETHING_ELSE}", indent=2)
        while True:
            typed = self._line("Type numbers with spaces between, or a word of one: ")
            words = typed.replace(",", " ").split()
            if words and all(w.isdecimal() and 1 <= int(w[:6]) <= last for w in words):
                numbers = sorted({int(w) for w in words})
                break
            letters = [w for w in words if not w.isdecimal()]
            close = fitting(_entries(question), typed) if letters else []
            found = {entry.value for entry in close}
            numbers = [i for i, o in enumerate(question.options, 1) if o.value in found]
            if len(numbers) == 1:
                break
            for number in numbers:
                say_to_person(f"{number}. {question.options[number - 1].label}", indent=2)
            say_to_person(f"Please type numbers from 1 to {last}, or words of one of them.")
        picked = [question.options[n - 1] for n in numbers if n != last]
        if picked:
            say_to_person("You picked: " + "; ".join(o.label for o in picked))
        values = [o.value for o in picked]
        return Reply("other", values) if last in numbers else Reply("answer", values)

    def _amount(self, question: Question, can_go_back: bool) -> Reply:
        say_to_person(question.ask)
        _introduce(question)
        while True:
            typed = self._line(f"Amount in {question.unit} ({_hint(question, can_go_back)}): ")
            reply = _typed(question, typed)
            if reply.kind != "answer":
                return reply
            wrong = self._check(question, typed)
            if not wrong:
                return reply
            say_to_person(wrong)

    def _line(self, ask: str) -> str:
        print(ask, end="", file=sys.stderr, flush=True)  # noqa: T201
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        return line.rstrip("\r\n")


def checker(base: Any) -> Callable[[Question, str], str]:
    """What is wrong with a typed amount, in a sentence; empty when nothing is."""
    from advisor.reasoning.answers import is_ratio, read_answer

    def check(question: Question, text: str) -> str:
        if base.findings[question.finding].ratio_of and is_ratio(text):
            return ""  # judged against the other amount when it is told
        try:
            read_answer(base, question.finding, text)
        except AdvisorError as error:
            said = error.message.removeprefix(f"{question.finding}: ")
            said = said.replace(question.finding, base.findings[question.finding].label)
            said = shortened_in(said, text)
            return ". ".join(part[:1].upper() + part[1:] for part in (said, error.hint) if part)
        return ""

    return check
