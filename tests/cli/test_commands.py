"""The command as a person or a program calls it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.cli import Exit, main

ROOT = Path(__file__).parent.parent.parent
DEMO = ROOT / "scenarios_demo"


def run(*arguments: str, stdin: str | None = None, **env: str) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "advisor", *arguments],
        input=stdin if stdin is not None else "",
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, **env},
        timeout=120,
    )


def test_a_case_gives_a_verdict_on_standard_output():
    """A demo batch is diagnosed without a terminal, talk kept apart from data."""
    done = run("diagnose", "--case", "scenarios_demo/01-still-cloudy.yaml")
    assert done.returncode == Exit.OK
    assert done.stderr == ""
    assert "SAVE THIS BATCH" in done.stdout
    assert "SAY AND MIND" in done.stdout


def test_json_is_the_only_thing_on_standard_output():
    """A program reads the result without cleaning it first."""
    done = run("diagnose", "--case", "scenarios_demo/01-still-cloudy.yaml", "--json")
    data = json.loads(done.stdout)
    assert data["version"] == 1
    assert data["verdict"]["cause"] == "acid-short-casein-left"
    assert data["how"]["ledger"]


def test_answers_on_the_command_line_are_enough():
    """No file is needed for a quick question."""
    done = run("diagnose", "-a", "cloud_at_filter=yes", "-a", "acid_drop=flakes", "--json")
    assert done.returncode == Exit.OK
    assert json.loads(done.stdout)["answers"]["acid_drop"]["value"] == "flakes"


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("diagnose", "-a", "cloud_at_filtr=yes"), Exit.INPUT, "did you mean cloud_at_filter"),
        (("diagnose", "-a", "strip_ph=19"), Exit.INPUT, "cannot be 19"),
        (("diagnose", "-a", "milk_volume=-3 ml"), Exit.INPUT, "milk_volume"),
        (("diagnose", "-a", "drink_strength=140 %"), Exit.INPUT, "drink_strength"),
        (("diagnose", "-a", "milk_volume=200 g"), Exit.INPUT, "milk_volume"),
        (("diagnose", "-a", "nonsense"), Exit.INPUT, "NAME=VALUE"),
        (("diagnose", "--no-input"), Exit.INPUT, "nothing is known"),
        (("diagnose",), Exit.USAGE, "no terminal"),
        (("diagnose", "--case", "nowhere.yaml"), Exit.INPUT, "cannot be read"),
        (("diagnose", "--case", "."), Exit.INPUT, "cannot be read"),
        (("diagnose", "--case", "a.yaml", "--resume", "b.yaml"), Exit.USAGE, "give one"),
        (
            ("diagnose", "-a", "cloud_at_filter=yes", "--knowledge", "nowhere"),
            Exit.KNOWLEDGE,
            "no such knowledge folder",
        ),
        (("diagnose", "-a", "cloud_at_filter=yes", "--tried", "prayer"), Exit.INPUT, "no remedy"),
        (("nonsense",), Exit.USAGE, "No such command"),
    ],
)
def test_bad_input_says_what_and_where_and_ends_with_its_code(arguments, code, said):
    """Whatever is typed, there is a sentence and a documented exit code, never a traceback."""
    done = run(*arguments)
    assert done.returncode == code, done.stderr
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_every_fault_of_a_case_file_is_told_at_once(tmp_path):
    """Somebody who mends a file by hand sees all of it in one go, with line and column."""
    path = tmp_path / "bad.yaml"
    path.write_text("title: x\nanswers:\n  strip_ph: 19\n  acid_dropp: flakes\n  milk_kind: bear\n")
    done = run("diagnose", "--case", str(path))
    assert done.returncode == Exit.INPUT
    assert f"{path}:3:3" in done.stderr
    assert f"{path}:4:3" in done.stderr
    assert f"{path}:5:3" in done.stderr


LONG = "x" * 5000


@pytest.mark.parametrize(
    "arguments",
    [
        ("diagnose", "-a", f"milk_kind={LONG}"),
        ("diagnose", "-a", f"{LONG}=3"),
        ("diagnose", "-a", LONG),
        ("diagnose", "-a", f"drink_volume={LONG}"),
        ("diagnose", "-a", f"strip_ph={'9' * 90}"),
        ("diagnose", "-a", f"symptoms={LONG}"),
        ("diagnose", "-a", "cloud_at_filter=yes", "--tried", LONG),
        ("diagnose", "-a", "cloud_at_filter=yes", "--why-not", LONG),
        ("diagnose", "-a", "cloud_at_filter=yes", "--what-if", f"milk_kind={LONG}"),
        ("diagnose", "-a", "cloud_at_filter=yes", "--rather", LONG, LONG),
        ("diagnose", "--units", LONG),
        ("choose", "-a", f"base_kind={LONG}"),
        ("choose", "-a", LONG),
        (LONG,),
    ],
    ids=lambda arguments: " ".join(a[:20] for a in arguments),
)
def test_what_was_pasted_is_not_pasted_back(arguments, capsys):
    """An error repeats the beginning of what somebody wrote, and is read at a glance."""
    assert main(list(arguments)) in (Exit.INPUT, Exit.USAGE)
    said = capsys.readouterr().err
    assert said
    assert max(map(len, re.findall(r"[x9]+", said))) <= 60


def test_a_long_answer_in_a_file_is_not_pasted_back(tmp_path, capsys):
    """Neither what is said of it nor the line that is shown."""
    path = tmp_path / "long.yaml"
    path.write_text(f"answers:\n  milk_kind: {LONG}\n  drink_volume: {LONG}\n  {LONG[:900]}: 1\n")
    assert main(["diagnose", "--case", str(path)]) == Exit.INPUT
    said = capsys.readouterr().err
    assert said.count(str(path)) == 3
    assert max(map(len, re.findall("x+", said))) <= 120


def test_answers_that_contradict_each_other_are_refused():
    """Fat cannot have been used in a batch that was only a milk wash."""
    done = run("diagnose", "-a", "operation=strip", "-a", "fat_kind=ghee")
    assert done.returncode == Exit.INPUT
    assert "contradiction" in done.stderr


def test_a_house_base_with_an_error_is_refused_whole(tmp_path):
    """The shipped base is untouched by a bad house folder, and every error is told."""
    (tmp_path / "house.yaml").write_text(
        "cautions:\n  - id: x\n    level: loud\n    text: y\n    source: [practice]\n"
        "rules:\n  - id: z\n    title: t\n"
    )
    done = run("diagnose", "-a", "cloud_at_filter=yes", "--knowledge", str(tmp_path))
    assert done.returncode == Exit.KNOWLEDGE
    assert "level cannot be 'loud'" in done.stderr
    assert "are missing" in done.stderr
    assert run("diagnose", "-a", "cloud_at_filter=yes").returncode == Exit.OK


def test_a_house_base_is_reported_in_the_answer():
    """Whoever reads the advice sees that the house changed the rules."""
    done = run("diagnose", "-a", "cloud_at_filter=yes", "--knowledge", "scenarios_demo/house")
    assert done.returncode == Exit.OK
    assert "HOUSE KNOWLEDGE" in done.stdout
    assert "house-log-a-rescue" in done.stdout
    assert "replaced remedy serve-less-cold (scenarios_demo/house/" in done.stdout
    assert "switched off remedy add-peel-after: this bar puts no peel into a" in done.stdout


def test_questions_lists_every_finding_for_a_program():
    """A case file can be written from the list: name, wording, values, unit, range."""
    data = json.loads(run("questions", "--json").stdout)
    by_name = {row["name"]: row for row in data["questions"]}
    assert by_name["strip_ph"]["unit"] == "pH"
    assert by_name["strip_ph"]["range"][0] > 0
    assert {v["value"] for v in by_name["acid_drop"]["values"]} >= {"flakes", "nothing"}
    assert by_name["acid_drop"]["check"]["how"]


def test_save_and_resume_give_the_same_advice(tmp_path):
    """What was saved is what was known."""
    path = tmp_path / "batch.yaml"
    first = run(
        "diagnose",
        "-a",
        "cloud_at_filter=yes",
        "-a",
        "milk_volume=1 1/2 oz",
        "--json",
        "--save",
        str(path),
    )
    second = run("diagnose", "--resume", str(path), "--no-input", "--json")
    assert first.returncode == second.returncode == Exit.OK
    assert json.loads(first.stdout) == json.loads(second.stdout)


def test_numbered_questions_can_be_answered_line_by_line(tmp_path):
    """The accessible mode reads numbers from standard input and never redraws."""
    save = tmp_path / "x.yaml"
    done = run(
        "diagnose",
        "--save",
        str(save),
        stdin="1\n1\nskip all\nwhy\nnonsense\n99\n",
        ACCESSIBLE="1",
        XDG_STATE_HOME=str(tmp_path),
    )
    assert done.returncode == Exit.INTERRUPTED  # standard input ended: kept, and said so
    assert "You picked" in done.stderr
    assert "--resume" in done.stderr
    assert "\x1b[" not in done.stderr
    assert "cloud_at_filter" in save.read_text()


def test_help_names_every_command_and_exit_code():
    """The first thing that anybody reads is complete."""
    text = run("--help").stdout
    for command in ("diagnose", "questions", "knowledge", "schema"):
        assert re.search(rf"^\s+{command}\b", text, re.M)
    for code in Exit:
        assert re.search(rf"^\s+{int(code)}\s", text, re.M), code


def test_nothing_heavy_is_imported_before_it_is_needed():
    """Start-up stays light: units, validation and colour come late."""
    code = (
        "import sys, advisor.cli.app, advisor.cli.diagnose, advisor.cli.conversation\n"
        "from advisor.knowledge.load import load\n"
        "from advisor.consult import Consultation\n"
        "Consultation(load()).next_question\n"
        "heavy = {'pint', 'jsonschema', 'rich', 'scipy', 'numpy', 'durable', 'yaml'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    run("questions")  # the compiled base is kept now
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.stdout.strip() == "[]", done.stderr


def test_main_returns_its_code_without_leaving_the_interpreter(capsys):
    """The library may call the command."""
    assert main(["--version"]) == Exit.OK
    assert "curdwise" in capsys.readouterr().out
