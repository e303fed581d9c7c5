"""``curdwise class`` from the command line."""

from __future__ import annotations

import csv
import json
import re

import pytest

from advisor.cli import Exit, main
from advisor.drills.progress import Progress
from advisor.store import open_store
from tests.drills.results import result


@pytest.fixture
def store(tmp_path, monkeypatch):
    """A store with two learners, and folders of its own for everything else."""
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    monkeypatch.setenv("COLUMNS", "80")
    path = tmp_path / "school.sqlite3"
    with open_store(str(path)) as opened:
        Progress(opened).save_all(
            [
                result("Ann", "s1", 0),
                result("=Bo", "s1", 1, score=0.4, safety_missed=("contains-milk",)),
                result("Ann", "s2", 2, group="Friday"),
            ]
        )
    return str(path)


def test_the_report_is_the_default(store, capsys):
    """``curdwise class`` alone reports on everybody, safety first."""
    assert main(["class", "--store", store]) == Exit.OK
    out = capsys.readouterr().out
    assert out.index("LEFT UNSAID") < out.index("LEARNERS") < out.index("BY STAGE")
    assert all(len(line) <= 80 for line in out.splitlines())


def test_one_class_as_json(store, capsys):
    """Only that class, every table with named columns."""
    assert main(["class", "report", "Tuesday", "--json", "--store", store]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert data["drills"] == 2
    assert [row["learner"] for row in data["tables"]["learners"]] == ["=Bo", "Ann"]
    assert data["tables"]["safety"] == [{"left out": "contains milk", "times": 1, "by": "=Bo"}]


def test_csv_files_hold_no_formula(store, tmp_path):
    """A name that a spreadsheet would run is plain text there."""
    folder = tmp_path / "sheets"
    assert main(["class", "report", "--csv", str(folder), "--store", store]) == Exit.OK
    with (folder / "learners.csv").open(encoding="utf-8", newline="") as file:
        names = [row["learner"] for row in csv.DictReader(file)]
    assert "'=Bo" in names
    assert {p.name for p in folder.iterdir()} >= {"mastery.csv", "scenarios.csv", "stages.csv"}


def test_the_page_is_whole_and_escaped(store, tmp_path):
    """One page with charts, and nothing fetched."""
    page = tmp_path / "out" / "class.html"
    assert main(["class", "report", "--html", str(page), "--store", store]) == Exit.OK
    text = page.read_text(encoding="utf-8")
    assert text.count("<svg") == 2
    assert not re.search(r"<script|src=|<link", text)
    assert "=Bo" in text


def test_a_person_is_exported_and_deleted(store, capsys):
    """Everything kept of one is handed over whole; after deletion nobody of that name is left."""
    assert main(["class", "export", "=Bo", "--store", store]) == Exit.OK
    data = json.loads(capsys.readouterr().out)
    assert [d["score"] for d in data["drills"]] == [0.4]
    assert main(["class", "delete", "=Bo", "--store", store]) == Exit.INPUT  # unsure: no --yes
    assert main(["class", "delete", "=Bo", "--yes", "--store", store]) == Exit.OK
    assert main(["class", "learner", "=Bo", "--store", store]) == Exit.INPUT
    assert "no learner" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["report", "Tusday"], "did you mean Tuesday"),
        (["learner", "An"], "did you mean Ann"),
        (["learner", "Ann"], "several classes"),
        (["report", "--mode", "exam"], "no exam drill"),
        (["report", "--html", "/proc/no/page.html"], "cannot be written"),
    ],
)
def test_slips_are_told(store, capsys, arguments, said):
    """A wrong name or place gives one clear sentence."""
    assert main(["class", *arguments, "--store", store]) == Exit.INPUT
    err = capsys.readouterr().err
    assert said in err
    assert "Traceback" not in err


def test_a_learner_sees_their_own_page(store, capsys):
    """Skills with attempts, and what the numbers assume."""
    assert main(["class", "learner", "Ann", "--class", "Friday", "--store", store]) == Exit.OK
    out = capsys.readouterr().out
    assert "find a fault of acid" in out
    assert "1 of 1 attempt" in out
    assert "fitted to this class" in out


def test_a_deleted_person_leaves_no_unfinished_drill_behind(store, capsys):
    """A drill that was begun and left holds the name too, and goes with it."""
    from advisor.drills.journal import Journal
    from advisor.drills.places import journal_folder
    from tests.drills.stage import started

    own = Journal.begin(journal_folder(), started(learner="=Bo", group="Tuesday"))
    other = Journal.begin(journal_folder(), started(learner="Ann", group="Tuesday"))
    namesake = Journal.begin(journal_folder(), started(learner="=Bo", group="Friday"))
    for journal in (own, other, namesake):
        journal.close()
    assert main(["class", "delete", "=Bo", "--yes", "--store", store]) == Exit.OK
    assert "1 left unfinished" in capsys.readouterr().err
    assert not own.path.exists()
    assert other.path.exists()
    assert namesake.path.exists()
