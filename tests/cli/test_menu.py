"""A list to pick from, key by key, and what is seen of it on terminals of different sizes."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from advisor.cli.menu import Entry, Menu, fitting
from advisor.cli.prompts import Keys, Numbered
from advisor.consult import Option, Question
from advisor.consult.question import symptom_question
from advisor.knowledge.load import load

if TYPE_CHECKING:
    from collections.abc import Iterator

    from prompt_toolkit.input import PipeInput

DOWN, UP, ENTER, SPACE, BACK, STOP = "\x1b[B", "\x1b[A", "\r", " ", "\x7f", "\x03"

FATS = (
    Entry("bacon", "bacon or smoked pork fat"),
    Entry("coconut", "coconut oil"),
    Entry("cocoa", "cocoa butter"),
    Entry("/unknown", "I don't know", aside=True),
)
SEEN = (
    Entry("cloud", "still cloudy after straining", "it never ran clear"),
    Entry("chill", "clear on the bench, cloudy when cold"),
    Entry("set", "the fat won't set", "it stays soft"),
    Entry("soap", "smells off (rancid, soapy)", "do not taste it"),
    Entry("guest", "a guest fell ill"),
)


def after(menu: Menu, *keys: str) -> Menu:
    """The menu after these keys, words typed letter by letter."""
    steps = {DOWN: lambda: menu.move(1), UP: lambda: menu.move(-1), ENTER: menu.enter,
             BACK: menu.rub_out}  # fmt: skip
    for key in keys:
        if key in steps:
            steps[key]()
        else:
            for letter in key:
                menu.type(letter)
    return menu


def fats() -> Menu:
    return Menu("Which fat was it?", FATS)


def seen() -> Menu:
    return Menu("What is wrong?", SEEN, several=True, least=1)


@pytest.mark.parametrize(
    ("letters", "found"),
    [
        ("cloudy", ["cloud", "chill"]),
        ("CLOUDY cold", ["chill"]),
        ("cold cloudy", ["chill"]),
        ("wont set", ["set"]),
        ("won't set", ["set"]),
        ("won’t set", ["set"]),
        ("tastes of soap", ["soap"]),
        ("guest ill", ["guest"]),
        ("ill", ["guest"]),  # not still, not chill
        ("never clear", ["cloud"]),  # no label says so, but what is said of it does
        ("clear", ["chill"]),  # a label that fits goes before what is said of others
        ("cloudy soap", []),
        ("?", []),
        ("", ["cloud", "chill", "set", "soap", "guest"]),
    ],
)
def test_letters_find_whole_beginnings_of_words(letters: str, found: list[str]) -> None:
    """Every word must begin a word, in any order; apostrophes and little words are nothing."""
    assert [e.value for e in fitting(SEEN, letters)] == found


def test_letters_find_in_a_list_of_which_one_is_taken() -> None:
    """Enter takes what the letters leave, never the first of the whole list."""
    assert after(fats(), "coco", ENTER).answer == ["coconut"]
    assert after(fats(), "coco", DOWN, ENTER).answer == ["cocoa"]
    assert after(fats(), "butter", ENTER).answer == ["cocoa"]
    assert after(fats(), "dont know", ENTER).answer == ["/unknown"]
    assert after(fats(), DOWN, DOWN, ENTER).answer == ["cocoa"]


def test_enter_takes_nothing_that_the_letters_do_not_match() -> None:
    """Letters that fit nothing are said so, and the question stays."""
    menu = after(fats(), "xyz", ENTER)
    assert not menu.done
    assert menu.answer == []
    assert "Nothing fits 'xyz'" in menu.note
    assert after(menu, BACK, BACK, BACK, "coconut", ENTER).answer == ["coconut"]


def test_letters_that_leave_one_are_enough_where_several_may_be_picked() -> None:
    """Enter takes the only one; of several it says how to choose."""
    assert after(seen(), "wont set", ENTER).answer == ["set"]
    menu = after(seen(), "cloudy", ENTER)
    assert not menu.done
    assert "2 fit" in menu.note
    assert "Space" in menu.note
    assert after(menu, SPACE, ENTER).answer == ["cloud"]
    assert after(seen(), "cloudy", DOWN, SPACE, "guest", ENTER).answer == ["chill", "guest"]


def test_space_goes_on_with_the_words_and_then_picks() -> None:
    """After letters it parts words; after an arrow, or twice, it picks and takes back."""
    assert after(seen(), "cloudy", SPACE, "cold").letters == "cloudy cold"
    assert after(seen(), "cloudy", SPACE, SPACE, ENTER).answer == ["cloud"]
    assert after(seen(), SPACE, DOWN, SPACE, UP, SPACE, ENTER).answer == ["chill"]
    nothing = after(seen(), ENTER)
    assert not nothing.done
    assert "Pick at least one" in nothing.note


def test_where_none_may_be_picked_enter_goes_on() -> None:
    """A list of goals or cautions may be left as it is."""
    menu = after(Menu("What else is in it?", SEEN, several=True), ENTER)
    assert menu.done
    assert menu.answer == []


def shipped() -> Menu:
    question = symptom_question(load())
    rows = [Entry(o.value, o.label, o.help) for o in question.options]
    return Menu(question.ask, rows, several=True, least=1)


@pytest.mark.parametrize(("width", "height"), [(80, 24), (40, 24), (40, 12), (90, 30), (200, 70)])
def test_the_first_list_can_be_read_on_any_terminal(width: int, height: int) -> None:
    """No line is wider than the terminal or cut, words stay whole, and what is more is counted."""
    menu = shipped()
    labels = " ".join(e.label for e in menu.entries)
    whole = set(f"{menu.ask} {labels} {' '.join(s for _, s in menu.lines(999, 999))}".split())
    for _ in menu.entries:
        lines = [line for _, line in menu.lines(width, height)]
        assert max(map(len, lines)) < width
        assert len(lines) < height
        pointed = [i for i, line in enumerate(lines) if line.startswith(" » ")]
        assert len(pointed) == 1
        said = " ".join(lines[pointed[0] :]).split()
        assert " ".join(said).startswith(f"» ○ {menu.entries[menu.at].label}")
        more = " ".join(line for line in lines if "more" in line).split()
        counted = [int(word) for word in more if word.isdecimal()]
        listed = sum("○" in line for line in lines)
        assert listed + sum(counted) == len(menu.entries)
        assert {w for line in lines for w in line.split() if not w.isdecimal()} <= whole | {
            "↑", "↓", "more", "above", "below"
        }  # fmt: skip
        menu.move(1)


def test_the_answer_stays_in_words_when_it_is_given() -> None:
    """What was picked can be read above the next question."""
    menu = after(seen(), "soap", ENTER)
    assert [line for _, line in menu.lines(80, 24)] == [
        "  What is wrong? [smells off (rancid, soapy)]"
    ]
    one = after(fats(), "coconut", ENTER)
    assert [line for _, line in one.lines(80, 24)] == ["  Which fat was it? coconut oil"]


# On a terminal.


@pytest.fixture
def keys() -> Iterator[PipeInput]:
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=DummyOutput()):
        yield pipe


def asker(wrong: str = "") -> Keys:
    made = Keys(lambda _, text: wrong if text == "much" else "")
    made._output = DummyOutput()
    return made


CHOICE = Question(
    "fat_kind",
    "choice",
    "Which fat was it?",
    (Option("bacon-fat", "bacon fat"), Option("coconut-oil", "coconut oil")),
)
AMOUNT = Question("milk_volume", "quantity", "How much milk?", unit="mL")


def test_letters_find_on_a_terminal(keys: PipeInput) -> None:
    """The keys of a real terminal reach the list."""
    keys.send_text(f"coco{ENTER}")
    assert asker().ask(CHOICE, can_go_back=True).value == "coconut-oil"
    keys.send_text(f"why{ENTER}")
    assert asker().ask(CHOICE, can_go_back=True).kind == "why"
    for typed in ("?", "unknown"):
        keys.send_text(f"{typed}{ENTER}")
        assert asker().ask(CHOICE, can_go_back=True).kind == "unknown"
    keys.send_text(f"later{ENTER}")
    assert asker().ask(CHOICE, can_go_back=True).kind == "not-now"
    keys.send_text(f"{DOWN}{ENTER}")
    assert asker().ask(CHOICE, can_go_back=True).value == "coconut-oil"


def test_a_list_can_be_left_with_ctrl_c(keys: PipeInput) -> None:
    """It ends the command, which then keeps what was said."""
    keys.send_text(STOP)
    with pytest.raises(KeyboardInterrupt):
        asker().ask(CHOICE, can_go_back=True)


def test_symptoms_on_a_terminal(keys: PipeInput) -> None:
    """Pasted words find as typed ones do, and other keys write nothing."""
    keys.send_text(f"\x1b[C\x1b[15~\x1b[200~never ran clear\x1b[201~{ENTER}")
    reply = asker().ask(symptom_question(load()), can_go_back=False)
    assert (reply.kind, reply.value) == ("answer", ["cloud_at_filter"])


def test_what_is_wrong_with_an_amount_is_said_whole(
    keys: PipeInput, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is wrapped at words, and the question is put again."""
    monkeypatch.setenv("COLUMNS", "40")
    wrong = "Write only the amount, for example 750 ml or 25 oz, and nothing else beside it"
    keys.send_text(f"much{ENTER}200{ENTER}")
    assert asker(wrong).ask(AMOUNT, can_go_back=True).value == "200"
    said = capsys.readouterr().err
    assert wrong in " ".join(said.split())
    assert max(map(len, said.splitlines())) < 40


def test_a_long_question_is_wrapped_above_the_line_to_type_in(
    keys: PipeInput, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No word of it is broken at the edge of a narrow terminal."""
    monkeypatch.setenv("COLUMNS", "40")
    keys.send_text(f"batch.yaml{ENTER}")
    ask = "File to save it in (for example batch.yaml, beside the others):"
    assert asker().text(ask) == "batch.yaml"
    above = capsys.readouterr().err
    assert ask.startswith(above.strip())
    assert above.endswith("\n")


@pytest.mark.parametrize("opening", [True, False])
def test_enter_leaves_an_amount_open(
    keys: PipeInput, capsys: pytest.CaptureFixture[str], opening: bool
) -> None:
    """Whatever the question, Enter does what the hint says, with keys and line by line."""
    question = Question("milk_volume", "quantity", "How much?", unit="mL", opening=opening)
    keys.send_text(ENTER)
    assert asker().ask(question, can_go_back=True).kind == "unknown"
    said = capsys.readouterr().err
    assert "Enter" in said
    assert "why" in said
    assert "back" in said
    keys.send_text(ENTER)
    asker().ask(question, can_go_back=False)
    assert "back" not in capsys.readouterr().err


def test_enter_leaves_an_amount_open_line_by_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """The accessible mode means the same by Enter."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    assert Numbered(lambda *_: "").ask(AMOUNT, can_go_back=True).kind == "unknown"


def by_number(monkeypatch: pytest.MonkeyPatch, *lines: str) -> Numbered:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    return Numbered(lambda *_: "")


def test_words_find_line_by_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without keys, too, words of a single entry are enough, and several are told with numbers."""
    assert by_number(monkeypatch, "coco").ask(CHOICE, can_go_back=True).value == "coconut-oil"
    assert by_number(monkeypatch, "dont know").ask(CHOICE, can_go_back=True).kind == "unknown"
    capsys.readouterr()
    asked = by_number(monkeypatch, "fat oil", "o", "2").ask(CHOICE, can_go_back=True)
    assert asked.value == "coconut-oil"
    assert "2. coconut oil" in capsys.readouterr().err
    everything = symptom_question(load())
    one = by_number(monkeypatch, "never ran clear").ask(everything, can_go_back=False)
    assert one.value == ["cloud_at_filter"]
    capsys.readouterr()
    two = by_number(monkeypatch, "cloudy", "1, 2").ask(everything, can_go_back=False)
    assert two.value == ["cloud_at_filter", "cloud_on_chill"]
    assert capsys.readouterr().err.count("1. still cloudy after straining") == 2
