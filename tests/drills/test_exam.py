"""An exam: the same for all, gives nothing away, and is gathered with every fault at once."""

from __future__ import annotations

import json
import os
import re
from dataclasses import replace

import pytest

from advisor.drills.choices import plausible, statements
from advisor.drills.exam import Exam, booklet, gather, read_exam, sheets_in
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
    for learner in ("", "Ann", 'Zoë "Z" O\'Hara: #1', "back\\slash", "a\nb"):
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
    assert done.unanswered == (("Ann", 2), ("Hal", 1), ("Hal", 2), ("Ivy", 2))
    assert done.refused == (("Bob", 1), ("Ivy", 1))
    assert done.blank == (tmp_path / "f-fay.yaml",)
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


TWO = '  "2":\n    verdict: discard\n    say: [contains-milk]\n'


def one_sheet(tmp_path, text):
    """What comes of a single sheet."""
    (tmp_path / "ann.yaml").write_text(text)
    return gather(load(), made(), [tmp_path / "ann.yaml"])


@pytest.mark.parametrize(
    ("right", "written"),
    [
        ("verdict: cause", "verdict: Cause"),
        ("verdict: cause", "Verdict:  CAUSE "),
        ("verdict: cause", "verdict: \u201ccause\u201d"),
        ("say: [contains-milk]", "say: contains-milk"),
        ("say: [contains-milk]", "say: \u201econtains-milk\u201c"),
        ("[liquid_between_curds, acid-drop]", "liquid_between_curds, acid-drop"),
        ("[liquid_between_curds, acid-drop]", "[\u201cliquid_between_curds\u201d, acid-drop]"),
        ("confidence: 90 %", "confidence: \u00ab90\u00a0%\u00bb"),
        ("dose: 12 ml", "dose: \u201812 ml\u2019"),
        ("remedy: add", "\u00a0\u00a0\u00a0\u00a0remedy: add"),
        ('"1":', "\u201c1\u201d:"),
        ('["Too little acid: part of the milk protein is still dissolved"]',
         "acid-short-casein-left"),
        ('["Too little acid: part of the milk protein is still dissolved"]',
         '"Too little acid: part of the milk protein is still dissolved"'),
    ],
)  # fmt: skip
def test_what_can_mean_one_thing_only_is_read_as_that(tmp_path, right, written):
    """Capitals, quotes that a word processor bent, one word for a list: all earn the same."""
    text = filled(made(), "Ann", RIGHT)
    (usual,) = one_sheet(tmp_path, text).results
    assert right in text
    if written.startswith("\u00a0"):
        right = "    " + right
    done = one_sheet(tmp_path, text.replace(right, written))
    assert done.problems == ()
    assert [r.parts for r in done.results] == [usual.parts]
    assert len(usual.steps) == 2


def test_the_head_is_read_with_bent_quotes_too(tmp_path):
    """The exam's number is what a word processor spoils first."""
    text = filled(made(), "\u201cAnn\u201d", RIGHT).replace(made().id, f"\u201d{made().id}\u201d")
    done = one_sheet(tmp_path, text)
    assert done.problems == ()
    assert [r.learner for r in done.results] == ["Ann"]


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ("verdict: perhaps", "shape-word"),
        ("verdict: [cause]", "shape-word"),
        ("verdikt: cause", "shape-unknown-key"),
        ("causes: {a: b}", "shape-kind"),
        ("confidence: sure", "confidence"),
    ],
)
def test_a_fault_in_one_drill_costs_only_that_drill(tmp_path, wrong, code):
    """It is told with its line, the drill is called refused, and the others are scored."""
    done = one_sheet(tmp_path, filled(made(), "Ann", f'  "1":\n    {wrong}\n{TWO}'))
    assert [r.scenario for r in done.results] == [ONE.name]
    assert done.refused == (("Ann", 1),)
    assert done.unanswered == ()
    assert code in {p.code for p in done.problems}
    assert all(p.where.line in (5, 6) for p in done.problems)


def test_empty_quotes_are_nothing_filled_in(tmp_path):
    """A sheet is blank also when a program has put quotes where nothing was."""
    text = sheet_page(made(), "Ann").replace("verdict: ", 'verdict: "" ')
    assert one_sheet(tmp_path, text.replace("stage:", "stage: \u201c\u201d")).blank


def test_a_drill_that_is_no_mapping_is_refused_alone(tmp_path):
    """Somebody wrote the answer beside the number."""
    done = one_sheet(tmp_path, filled(made(), "Ann", f'  "1": cause\n{TWO}'))
    assert (len(done.results), done.refused) == (1, (("Ann", 1),))


def test_a_line_too_many_in_the_head_is_told_and_costs_nothing(tmp_path):
    """A date is not asked for, and does no harm."""
    done = one_sheet(tmp_path, "date: friday\n" + filled(made(), "Ann", RIGHT))
    assert [p.code for p in done.problems] == ["shape-unknown-key"]
    assert len(done.results) == 1


def test_a_tab_is_called_a_tab(tmp_path):
    """With its line, and what to type instead."""
    text = filled(made(), "Ann", RIGHT).replace("    verdict", "\tverdict")
    (problem,) = one_sheet(tmp_path, text).problems
    assert "begins with a tab" in problem.message
    assert "spaces" in problem.hint
    assert problem.where.line == text[: text.index("\tverdict")].count("\n") + 1


@pytest.mark.parametrize(
    ("learner", "kept"),
    [('"Ann\\tB"', "Ann B"), ('" Ann  B "', "Ann B"), ("Zoe\u0308", "Zo\u00eb")],
)
def test_a_name_is_tidied(tmp_path, learner, kept):
    """A tab out of a spreadsheet, spaces, an accent put together in another way."""
    done = one_sheet(tmp_path, filled(made(), learner, RIGHT).replace("Monday", '"Mon\\tday"'))
    assert [(r.learner, r.group) for r in done.results] == [(kept, "Mon day")]


@pytest.mark.parametrize(("of", "line"), [("learner", 2), ("group", 3)])
@pytest.mark.parametrize("name", ['"A\\e[31m"', "x" * 201, '"\\u202eAnn"'])
def test_a_name_that_cannot_be_kept_is_told_with_its_line(tmp_path, of, line, name):
    """Nothing is scored under it, and nothing in it reaches the terminal."""
    names = {"learner": "Ann", of: name}
    text = filled(made(), names["learner"], RIGHT).replace("Monday", names.get("group", "Monday"))
    done = one_sheet(tmp_path, text)
    assert done.results == ()
    (problem,) = done.problems
    assert problem.where.line == line
    # What is no text is refused by the reader already.
    assert problem.code == ("name" if name.isalpha() else "yaml-not-text")
    assert "\x1b" not in str(problem)


def test_names_that_may_be_of_one_person_are_noted(tmp_path):
    """Both are scored; whether they are one is for the instructor to say."""
    for who in ("Ann", "ann", "Bo"):
        (tmp_path / f"{who}-{len(who)}.yaml").write_text(filled(made(), who, RIGHT))
    done = gather(load(), made(), sorted(tmp_path.glob("*.yaml")))
    assert len(done.results) == 3
    assert done.problems == ()
    assert [n.message for n in done.notes] == ["Ann and ann count as 2 people"]


def test_the_same_sheet_is_known_again_and_another_is_not(tmp_path):
    """By its place and its exam, whatever name stands on it."""
    here, there = tmp_path / "a.yaml", tmp_path / "b.yaml"
    here.write_text(filled(made(), "Ann", RIGHT))
    there.write_text(filled(made(), "Bo", RIGHT))
    first, second = gather(load(), made(), [here, there]).sheets
    here.write_text(filled(made(), "Anna", RIGHT))
    (again,) = gather(load(), made(), [here]).sheets
    assert (again.exam, again.file) == (first.exam, first.file)
    assert first.file != second.file
    here.write_text(filled(made(4), "Anna", RIGHT))
    assert gather(load(), made(4), [here]).sheets[0].exam != first.exam


def test_every_file_is_a_sheet_or_is_named(tmp_path):
    """Whatever its ending is written like; a pipe is not waited for."""
    for name in ("a.yaml", "b.yml", "C.YAML", "sub/d.Yml", "e.yaml.txt", "f.docx",
                 "exam.json", "paper.md", "booklet.md", "old.json"):  # fmt: skip
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    os.mkfifo(tmp_path / "pipe.yaml")
    sheets, others = sheets_in(tmp_path, tmp_path / "sub" / ".." / "old.json")
    assert {p.name for p in sheets} == {"a.yaml", "b.yml", "C.YAML", "d.Yml"}
    assert {p.name for p in others} == {"e.yaml.txt", "f.docx", "pipe.yaml"}
    with pytest.raises(AdvisorError, match="no such folder"):
        sheets_in(tmp_path / "nowhere", tmp_path / "exam.json")


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
