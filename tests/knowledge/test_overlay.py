"""A house's own knowledge over the shipped one: added, replaced, switched off, or refused whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from advisor.errors import AdvisorError, ProblemsFound
from advisor.knowledge import load as loading
from advisor.knowledge.base import Base
from advisor.knowledge.load import check_folders, knowledge_files, load
from tests.smallbase import FILES, changed, write_small

if TYPE_CHECKING:
    from pathlib import Path

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
        (OFF.replace("second-pass", "too-mild"), "unknown-id", "there is no cause 'too-mild'"),
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
