"""``curdwise choose`` as a person or a program calls it."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from advisor.cli import Exit, main
from advisor.report.choiceresult import choice_schema
from advisor.technique.choose import choose

ROOT = Path(__file__).parent.parent.parent
BRIEFS = "scenarios_demo/briefs"


def run(*arguments: str, stdin: str = "", **env: str) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, without a terminal."""
    return subprocess.run(
        [sys.executable, "-m", "advisor", "choose", *arguments],
        input=stdin,
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, **env},
        timeout=240,
    )


@pytest.fixture(autouse=True)
def _at_the_root(monkeypatch):
    monkeypatch.chdir(ROOT)


def test_a_brief_gives_a_choice_on_standard_output(capsys):
    """First choice in one line, why in two, what it would do, what else, what comes next."""
    assert main(["choose", "--brief", f"{BRIEFS}/punch-for-a-wedding.yaml"]) == Exit.OK
    said = capsys.readouterr()
    assert said.err == ""
    lines = said.out.splitlines()
    assert any(line.startswith("First choice: Milk wash") for line in lines)
    headings = ["WHY", "WHAT IT WOULD DO", "NEXT BEST", "CANNOT BE USED", "SAY AND MIND"]
    places = [lines.index(heading) for heading in headings]
    assert places == sorted(places)
    assert "STOP: Contains milk." in said.out
    assert lines[-1] == (
        f"next: curdwise protocol --brief {BRIEFS}/punch-for-a-wedding.yaml --technique strip"
    )


@pytest.mark.parametrize("path", sorted((ROOT / BRIEFS).glob("*.yaml")), ids=lambda p: p.stem)
def test_the_screen_is_80_columns_wide(path, capsys):
    """Everything but the command to copy fits a plain terminal."""
    assert main(["choose", "--brief", str(path)]) == Exit.OK
    for line in capsys.readouterr().out.splitlines():
        assert len(line) <= 80 or line.startswith("next: curdwise")


def test_conflicts_stand_at_the_top(capsys):
    """What cannot be had at once is said before any choice."""
    assert main(["choose", "--brief", f"{BRIEFS}/amaro-softer-but-bitter.yaml"]) == Exit.OK
    out = capsys.readouterr().out
    assert out.index("THESE PULL AGAINST EACH OTHER") < out.index("Nothing that can be used")
    assert "Paler, and its colour must stay" in out
    assert "next: curdwise" not in out


@pytest.mark.parametrize("path", sorted((ROOT / BRIEFS).glob("*.yaml")), ids=lambda p: p.stem)
def test_json_follows_its_schema(path, capsys):
    """A program reads the choice without cleaning it first, and finds what the schema says."""
    assert main(["choose", "--brief", str(path), "--json"]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    jsonschema.validate(data, choice_schema())
    assert data["ranked"] or data["refused"]


def test_answers_on_the_command_line_are_enough(capsys):
    """Lists and single answers, without a file."""
    code = main(
        ["choose", "-a", "goals=clear,less_astringent", "-a", "base_kind=tea-or-coffee",
         "-a", "no_dairy=yes", "--json"]
    )
    assert code == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert "strip" in {r["technique"] for r in data["refused"]}
    assert not [o for o in data["ranked"] if o["contains_milk"]]


def test_answers_are_laid_over_a_brief(capsys):
    """One limit more on a written brief changes the choice."""
    path = f"{BRIEFS}/punch-for-a-wedding.yaml"
    assert main(["choose", "--brief", path, "-a", "no_dairy=yes", "--json"]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert data["first"] != "strip"
    assert "strip" in {r["technique"] for r in data["refused"]}


def test_a_list_on_the_command_line_replaces_the_one_in_the_file(capsys):
    """``-a goals=foam`` wants foam and nothing else."""
    path = f"{BRIEFS}/punch-for-a-wedding.yaml"
    assert main(["choose", "--brief", path, "-a", "goals=foam", "--json"]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert set(data["ranked"][0]["serves"]) == {"goal_foam"}


def test_why_names_weights_and_sources(capsys):
    """Everything behind a technique, with where it comes from."""
    path = f"{BRIEFS}/punch-for-a-wedding.yaml"
    assert main(["choose", "--brief", path, "--why", "strip"]) == Exit.OK
    out = capsys.readouterr().out
    assert "WHY: Milk wash" in out
    assert "dB, strong" in out
    assert "You said" in out
    assert "Ye and others 2013" in out or "Ye " in out


def test_why_not_gives_the_way_out(capsys):
    """A refused technique is explained as well."""
    path = f"{BRIEFS}/same-punch-without-dairy.yaml"
    assert main(["choose", "--brief", path, "--why", "strip"]) == Exit.OK
    out = capsys.readouterr().out
    assert "WHY NOT: Milk wash" in out
    assert "Way out:" in out.split("WHY NOT", 1)[1]


def test_what_is_saved_gives_the_same_choice(tmp_path, capsys):
    """--save keeps a brief that protocol and choose read."""
    path = tmp_path / "mine.yaml"
    told = ["-a", "goals=foam", "-a", "no_egg=yes", "--save", str(path), "--json"]
    assert main(["choose", *told]) == Exit.OK
    first = json.loads(capsys.readouterr().out)["first"]
    assert main(["choose", "--brief", str(path)]) == Exit.OK
    out = capsys.readouterr().out
    assert f"curdwise protocol --brief {path} --technique {first}" in out


def test_everything_that_can_be_said_is_listed(capsys):
    """Techniques and findings, as text and as data."""
    assert main(["choose", "--list"]) == Exit.OK
    out = capsys.readouterr().out
    assert "strip: Milk wash (may bring milk)" in out
    assert "base_strength" in out
    assert main(["choose", "--list", "--json"]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert {"techniques", "findings"} == set(data)


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["-a", "base_kind=spirit"], Exit.INPUT, "does not say what is wanted"),
        (["-a", "goals=palar"], Exit.INPUT, "did you mean paler"),
        (["-a", "goals=clear", "-a", "batch_volume=0"], Exit.INPUT, "cannot be 0"),
        (["-a", "goals"], Exit.INPUT, "is not NAME=VALUE"),
        (["--brief", "none.yaml"], Exit.INPUT, "cannot be read"),
        (["-a", "goals=clear", "--why", "strpi"], Exit.INPUT, "did you mean strip"),
        (["--brief", "a.yaml", "--resume", "b.yaml"], Exit.USAGE, "give one"),
        (
            ["-a", "goals=clear", "-a", "base_strength=90 %", "-a", "base_sugar=400"],
            Exit.INPUT,
            "cannot be in one drink",
        ),
    ],
)
def test_a_wrong_call_is_refused_in_words(arguments, code, said, capsys):
    """Every fault says what is wrong and ends with the right exit code, on standard error."""
    assert main(["choose", *arguments]) == code
    out = capsys.readouterr()
    assert said in out.err
    assert out.out == ""
    assert "Traceback" not in out.err


def test_without_a_terminal_it_names_the_flags():
    """In a pipe nobody can be asked."""
    done = run()
    assert done.returncode == Exit.USAGE
    assert "--brief FILE" in done.stderr


def test_a_conversation_by_numbers_ends_in_a_choice():
    """ACCESSIBLE=1: lists by number, skips, and the choice on standard output."""
    answers = [
        "1 4",  # less drying, clear
        "4",  # tea or coffee
        "15",  # skip the rest of the base
        "",  # holds: none
        "1",  # limits: no dairy
        "1 2 5",  # paper, cloth, scale
        "stop",
        "1",  # that is all
    ]
    done = run(stdin="\n".join(answers) + "\n", ACCESSIBLE="1")
    assert done.returncode == Exit.OK, done.stderr
    assert "First choice:" in done.stdout
    assert "Contains milk" not in done.stdout
    assert "\x1b" not in done.stdout
    assert "┌" not in done.stdout


def test_an_interrupted_conversation_is_kept(tmp_path):
    """When the answers end, what was said is saved with the command that goes on."""
    done = run(stdin="1 4\n", ACCESSIBLE="1", XDG_STATE_HOME=str(tmp_path))
    assert done.returncode == Exit.INTERRUPTED
    kept = list((tmp_path / "curdwise").glob("brief-*.yaml"))
    assert len(kept) == 1
    assert f"curdwise choose --resume {kept[0]}" in done.stderr


def test_both_engines_give_the_same_choice(capsys):
    """--engine changes the name in the result and nothing else."""
    path = f"{BRIEFS}/everything-at-once.yaml"
    found = []
    for engine in ("default", "reference"):
        assert main(["choose", "--brief", path, "--engine", engine, "--json"]) == Exit.OK
        data = json.loads(capsys.readouterr().out)
        assert data.pop("engine")
        found.append(data)
    assert found[0] == found[1]


def test_the_next_command_holds_what_the_command_line_said(capsys):
    """It can be copied and works: answers of -a are in no file."""
    line = ["choose", "-a", "base_kind=wine", "-a", "base_strength=12 %", "-a", "goals=clear,paler"]
    assert main(line) == Exit.OK
    last = capsys.readouterr().out.splitlines()[-1]
    assert "FILE" not in last
    assert "-a base_kind=wine -a 'base_strength=12 %' -a goals=clear,paler" in last
    assert main(shlex.split(last.removeprefix("next: curdwise "))) == Exit.OK


def test_the_next_best_says_what_it_brings():
    """Egg white is an allergen as milk is (Regulation 1169/2011 Annex II no. 3)."""
    from advisor.report.choice import _next_best
    from tests.technique.protocol.briefs import WINE, base, brief

    choice = choose(base(), brief(WINE, goals=["less_astringent"]))
    egg = next(o for o in choice.ranked if "egg" in o.allergens)
    there = replace(choice, ranked=(choice.ranked[0], replace(egg, standing=5.0)))
    assert any(line.text == "contains egg" for line in _next_best(there))
