"""Known cases: what is told, what is asked, and what counts as right."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from advisor.errors import AdvisorError
from advisor.evaluation.cases import case_files, from_case, from_simulated
from advisor.evaluation.outcome import consult, outcome
from tests.evaluation.known import Batch

if TYPE_CHECKING:
    from pathlib import Path

_CASE = """\
answers:
  symptoms: [cloudy]
  operation: strip
  temperature: 20 degC
  milk_kind: whole
  curd: weak
  drop_test: flakes
expect: {cause: too-mild, verdict: cause}
"""


def written(folder: Path, text: str, name: str = "case.yaml") -> Path:
    """A case file."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("telling", "told"),
    [
        ("recipe", {"operation"}),
        ("facts", {"operation", "temperature", "milk_kind"}),
        ("everything", {"operation", "temperature", "milk_kind", "curd", "drop_test"}),
    ],
)
def test_a_file_tells_as_much_as_it_is_let(small, tmp_path, telling, told):
    """The recipe only, also facts of batch and process, or everything; the rest when asked."""
    known = from_case(small, written(tmp_path, _CASE), telling)
    assert known is not None
    assert set(known.told) == told
    assert set(known.told) | set(known.answers) == {
        "operation", "temperature", "milk_kind", "curd", "drop_test",
    }  # fmt: skip
    assert known.symptoms == ("cloudy",)


def test_a_file_says_what_is_right(small, tmp_path):
    """A cause brings its stage along; several causes are all right; a verdict stands alone."""
    one = from_case(small, written(tmp_path, _CASE))
    assert one is not None
    assert (one.expected.causes, one.expected.stages) == ({"too-mild"}, {"acid"})
    assert one.expected.faults == ("too-mild",)
    text = _CASE.replace("{cause: too-mild, verdict: cause}", "{among: [too-mild, too-warm]}")
    two = from_case(small, written(tmp_path, text))
    assert two is not None
    assert two.expected.stages == {"acid", "temperature"}
    assert two.expected.faults == ()
    text = _CASE.replace("{cause: too-mild, verdict: cause}", "{verdict: stop}")
    three = from_case(small, written(tmp_path, text))
    assert three is not None
    assert three.expected.by_verdict
    assert three.expected.true == "stop"


def test_a_file_that_expects_nothing_is_left_out(small, tmp_path):
    """Without a word on what is expected there is nothing to score."""
    text = _CASE[: _CASE.index("expect")]
    assert from_case(small, written(tmp_path, text)) is None


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (("too-mild, verdict", "too-mlid, verdict"), "unknown-cause"),
        (("curd: weak", "curd: wobbly"), "unknown-word"),
    ],
)
def test_a_file_that_is_not_right_is_refused(small, tmp_path, change, code):
    """A misspelt cause or answer is an error with its file, not a miss."""
    path = written(tmp_path, _CASE.replace(*change))
    with pytest.raises(AdvisorError) as caught:
        from_case(small, path)
    assert caught.value.code == code
    assert str(path) in str(caught.value)


def test_folders_give_their_files_once_and_in_order(tmp_path):
    """Files come in order of name, subfolders are left, a file given twice counts once."""
    written(tmp_path, _CASE, "b.yaml")
    first = written(tmp_path, _CASE, "a.yml")
    (tmp_path / "more").mkdir()
    written(tmp_path / "more", _CASE, "c.yaml")
    written(tmp_path, "", "notes.txt")
    found = case_files([first, tmp_path])
    assert [p.name for p in found] == ["a.yml", "b.yaml"]
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(AdvisorError, match="no case file"):
        case_files([empty])


def test_a_simulated_batch_becomes_a_case(small):
    """What it tells is told, what it knows is asked, and every accepted cause is right."""
    known = from_simulated(small, Batch(accept=("too-mild", "too-warm")))
    assert known.name == "seed 7"
    assert known.seed == 7
    assert known.expected.true == "too-mild"
    assert known.expected.causes == {"too-mild", "too-warm"}
    assert known.expected.stages == {"acid"}
    two = from_simulated(small, Batch(faults=("too-mild", "too-short"), accept=("too-mild",)))
    assert two.expected.causes == {"too-mild", "too-short"}
    assert two.expected.stages == {"acid", "contact"}
    bad = from_simulated(small, Batch(faults=("gone-off",), verdict="discard", stage="storage"))
    assert bad.expected.by_verdict
    assert bad.expected.stages == frozenset()
    assert bad.expected.true == "discard (gone-off)"


def test_only_what_is_asked_is_answered(small):
    """A case answers the questions put to it, says that it does not know the rest, and no more."""
    known = from_simulated(small, Batch(answers={"curd": "weak", "drop_test": "flakes"}))
    consultation, _ = consult(small, known, limit=1)
    assert len(consultation.asked) == 1
    given = {k for k, a in consultation.answers.items() if a.given and a.basis != "assumed"}
    assert given == {"cloudy", "operation", *consultation.asked} & {
        "cloudy", "operation", "curd", "drop_test",
    }  # fmt: skip
    ignorant, _ = consult(small, from_simulated(small, Batch(answers={})))
    assert ignorant.asked
    assert all(not ignorant.answers[name].given for name in ignorant.asked)


def test_an_answer_that_the_base_does_not_know_is_reported(small):
    """It counts as don't know, asked or told, and is named in the outcome."""
    known = from_simulated(
        small,
        Batch(
            answers={"curd": "wobbly", "drop_test": "flakes"},
            told={"operation": "strip", "moon": "full"},
        ),
    )
    came = outcome(small, known)
    assert any("curd has no answer 'wobbly'" in text for text in came.unread)
    assert any("moon" in text for text in came.unread)
    assert len(came.unread) == 2
    assert came.named == "too-mild"
