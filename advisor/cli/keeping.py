"""Keeping what was said when a conversation breaks off; where it cannot be saved, it is shown."""

from __future__ import annotations

import errno
import os
import sys
from datetime import datetime
from pathlib import Path

from advisor.cli.prompts import say_to_person
from advisor.files import reason, replace_file

__all__ = ["keep", "place_for"]


def place_for(name: str) -> Path:
    """A file for what is kept unasked, named after the time."""
    home = os.environ.get("XDG_STATE_HOME")
    base = Path(home) if home and Path(home).is_absolute() else Path.home() / ".local" / "state"
    return base / "curdwise" / f"{name}-{datetime.now():%Y%m%d-%H%M%S}.yaml"


def keep(text: str, path: Path, go_on: str) -> bool:
    """Save a text and say how to go on with it; show it whole where that fails.

    ``go_on`` is the command that reads it, without the file. Says whether it is saved.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, text)
    except (OSError, ValueError) as error:
        say_to_person(f"\nIt could not be saved: {_why(error, path.parent)}.")
        say_to_person("Nothing is lost if you keep these lines as a file, such as batch.yaml:\n")
        _as_it_is(text)
        say_to_person("Then go on with:")
        _as_it_is(f"{go_on} batch.yaml")
        return False
    say_to_person("\nSaved. Go on with:")
    _as_it_is(f"{go_on} {path}")
    return True


def _why(error: Exception, folder: Path) -> str:
    number = error.errno if isinstance(error, OSError) else None
    if number in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"you may not write in {folder}"
    if number == errno.ENOENT:
        return f"there is no folder {folder}, and it cannot be made"
    if number in (errno.ENOTDIR, errno.EEXIST):
        return f"{folder} is not a folder"
    if number in (errno.ENOSPC, errno.EDQUOT):
        return "the disk is full"
    return reason(error)


def _as_it_is(text: str) -> None:
    print(text, file=sys.stderr)  # noqa: T201  never wrapped: it is there to be copied
