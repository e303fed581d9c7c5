"""A house's own knowledge over the shipped one: added, replaced, switched off, or refused whole."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge import load as loading
from advisor.knowledge.base import Base
from advisor.knowledge.load import (
    check_folders,
    check_whole,
    knowledge_files,
    load,
    load_written,
)
from advisor.knowledge.yamlread import MOST_BYTES
from tests.smallbase import FILES, changed, write_small

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from advisor.errors import Problem

ADDED = """\
rules:
  - id: house-rule
    title: What we see here
    stage: contact
    when: {bitter: yes}
    then: {suspect: {too-short: slight}}
    because: We saw it.
    source: [practice]
    examples:
      - {given: {bitter: yes}, fires: true}
      - {given: {bitter: no}, fires: false}
"""
REPLACED = """\
cautions:
  - {id: keep-cold, level: stop, text: Keep it on ice., source: [judgement]}
"""
GAS = """\
rules:
  - id: gas-is-growth
    title: Gas is growth
    stage: storage
    when: {gassy: yes}
    then: {verdict: discard, caution: [keep-cold]}
    because: Gas does not come from milk alone.
    source: [practice]
    examples:
      - {given: {gassy: yes}, fires: true}
      - {given: {gassy: no}, fires: false}
"""
OFF = """\
switch_off:
  - {id: second-pass, why: we never do that}
"""


@pytest.fixture
def shipped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small base in the place of the shipped one, and a cache of its own."""
    folder = write_small(tmp_path / "shipped")
    monkeypatch.setattr(loading, "shipped_folder", lambda: folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return folder


def house(tmp_path: Path, **files: str) -> Path:
    return write_small(tmp_path / "house", {f"{name}.yaml": text for name, text in files.items()})


def test_a_house_adds_replaces_and_switches_off(shipped: Path, tmp_path: Path) -> None:
    """Each change of a house is made, and reported in the base."""
    base = load([house(tmp_path, a=ADDED, b=REPLACED, c=OFF)])
    assert "house-rule" in base.rules
    assert base.cautions["keep-cold"].text == "Keep it on ice."
    assert "second-pass" not in base.remedies
    place = tmp_path / "house"
    assert base.overlays == (
        f"added rule house-rule ({place}/a.yaml:2:9)",
        f"replaced caution keep-cold ({place}/b.yaml:2:10)",
        "switched off remedy second-pass: we never do that",
    )
    assert load().overlays == ()


def test_the_checks_of_a_house_run_over_the_shipped_base(shipped: Path, tmp_path: Path) -> None:
    """Checking a folder without ``base:`` checks it together with the shipped base."""
    base, problems = check_folders([house(tmp_path, a=ADDED, b=REPLACED)])
    assert base is not None
    # The house's rule repeats a row of a table: worth a note, no fault.
    assert [(p.code, p.severity) for p in problems] == [("evidence-twice", "note")]
    assert "too-mild" in base.causes


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("rules: [}\n", "yaml-syntax", ""),
        (
            ADDED.replace("too-short: slight", "too-shrt: slight"),
            "unknown-id",
            "did you mean too-short",
        ),
        (ADDED.replace("house-rule", "add-acid"), "id-other-kind", "belongs to remedies"),
        (ADDED + ADDED.replace("rules:\n", ""), "id-twice", "is used twice"),
        (OFF.replace("second-pass", "second-pas"), "unknown-id", "did you mean second-pass"),
        (
            OFF.replace("second-pass", "too-mild"),
            "needed-as-it-was",
            "'too-mild' is switched off, and",
        ),
        (OFF.replace(", why: we never do that", ""), "shape-missing-key", "why is missing"),
    ],
)
def test_a_bad_house_is_refused_whole(
    shipped: Path, tmp_path: Path, text: str, code: str, said: str
) -> None:
    """One fault refuses all of a house's changes; the shipped base alone still loads."""
    folder = house(tmp_path, a=REPLACED, b=text)
    with pytest.raises(ProblemsFound) as caught:
        load([folder])
    assert code in {p.code for p in caught.value.problems}
    assert said in str(caught.value)
    base = load()
    assert base.cautions["keep-cold"].text == "Keep it in the fridge."


# Faults that only the audit of the whole sees, each refused by a check and by whoever loads.
EQUAL = ADDED + ADDED.replace("rules:\n", "").replace("house-rule", "other-rule").replace(
    "suspect", "doubt"
)
SELF = """\
rules:
  - id: round-about
    title: Round about
    stage: milk
    when: {haze_kind: fat}
    then: {conclude: {haze_kind: fat}}
    because: It is.
    source: [practice]
    examples:
      - {given: {haze_kind: fat}, fires: true}
      - {given: {haze_kind: casein}, fires: false}
"""
FIGURE = """\
figures:
  - id: own_tail
    label: its own tail
    calculation: batch.mix_volume
    inputs: {drink_ml: own_tail, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [milk_volume]
"""


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (EQUAL, "rules-contradict"),
        (ADDED.replace("bitter: no}, fires: false", "bitter: yes}, fires: false"), "example-fails"),
        (SELF, "rule-circular"),
        (FIGURE, "figure-circular"),
        (
            "switch_off: [{id: cooler-next, why: no}, {id: chill-and-filter, why: no}]\n",
            "cause-no-remedy",
        ),
    ],
)
def test_what_a_check_refuses_no_command_takes(
    shipped: Path, tmp_path: Path, text: str, code: str
) -> None:
    """A check and a load of one house give the same answer, whatever finds the fault."""
    folder = house(tmp_path, a=text)
    _, problems = check_folders([folder])
    assert code in {p.code for p in problems if p.severity == "error"}
    for loaded in (load, load_written):
        with pytest.raises(ProblemsFound) as caught:
            loaded([folder])
        assert {str(p) for p in caught.value.problems} == {
            str(p) for p in problems if p.severity == "error"
        }
        assert all(p.where.name == f"{folder}/a.yaml" for p in caught.value.problems)
        assert all(p.hint for p in caught.value.problems)


def test_a_figure_that_is_meant_is_offered_once(shipped: Path, tmp_path: Path) -> None:
    """A near miss in braces names each figure once; a calculation's input says where they stand."""
    text = """\
remedies:
  - {id: slip, title: A slip, for: this-batch, stage: acid, cures: {too-mild: rarely},
     do: "Add {mix_volum}.", otherwise: Add some., minutes: 1, source: [practice]}
figures:
  - id: odd
    label: odd
    calculation: batch.mix_volume
    inputs: {drink_ml: drink_volume, milk_ml: milk_volume, milk_kind: milk_kind}
    needs: [drink_volume]
    constants: {serve_ml: 90}
"""
    hints = [p.hint for p in _refused(house(tmp_path, a=text))]
    assert hints == [
        "did you mean mix_volume or milk_volume or drink_volume?",
        "curdwise knowledge calculations lists them with what each takes",
    ]


def test_a_good_house_is_audited_once(
    shipped: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shipped base is never audited by who loads it; a house once for each of its versions."""
    from advisor.knowledge import audit

    runs = []
    whole = audit.audit
    monkeypatch.setattr(audit, "audit", lambda *given: runs.append(given) or whole(*given))
    load()
    assert not runs
    folder = house(tmp_path, a=ADDED)
    load([folder])
    load([folder])
    assert len(runs) == 1
    (folder / "a.yaml").write_text(ADDED.replace("We saw it", "We see it"), encoding="utf-8")
    load([folder])
    assert len(runs) == 2


@pytest.mark.parametrize("order", [("a", "b"), ("b", "a")])
def test_the_names_of_files_decide_nothing(
    shipped: Path, tmp_path: Path, order: tuple[str, str]
) -> None:
    """What one file writes and another switches off is a fault, whichever comes first."""
    off = OFF.replace("second-pass", "keep-cold")
    with pytest.raises(ProblemsFound) as caught:
        load([house(tmp_path, **dict(zip(order, (REPLACED, off), strict=True)))])
    (problem,) = caught.value.problems
    assert problem.code == "id-twice"
    assert "switched off and written in one house" in problem.message
    assert problem.where.name.endswith(f"{order[1]}.yaml")


def test_a_second_house_changes_what_the_first_brought(shipped: Path, tmp_path: Path) -> None:
    """Houses lie over one another as given; told is what they make of the shipped base."""
    first = house(tmp_path / "one", a=ADDED, b=REPLACED)
    second = house(
        tmp_path / "two",
        a=ADDED.replace("What we see here", "What we see there"),
        b="switch_off: [{id: keep-cold, why: it is told elsewhere}]\n"
        + GAS.replace("caution: [keep-cold]", "caution: [has-milk]"),
    )
    base = load([first, second])
    assert base.rules["house-rule"].title == "What we see there"
    assert "keep-cold" not in base.cautions
    assert [(c.verb, c.kind, c.id, c.title, c.why) for c in base.house] == [
        ("added", "rule", "house-rule", "What we see there", ""),
        ("switched off", "caution", "keep-cold", "", "it is told elsewhere"),
        ("replaced", "rule", "gas-is-growth", "Gas is growth", ""),
    ]
    third = house(tmp_path / "three", a="switch_off: [{id: house-rule, why: never seen}]\n")
    base = load([first, third])
    assert "house-rule" not in base.rules
    assert [(c.verb, c.id) for c in base.house] == [
        ("switched off", "house-rule"),
        ("replaced", "keep-cold"),
    ]


def test_an_unchanged_copy_is_no_difference(shipped: Path, tmp_path: Path) -> None:
    """A house that copies the base and changes one text differs in that one only."""
    copy = {n: t for n, t in FILES.items() if n != "base.yaml"}
    copy["own.yaml"] = REPLACED
    base = load([write_small(tmp_path / "copy", copy)])
    assert [(c.verb, c.id) for c in base.house] == [("replaced", "keep-cold")]
    assert base.rules["gas-is-growth"].place.name.startswith("knowledge/")


def test_a_base_of_its_own_lies_over_no_other(shipped: Path, tmp_path: Path) -> None:
    """A folder that says ``base:`` is refused by a check and by a load, for the same reason."""
    folder = house(tmp_path, a='base: {name: ours, version: "1"}\n' + ADDED)
    _, problems = check_folders([folder])
    with pytest.raises(ProblemsFound) as caught:
        load([folder])
    for found in (problems, caught.value.problems):
        assert [(p.code, p.where.line, p.where.column) for p in found] == [("base-in-house", 1, 1)]
        assert found[0].hint


def test_what_others_need_is_told_once_at_the_house(shipped: Path, tmp_path: Path) -> None:
    """However many records need it, the fault stands once, at the line that takes it away."""
    off = house(tmp_path / "off", a="switch_off:\n  - {id: cloudy, why: we never look}\n")
    litres = house(
        tmp_path / "other",
        a="findings:\n  - {id: curd, label: curd, ask: What?, kind: yes-no, group: seen}\n",
    )
    for folder, said in ((off, "places need it"), (litres, "does not fit what speaks of it")):
        _, problems = check_folders([folder])
        (problem,) = problems
        assert problem.code == "needed-as-it-was"
        assert (problem.where.name, problem.where.line) == (f"{folder}/a.yaml", 2)
        assert said in problem.message
        assert "and" in problem.message
        assert "more" in problem.message
        assert problem.hint


def test_all_faults_of_a_house_come_at_once(shipped: Path, tmp_path: Path) -> None:
    """A file that is no YAML, a record of the wrong shape, a name that is none and a contradiction
    are told in one run, and nothing that only follows from what was left out."""
    broken = 'rules: [ {id: "abc\ncautions: [{id: unread-note, level: note}]\n'
    shape = "cautions:\n  - {id: unshaped, level: lowd, text: A., source: [practice]}\n"
    uses = ADDED.replace("house-rule", "uses-them").replace(
        "{suspect: {too-short: slight}}",
        "{suspect: {too-shrt: slight}, caution: [unread-note, unshaped]}",
    )
    folder = house(tmp_path, a=broken, b=shape, c=uses, d=EQUAL)
    checked = check_whole([folder])
    found = {(p.code, p.where.name[-6:]) for p in checked.problems if p.severity == "error"}
    assert found == {
        ("yaml-syntax", "a.yaml"),
        ("shape-word", "b.yaml"),
        ("unknown-id", "c.yaml"),
        ("rules-contradict", "d.yaml"),
    }
    assert checked.left_out == 3
    assert check_folders([folder])[0] is None


def test_a_base_with_a_fault_tells_no_fault_that_follows(tmp_path: Path) -> None:
    """Of a base of its own too: what speaks of a record with a fault has none of its own."""
    problems = checked_files(tmp_path, changed(("prior: often", "prior: oftn")))
    assert [p.code for p in problems] == ["shape-word"]


def checked_files(folder: Path, files: dict[str, str]) -> list[Problem]:
    return check_folders([write_small(folder / "base", files)])[1]


def test_files_that_do_not_end_are_not_read(shipped: Path, tmp_path: Path) -> None:
    """A device, a pipe and a huge file are faults of their own; the rest is still checked."""
    folder = house(tmp_path, z=ADDED.replace("too-short: slight", "too-shrt: slight"))
    os.mkfifo(folder / "pipe.yaml")
    (folder / "zero.yaml").symlink_to("/dev/zero")
    with (folder / "huge.yaml").open("wb") as file:
        file.truncate(6_000_000_000)
    for found in (check_folders([folder])[1], _refused(folder)):
        assert [(p.code, p.where.name.rpartition("/")[2]) for p in found] == [
            ("yaml-too-large", "huge.yaml"),
            ("knowledge-unreadable", "pipe.yaml"),
            ("unknown-id", "z.yaml"),
            ("knowledge-unreadable", "zero.yaml"),
        ]
        assert all(p.hint for p in found)


def test_a_name_of_a_file_moves_no_terminal(shipped: Path, tmp_path: Path) -> None:
    """Controls and bytes that are no text in a file's name are shown as question marks."""
    folder = house(tmp_path, **{"a\x1b[31m": "rules: [}\n", "b\udcff": "rules: [}\n"})
    names = [p.where.name.rpartition("/")[2] for p in _refused(folder)]
    assert names == ["a?[31m.yaml", "b?.yaml"]


def _refused(folder: Path) -> Sequence[Problem]:
    with pytest.raises(ProblemsFound) as caught:
        load([folder])
    return caught.value.problems


def test_too_much_to_read_is_refused(
    shipped: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The number of files, of entries of any kind and of bytes is bounded."""
    assert loading._MOST_OF_ONE == MOST_BYTES  # the reader of YAML would take no more
    folder = house(tmp_path, a=ADDED, b=REPLACED)
    for name, most in (("_MOST_FILES", 1), ("_MOST_ENTRIES", 1), ("_MOST_TOTAL", 300)):
        with monkeypatch.context() as patch:
            patch.setattr(loading, name, most)
            with pytest.raises(AdvisorError) as caught:
                loading._contents(folder, "house")
            assert caught.value.code == "knowledge-too-large"
            assert caught.value.hint


def test_a_base_without_a_name_is_refused(shipped: Path) -> None:
    """A base of its own says its name and version."""
    text = FILES["base.yaml"].partition("\n")[2]
    (shipped / "base.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(ProblemsFound) as caught:
        load()
    assert [p.code for p in caught.value.problems] == ["base-missing"]


def test_folders_that_are_none(tmp_path: Path) -> None:
    """A folder that is not there, is a file, or is empty, is told as what it is."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    (tmp_path / "empty" / ".hidden").mkdir(parents=True)
    (tmp_path / "empty" / ".hidden" / "a.yaml").write_text("x", encoding="utf-8")
    for name, said in (("none", "no such"), ("file", "not a folder"), ("empty", "no YAML")):
        with pytest.raises(AdvisorError, match=said) as caught:
            knowledge_files(tmp_path / name)
        assert caught.value.code == "knowledge-missing"
    (tmp_path / "odd" / "folder.yaml").mkdir(parents=True)
    with pytest.raises(AdvisorError) as caught:
        load([tmp_path / "odd"])
    assert caught.value.code == "knowledge-unreadable"


# The kept form.


def kept(tmp_path: Path) -> list[Path]:
    return sorted((tmp_path / "cache" / "curdwise").glob("base-*.bin"))


def test_the_second_load_comes_from_the_cache(
    shipped: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A base that was loaded once is not compiled again, and is the same."""
    first = load()
    assert len(kept(tmp_path)) == 1

    def never(*_: object) -> None:
        raise AssertionError("compiled again")

    monkeypatch.setattr(loading, "_compile", never)
    assert load() == first
    with pytest.raises(AssertionError, match="compiled again"):
        load(cache=False)


def test_a_default_never_stands_in_for_what_is_kept() -> None:
    """A field that the class itself would answer for may not be left for later."""
    with pytest.raises(TypeError, match="bystander"):
        Base.waiting({}, [(frozenset({"lines", "bystander"}), dict)])


@pytest.mark.parametrize("damage", [b"", b"rubbish", b"\x80\x05K\x05.", "half"])
def test_a_damaged_cache_is_no_fault(shipped: Path, tmp_path: Path, damage: bytes | str) -> None:
    """Whatever stands in the cache file, the base loads, and the file is written anew."""
    first = load()
    file = kept(tmp_path)[0]
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2] if isinstance(damage, str) else damage)
    assert load() == first
    assert load() == first


def test_a_changed_file_changes_the_hash(shipped: Path, tmp_path: Path) -> None:
    """Any change of content gives another hash and so never an old base."""
    first = load()
    write_small(shipped, changed(("Contains milk: say so.", "Contains milk: say it.")))
    second = load()
    assert first.hash != second.hash
    assert second.cautions["has-milk"].text == "Contains milk: say it."
    assert len(kept(tmp_path)) == 2


def test_a_cache_that_cannot_be_written_is_no_fault(
    shipped: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a place to keep it the base loads all the same."""
    (tmp_path / "in-the-way").write_text("x", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "in-the-way"))
    assert load().name == "invented small base"
