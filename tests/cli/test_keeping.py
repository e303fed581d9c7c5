"""A conversation that breaks off: what was said is kept or shown, and told again on resuming."""

from __future__ import annotations

import errno
import io
from typing import TYPE_CHECKING

import pytest

from advisor.cli import Exit, keeping, main
from advisor.cli.keeping import keep
from advisor.consult import Consultation, read_case
from advisor.knowledge.load import load

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.fixture
def talk(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Callable[..., str]:
    """Run a command line by line until the lines end; what was said on standard error."""
    monkeypatch.setenv("ACCESSIBLE", "1")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    def run(*arguments: str, lines: str = "", code: int = Exit.INTERRUPTED) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        assert main(list(arguments)) == code
        return capsys.readouterr().err

    return run


def test_a_session_is_kept_and_gone_on_with(talk: Callable[..., str], tmp_path: Path) -> None:
    """The line that is printed works, whatever symptom and operation were told."""
    said = talk("diagnose", lines="still cloudy straining\nfat-washed\n")
    (line,) = [li for li in said.splitlines() if li.startswith("curdwise diagnose --resume ")]
    again = talk(*line.split()[1:])
    assert "contradiction" not in again
    assert "Which fat was it?" in again


def test_what_was_said_is_told_again_on_resuming(talk: Callable[..., str], tmp_path: Path) -> None:
    """A short list comes before the next question: seen, told, not known, tried in vain."""
    told = Consultation(load()).tell_symptoms(["cloud_at_filter"]).tell("operation", "strip")
    told = told.tell("milk_volume", "200 ml").dont_know("drink_volume")
    told.failed("refreeze-and-cold-paper").save(tmp_path / "half.yaml")
    said = talk("diagnose", "--resume", str(tmp_path / "half.yaml"))
    recap = said[said.index("So far you said:") : said.index("?")]
    for part in (
        "what is wrong: still cloudy after straining\n",
        "volume of milk: 200 ml\n",
        "milk-washed it",
        "not known: volume of the drink",
        "tried without help: Freeze it again",
    ):
        assert part in recap
    assert recap.count("\n") < 12
    assert "too sour" not in recap  # what is only assumed was not said


@pytest.mark.parametrize("command", ["diagnose", "choose"])
def test_answers_are_shown_where_they_cannot_be_saved(
    talk: Callable[..., str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, command: str
) -> None:
    """The lines can be copied into a file, and the reason is in words."""
    (tmp_path / "blocked").write_text("not a folder")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "blocked"))
    said = talk(command, lines="1\n")
    assert "is not a folder" in said
    assert "Errno" not in said
    start = said.index("# A curdwise")
    kept = tmp_path / "kept.yaml"
    kept.write_text(said[start : said.index("Then go on with:")])
    assert f"curdwise {command} --resume batch.yaml" in said
    assert "cannot be" not in talk(command, "--resume", str(kept))
    if command == "diagnose":
        assert read_case(kept).symptoms == ("cloud_at_filter",)


def test_a_wrong_folder_for_save_costs_no_answers(
    talk: Callable[..., str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """After a conversation the advice is printed and the answers are shown."""
    (tmp_path / "blocked").write_text("not a folder")
    path = tmp_path / "blocked" / "batch.yaml"
    said = talk("diagnose", "--save", str(path), lines="1\n7\n", code=Exit.OK)
    assert "cloud_at_filter" in said
    assert "is not a folder" in said


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (errno.EACCES, "you may not write in"),
        (errno.EROFS, "you may not write in"),
        (errno.ENOENT, "there is no folder"),
        (errno.ENOTDIR, "is not a folder"),
        (errno.ENOSPC, "the disk is full"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_why_it_could_not_be_saved_is_in_words(
    number: int, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Nobody has to know the numbers of a system."""

    def fails(*_: object) -> None:
        raise OSError(number, "Input/output error")

    monkeypatch.setattr(keeping, "replace_file", fails)
    assert not keep("answers: {}\n", tmp_path / "x.yaml", "curdwise diagnose --resume")
    err = capsys.readouterr().err
    assert said in " ".join(err.split())
    assert "answers: {}" in err
    assert f"[Errno {number}]" not in err
