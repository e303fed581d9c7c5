"""``curdwise knowledge check`` on folders and on files, by hand and before a commit."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import yaml

from advisor.cli import main
from advisor.knowledge import load as loading
from advisor.knowledge.belongs import whole_folders
from tests.smallbase import FILES, changed, write_small

ROOT = Path(__file__).parent.parent.parent.parent
HOUSE = """\
rules:
  - id: house-rule
    title: What we see here
    stage: contact
    when: {all: [{bitter: yes}, {house_finding: yes}]}
    then: {suspect: {too-short: slight}}
    because: We saw it.
    source: [practice]
    examples:
      - {given: {bitter: yes, house_finding: yes}, fires: true}
      - {given: {bitter: yes, house_finding: no}, fires: false}
"""
FINDING = """\
findings:
  - {id: house_finding, label: a house finding, ask: And here?, kind: yes-no, group: seen}
"""


@pytest.fixture
def shipped(tmp_path, monkeypatch):
    """The small base in the place of the shipped one."""
    folder = write_small(tmp_path / "shipped")
    monkeypatch.setattr(loading, "shipped_folder", lambda: folder)
    return folder


def test_a_good_base_gives_nothing_and_zero(tmp_path, capsys) -> None:
    """Nothing is printed on standard output, and the exit code is 0."""
    assert main(["knowledge", "check", str(write_small(tmp_path / "good"))]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert "0 errors, 0 notes" in err


def test_every_fault_is_printed_with_its_place(tmp_path, capsys) -> None:
    """file:line:column, the message, the code, the line and a suggestion; exit code 1."""
    folder = write_small(
        tmp_path / "bad",
        changed(("when: {gassy: yes}", "when: {gasy: yes}"), ("curd: {weak:", "curd: {weka:")),
    )
    assert main(["knowledge", "check", str(folder)]) == 1
    out = capsys.readouterr().out
    rules, causes = folder / "rules.yaml", folder / "causes.yaml"
    line = rules.read_text().splitlines().index("    when: {gasy: yes}") + 1
    assert f"{rules}:{line}:12: there is no finding or figure 'gasy' [unknown-finding]" in out
    assert "did you mean gassy?" in out
    assert re.search(rf"{causes}:\d+:\d+: .*weka", out)


def test_counts_are_words_of_their_number(shipped, tmp_path, capsys) -> None:
    """One is one error and one note; what was left out is told, with that more may follow."""
    text = HOUSE.replace("too-short: slight", "too-shrt: slight") + FINDING
    folder = write_small(tmp_path / "house", {"ours.yaml": text})
    assert main(["knowledge", "check", str(folder)]) == 1
    err = capsys.readouterr().err
    assert "1 error, 0 notes" in err
    assert "1 record or file left out of the other checks: more may show later" in err


def test_a_house_hears_only_of_what_it_brings_in(tmp_path, capsys, monkeypatch) -> None:
    """Notes that the shipped base has by itself are not repeated; those a house causes are its."""
    more = "sources:\n  - {id: unread-2000, title: Unread, mark: seen}\n"
    base = write_small(tmp_path / "noted", changed(more=more))
    monkeypatch.setattr(loading, "shipped_folder", lambda: base)
    assert main(["knowledge", "check"]) == 0
    out, err = capsys.readouterr()
    assert "unread-2000" in out
    assert "0 errors, 1 note\n" in err
    off = "switch_off:\n  - {id: longer-next, why: no time}\n"
    folder = write_small(tmp_path / "house", {"ours.yaml": HOUSE + FINDING + off})
    assert main(["knowledge", "check", str(folder)]) == 0
    out, err = capsys.readouterr()
    assert "unread-2000" not in out
    assert (
        f"{folder / 'ours.yaml'}:15:10: note: no remedy for the next batch speaks of too-short"
        in out
    )
    assert "0 errors, 1 note\n" in err


def test_notes_of_a_kind_are_counted_not_listed(tmp_path, capsys) -> None:
    """Of many notes of one kind a few are shown; an option and JSON show all."""
    more = "sources:\n" + "".join(
        f"  - {{id: unread-{n}, title: Unread, mark: seen}}\n" for n in range(2000, 2009)
    )
    folder = str(write_small(tmp_path / "noted", changed(more=more)))
    assert main(["knowledge", "check", folder]) == 0
    out = capsys.readouterr().out
    assert out.count("nothing cites") == 3
    assert "6 more like it [source-unused]" in out
    assert main(["knowledge", "check", folder, "--every-note"]) == 0
    assert capsys.readouterr().out.count("nothing cites") == 9
    assert main(["knowledge", "check", folder, "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["problems"]) == 9
    assert main(["knowledge", "check", folder, "--no-notes"]) == 0
    assert capsys.readouterr().out == ""


def test_a_file_of_a_base_is_checked_with_its_base(tmp_path, capsys) -> None:
    """Named alone, a file does not miss what stands in the files beside and above it."""
    folder = tmp_path / "own"
    write_small(folder, {name: text for name, text in FILES.items() if name != "rules.yaml"})
    write_small(folder / "rules", {"all.yaml": FILES["rules.yaml"]})
    assert main(["knowledge", "check", str(folder / "rules" / "all.yaml")]) == 0
    assert "8 rules" in capsys.readouterr().err


def test_the_files_of_a_house_are_checked_with_their_folder(
    shipped, tmp_path, capsys, monkeypatch
) -> None:
    """Before a commit only the changed file is named; the rest of the house counts as well."""
    house = tmp_path / "repository" / "house"
    write_small(house / "rules", {"ours.yaml": HOUSE})
    write_small(house / "findings", {"ours.yaml": FINDING})
    write_small(tmp_path / "repository", {"compose.yaml": "services: {web: {image: x}}\n"})
    monkeypatch.chdir(tmp_path / "repository")
    assert main(["knowledge", "check", "house/rules/ours.yaml", "house/findings/ours.yaml"]) == 0
    assert main(["knowledge", "check", "house/rules/ours.yaml"]) == 0
    capsys.readouterr()
    (house / "findings" / "ours.yaml").unlink()
    assert main(["knowledge", "check", "house/rules/ours.yaml"]) == 1
    assert "house/rules/ours.yaml:5:" in capsys.readouterr().out


def test_a_file_among_strangers_is_checked_alone(shipped, tmp_path, monkeypatch, capsys) -> None:
    """YAML that is no knowledge is left alone when one file of knowledge is named."""
    files = {"ours.yaml": FINDING + HOUSE, "compose.yaml": "services: {}\n"}
    write_small(tmp_path / "mixed", files)
    monkeypatch.chdir(tmp_path)
    assert main(["knowledge", "check", "mixed/ours.yaml"]) == 0
    assert whole_folders([Path("mixed/ours.yaml")]) == [Path("mixed/ours.yaml")]


def test_folders_named_twice_are_checked_once(tmp_path) -> None:
    """Several files of one folder are one folder."""
    folder = write_small(tmp_path / "base")
    named = [folder / "rules.yaml", folder / "causes.yaml", folder]
    assert whole_folders(named) == [folder]


def test_a_path_that_is_not_there_says_so(tmp_path, capsys) -> None:
    """A name that does not exist ends in an error of its own, never in silence."""
    assert main(["knowledge", "check", str(tmp_path / "nowhere.yaml")]) == 4
    assert "knowledge-missing" in capsys.readouterr().err


def test_the_hook_runs_a_command_that_is_there(tmp_path, capsys) -> None:
    """The hook file names a command of this program, takes YAML files and runs them together."""
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert {"id", "name", "entry", "language"} <= hook.keys()
    assert hook["language"] == "python"
    assert hook["types"] == ["yaml"]
    assert hook["require_serial"] is True  # all names in one run, so that a base is read once
    assert hook.get("pass_filenames", True) is True
    program, *command = hook["entry"].split()
    assert program == "curdwise"
    folder = write_small(tmp_path / "base")
    named = [str(path) for path in sorted(folder.glob("*.yaml"))]
    assert main([*command, *named]) == 0
    capsys.readouterr()
    (folder / "rules.yaml").write_text("rules: [{id: A}]\n", encoding="utf-8")
    assert main([*command, *named]) == 1
    assert f"{folder / 'rules.yaml'}:1:" in capsys.readouterr().out


def test_rules_that_would_stop_a_chain_have_their_place(tmp_path, capsys) -> None:
    """What the engine would refuse is told before, at the rule's own line."""
    more = """\
rules:
  - id: round-about
    title: Round about
    stage: milk
    when: {all: [{haze_kind: missing}, {cloudy: yes}]}
    then: {conclude: {haze_kind: fat}}
    because: It is.
    source: [practice]
    examples:
      - {given: {cloudy: yes}, fires: true}
      - {given: {cloudy: no}, fires: false}
"""
    folder = write_small(tmp_path / "bad", changed(more=more))
    assert main(["knowledge", "check", str(folder)]) == 1
    assert f"{folder / 'more.yaml'}:2:5: rule round-about fires when" in capsys.readouterr().out
