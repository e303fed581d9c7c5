"""``curdwise evaluate`` as a person, or a build, calls it."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import jsonschema
import pytest

from advisor.cli import Exit, main
from advisor.cli.evaluate import evaluate
from advisor.cli.schema import schema_text, schemas
from advisor.consult import read_case
from advisor.errors import AdvisorError
from advisor.evaluation.cases import TELLING
from advisor.evaluation.summary import BY
from tests.evaluation.known import Batch

ROOT = Path(__file__).parent.parent.parent
DEMO = ROOT / "scenarios_demo"
TWO = [str(DEMO / "05-oat-drink.yaml"), str(DEMO / "16-hissing-bottle.yaml")]


@pytest.fixture
def simulator(monkeypatch):
    """A made-up simulator of batches that lack acid; every third says that it is something else."""
    made = ModuleType("advisor.simulator")
    asked = []

    def simulate(seed, *, topic=None, difficulty="ordinary", faults=None):
        asked.append((seed, topic, difficulty, faults))
        if difficulty == "impossible":
            raise AdvisorError("simulate-difficulty", "no such difficulty")
        fault = "acid-short-casein-left" if seed % 3 else "buttery-note"
        return Batch(
            seed=seed,
            faults=(fault,),
            accept=(fault,),
            symptoms=("cloud_at_filter",),
            told={"operation": "strip", "milk_kind": "whole"},
            answers={"acid_drop": "flakes", "paper_test": "cloudy-throughout"},
        )

    made.simulate = simulate
    monkeypatch.setitem(sys.modules, "advisor.simulator", made)
    return asked


def test_case_files_are_evaluated(capsys):
    """Files give a report on standard output, and nothing on standard error."""
    assert main(["evaluate", *TWO, "--jobs", "1"]) == Exit.OK
    out = capsys.readouterr()
    assert "2 case files" in out.out
    assert re.search(r"right cause or verdict first +2 +2 +100\.0 %", out.out)
    assert out.err == ""


def test_json_is_the_only_thing_on_standard_output(capsys, tmp_path):
    """A program reads the numbers by the published schema; talk goes to standard error."""
    code = main(
        ["evaluate", *TWO, "--json", "--progress", "--jobs", "1", "--csv", str(tmp_path / "out")]
    )
    assert code == Exit.OK
    out = capsys.readouterr()
    data = json.loads(out.out)
    jsonschema.validate(data, schemas()["evaluation"]())
    assert data["summary"]["top1"]["right"] == 2
    assert "2 of 2" in out.err
    assert (tmp_path / "out" / "cases.csv").exists()


def test_the_schema_that_ships_is_the_one_in_force():
    """The schema file is written again whenever the shape behind it changes."""
    shipped = ROOT / "advisor" / "schemas" / "evaluation.schema.json"
    assert shipped.read_text() == schema_text("evaluation")


def test_the_command_offers_every_table_and_every_way_of_telling():
    """The words of the options are those of the library, which is not loaded for the help."""
    words = {p.name: getattr(p.type, "choices", ()) for p in evaluate.params}
    assert tuple(words["tables"]) == tuple(BY)
    assert tuple(words["telling"]) == TELLING


def test_a_limit_that_is_not_kept_ends_with_1(capsys):
    """A build stops when the advice gets worse, and is told by how much."""
    assert main(["evaluate", TWO[0], "--jobs", "1", "--at-least", "top1=1"]) == Exit.OK
    assert main(["evaluate", TWO[0], "--jobs", "1", "--at-most", "brier=0"]) == Exit.FOUND
    out = capsys.readouterr()
    assert "brier is 0." in out.err
    assert "above 0" in out.err


def test_simulated_batches_are_evaluated(capsys, simulator):
    """Seeds run on from the first; misses are listed with their seed and what spoke for them."""
    code = main(
        ["evaluate", "--simulated", "4", "--seed", "5", "--jobs", "1", "--details", "--by", "fault",
         "--topic", "acid", "--difficulty", "hard", "--fault", "x"]
    )  # fmt: skip
    assert code == Exit.OK
    assert simulator == [(seed, "acid", "hard", ("x",)) for seed in (5, 6, 7, 8)]
    out = capsys.readouterr().out
    assert "4 simulated batches" in out
    assert "Simulated: seeds 5 to 8, hard, topic acid, fault x" in out
    assert "BY FAULT" in out
    assert re.search(r"MISSES \([1-4]\)", out)
    assert re.search(r"seed 6: buttery-note -> [a-z-]+", out)
    assert "acid_drop=flakes" in out


def test_the_same_seed_gives_the_same_numbers(capsys, simulator):
    """Twice the same command, in one process or two, prints the same to the last digit."""
    texts = []
    for jobs in ("1", "1", "2"):
        arguments = ["evaluate", "-n", "6", "--conditions", "--json", "--jobs", jobs]
        assert main(arguments) == Exit.OK
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1] == texts[2]
    assert len(json.loads(texts[0])["conditions"]) == 3


def test_processes_that_share_the_base_change_nothing(capsys):
    """The demo cases give the same numbers in one process and in two that began as copies."""
    assert main(["evaluate", str(DEMO), "--json", "--jobs", "1"]) == Exit.OK
    ours = capsys.readouterr().out
    code = (
        "import sys\n"
        "from advisor.cli import main\n"
        "from advisor.evaluation import run\n"
        "print(run._context().get_start_method(), file=sys.stderr)\n"
        "sys.exit(main(sys.argv[1:]))\n"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, "evaluate", str(DEMO), "--json", "-j", "2"],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == Exit.OK, done.stderr
    assert done.stdout == ours
    if sys.platform == "linux":
        assert done.stderr == "fork\n"


def test_a_seed_can_be_shown_as_a_case(capsys, simulator, tmp_path):
    """The batch of a seed is printed as a case file that diagnose takes."""
    assert main(["evaluate", "--show-seed", "17"]) == Exit.OK
    path = tmp_path / "17.yaml"
    path.write_text(capsys.readouterr().out, encoding="utf-8")
    case = read_case(path)
    assert case.invented
    assert case.expect["cause"] == "acid-short-casein-left"
    assert main(["diagnose", "--case", str(path), "--json"]) == Exit.OK
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"]["cause"] == "acid-short-casein-left"
    assert main(["evaluate", str(path), "--jobs", "1"]) == Exit.OK


def test_the_real_simulator_and_the_base_speak_the_same_words(capsys, tmp_path):
    """Real batches are understood to the last answer, and one can be kept and diagnosed."""
    assert main(["evaluate", "-n", "6", "--seed", "101", "--json", "--jobs", "1"]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    jsonschema.validate(data, schemas()["evaluation"]())
    assert data["unread"] == []
    assert data["settings"]["simulator"] == "seeds 101 to 106, ordinary"
    for seed in ("101", "102", "103"):
        assert main(["evaluate", "--show-seed", seed]) == Exit.OK
        path = tmp_path / f"{seed}.yaml"
        path.write_text(capsys.readouterr().out, encoding="utf-8")
        assert main(["diagnose", "--case", str(path), "--json"]) == Exit.OK
        capsys.readouterr()
    assert main(["evaluate", "--show-seed", "101", "--difficulty", "x"]) == Exit.INPUT
    assert "easy, ordinary, hard" in capsys.readouterr().err


def test_answers_that_the_base_does_not_know_end_with_1(capsys, simulator, monkeypatch):
    """A simulator that speaks other words than the base is found out, seed by seed."""
    batch = Batch(symptoms=("cloud_at_filter",), answers={"acid_drop": "sparkles"})
    monkeypatch.setattr(sys.modules["advisor.simulator"], "simulate", lambda seed, **_: batch)
    assert main(["evaluate", "-n", "1", "--jobs", "1"]) == Exit.FOUND
    assert "seed 7: acid_drop has no answer 'sparkles'" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        ((), Exit.USAGE, "--simulated N"),
        (("nowhere.yaml",), Exit.INPUT, "cannot be read"),
        ((TWO[0], "--at-least", "top9=1"), Exit.INPUT, "no measure 'top9'"),
        ((TWO[0], "--at-least", "top1"), Exit.INPUT, "NAME=NUMBER"),
        ((TWO[0], "--by", "moon"), Exit.USAGE, "--by"),
        ((TWO[0], "--as-asked"), Exit.USAGE, "--show-seed"),
        ((TWO[0], "--knowledge", "nowhere"), Exit.KNOWLEDGE, "no such knowledge folder"),
        (("-n", "1", "--difficulty", "impossible"), Exit.INPUT, "no such difficulty"),
        (("-n", "0"), Exit.USAGE, "--simulated"),
    ],
)
def test_wrong_input_is_said_plainly(capsys, simulator, arguments, code, said):
    """Every mistake ends in its exit code and a sentence, never in a traceback."""
    assert main(["evaluate", "--jobs", "1", *arguments]) == code
    assert said in capsys.readouterr().err


def test_all_faults_of_all_files_come_at_once(capsys, tmp_path):
    """Two wrong files give two problems, each with its place."""
    for name in ("a", "b"):
        (tmp_path / f"{name}.yaml").write_text(
            "answers: {symptoms: [cloud_at_filter], acid_drop: sparkles}\n"
            "expect: {cause: low-acid-base}\n"
        )
    assert main(["evaluate", str(tmp_path)]) == Exit.INPUT
    err = capsys.readouterr().err
    assert "a.yaml:1" in err
    assert "b.yaml:1" in err


def test_files_that_expect_nothing_are_left_out(capsys, tmp_path):
    """They are counted on standard error; alone they are an error."""
    path = tmp_path / "plain.yaml"
    path.write_text("answers: {symptoms: [cloud_at_filter]}\n")
    assert main(["evaluate", TWO[0], str(path), "--jobs", "1"]) == Exit.OK
    assert "1 case files say nothing" in capsys.readouterr().err
    assert main(["evaluate", str(path), "--jobs", "1"]) == Exit.INPUT
    assert "expect" in capsys.readouterr().err
