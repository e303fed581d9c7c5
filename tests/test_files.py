"""Files are read within a bound, and written whole or not at all."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING

import pytest

from advisor.errors import AdvisorError
from advisor.files import read_bounded, reason, replace_file, write_whole

if TYPE_CHECKING:
    from pathlib import Path


def _read(path: Path, most: int, *, plain: bool = False) -> bytes:
    return read_bounded(
        path,
        most,
        code="note-unreadable",
        saying="the note cannot be read",
        too_large=("note-too-large", "a note is never this large"),
        hint="look elsewhere",
        plain=plain,
    )


def test_a_file_is_read_up_to_its_bound(tmp_path: Path) -> None:
    """Exactly the bound is read; one byte more is refused with the caller's code and text."""
    path = tmp_path / "note"
    path.write_bytes(b"12345")
    assert _read(path, 5) == b"12345"
    with pytest.raises(AdvisorError) as caught:
        _read(path, 4)
    assert caught.value.code == "note-too-large"
    assert caught.value.message == "a note is never this large"
    assert caught.value.where.name == str(path)


@pytest.mark.parametrize(
    ("name", "why"),
    [("none", os.strerror(2)), (".", os.strerror(21)), ("a\0b", "embedded null byte")],
)
def test_what_cannot_be_read_is_told_with_its_reason(tmp_path: Path, name: str, why: str) -> None:
    """No file, a folder and an impossible name give the caller's words and the system's reason."""
    with pytest.raises(AdvisorError) as caught:
        _read(tmp_path / name, 5)
    assert caught.value.code == "note-unreadable"
    assert caught.value.message == f"the note cannot be read: {why}"
    assert caught.value.hint == "look elsewhere"


def test_a_plain_file_is_no_pipe_and_no_device(tmp_path: Path) -> None:
    """What may never end, or waits for somebody to write, is refused at once."""
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "zero").symlink_to("/dev/zero")
    (tmp_path / "note").write_bytes(b"12345")
    for name in ("pipe", "zero"):
        with pytest.raises(AdvisorError, match="not an ordinary file") as caught:
            _read(tmp_path / name, 5, plain=True)
        assert caught.value.code == "note-unreadable"
    assert _read(tmp_path / "note", 5, plain=True) == b"12345"


@pytest.mark.parametrize("data", ["grün\n", "grün\n".encode()])
def test_text_and_bytes_are_written_alike(tmp_path: Path, data: bytes | str) -> None:
    """Text becomes UTF-8 with its line ends as they are, in place of what was there."""
    path = tmp_path / "note"
    path.write_text("old", encoding="utf-8")
    replace_file(path, data)
    assert path.read_bytes() == b"gr\xc3\xbcn\n"
    assert [p.name for p in tmp_path.iterdir()] == ["note"]


@pytest.mark.parametrize(("mode", "found"), [(None, 0o600), (0o644, 0o644)])
def test_a_new_file_is_for_its_owner_unless_said(
    tmp_path: Path, mode: int | None, found: int
) -> None:
    """Only a mode that is asked for opens a file to others."""
    path = tmp_path / "note"
    replace_file(path, "x", mode=mode)
    assert stat.S_IMODE(path.stat().st_mode) == found


@pytest.mark.parametrize("breaks", ["fsync", "chmod", "replace"])
def test_a_write_that_breaks_off_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, breaks: str
) -> None:
    """Whichever step fails, the old file is whole and nothing half-written stays behind."""
    path = tmp_path / "note"
    path.write_text("old", encoding="utf-8")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os if breaks == "fsync" else type(path), breaks, full)
    with pytest.raises(OSError, match="No space left"):
        replace_file(path, "new", mode=0o644)
    monkeypatch.undo()
    assert path.read_text(encoding="utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["note"]


@pytest.mark.parametrize(("name", "text"), [("no/such/note", "x"), ("a\0b", "x"), ("n", "\ud800")])
def test_what_cannot_be_written_is_told(tmp_path: Path, name: str, text: str) -> None:
    """A missing folder, an impossible name and text that is no Unicode: one clear error each."""
    with pytest.raises(AdvisorError, match=r"^.*: it cannot be kept: .+") as caught:
        write_whole(tmp_path / name, text, code="note-unwritable", saying="it cannot be kept")
    assert caught.value.code == "note-unwritable"
    assert list(tmp_path.iterdir()) == []


def test_a_reason_is_never_empty() -> None:
    """An error of the system says its own words, without number and path; others their text."""
    assert reason(FileNotFoundError(2, "No such file or directory", "x")) == (
        "No such file or directory"
    )
    assert reason(OSError("odd")) == "odd"
    assert reason(ValueError("bad name")) == "bad name"
