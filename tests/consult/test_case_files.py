"""Case files: what is read, what is refused with its place, and saving in one step."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.consult import Case, Consultation, case_schema, read_case
from advisor.consult.case import write_case
from advisor.errors import AdvisorError, ProblemsFound
from tests.smallbase import small_base

if TYPE_CHECKING:
    from pathlib import Path

    from advisor.knowledge.model import Base

WHOLE = """\
title: A batch that never was
story: It came out cloudy.
invented: true
source: nowhere
answers:
  symptoms: [cloudy]
  operation: strip
  curd: weak
  drink volume: 600 ml
  milk-volume: 1/4 L
  milk_kind: whole
  temperature: 20
tried: [add-acid]
expect:
  cause: too-mild
  among: [too-mild, too-warm]
  figures: {mix_volume: [800, 900]}
"""


def case(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "case.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def refusal(base: Base, path: Path) -> AdvisorError:
    with pytest.raises(AdvisorError) as caught:
        Consultation.from_case(base, path)
    return caught.value


def test_the_schema_is_a_schema() -> None:
    """The schema of case files meets the meta-schema of its draft."""
    jsonschema.Draft202012Validator.check_schema(case_schema())


def test_a_whole_case(small: Base, tmp_path: Path) -> None:
    """A case is read with its story, its answers as people write them, and what was tried."""
    made = Consultation.from_case(small, case(tmp_path, WHOLE))
    assert made.answers["milk_volume"].value == 250.0
    assert made.answers["cloudy"].value == "yes"
    assert made.answers["bitter"].basis == "assumed"
    assert made.tried == ("add-acid",)
    assert (made.invented, made.title, made.source) == (True, "A batch that never was", "nowhere")
    assert made.undo() is made


def test_nothing_of_a_case_is_lost_on_the_way(small: Base, tmp_path: Path) -> None:
    """Reading, saving and reading again keeps every part of a case."""
    first = Consultation.from_case(small, case(tmp_path, WHOLE))
    first.save(tmp_path / "saved.yaml")
    again = Consultation.from_case(small, tmp_path / "saved.yaml")
    assert again.to_case() == first.to_case()
    assert again.expect == first.expect == read_case(tmp_path / "case.yaml").expect
    assert again.source == "nowhere"


@pytest.mark.parametrize(
    ("text", "code", "line", "said"),
    [
        ("answers: {cloudi: yes}\n", "unknown-finding", 1, "did you mean cloudy"),
        ("answers:\n  mix_volume: 5\n", "unknown-finding", 2, "worked out, not answered"),
        ("answers:\n  verdict: stop\n", "not-asked", 2, "concluded by rules"),
        ("answers:\n  curd: weka\n", "unknown-word", 2, "did you mean weak"),
        ("answers:\n  curd: 5\n", "unknown-word", 2, "firm, weak, none"),
        ("answers:\n  cloudy: maybe\n", "unknown-word", 2, "yes, no, unknown, not-now"),
        ("answers:\n  temperature: 101\n", "out-of-range", 2, "100"),
        ("answers:\n  temperature: -40 F\n", "out-of-range", 2, "-40 F"),
        ("answers:\n  drink_volume: 0\n", "out-of-range", 2, "cannot be 0"),
        ("answers:\n  drink_volume: 600 g\n", "quantity", 2, "drink_volume"),
        ("answers:\n  drink_volume: lots\n", "quantity", 2, "drink_volume"),
        ("answers:\n  drink_volume: -5 ml\n", "quantity", 2, "drink_volume"),
        ("answers:\n  drink_volume: 1e999\n", "quantity", 2, "drink_volume"),
        ("answers:\n  drink_volume: true\n", "quantity", 2, "drink_volume"),
        ('answers:\n  curd: "  "\n', "answer-form", 2, "empty"),
        ("answers: {symptoms: [cloudi]}\n", "unknown-symptom", 1, "did you mean cloudy"),
        ("answers: {}\ntried: [add-acd]\n", "unknown-remedy", 2, "did you mean add-acid"),
        ("answers:\n  curd: weak\n  operation: fat-wash\n", "contradiction", 2, "fat-wash"),
        ("answers:\n  milk_volume: 5\n  milk-volume: 6\n", "contradiction", 3, "answered twice"),
        ("answers:\n  symptoms: [cloudy]\n  cloudy: no\n", "contradiction", 3, "answered twice"),
        ("answers:\n  curd: [weak]\n", "shape-kind", 2, ""),
        ("answers:\n  curd:\n", "shape-kind", 2, ""),
        ("answers: [curd]\n", "shape-kind", 1, "a mapping"),
        ("answer: {}\n", "shape-unknown-key", 1, "did you mean answers"),
        ("title: x\n", "shape-missing-key", 1, "answers is missing"),
        ("answers: {}\nexpect: {stage: acids}\n", "shape-word", 2, "did you mean acid"),
        ("answers:\n  curd: weak\n  curd: firm\n", "yaml-duplicate-key", 3, "stands twice"),
        ("answers:\n  curd: we", "unknown-word", 2, "curd"),
        ("answers:\n  drink_volume: {", "yaml-syntax", 3, ""),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "yaml-not-text", 1, "UTF-8"),
        (b"\x00\x01\x02", "yaml-not-text", 1, "control character"),
    ],
)
def test_each_fault_of_a_case_is_told_with_its_line(
    small: Base, tmp_path: Path, text: str | bytes, code: str, line: int, said: str
) -> None:
    """A fault is told with code, line and advice, whatever it is."""
    error = refusal(small, case(tmp_path, text))
    assert isinstance(error, ProblemsFound)
    found = [p for p in error.problems if p.code == code]
    assert found, str(error)
    assert found[0].where.line == line
    assert said in str(found[0])


def test_every_fault_of_a_case_comes_at_once(small: Base, tmp_path: Path) -> None:
    """Faults in several answers are told together."""
    text = "answers:\n  curd: weka\n  cloudi: yes\n  temperature: 101\ntried: [nothing]\n"
    error = refusal(small, case(tmp_path, text))
    assert isinstance(error, ProblemsFound)
    assert [p.where.line for p in error.problems] == [2, 3, 4, 5]


def test_files_that_are_none(small: Base, tmp_path: Path) -> None:
    """A missing, empty, huge or impossible file and a folder are each told as what they are."""
    assert refusal(small, tmp_path / "none.yaml").code == "case-unreadable"
    assert refusal(small, tmp_path).code == "case-unreadable"
    assert refusal(small, tmp_path / "a\0b").code == "case-unreadable"
    assert refusal(small, case(tmp_path, "")).code == "case-empty"
    assert refusal(small, case(tmp_path, "# only a note\n")).code == "case-empty"
    assert refusal(small, case(tmp_path, b"#" * 2_000_001)).code == "case-too-large"


def test_traps_of_yaml_stay_answers(small: Base, tmp_path: Path) -> None:
    """Words that other readers turn into truth values are answers, and so are real truth values."""
    made = Consultation.from_case(small, case(tmp_path, "answers: {cloudy: yes, bitter: false}\n"))
    assert (made.answers["cloudy"].value, made.answers["bitter"].value) == ("yes", "no")


# Saving.


def test_a_save_that_fails_leaves_the_old_file(
    small: Base, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When writing breaks off the old file is whole and nothing half-written is left behind."""
    path = tmp_path / "case.yaml"
    Consultation(small).tell("curd", "weak").save(path)
    before = path.read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(AdvisorError, match="No space left") as caught:
        Consultation(small).tell("curd", "firm").save(path)
    assert caught.value.code == "case-unwritable"
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["case.yaml"]


@pytest.mark.parametrize("name", ["no/such/folder.yaml", ".", "a\0b"])
def test_places_where_nothing_can_be_saved(small: Base, tmp_path: Path, name: str) -> None:
    """A place that cannot be written to is told, and nothing is left behind."""
    with pytest.raises(AdvisorError) as caught:
        Consultation(small).save(tmp_path / name)
    assert caught.value.code == "case-unwritable"
    assert list(tmp_path.iterdir()) == []


_text = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Cn", "Co", "Zl", "Zp"]), min_size=1, max_size=20
) | st.sampled_from(
    ["1e3", "0o17", "0x1F", "1:15", "on", "null", "~", "- a", "a: b", "#", "'", "5"]
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(_text, _text, st.dictionaries(st.sampled_from(["curd", "milk_kind"]), _text, max_size=2))
def test_any_text_survives_saving(
    tmp_path: Path, title: str, story: str, answers: dict[str, Any]
) -> None:
    """Whatever stands in a case is read back as the same text, however it looks to YAML."""
    written = Case(name="x", answers=answers, title=title, story=story, tried=("a",))
    write_case(tmp_path / "c.yaml", written)
    read = read_case(tmp_path / "c.yaml")
    assert (read.title, read.story, read.answers) == (title, story, answers)


# Consulting.


def test_resuming_goes_on_where_it_stopped(small: Base, tmp_path: Path) -> None:
    """After saving and reading again the same question comes next."""
    made = Consultation(small).tell_symptoms(["cloudy"]).tell("operation", "strip")
    made = made.answered("curd", "weak").dont_know("drop_test")
    made.save(tmp_path / "half.yaml")
    again = Consultation.from_case(small, tmp_path / "half.yaml")
    assert again.next_question == made.next_question
    assert dict(again.answers) == dict(made.answers)


def test_a_consultation_is_a_value(small: Base) -> None:
    """Telling gives a new consultation and leaves the old one as it was."""
    first = Consultation(small)
    second = first.tell("curd", "weak")
    assert (dict(first.answers), list(second.answers)) == ({}, ["curd"])
    assert second.undo() == first
    assert first.undo() is first


def test_questions_in_their_order(small: Base) -> None:
    """First what is wrong, then what was made, then what tells most; none is asked twice."""
    made = Consultation(small, backend="reference", limit=20)
    kinds, seen = [], []
    while (question := made.next_question) is not None:
        assert question.finding not in seen
        seen.append(question.finding)
        kinds.append(question.kind)
        if question.kind == "symptoms":
            made = made.tell_symptoms(["cloudy"])
        elif question.finding == "operation":
            made = made.answered("operation", "strip")
        else:
            made = made.answered(question.finding, "unknown")
    assert kinds[:2] == ["symptoms", "choice"]
    assert len(seen) >= 4
    assert made.stop_reason is not None
    assert "operation" not in made.asked


def test_skipping_the_recipe_is_one_step(small: Base) -> None:
    """Leaving the opening questions unanswered is a single step that undo takes back."""
    made = Consultation(small).tell_symptoms(["cloudy"])
    after = made.skip_opening()
    assert after.answers["operation"].status == "unknown"
    assert after.undo() == made


@pytest.mark.parametrize(
    "raw",
    [float("nan"), float("inf"), 10**400, 10**5000, None, [], {}],
    ids=["nan", "inf", "large", "huge", "nothing", "list", "mapping"],
)
def test_impossible_values_are_told(raw: object) -> None:
    """Values that no person could mean are refused with an error of ours."""
    with pytest.raises(AdvisorError):
        Consultation(small_base()).tell("temperature", raw)
