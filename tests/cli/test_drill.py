"""Drills as a person or a class meets them: on a terminal, by file, as an exam."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.cli import Exit
from tests.drills.stage import TEXT

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture
def run(tmp_path):
    """The command in a process and a home of its own."""

    def _run(*arguments: str, stdin: str = "", **env: str) -> subprocess.CompletedProcess[str]:
        homes = {f"XDG_{kind}_HOME": str(tmp_path / kind) for kind in ("STATE", "DATA")}
        return subprocess.run(
            [sys.executable, "-m", "advisor", "drill", *map(str, arguments)],
            input=stdin,
            capture_output=True,
            text=True,
            cwd=ROOT,
            env={**os.environ, "CURDWISE_STORE": "", **homes, **env},
            timeout=180,
        )

    return _run


@pytest.fixture
def scenario_file(tmp_path):
    """The scenario of the tests, as a file."""
    path = tmp_path / "two-papers.yaml"
    path.write_text(TEXT)
    return path


def results(tmp_path) -> list[dict]:
    """What is kept of finished drills."""
    path = tmp_path / "DATA" / "curdwise" / "drill-results.jsonl"
    lines = [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []
    return [result for line in lines for result in line.get("results", [line])]


# Look; between the curds; measure; acid-drop; name; a cause; acid; which; no second; 80 %;
# remedy; dose; what must be said.
PLAY = """\
look
liquid_between_curds
measure
acid_drop
name
cause
acid
acid-short-casein-left
no
80
finish the split
this batch: finish the split with a little acid
12 ml
{say}
"""


def test_a_whole_drill_line_by_line(run, scenario_file, tmp_path):
    """From the story to the debrief with numbered lines, no redrawing, and the result is kept."""
    done = run("play", scenario_file, stdin=PLAY.format(say="1 2 3 4 5 6 7"), ACCESSIBLE="1")
    assert done.returncode == Exit.OK, done.stderr
    assert "What is seen at once" in done.stderr
    assert "new flakes" in done.stderr
    assert "\x1b[" not in done.stderr + done.stdout
    for heading in ("WHAT IT WAS", "WHAT EACH STEP TOLD", "WHAT MUST BE SAID", "YOUR SCORE"):
        assert heading in done.stdout
    assert "You named it." in done.stdout
    (kept,) = results(tmp_path)
    assert kept["parts"]["cause"] == kept["parts"]["stage"] == kept["parts"]["dose"] == 1
    assert kept["minutes_used"] == pytest.approx(2.25)
    assert not list((tmp_path / "STATE" / "curdwise" / "drills").iterdir())


def test_an_interrupted_drill_goes_on(run, scenario_file, tmp_path):
    """Input that ends is like Ctrl-C: it is kept, it is said how to go on, and nothing is lost."""
    lines = PLAY.format(say="1").splitlines(keepends=True)
    first = run("play", scenario_file, stdin="".join(lines[:4]), ACCESSIBLE="1")
    assert first.returncode == Exit.INTERRUPTED
    assert "curdwise drill --resume" in first.stderr
    assert results(tmp_path) == []
    scenario_file.unlink()  # a drill that was begun needs its file no more
    second = run("--resume", stdin="".join(lines[4:]), ACCESSIBLE="1")
    assert second.returncode == Exit.OK, second.stderr
    assert "Found so far: acid-drop test" in second.stderr
    assert results(tmp_path)[0]["minutes_used"] == pytest.approx(2.25)
    third = run("--resume", ACCESSIBLE="1")
    assert third.returncode == Exit.INPUT
    assert "no drill was left" in third.stderr


def test_rubbish_among_the_journals_is_set_aside(run, scenario_file, tmp_path):
    """The next start says so and goes on."""
    folder = tmp_path / "STATE" / "curdwise" / "drills"
    folder.mkdir(parents=True)
    (folder / "x.jsonl").write_text("rubbish\n")
    done = run("play", scenario_file, stdin="", ACCESSIBLE="1")
    assert "Set aside" in done.stderr
    assert "Traceback" not in done.stderr
    assert (folder / "x.jsonl.set-aside").exists()


ANSWERS = """\
ask: [liquid_between_curds, acid-drop]
verdict: cause
causes: [acid-short-casein-left]
confidence: 80 %
remedy: add-acid-in-steps
dose: 12 ml
say: [contains-milk]
"""


def test_answers_by_file_need_no_terminal(run, scenario_file, tmp_path):
    """A drill is played from a file, and the debrief is data."""
    path = tmp_path / "answers.yaml"
    path.write_text(ANSWERS)
    done = run("play", scenario_file, "--answers", path, "--learner", "Ann", "--json")
    assert done.returncode == Exit.OK, done.stderr
    data = json.loads(done.stdout)
    assert data["result"]["learner"] == "Ann"
    assert data["result"]["parts"]["cause"] == 1
    assert data["solution"]["causes"] == ["acid-short-casein-left"]
    assert len(data["steps"]) == 2
    exam = run("play", scenario_file, "--answers", path, "--exam")
    assert exam.stdout == "Kept. An exam gives no debrief.\n"
    assert [r["mode"] for r in results(tmp_path)] == ["practice", "exam"]


def test_a_made_up_drill_by_file(run, tmp_path):
    """A seed is all that is needed."""
    path = tmp_path / "answers.yaml"
    path.write_text("verdict: discard\nconfidence: 10 %\n")
    first = run("--seed", "5", "--answers", path, "--json")
    second = run("--seed", "5", "--answers", path, "--json")
    assert first.returncode == Exit.OK, first.stderr
    assert json.loads(first.stdout)["solution"] == json.loads(second.stdout)["solution"]


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("play", "nowhere"), Exit.INPUT, "no drill called 'nowhere'"),
        (("play", "two-papers-and-still-mil"), Exit.INPUT, "did you mean"),
        (("play", "nowhere.yaml"), Exit.INPUT, "cannot be read"),
        (("play", "."), Exit.INPUT, "cannot be read"),
        (("--topic", "brandy"), Exit.INPUT, "topics:"),
        (("--seed", "1", "--topic", "brandy"), Exit.INPUT, "brandy"),
        (("--resume", "x", "--seed", "1"), Exit.USAGE, "name no other"),
        (("--seed", "-1"), Exit.USAGE, "seed"),
        (("play", "--answers", "x.yaml"), Exit.USAGE, "which drill"),
        (("show", "nowhere"), Exit.INPUT, "no drill called"),
        (("gather", "nowhere"), Exit.INPUT, "cannot be read"),
        (("check", "nowhere.yaml"), Exit.FOUND, "cannot be read"),
        (("new", "nowhere/x.yaml"), Exit.INPUT, "cannot be written"),
        (("new", "x.yaml", "--cause", "acid"), Exit.INPUT, "no cause"),
    ],
)
def test_bad_input_says_what_and_ends_with_its_code(run, arguments, code, said):
    """Whatever is typed, there is a sentence and a documented exit code, never a traceback."""
    done = run(*arguments, ACCESSIBLE="1")
    assert done.returncode == code, done.stderr
    assert said in done.stderr + done.stdout
    assert "Traceback" not in done.stderr


def test_without_a_terminal_it_says_what_to_give(run):
    """In a pipe nobody waits for an answer that cannot come."""
    done = run(ACCESSIBLE="")
    assert done.returncode == Exit.USAGE
    assert "--answers" in done.stderr


def test_wrong_answers_in_a_file_are_told_at_once(run, scenario_file, tmp_path):
    """Each with its line."""
    path = tmp_path / "answers.yaml"
    path.write_text("ask: [acid_dorp]\nverdict: cause\ncauses: [acid]\nremedy: prayer\n")
    done = run("play", scenario_file, "--answers", path)
    assert done.returncode == Exit.INPUT
    for line in (1, 3, 4):
        assert f"{path}:{line}:" in done.stderr
    assert results(tmp_path) == []


def test_something_sensible_is_picked(run, tmp_path):
    """Alone and without any set-up: an easy drill, and another one once it was done."""
    first = run(stdin="", ACCESSIBLE="1")
    assert "What is seen at once" in first.stderr
    rows = json.loads(run("list", "--json").stdout)["drills"]
    easy = [row for row in rows if row["difficulty"] == "easy"]
    assert any(row["title"] in first.stderr for row in easy)
    assert len(rows) >= 25


def test_a_scaffold_and_its_check(run, tmp_path):
    """An instructor writes a new one: the scaffold is there, and the checker says what it lacks."""
    path = tmp_path / "new.yaml"
    assert run("new", path, "--cause", "bed-not-formed").returncode == Exit.OK
    again = run("new", path)
    assert again.returncode == Exit.INPUT
    assert "nothing was written over" in again.stderr
    done = run("check", path)
    assert done.returncode == Exit.FOUND
    assert done.stdout.count("[not-filled-in]") == 3
    path.write_text(path.read_text().replace("[bed-not-formed]", "[bed-not-formd]"))
    done = run("check", path, "--json")
    assert done.returncode == Exit.FOUND
    rows = json.loads(done.stdout)["problems"]
    assert any("did you mean bed-not-formed" in row["hint"] and row["line"] for row in rows)


def test_show_works_one_out(run, scenario_file):
    """An instructor sees the solution and the advisor's way to it."""
    done = run("show", scenario_file)
    assert done.returncode == Exit.OK
    assert "The advisor solves it." in done.stdout
    assert "HOW THE ADVISOR GETS THERE" in done.stdout


def test_an_exam_from_paper_to_results(run, tmp_path):
    """Written, handed out, filled in, gathered in one command; again, and nothing stands twice."""
    folder = tmp_path / "friday"
    written = run("exam", folder, "--count", "2", "--seed", "4", "--learner", "Ann",
                  "--learner", "Bob", "--group", "Friday")  # fmt: skip
    assert written.returncode == Exit.OK, written.stderr
    assert {p.name for p in folder.iterdir()} == {
        "exam.json", "paper.md", "booklet.md", "sheet-ann.yaml", "sheet-bob.yaml",
    }  # fmt: skip
    assert run("exam", folder).returncode == Exit.INPUT  # nothing is written over
    sheet = folder / "sheet-ann.yaml"
    sheet.write_text(sheet.read_text().replace("verdict: ", "verdict: cause "))
    done = run("gather", folder, "--json")
    assert done.returncode == Exit.OK, done.stderr
    data = json.loads(done.stdout)
    assert [(r["learner"], r["group"], r["mode"]) for r in data["results"]] == [
        ("Ann", "Friday", "exam")
    ] * 2
    assert run("gather", folder).returncode == Exit.OK
    assert len(results(tmp_path)) == 2
    (folder / "sheet-bob.yaml").write_text("exam: x\n")
    assert run("gather", folder).returncode == Exit.FOUND


def test_a_corrected_sheet_leaves_one_person_in_the_class(run, tmp_path):
    """The name, then the class, then a drill less: one learner, and the same mean in both places,
    called the same."""
    folder = tmp_path / "friday"
    assert run("exam", folder, "--count", "3", "--learner", "Ann").returncode == Exit.OK
    sheet = folder / "sheet-ann.yaml"
    text = sheet.read_text().replace("verdict: ", "verdict: cause ")
    less = text[: text.index('  "3":')]
    for each in (
        text,
        text.replace('learner: "Ann"', "learner: Anna"),
        text.replace('learner: "Ann"', "learner: Anna").replace("group:", "group: Monday"),
        less.replace('learner: "Ann"', "learner: Anna").replace("group:", "group: Monday"),
    ):
        sheet.write_text(each)
        gathered = run("gather", folder)
        assert gathered.returncode == Exit.OK, gathered.stderr
        listed = of_class(tmp_path, "list", "--json")
    (person,) = json.loads(listed.stdout)["learners"]
    assert (person["name"], person["class"], person["drills"]) == ("Anna", "Monday", 2)
    row = gathered.stdout.splitlines()[1].split()
    assert (row[0], row[3]) == ("Anna", "-")
    of_all, answered = int(row[4]), int(row[5])
    assert of_all < answered
    report = of_class(tmp_path, "report").stdout
    assert f"2 drills answered, mean of these {answered}" in report


def of_class(tmp_path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """``curdwise class`` in the home of the test."""
    homes = {f"XDG_{kind}_HOME": str(tmp_path / kind) for kind in ("STATE", "DATA")}
    return subprocess.run(
        [sys.executable, "-m", "advisor", "class", *arguments],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "CURDWISE_STORE": "", **homes},
        timeout=180,
    )


def test_gather_names_whatever_it_did_not_score(run, tmp_path):
    """A refused drill, a blank sheet, a file of another kind; and sheets in any spelling of .yaml
    are read."""
    folder = tmp_path / "friday"
    names = ("Ann", "Bob", "Cat")
    learners = [x for who in names for x in ("--learner", who)]
    assert run("exam", folder, "--count", "2", *learners).returncode == Exit.OK
    assert (folder / "exam.json").stat().st_mode & 0o777 == 0o600
    (folder / "sheet.docx").write_bytes(b"PK")
    ann, bob = folder / "sheet-ann.yaml", folder / "sheet-bob.yaml"
    good = ann.read_text().replace("verdict: ", "verdict: stop ")
    ann.write_text(good.replace("verdict: stop", "verdict: perhaps", 1))
    ann.rename(folder / "sheet-ann.YML")
    bob.write_text(bob.read_text().replace("verdict: ", "verdict: Stop "))
    done = run("gather", folder)
    assert done.returncode == Exit.FOUND
    rows = {line.split()[0]: line.split()[1:3] for line in done.stdout.splitlines()[1:]}
    assert rows["Ann"][0] == "fault"
    assert rows["Ann"][1].isdecimal()
    assert all(cell.isdecimal() for cell in rows["Bob"])
    assert "1 answered but refused for a fault" in done.stderr
    assert f"Blank: {folder}/sheet-cat.yaml" in done.stderr
    assert f"no plain .yaml file: {folder}/sheet.docx" in done.stderr
    data = json.loads(run("gather", folder, "--json").stdout)
    assert data["refused"] == [{"learner": "Ann", "drill": 1}]
    assert data["blank"] == [f"{folder}/sheet-cat.yaml"]
    assert data["passed_over"] == [f"{folder}/sheet.docx"]


@pytest.mark.parametrize("name", ["   ", "x" * 201, "A\x1b[31m"])
def test_an_odd_name_is_refused_where_it_is_given(run, scenario_file, tmp_path, name):
    """Before anything is played or written, and told where it came from."""
    path = tmp_path / "answers.yaml"
    path.write_text(ANSWERS)
    play = ("play", scenario_file, "--answers", path)
    folder = tmp_path / "friday"
    tried = {
        "--learner": [run(*play, "--learner", name), run("exam", folder, "--learner", name)],
        "CURDWISE_LEARNER": [run(*play, CURDWISE_LEARNER=name)],
    }
    if name.strip():
        tried["--group"] = [run(*play, "--group", name), run("exam", folder, "--group", name)]
    for place, runs in tried.items():
        for done in runs:
            assert done.returncode == Exit.INPUT
            assert f"{place}: " in done.stderr
            assert "\x1b" not in done.stderr
    assert results(tmp_path) == []
    assert not folder.exists()


def test_a_name_is_kept_tidied(run, scenario_file, tmp_path):
    """Spaces around it and an accent in two pieces make no other person."""
    path = tmp_path / "answers.yaml"
    path.write_text(ANSWERS)
    done = run("play", scenario_file, "--answers", path, "--learner", " Zoe\u0308\tB ",
               "--group", "Mon  day")  # fmt: skip
    assert done.returncode == Exit.OK, done.stderr
    assert [(r["learner"], r["group"]) for r in results(tmp_path)] == [("Zo\u00eb B", "Mon day")]


def test_an_exam_makes_no_folder_but_its_own(run, tmp_path):
    """A slip in the path is told."""
    done = run("exam", tmp_path / "no" / "such", "--count", "1")
    assert done.returncode == Exit.INPUT
    assert f"there is no folder {tmp_path / 'no'}" in done.stderr
    assert not (tmp_path / "no").exists()


def test_the_help_names_every_command(run):
    """Whoever asks for help finds all there is."""
    text = run("--help").stdout
    for command in ("play", "list", "show", "check", "new", "exam", "gather"):
        assert f"\n  {command} " in text


@pytest.mark.parametrize("name", ["drill", "drill-answers", "exam-sheet"])
def test_the_schemas_that_ship_are_the_ones_in_force(name):
    """A schema file is written again whenever the shape behind it changes."""
    from advisor.cli.schema import schema_text

    shipped = ROOT / "advisor" / "schemas" / f"{name}.schema.json"
    assert shipped.read_text() == schema_text(name), f"curdwise schema {name} > {shipped.name}"
