"""Where drills are kept on this machine (XDG), and files that two programs may want at once."""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "append_line",
    "journal_folder",
    "locked",
    "made_folder",
    "shipped_scenarios",
    "spool_file",
    "sync_folder",
    "try_lock",
]

_PACKAGE = Path(__file__).parent.parent


def _xdg(name: str, otherwise: str) -> Path:
    home = os.environ.get(name)
    base = Path(home) if home and Path(home).is_absolute() else Path.home() / otherwise
    return base / "curdwise"


def journal_folder() -> Path:
    """Where drills that are not over are kept."""
    return _xdg("XDG_STATE_HOME", ".local/state") / "drills"


def spool_file() -> Path:
    """Where results of finished drills are kept until a store takes them."""
    return _xdg("XDG_DATA_HOME", ".local/share") / "drill-results.jsonl"


def shipped_scenarios() -> tuple[Path, ...]:
    """The written scenarios that come with the program, easy ones first by their names."""
    for folder in (_PACKAGE / "_drills", _PACKAGE.parent / "scenarios_demo" / "drills"):
        if folder.is_dir():
            return tuple(sorted(folder.glob("*.yaml")))
    return ()


def made_folder(folder: Path) -> Path:
    """The folder, made when it is not there. Raises ``AdvisorError``."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise AdvisorError(
            "drill-folder",
            f"drills cannot be kept: {error.strerror or error}",
            where=str(folder),
            hint="XDG_STATE_HOME and XDG_DATA_HOME say where they are kept",
        ) from None
    return folder


if sys.platform == "win32":  # pragma: no cover
    import msvcrt

    def try_lock(file: int) -> bool:
        """Take a lock on an open file without waiting; whether it was free."""
        try:
            os.lseek(file, 2**30, os.SEEK_SET)  # a byte beyond what is ever written
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def try_lock(file: int) -> bool:
        """Take a lock on an open file without waiting; whether it was free."""
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True


@contextmanager
def locked(path: Path) -> Iterator[int]:
    """The file, made when it is not there, opened to read and append, and locked.

    Waits up to ten seconds for another program. Raises ``AdvisorError``.
    """
    import time

    made_folder(path.parent)
    try:
        file = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o600)
    except OSError as error:
        raise AdvisorError(
            "drill-file", f"it cannot be opened: {error.strerror or error}", where=str(path)
        ) from None
    try:
        until = time.monotonic() + 10.0
        while not try_lock(file):
            if time.monotonic() > until:
                raise AdvisorError(
                    "drill-in-use",
                    "another program has held this file for ten seconds",
                    where=str(path),
                    hint="wait for it to finish, then try again",
                )
            time.sleep(0.02)
        yield file
    finally:
        os.close(file)


def append_line(file: int, line: str) -> None:
    """Write one line at the end and make sure that it is on the disk.

    A half line that a killed program left behind is closed first, so that it spoils nothing.
    """
    size = os.fstat(file).st_size
    raw = line.encode() + b"\n"
    if size:
        os.lseek(file, size - 1, os.SEEK_SET)
        if os.read(file, 1) != b"\n":
            raw = b"\n" + raw
    while raw:
        raw = raw[os.write(file, raw) :]
    os.fsync(file)


def sync_folder(folder: Path) -> None:
    """Make sure that a new, renamed or removed file of the folder is on the disk."""
    if sys.platform == "win32":  # pragma: no cover
        return
    file = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(file)
    finally:
        os.close(file)
