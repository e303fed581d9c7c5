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
    page = tmp_path / "class.html"
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


@pytest.fixture
def own(tmp_path, monkeypatch):
    """The place of the store that nobody named, and of finished drills on their way to it."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "XDG_DATA_HOME"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "XDG_STATE_HOME"))
    monkeypatch.delenv("CURDWISE_STORE", raising=False)
    return tmp_path / "XDG_DATA_HOME" / "curdwise" / "progress.sqlite3"


def files(folder):
    """Everything below a folder, with its bytes."""
    return {p: p.read_bytes() if p.is_file() else b"" for p in folder.rglob("*")}


def test_to_look_changes_nothing_that_was_named(own, tmp_path, capsys, monkeypatch):
    """Notes, and a place that is not there: told, and left as they are."""
    (tmp_path / "n.txt").write_text("notes\n")
    before = files(tmp_path)
    for name in ("n.txt", "no/such.sqlite3", "such.sqlite3"):
        assert main(["class", "list", "--store", str(tmp_path / name)]) == Exit.INPUT
        monkeypatch.setenv("CURDWISE_STORE", str(tmp_path / name))
        assert main(["class", "list"]) == Exit.INPUT
        assert main(["drill", "list"]) == Exit.OK
        monkeypatch.delenv("CURDWISE_STORE")
    err = capsys.readouterr().err
    assert "the file was left as it was" in err
    assert "there is no progress store here" in err
    assert files(tmp_path) == before


def test_looking_at_another_store_moves_nothing_there(own, store, capsys, monkeypatch):
    """What was finished here waits, and is said to; it goes into the own store, or the one that the
    environment names."""
    from advisor.drills.spool import Spool

    Spool().save(result("Cy", "s9"))
    assert main(["class", "list", "--store", store]) == Exit.OK
    told = capsys.readouterr()
    assert "Cy" not in told.out
    assert "1 finished here" in told.err
    assert main(["class", "list"]) == Exit.OK
    assert "Cy" in capsys.readouterr().out
    Spool().save(result("Di", "s9"))
    monkeypatch.setenv("CURDWISE_STORE", store)
    assert main(["class", "list", "--store", f"sqlite:///{store}"]) == Exit.OK
    assert "Di" in capsys.readouterr().out


def test_a_store_that_the_environment_names_is_made_for_a_first_result(
    own, tmp_path, capsys, monkeypatch
):
    """Not before, and then it has all of it."""
    from advisor.drills.spool import Spool

    monkeypatch.setenv("CURDWISE_STORE", str(tmp_path / "school.sqlite3"))
    assert main(["class", "list"]) == Exit.INPUT
    Spool().save(result("Cy"))
    assert main(["class", "list"]) == Exit.OK
    assert "Cy" in capsys.readouterr().out
    assert (tmp_path / "school.sqlite3").exists()
    assert not own.exists()


def test_one_odd_name_stops_no_command(own, capsys):
    """It is set aside once, with what to do; every command goes on."""
    from advisor.drills.spool import Spool

    Spool().save(result("   "))
    Spool().save(result("Bo"))
    assert main(["class", "list"]) == Exit.OK
    told = capsys.readouterr()
    assert "Bo" in told.out
    assert "set-aside" in told.err
    assert main(["class", "list"]) == Exit.OK
    assert capsys.readouterr().err == ""


def test_nearly_equal_names_are_pointed_out(own, capsys):
    """In one class only."""
    from advisor.drills.spool import Spool

    for who, group in (("Ann", "A"), ("ann", "A"), ("ANN", "B")):
        Spool().save(result(who, group=group))
    for arguments in (["list"], ["report", "A"]):
        assert main(["class", *arguments]) == Exit.OK
        err = capsys.readouterr().err
        assert "Ann and ann (A) count as 2 people" in err
        assert "ANN" not in err


def test_a_name_is_found_however_it_is_typed(own, capsys):
    """With spaces around it, and with its accent put together in the other way."""
    from advisor.drills.spool import Spool

    Spool().save(result("Zo\u00eb B", group="Caf\u00e9"))
    assert main(["class", "export", " Zoe\u0308  B ", "--class", "Cafe\u0301"]) == Exit.OK
    assert json.loads(capsys.readouterr().out)["name"] == "Zo\u00eb B"
    assert main(["class", "report", "Cafe\u0301 ", "--json"]) == Exit.OK
    assert json.loads(capsys.readouterr().out)["class"] == "Caf\u00e9"


def test_whoever_only_began_a_drill_can_be_deleted(own, capsys):
    """The name stands in the journal alone, and goes with it."""
    from advisor.drills.journal import Journal
    from advisor.drills.places import journal_folder
    from tests.drills.stage import started

    journals = [
        Journal.begin(journal_folder(), started(learner="Cy", group=group)) for group in ("A", "B")
    ]
    for journal in journals:
        journal.close()
    elsewhere = str(own.parent.parent / "typo.sqlite3")
    assert main(["class", "delete", "Cy", "--class", "A", "--yes", "--store", elsewhere]) == (
        Exit.INPUT
    )
    assert main(["class", "delete", "Cy", "--yes"]) == Exit.INPUT
    assert all(j.path.exists() for j in journals)
    assert "several classes: A, B" in capsys.readouterr().err
    assert main(["class", "delete", "Cy", "--class", "A"]) == Exit.INPUT  # unsure: no --yes
    assert journals[0].path.exists()
    assert main(["class", "delete", "Cy", "--class", "A", "--yes"]) == Exit.OK
    assert [j.path.exists() for j in journals] == [False, True]
    assert main(["class", "delete", "Cy", "--yes"]) == Exit.OK
    assert not journals[1].path.exists()
    assert main(["class", "delete", "Cy", "--yes"]) == Exit.INPUT
    assert "no learner" in capsys.readouterr().err


def test_what_was_set_aside_of_a_person_goes_with_them(own, capsys):
    """A sheet that was of Ann is Anna's now; whoever deletes Ann finds nothing of her left."""
    from advisor.drills.spool import SheetResults, Spool

    for who in ("Ann", "Anna"):
        Spool().save_sheet(SheetResults("e", "f", (result(who, mode="exam"),)))
        assert main(["class", "list"]) == Exit.OK
    assert "was of Ann (Tuesday) is now of Anna" in capsys.readouterr().err
    assert '"Ann"' in Spool().aside.read_text()
    Spool().save(result("Ann"))
    assert main(["class", "delete", "Ann", "--yes"]) == Exit.OK
    assert "1 set aside" in capsys.readouterr().err
    assert Spool().aside.read_text() == ""


@pytest.mark.parametrize("option", ["--html", "--csv"])
def test_no_folder_is_made_on_the_way(store, tmp_path, capsys, option):
    """A page goes where its folder is; of tables the last folder alone is made."""
    before = files(tmp_path)
    place = str(tmp_path / "no" / "such")
    assert main(["class", "report", option, place, "--store", store]) == Exit.INPUT
    assert f"there is no folder {tmp_path / 'no'}" in capsys.readouterr().err
    assert main(["class", "export", "=Bo", "-o", place, "--store", store]) == Exit.INPUT
    assert files(tmp_path).keys() == before.keys()
