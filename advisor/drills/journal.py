"""The journal of a drill: every step on the disk before the next one is asked.

One file for each drill, one line for each step. A program that is killed leaves a journal that
can be gone on with; a drill that is over stays in its journal until its result is kept. A file
that is no journal is set aside, never deleted.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from advisor.drills.events import data_of, event_of
from advisor.drills.places import append_line, made_folder, sync_folder, try_lock
from advisor.drills.scenario import scenario_from
from advisor.drills.session import EXAM, PRACTICE, DrillSession
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from advisor.drills.events import Event
    from advisor.drills.scenario import Scenario
    from advisor.knowledge.model import Base

    Remake = Callable[[Base, Mapping[str, Any]], Scenario]

__all__ = ["Journal", "Kept", "set_aside", "unfinished"]

_FORM = 1
_PARTIAL = ".starting-"
_SUFFIX = ".jsonl"
_MOST_BYTES = 5_000_000


@dataclass(frozen=True, slots=True)
class Kept:
    """A journal on the disk: what it is about, without what it hides."""

    path: Path
    id: str
    title: str
    learner: str
    mode: str
    started: datetime
    over: bool
    group: str = ""


class Journal:
    """A journal that this program holds: nobody else can write to it until it is closed."""

    def __init__(self, path: Path, file: int) -> None:
        self.path = path
        self._file = file

    @property
    def id(self) -> str:
        """The name to go on with it by."""
        return self.path.stem

    @classmethod
    def begin(cls, folder: Path, session: DrillSession) -> Journal:
        """Start the journal of a session. Raises ``AdvisorError``."""
        made_folder(folder)
        # Written under another name and locked before anybody can see it.
        partial = folder / f"{_PARTIAL}{uuid4().hex}"
        try:
            file = os.open(partial, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as error:
            raise _folder_error(folder, error) from None
        try:
            _hold(file, partial)
            append_line(file, json.dumps(_head(session), ensure_ascii=False))
            for event in session.events:
                append_line(file, json.dumps(data_of(event), ensure_ascii=False))
            path = _named(partial, folder, session)
        except BaseException:
            os.close(file)
            raise
        finally:
            partial.unlink(missing_ok=True)
        sync_folder(folder)
        return cls(path, file)

    def keep(self, event: Event) -> None:
        """Write one more step; when this returns it is on the disk."""
        append_line(self._file, json.dumps(data_of(event), ensure_ascii=False))

    @classmethod
    def open(
        cls, path: Path, base: Base, remake: Remake | None = None
    ) -> tuple[Journal, DrillSession]:
        """Go on with a drill. ``remake`` makes a generated scenario again.

        Raises ``AdvisorError``: ``drill-in-use`` when another program has it open,
        ``journal`` when it is none, ``drill-changed`` when its scenario is no longer the same.
        """
        try:
            file = os.open(path, os.O_RDWR | os.O_APPEND)
        except OSError as error:
            raise AdvisorError(
                "journal", f"it cannot be opened: {error.strerror or error}", where=str(path)
            ) from None
        try:
            _hold(file, path)
            session = _session(path, _lines(path), base, remake)
        except BaseException:
            os.close(file)
            raise
        return cls(path, file), session

    def done(self) -> None:
        """The result is kept elsewhere: the journal goes."""
        self.path.unlink(missing_ok=True)
        sync_folder(self.path.parent)
        self.close()

    def close(self) -> None:
        """Let go of it; it can be gone on with later."""
        if self._file >= 0:
            os.close(self._file)
            self._file = -1


def unfinished(folder: Path) -> tuple[list[Kept], list[Path]]:
    """The journals of a folder, oldest first, and the files that were set aside just now."""
    kept: list[Kept] = []
    aside: list[Path] = []
    if not folder.is_dir():
        return kept, aside
    for path in sorted(folder.glob(f"*{_SUFFIX}")):
        try:
            kept.append(_about(path))
        except AdvisorError:
            aside.append(set_aside(path))
        except OSError:
            continue  # another program has just finished it, or it is not ours to read
    return sorted(kept, key=lambda k: (k.started, k.id)), aside


def set_aside(path: Path) -> Path:
    """Keep a file that is no journal under another name, where nothing reads it."""
    number = 1
    while True:
        target = path.with_name(f"{path.name}.set-aside" + (f"-{number}" if number > 1 else ""))
        try:
            os.link(path, target)  # fails when the name is taken, unlike a rename
        except FileExistsError:
            number += 1
            continue
        path.unlink()
        return target


def _named(partial: Path, folder: Path, session: DrillSession) -> Path:
    stamp = f"{session.started:%Y%m%d-%H%M%S}"
    name = "".join(ch if ch.isalnum() or ch == "-" else "-" for ch in session.scenario.name)[:40]
    for number in range(1, 10_000):
        extra = f"-{number}" if number > 1 else ""
        path = folder / f"{stamp}-{name}{extra}{_SUFFIX}"
        try:
            os.link(partial, path)  # fails when the name is taken, unlike a rename
        except FileExistsError:
            continue
        except OSError as error:
            raise _folder_error(folder, error) from None
        return path
    raise AdvisorError("drill-folder", "there are too many drills of one second", where=str(folder))


def _folder_error(folder: Path, error: OSError) -> AdvisorError:
    return AdvisorError(
        "drill-folder",
        f"a drill cannot be kept: {error.strerror or error}",
        where=str(folder),
        hint="XDG_STATE_HOME says where drills are kept",
    )


def _hold(file: int, path: Path) -> None:
    if not try_lock(file):
        raise AdvisorError(
            "drill-in-use",
            "this drill is open in another window",
            where=path.stem,
            hint="go on there, or close it first",
        )


def _head(session: DrillSession) -> dict[str, Any]:
    scenario = session.scenario
    return {
        "curdwise-drill": _FORM,
        "title": scenario.title,
        "name": scenario.name,
        "learner": session.learner,
        "group": session.group,
        "mode": session.mode,
        "seed": session.seed,
        "started": session.started.astimezone(UTC).isoformat(),
        "knowledge": session.base.hash,
        "digest": scenario.digest,
        "text": scenario.text,
        "made_from": dict(scenario.made_from),
    }


def _lines(path: Path) -> list[Any]:
    """The whole lines of a journal; a half line at the end was never a step."""
    raw = path.read_bytes()[: _MOST_BYTES + 1]
    if len(raw) > _MOST_BYTES:
        raise AdvisorError("journal", "no journal is this large", where=str(path))
    whole = raw[: raw.rfind(b"\n") + 1]
    lines = []
    for number, line in enumerate(whole.splitlines(), 1):
        try:
            lines.append(json.loads(line))
        except ValueError:
            # The line of a program that was killed while it wrote it.
            if number == 1:
                break
    if not lines or not isinstance(lines[0], dict) or lines[0].get("curdwise-drill") != _FORM:
        raise AdvisorError("journal", "this is no journal of a drill", where=str(path))
    return lines


def _about(path: Path) -> Kept:
    lines = _lines(path)
    head = lines[0]
    try:
        started = datetime.fromisoformat(head["started"])
        return Kept(
            path,
            path.stem,
            str(head["title"]),
            str(head["learner"]),
            str(head["mode"]),
            started if started.tzinfo else started.replace(tzinfo=UTC),
            any(isinstance(x, dict) and x.get("event") == "finished" for x in lines[1:]),
            str(head["group"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise _wrong_head(path, error) from None


def _wrong_head(path: Path, error: Exception) -> AdvisorError:
    return AdvisorError("journal", f"its first line is wrong: {error}", where=str(path))


def _session(path: Path, lines: list[Any], base: Base, remake: Remake | None) -> DrillSession:
    kept, head = _about(path), lines[0]
    try:
        text, made_from = str(head["text"]), head["made_from"]
        if text:
            scenario = scenario_from(text, f"{head['name']}.yaml")
        elif remake is not None:
            scenario = remake(base, made_from)
        else:
            raise AdvisorError("journal", "its scenario cannot be made again", where=str(path))
        session = DrillSession(
            base,
            scenario,
            kept.started,
            kept.learner,
            str(head["group"]),
            EXAM if kept.mode == EXAM else PRACTICE,
            int(head["seed"]),
            tuple(map(event_of, lines[1:])),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise _wrong_head(path, error) from None
    if scenario.digest != head.get("digest"):
        raise AdvisorError(
            "drill-changed",
            "this drill was made by another version and is no longer the same",
            where=path.stem,
            hint="start a new one",
        )
    return session
