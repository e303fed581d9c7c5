"""The conversation behind ``choose``: goals, base, limits, then what could change the choice."""

from __future__ import annotations

import sys
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.keeping import keep, place_for
from advisor.cli.prompts import Asker, Keys, Numbered, Reply, checker, say_to_person
from advisor.errors import AdvisorError, shortened_in
from advisor.technique.asking import discriminating, opening_items, told_all
from advisor.technique.brief import LISTS, brief_base, members, write_brief
from advisor.technique.briefwrite import brief_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.knowledge.model import Base
    from advisor.technique.asking import Flip, Item
    from advisor.technique.brief import Brief
    from advisor.technique.choose import Choice, Chooser

__all__ = ["afterwards", "talk"]

_MOST_MORE = 6


def talk(base: Base, brief: Brief, save: Path | None, engine: str) -> Brief:
    """Ask until nothing more could change the first choice. Ctrl-C saves and ends the command."""
    from advisor.technique.choose import chooser_for

    talking = _Talk(base, brief, chooser_for(base, engine))
    try:
        talking.openings()
        talking.the_rest()
    except (KeyboardInterrupt, EOFError):
        _keep(talking.brief, save)
        raise KeyboardInterrupt from None
    say_to_person()
    return talking.brief


class _Talk:
    """One run of questions; every step can be taken back."""

    def __init__(self, base: Base, brief: Brief, chooser: Chooser) -> None:
        self.base = base
        self.seen = brief_base(base)
        self.chooser = chooser
        self.brief = brief
        self.done = {
            kind
            for kind in LISTS
            if all(f.id in brief.answers for f in members(self.seen, kind))
        }
        self.before: list[tuple[Brief, set[str]]] = []
        self.asker = (Numbered if _accessible() else Keys)(checker(self.seen))
        self.stopped = False

    def openings(self) -> None:
        """Goals, base, what else is in it, limits, kit."""
        while not self.stopped:
            item = next(iter(opening_items(self.base, self.brief, self.done)), None)
            if item is None:
                return
            self._ask(item)

    def the_rest(self) -> None:
        """Only questions of which an answer would change the first choice."""
        for _ in range(_MOST_MORE):
            flips = [] if self.stopped else discriminating(self.chooser, self.brief, self.done)
            if not flips:
                break
            self._ask_flip(flips[0])
        if not self.stopped:
            say_to_person("\nEnough asked: nothing more that you could say is likely to matter.")

    def _ask(self, item: Item) -> None:
        if item.kind == "finding":
            self._single(item.findings[0].id, None)
            return
        rows = [(f.id, f.label) for f in item.findings]
        reply = several(self.asker, item.ask, rows, can_go_back=bool(self.before))
        if reply.kind == "back":
            self._back()
        elif reply.kind == "stop" and self.brief.goals:
            self.stopped = True
        elif item.kind == "goals" and not reply.value:
            say_to_person("Pick at least one goal, or press Ctrl-C to leave.")
        elif reply.kind == "answer":
            # What was said before the list is not taken back by leaving it out.
            said = {f.id for f in item.findings if self.brief.yes(f.id)}
            told = told_all(item.kind, said.union(reply.value), self.seen)
            self._take(replace(self.brief, answers={**self.brief.answers, **told}), item.kind)
        else:
            self._take(self.brief, item.kind)

    def _ask_flip(self, flip: Flip) -> None:
        self._single(flip.finding.id, flip)

    def _single(self, finding: str, flip: Flip | None) -> None:
        from advisor.consult.question import question_for

        question = replace(question_for(self.seen, finding, None), opening=flip is None)
        reply = self.asker.ask(question, can_go_back=bool(self.before))
        if reply.kind == "back":
            self._back()
        elif reply.kind == "stop":
            self.stopped = True
        elif reply.kind == "why":
            self._why(flip)
        elif reply.kind == "skip-rest":
            names = [f.id for f in self.seen.findings.values() if f.opening]
            self._take(self.brief, *names)
        elif reply.kind == "answer":
            self._told(finding, reply.value)
        else:
            self._told(finding, reply.kind)

    def _told(self, finding: str, value: Any) -> None:
        from advisor.reasoning.answers import read_answer
        from advisor.technique.impossible import impossible

        try:
            name, answer = read_answer(self.seen, finding, value, answers=self.brief.answers)
        except AdvisorError as error:
            message = shortened_in(error.message, str(value))
            say_to_person(". ".join(part for part in (message, error.hint) if part))
            return
        then = self.brief.with_answer(name, answer)
        wrong = impossible(then.answers)
        if wrong:
            say_to_person(f"{wrong[0].text}. {wrong[0].hint[:1].upper()}{wrong[0].hint[1:]}.")
            return
        self._take(then, finding)

    def _why(self, flip: Flip | None) -> None:
        if flip is None:
            say_to_person("It decides which techniques can be used at all.", indent=2)
            return
        first = self.chooser.looking_ahead.weigh(self.brief).order
        title = self.base.techniques[first[0]].title if first else "nothing"
        say_to_person(f"{title} comes first so far. It would change:", indent=2)
        for said, key in flip.changes[:6]:
            then = self.base.techniques[key].title if key else "nothing could be used"
            say_to_person(f"{said}: {then}", indent=4)

    def _take(self, brief: Brief, *done: str) -> None:
        self.before.append((self.brief, set(self.done)))
        self.brief = brief
        self.done.update(done)

    def _back(self) -> None:
        if self.before:
            self.brief, self.done = self.before.pop()


def several(
    asker: Keys | Numbered, ask: str, rows: Sequence[tuple[str, str]], *, can_go_back: bool
) -> Reply:
    """Pick any number of (value, label): with keys on a terminal, else by number.

    The reply is answer with the values picked (perhaps none), unknown, back or stop.
    """
    say_to_person()
    if isinstance(asker, Numbered):
        return _several_by_number(asker, ask, rows, can_go_back)
    return _several_by_keys(asker, ask, rows, can_go_back)


def _several_by_keys(
    asker: Keys, ask: str, rows: Sequence[tuple[str, str]], can_go_back: bool
) -> Reply:
    sides = [("unknown", "I don't know")]
    if can_go_back:
        sides.append(("back", "Back"))
    picked = asker.several(ask, rows, sides)
    if "/back" in picked:
        return Reply("back")
    values = [p for p in picked if not p.startswith("/")]
    if "/unknown" in picked and not values:
        return Reply("unknown")
    return Reply("answer", values)


def _several_by_number(
    asker: Numbered, ask: str, rows: Sequence[tuple[str, str]], can_go_back: bool
) -> Reply:
    say_to_person(ask)
    for number, (_, label) in enumerate(rows, 1):
        say_to_person(f"{number}. {label}", indent=2)
    back = ", back" if can_go_back else ""
    hint = f"Numbers with spaces between; Enter for none; ? if you do not know{back}, stop:"
    while True:
        typed = asker.text(hint).strip().lower()
        if typed in ("?", "don't know", "unknown"):
            return Reply("unknown")
        if typed == "stop" or (typed == "back" and can_go_back):
            return Reply(typed)
        words = typed.replace(",", " ").split()
        if all(w.isdecimal() and 1 <= int(w[:6]) <= len(rows) for w in words):
            picked = sorted({int(w) for w in words})
            labels = "; ".join(rows[n - 1][1] for n in picked) or "none of these"
            say_to_person(f"You picked: {labels}")
            return Reply("answer", [rows[n - 1][0] for n in picked])
        say_to_person(f"Please type numbers from 1 to {len(rows)}.")


def afterwards(base: Base, choice: Choice, units: str) -> None:
    """What the person wants explained, or kept."""
    asker: Asker = (Numbered if _accessible() else Keys)(checker(brief_base(base)))
    with suppress(KeyboardInterrupt, EOFError):
        while True:
            options = [("end", "That is all")]
            if choice.first is not None:
                options.append(("why", f"Why {choice.first.title}?"))
            options.append(("other", "Why, or why not, another one?"))
            options.append(("save", "Save this as a brief"))
            say_to_person()
            picked = asker.pick("What now?", options)
            if picked == "end":
                return
            if picked == "save":
                _save(asker, choice)
                continue
            technique = choice.first.technique if choice.first is not None else ""
            if picked == "other":
                technique = asker.pick(
                    "Which one?", [(t.id, t.title) for t in base.techniques.values()]
                )
            _explain(base, choice, technique)


def _explain(base: Base, choice: Choice, technique: str) -> None:
    from advisor.report.choice import why_blocks
    from advisor.report.screen import plain_blocks

    for line in plain_blocks(why_blocks(base, choice, technique)):
        print(line)  # noqa: T201  the answer itself, wrapped already


def _save(asker: Asker, choice: Choice) -> None:
    path = asker.text("File to save it in (for example brief.yaml):").strip()
    if not path:
        return
    try:
        write_brief(Path(path).expanduser(), choice.brief)
    except AdvisorError as error:
        say_to_person(str(error))
        return
    first = choice.first.technique if choice.first is not None else "TECHNIQUE"
    say_to_person("Saved. Next:")
    _unwrapped(f"curdwise protocol --brief {path} --technique {first}")


def _unwrapped(text: str) -> None:
    print(text, file=sys.stderr)  # noqa: T201  a command to copy


def _keep(brief: Brief, save: Path | None) -> None:
    """Save an interrupted brief and say how to go on with it."""
    if brief.answers:
        keep(brief_text(brief), save or place_for("brief"), "curdwise choose --resume")


def _accessible() -> bool:
    from advisor.cli.choose import accessible

    return accessible()
