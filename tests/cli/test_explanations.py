"""Explanations on the command line and in the conversation, as a person meets them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from advisor.cli import Exit
from advisor.cli.afterwards import choices
from advisor.cli.conversation import afterwards, converse
from advisor.cli.prompts import Reply
from advisor.consult import Consultation
from advisor.knowledge.load import load
from advisor.report.explain import short
from advisor.report.explanationwords import lower_first, ordinal
from tests.cli.test_commands import ROOT, run

if TYPE_CHECKING:
    from collections.abc import Sequence

    from advisor.consult import Question

CASE = ("diagnose", "--case", "scenarios_demo/01-still-cloudy.yaml")
DEMO = Path(ROOT) / "scenarios_demo"


def consulted(name: str) -> Consultation:
    (path,) = DEMO.glob(f"{name}*.yaml")
    return Consultation.from_case(load(), path)


@pytest.mark.parametrize(
    ("options", "heading"),
    [
        (("--why-not", "acid-swamped"), "WHY NOT"),
        (("--why-not", "more milk than the acid could turn"), "WHY NOT"),
        (("--rather", "acid-short-casein-left", "acid-swamped"), "THIS RATHER THAN THAT"),
        (("--what-changes",), "WHAT WOULD CHANGE THIS"),
        (("--what-if", "acid_drop=nothing"), "WHAT IF"),
        (("--without-practice",), "WITHOUT COMMON PRACTICE"),
    ],
)
def test_each_option_adds_its_block_after_the_result(options, heading):
    """The result comes first and whole; what was asked for follows under its heading."""
    done = run(*CASE, *options)
    assert done.returncode == Exit.OK, done.stderr
    assert done.stderr == ""
    bare = run(*CASE).stdout
    assert bare[: bare.index("· knowledge")] in done.stdout
    assert done.stdout.index("· knowledge") < done.stdout.index(heading)
    assert f"\n{heading}\n" in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines())


def test_several_at_once_and_as_json():
    """Options may be repeated and joined; a program gets the same under explanations."""
    done = run(
        *CASE,
        *("--why-not", "acid-swamped", "--why-not", "bed-disturbed"),
        *("--what-if", "acid_drop=nothing", "--what-if", "milk_volume=300 ml"),
        "--json",
    )
    data = json.loads(done.stdout)["explanations"]
    assert [each["cause"] for each in data["why_not"]] == ["acid-swamped", "bed-disturbed"]
    assert [a["finding"] for a in data["what_if"]["answers"]] == ["milk_volume", "acid_drop"]
    assert set(data) == {"why_not", "what_if"}
    assert "explanations" not in json.loads(run(*CASE, "--json").stdout)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--why-not", "acid-swampd"), "did you mean acid-swamped"),
        (("--why-not", "milk"), "causes [unknown-cause]"),
        (("--rather", "acid-swamped", "nobody"), "there is no cause 'nobody'"),
        (("--what-if", "acid_drop"), "NAME=VALUE"),
        (("--what-if", "acid_drp=flakes"), "did you mean acid_drop"),
        (("--what-if", "acid_drop=a", "--what-if", "acid_drop=b"), "supposed twice"),
        (("--what-if", "milk_volume=-3 ml"), "milk_volume"),
        (("--what-if", "fat_kind=ghee"), "fat_kind is ghee, but operation is strip"),
    ],
)
def test_a_bad_name_is_refused_before_anything_is_printed(options, said):
    """What does not exist is named with what may be meant, and there is no half result."""
    done = run(*CASE, *options)
    assert done.returncode == Exit.INPUT, done.stderr
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_nothing_of_it_is_loaded_before_the_first_question():
    """Whoever asks for no explanation does not wait for one to be loaded."""
    code = (
        "import sys, advisor.cli.app, advisor.cli.diagnose, advisor.cli.conversation\n"
        "from advisor.knowledge.load import load\n"
        "from advisor.consult import Consultation\n"
        "Consultation(load()).next_question\n"
        "late = ('advisor.reasoning.contrast', 'advisor.report', 'advisor.cli.afterwards',"
        " 'advisor.consult.whatif')\n"
        "print(sorted(m for m in sys.modules if m.startswith(late)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.stdout.strip() == "[]", done.stderr


# After the result.


class Scripted:
    """Somebody who picks by (part of) the label and types what is written down."""

    def __init__(self, *replies: str) -> None:
        self.replies = list(replies)
        self.asked: list[str] = []

    def pick(self, ask: str, options: Sequence[tuple[str, str]]) -> str:
        self.asked.append(ask)
        reply = self._next()
        return next(value for value, label in options if reply.lower() in label.lower())

    def text(self, ask: str) -> str:
        self.asked.append(ask)
        return self._next()

    def _next(self) -> str:
        if not self.replies:
            raise KeyboardInterrupt
        return self.replies.pop(0)


@pytest.fixture
def talk(monkeypatch, capsys, tmp_path):
    """Carry on after the result with scripted replies; gives both streams."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def carry_on(consultation: Consultation, *replies: str) -> tuple[str, str]:
        asker = Scripted(*replies)
        monkeypatch.setattr("advisor.cli.conversation._asker", lambda _: asker)
        afterwards(consultation, None, "metric")
        assert asker.replies == []
        captured = capsys.readouterr()
        return captured.out, captured.err

    return carry_on


def test_the_menu_offers_every_explanation():
    """The menu ends, retries, explains, asks on and saves; nothing is offered that is not there."""
    values = [value for value, _ in choices(consulted("01"))]
    assert values[:2] == ["end", "failed"]
    assert {"how", "why-not", "changes", "what-if", "practice", "save"} <= set(values)
    nothing_to_try = [value for value, _ in choices(Consultation(load()))]
    assert "more" in nothing_to_try


def test_how_prints_the_derivation_alone(talk):
    """How is answered without printing the whole result again."""
    out, _ = talk(consulted("01"), "How did you", "That is all")
    assert out.lstrip().startswith("HOW IT FOLLOWS")
    assert "SAVE THIS BATCH" not in out


def test_why_not_from_the_menu(talk):
    """A cause is picked from those that stand next; it is set beside the first one as well."""
    made = consulted("01")
    others = [c for c in made.inference.ranked[1:] if c in made.base.causes]
    first, second = (made.base.causes[c].title for c in (made.advice.verdict.cause, others[0]))
    out, _ = talk(made, "Why not", second, "That is all")
    text = " ".join(out.split())
    assert f"WHY NOT {short(second)}. It stands {ordinal(made.why_not(others[0]).place)}" in text
    assert f"{short(first)}, rather than {lower_first(short(second))}." in text


def test_why_not_by_a_word_from_the_menu(talk):
    """A cause that is not in the short list is found by a word of it."""
    out, _ = talk(
        consulted("01"), "Why not", "something else", "squeezed", "The curd bed", "That is all"
    )
    assert "The curd bed was squeezed" in out
    nothing, err = talk(consulted("01"), "Why not", "something else", "unicorn", "That is all")
    assert nothing == ""
    assert "No cause here speaks of 'unicorn'" in err


def test_what_if_from_the_menu(talk):
    """An answer is picked and given another value; a bad amount is told and asked again."""
    out, _ = talk(consulted("01"), "What if", "acid-drop test", "nothing", "That is all")
    assert "Acid-drop test: nothing (now: new flakes, or it thickens)" in out
    out, err = talk(
        consulted("01"), "What if", "volume of milk", "3 elephants", "300 ml", "That is all"
    )
    assert "Volume of milk: 300 ml (now: 200 ml)" in out
    assert "milk_volume" in err


def test_back_from_every_list(talk):
    """Back prints nothing and returns to the menu, and Enter does so where something is typed."""
    out, _ = talk(
        consulted("01"),
        *("Why not", "Back", "What if", "Back", "What if", "acid-drop test", "Back"),
        *("What if", "volume of milk", "", "That is all"),
    )
    assert out == ""


def test_a_change_that_cannot_be_is_said_and_the_menu_stays(talk):
    """What other answers rule out ends in a sentence, not in the end of the conversation."""
    out, err = talk(
        consulted("01"),
        *("What if", "something else", "kind of fat", "kind of fat", "ghee", "That is all"),
    )
    assert out == ""
    assert "fat_kind is ghee, but operation is strip" in err


def test_changes_and_practice_from_the_menu(talk):
    """Both are printed for the picking."""
    out, _ = talk(consulted("01"), "What would change", "common practice", "That is all")
    assert out.index("WHAT WOULD CHANGE THIS") < out.index("WITHOUT COMMON PRACTICE")


def test_interrupting_after_a_failed_try_keeps_it(talk, tmp_path):
    """Ctrl-C at the menu ends quietly; what is new since the result is saved, and where is said."""
    _, err = talk(consulted("01"), "did not help")
    (kept,) = (tmp_path / "state" / "curdwise").glob("*.yaml")
    assert "tried" in kept.read_text()
    assert "--resume" in err


def test_interrupting_with_nothing_new_keeps_nothing(talk, tmp_path):
    """Ctrl-C where nothing was said since the result leaves no file behind."""
    talk(consulted("01"), "What would change")
    assert not (tmp_path / "state").exists()


def test_the_menu_in_numbered_lines(tmp_path):
    """The accessible mode offers the same by number, in lines that are never redrawn."""
    done = run(
        *("diagnose", "--resume", "scenarios_demo/01-still-cloudy.yaml", "--questions", "0"),
        # The first line leaves out whatever of the recipe the case does not say.
        stdin="skip-rest\nskip all\nWhy not something else?\n1\nWhat if ...?\nback\n1\n",
        ACCESSIBLE="1",
        XDG_STATE_HOME=str(tmp_path),
    )
    assert done.returncode == Exit.OK, done.stderr
    assert "You picked: Why not something else?" in done.stderr
    assert "\nWHY NOT\n" in done.stdout
    assert "\x1b[" not in done.stdout + done.stderr


def test_a_stop_is_said_before_the_questions_that_follow_it(monkeypatch, capsys):
    """A guest with an allergy is told of at once, though the drink may even have to go."""

    class Leaves:
        """Somebody who answers nothing and leaves."""

        def ask(self, question: Question, *, can_go_back: bool) -> Reply:
            return Reply("stop")

    made = Consultation(load()).tell_symptoms(["diet_allergen", "safety_doubt"])
    made = made.tell("operation", "strip").tell("drink_strength", 7).tell("milk_kind", "whole")
    made = made.tell("guest_question", "milk-allergy").skip_opening()
    monkeypatch.setattr("advisor.cli.conversation._asker", lambda _: Leaves())
    assert made.advice.verdict.kind == "stop"
    converse(made, None)
    said = " ".join(capsys.readouterr().err.split())
    assert said.startswith(f"{made.advice.verdict.text} It may even have to be thrown away")
    converse(made.tell("safety_doubt", "no"), None)
    assert "thrown away" not in capsys.readouterr().err
