"""Reading a file that must not be large, and writing one whole or not at all.

Whoever calls says which code and which words a failure gets.
"""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

from advisor.errors import AdvisorError

__all__ = ["read_bounded", "reason", "replace_file", "write_whole"]


def reason(error: Exception) -> str:
    """Why a file could not be had, in the system's words where it has any."""
    return (error.strerror if isinstance(error, OSError) else "") or str(error)


def read_bounded(
    path: Path | str,
    most: int,
    *,
    code: str,
    saying: str,
    too_large: tuple[str, str],
    hint: str = "",
    plain: bool = False,
) -> bytes:
    """The bytes of a file of at most ``most`` bytes.

    Raises ``AdvisorError``: ``code`` with ``saying`` and the reason when it cannot be read, and
    the code and text of ``too_large`` when it is longer. With ``plain`` only a file on a disk is
    read, never a pipe or a device, which may not end or may wait for a writer.
    """
    try:
        with open(path, "rb", opener=_unwaiting if plain else None) as file:
            if plain and not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise ValueError("this is not an ordinary file")
            raw = file.read(most + 1)
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        raise AdvisorError(code, f"{saying}: {reason(error)}", where=str(path), hint=hint) from None
    if len(raw) > most:
        raise AdvisorError(*too_large, where=str(path))
    return raw


def _unwaiting(path: str, flags: int) -> int:
    """Open without waiting for whoever writes to a pipe."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def replace_file(path: Path, data: bytes | str, *, mode: int | None = None) -> None:
    """Write a file in one step: the old file stays whole until the new one is complete.

    Text is written as UTF-8. A new file is for its owner alone unless ``mode`` says otherwise.
    Raises ``OSError`` or ``ValueError``, and then leaves nothing half-written behind.
    """
    import tempfile

    written = data.encode() if isinstance(data, str) else data
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    partial = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(written)
            out.flush()
            os.fsync(out.fileno())
        if mode is not None:
            partial.chmod(mode)
        partial.replace(path)
    except BaseException:
        with suppress(OSError):
            partial.unlink()
        raise


def write_whole(
    path: Path | str, data: bytes | str, *, code: str, saying: str, hint: str = ""
) -> None:
    """``replace_file`` whose failure is an ``AdvisorError``: ``saying`` and the reason."""
    path = Path(path)
    try:
        replace_file(path, data)
    except (OSError, ValueError) as error:
        raise AdvisorError(code, f"{saying}: {reason(error)}", where=str(path), hint=hint) from None
