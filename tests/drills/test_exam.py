"""An exam: the same for all, gives nothing away, and is gathered with every fault at once."""

from __future__ import annotations

import json
import os
import re
from dataclasses import replace

import pytest

from advisor.drills.choices import plausible, statements
from advisor.drills.exam import Exam, booklet, gather, read_exam
from advisor.drills.generated import remake
from advisor.drills.places import shipped_scenarios
from advisor.drills.replay import expert
from advisor.drills.scenario import read_scenario
from advisor.errors import AdvisorError
from advisor.knowledge.load import load
from advisor.knowledge.yamlread import read_yaml
from advisor.report.drillpaper import booklet_page, paper, sheet_page
from tests.drills.stage import BEGUN, scenario

ONE = read_scenario(shipped_scenarios()[7])


def made(seed: int = 3) -> Exam:
    """An exam of two drills."""
    return Exam.of(load(), [scenario(), ONE], seed, BEGUN)


def filled(exam: Exam, learner: str, drills: str) -> str:
    """A sheet with answers."""
    return f"exam: {exam.id}\nlearner: {learner}\ngroup: Monday\ndrills:\n{drills}"


RIGHT = """\
  "1":
    ask: [liquid_between_curds, acid-drop]
    verdict: cause
    causes: ["Too little acid: part of the milk protein is still dissolved"]
    confidence: 90 %
    remedy: add-acid-in-steps
    dose: 12 ml
    say: [contains-milk]
"""


def test_an_exam_comes_back_from_its_file(tmp_path):
    """What is gathered is what was handed out."""
    path = tmp_path / "exam.json"
    path.write_text(json.dumps(made().data()))
    again = read_exam(path, load(), remake)
    assert again == made()
    assert booklet(load(), again) == booklet(load(), made())


@pytest.mark.parametrize("raw", ["", "[]", "{}", '{"curdwise-exam": 1, "drills": 3}', "\x00"])
def test_a_file_that_is_no_exam_is_told(tmp_path, raw):
    """Rubbish ends in a sentence."""
    path = tmp_path / "exam.json"
    path.write_text(raw)
    with pytest.raises(AdvisorError):
        read_exam(path, load(), remake)
    with pytest.raises(AdvisorError, match="cannot be read"):
        read_exam(tmp_path / "nowhere.json", load(), remake)


def test_everybody_gets_the_same_and_another_exam_another(tmp_path):
    """The paper and the booklet hang on the exam alone."""
    base = load()
    one, two = booklet(base, made()), booklet(base, made())
    assert one == two
    assert paper(base, made(), one) == paper(base, made(), two)
    assert booklet(base, made(4)).numbers != one.numbers


def test_the_booklet_answers_whatever_the_paper_offers():
    """Each number on the paper stands in the booklet once, and every check of the advisor's own
    way can be looked up."""
    base, exam = load(), made()
    numbers = booklet(base, exam)
    offered = re.findall(r"^\| (\d+) \|", paper(base, exam, numbers), re.M)
    listed = re.findall(r"^- \*\*(\d+)\*\*", booklet_page(base, exam, numbers), re.M)
    assert sorted(offered) == sorted(listed)
    assert len(set(listed)) == len(listed)
    for index, one in enumerate(exam.scenarios):
        for step in expert(base, one, exam.seed).steps:
            finding, answer = numbers.results[numbers.numbers[index][step.finding]]
            assert (finding, answer) == (step.finding, step.answer)


def test_paper_and_booklet_give_no_solution_away():
    """The right cause stands among a dozen, the booklet names no finding, and nothing that only the
    solution knows is printed."""
    base, exam = load(), made()
    numbers = booklet(base, exam)
    text = paper(base, exam, numbers)
    for one in exam.scenarios:
        causes = plausible(base, one, ())
        assert set(one.right) <= set(causes)
        assert list(causes) == sorted(causes, key=lambda c: base.causes[c].title)
        assert len(causes) > len(one.right) + 2
        assert len(statements(base, one)) > len(one.say)
        for told in (*one.misconceptions.values(), one.note, *one.red_herrings.values()):
            assert not told or told not in text
    assert "acid_drop" not in booklet_page(base, exam, numbers)


def test_a_sheet_can_be_read_as_it_is_printed():
    """A blank sheet is well formed, whatever the learner is called."""
    for learner in ("", "Ann", 'Zoë "Z" O\'Hara: #1', "back\\slash", "a\nb", "\x07"):
        data = read_yaml(sheet_page(made(), learner, "Monday"), "sheet.yaml").data
        assert (data["learner"] or "") == learner
        assert set(data["drills"]) == {"1", "2"}


@pytest.mark.parametrize("number", ["77272687", "07727268", "12e45678", "0x123456", "1234567."])
@pytest.mark.parametrize("quoted", [True, False])
def test_an_exam_whose_number_has_only_digits_is_gathered(tmp_path, number, quoted):
    """One exam in forty has such a number. The sheet as printed, and one written off by hand."""
    exam = replace(made(), id=number)
    sheet = sheet_page(exam, "007", "2026").replace("verdict:", "verdict: discard", 1)
    (tmp_path / "ann.yaml").write_text(sheet if quoted else sheet.replace('"', "'"))
    if not quoted:
        bare = filled(exam, "007", RIGHT).replace("Monday", "2026")
        (tmp_path / "ann.yaml").write_text(bare)
    done = gather(load(), exam, [tmp_path / "ann.yaml"])
    assert done.problems == ()
    assert [(r.learner, r.group) for r in done.results] == [("007", "2026")]


def test_a_dose_without_its_unit_is_told_as_one(tmp_path):
    """A bare number is read, and what it lacks is its unit."""
    exam = made()
    (tmp_path / "ann.yaml").write_text(filled(exam, "Ann", RIGHT.replace("12 ml", "12")))
    (problem,) = gather(load(), exam, [tmp_path / "ann.yaml"]).problems
    assert problem.code == "quantity"
    assert "unit" in f"{problem.message} {problem.hint}"


def test_a_class_is_gathered_with_every_fault_at_once(tmp_path):
    """Good drills are scored, bad ones told with file and line, blank sheets passed over."""
    exam = made()
    sheets = {
        "a-ann": filled(exam, "Ann", RIGHT),
        "b-bob": filled(
            exam,
            "Bob",
            RIGHT.replace("acid-drop", "acid-dorp").replace("dose: 12 ml", "dose: some")
            + '  "2":\n    verdict: discard\n    say: [contains-milk]\n',
        ),
        "c-cat": filled(exam, "Ann", RIGHT),
        "d-dan": filled(exam, "", RIGHT),
        "e-eve": filled(exam, "Eve", RIGHT).replace(exam.id, "deadbeef"),
        "f-fay": sheet_page(exam, "Fay"),
        "g-gus": "exam: [",
        "h-hal": filled(exam, "Hal", RIGHT.replace('"1"', '"9"')),
        "i-ivy": filled(exam, "Ivy", RIGHT.replace("verdict: cause", "verdict: perhaps")),
    }
    for name, text in sheets.items():
        (tmp_path / f"{name}.yaml").write_text(text)
    done = gather(load(), exam, sorted(tmp_path.glob("*.yaml")))
    assert [(r.learner, r.scenario) for r in done.results] == [
        ("Ann", scenario().name),
        ("Bob", ONE.name),
    ]
    assert done.unanswered == (("Ann", 2), ("Hal", 1), ("Hal", 2))
    told = {(p.where.name.rsplit("/")[-1], p.code) for p in done.problems}
    assert told == {
        ("b-bob.yaml", "drill-step"),
        ("b-bob.yaml", "quantity"),
        ("c-cat.yaml", "learner-twice"),
        ("d-dan.yaml", "no-learner"),
        ("e-eve.yaml", "other-exam"),
        ("g-gus.yaml", "yaml-syntax"),
        ("h-hal.yaml", "no-such-drill"),
        ("i-ivy.yaml", "shape-word"),
    }
    assert all(p.where.line for p in done.problems if p.code in ("drill-step", "quantity"))


def test_a_result_of_an_exam_is_what_practice_would_give(tmp_path):
    """On paper or at the keyboard, the same answers earn the same."""
    from advisor.drills.scoring import score
    from tests.drills.stage import played

    path = tmp_path / "ann.yaml"
    path.write_text(filled(made(), "Ann", RIGHT))
    os.utime(path, (1_767_609_540, 1_767_609_540))
    (result,) = gather(load(), made(), [path]).results
    practice = score(
        played(("liquid_between_curds", "acid-drop"), confidence=0.9, group="Monday", seed=3)
    )
    assert result.mode == "exam"
    assert result.parts == practice.parts
    assert result.score == practice.score
    assert result.started == BEGUN
    assert result.finished.timestamp() == 1_767_609_540


@pytest.mark.parametrize(
    ("written", "share"),
    [("80 %", 0.8), ("80%", 0.8), ("80", 0.8), ("0.8", 0.8), ("1 %", 0.01), ("1", 1.0), ("", None)],
)
def test_confidence_is_read_as_people_write_it(written, share):
    """Per cent with or without the sign, or a share."""
    from advisor.drills.sheet import read_confidence

    assert read_confidence(written) == (pytest.approx(share) if share is not None else None)


@pytest.mark.parametrize("written", ["very", "180 %", "-3", "nan", "inf"])
def test_what_is_no_confidence_is_refused(written):
    """A word or a number beyond all is no probability."""
    from advisor.drills.sheet import read_confidence

    with pytest.raises(AdvisorError):
        read_confidence(written)
