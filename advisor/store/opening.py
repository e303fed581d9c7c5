"""Open a store: find it, bring its tables up to date.

A file that is no store of ours is never touched. Only the file that nobody named, in the user's
own data folder, is set aside when it is damaged.
"""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.engine import Engine

    from advisor.store.store import Store

__all__ = ["default_url", "is_default", "open_store", "set_damaged_aside"]

_BUSY_MS = 20_000
_SIDE_FILES = ("-wal", "-shm", "-journal")
_SQLITE = b"SQLite format 3\0"
_OURS = {"alembic_version", "attempt", "learner"}


def default_url() -> str:
    """Where progress is kept: ``CURDWISE_STORE``, else a file in the user's data folder."""
    named = os.environ.get("CURDWISE_STORE", "").strip()
    if named:
        return named
    return f"sqlite:///{_unnamed()}"


def _unnamed() -> Path:
    """The file in the user's data folder."""
    home = os.environ.get("XDG_DATA_HOME", "")
    folder = Path(home) if Path(home).is_absolute() else Path.home() / ".local" / "share"
    return folder / "curdwise" / "progress.sqlite3"


def is_default(url: str) -> bool:
    """Whether this is the address of the store that is used when none is named."""
    place = _place(_engine(url))
    try:
        return place == _place(_engine(default_url()))
    except AdvisorError:
        return False  # CURDWISE_STORE names nothing that could be opened


def _place(engine: Engine) -> Path | str:
    if engine.dialect.name == "sqlite":
        return _file_of(engine).resolve()
    return engine.url.render_as_string(hide_password=False)


def _file_of(engine: Engine) -> Path:
    return Path(str(engine.url.database or ""))


def open_store(url: str | None = None, *, create: bool = True) -> Store:
    """Open a store by URL (``sqlite:///FILE`` or ``postgresql://...``), or a plain file name.

    With ``create`` one is made where there is none, but no folder. Whatever is no store of ours is
    left as it is. The file that nobody named gets its folder, and a damaged one is renamed, never
    written over; ``Store.notices`` says so. Raises ``AdvisorError``: ``store-url``,
    ``store-driver``, ``store-unreachable``, ``store-missing``, ``store-foreign``,
    ``store-damaged``, ``store-newer``.
    """
    from sqlalchemy.exc import DBAPIError

    from advisor.store.migrate import bring_up_to_date, revision_of
    from advisor.store.store import Store

    engine = _engine(default_url() if url is None else url)
    where = engine.url.render_as_string(hide_password=True)
    notices: list[str] = []
    try:
        if engine.dialect.name == "sqlite":
            notices += _open_file(engine, where, create)
        else:
            if not create:
                with engine.connect() as connection:
                    if revision_of(connection) is None:
                        raise _missing(where)
            bring_up_to_date(engine)
    except AdvisorError:
        engine.dispose()
        raise
    except (DBAPIError, OSError, sqlite3.Error) as error:
        engine.dispose()
        reason = getattr(error, "orig", None) or error
        raise AdvisorError(
            "store-unreachable",
            f"the progress store cannot be opened: {_first_line(reason)}",
            where=where,
            hint="check the place, its rights, and that the server runs",
        ) from None
    return Store(engine, tuple(notices))


def _open_file(engine: Engine, where: str, create: bool) -> list[str]:
    """Make an SQLite file ready; what its user must be told."""
    from advisor.store.migrate import bring_up_to_date

    file = _file_of(engine)
    unnamed = file.resolve() == _unnamed().resolve()
    there = _what_is_there(file)
    if there == "nothing" and not create:
        raise _missing(where)
    if there == "other" or (there == "damaged" and not unnamed):
        raise AdvisorError(
            "store-foreign",
            "this is no progress store" + (", or a damaged one" if there == "damaged" else ""),
            where=where,
            hint="check --store and CURDWISE_STORE; the file was left as it was",
        )
    if there == "store" and not unnamed:
        if not _sound(file):
            raise AdvisorError(
                "store-damaged",
                "this progress store is damaged",
                where=where,
                hint="the file was left as it was: put a copy of it in its place, or name another",
            )
        bring_up_to_date(engine)
        return []
    if unnamed:
        file.parent.mkdir(parents=True, exist_ok=True)
    # SQLite does not wait for a lock while a new file is made ready; this does.
    with _only_one(file):
        notices = _aside_notice(file) if unnamed else []
        bring_up_to_date(engine)
    return notices


def _missing(where: str) -> AdvisorError:
    return AdvisorError(
        "store-missing",
        "there is no progress store here",
        where=where,
        hint="check --store and CURDWISE_STORE. One that CURDWISE_STORE names is made as soon as "
        "a drill is finished; nothing was made now",
    )


def _what_is_there(file: Path) -> str:
    """``nothing``, a ``store`` of ours, some ``other`` thing, or what may be a ``damaged`` one.

    Looking changes nothing and leaves nothing beside the file.
    """
    try:
        status = file.stat()
    except FileNotFoundError:
        return "nothing"
    if not stat.S_ISREG(status.st_mode):
        return "other"
    if status.st_size == 0:
        return "nothing"
    with file.open("rb") as opened:
        if opened.read(len(_SQLITE)) != _SQLITE:
            return "damaged"
    tables = _tables(file, "immutable=1")
    if not tables:  # the truth may still be in the log, or have left it this moment
        tables = _tables(file, "mode=ro" if Path(f"{file}-wal").exists() else "immutable=1")
    if tables is None:
        return "damaged"
    if not tables:
        return "nothing"
    return "store" if tables >= _OURS else "other"


def _tables(file: Path, how: str) -> set[str] | None:
    """The names of a database's tables; ``None`` when it cannot be made out."""
    address = f"{file.absolute().as_uri()}?{how}"
    query = "select name from sqlite_master where type = 'table'"
    try:
        with closing(sqlite3.connect(address, uri=True, timeout=_BUSY_MS / 1000)) as connection:
            return {str(name) for (name,) in connection.execute(query)}
    except sqlite3.OperationalError:
        raise  # not ours to read: that is no damage
    except sqlite3.DatabaseError:
        return None


def _aside_notice(file: Path) -> list[str]:
    moved = set_damaged_aside(file)
    if moved is None:
        return []
    return [
        f"{file} was damaged and could not be read. It is kept as {moved.name};"
        " progress starts anew."
    ]


def _first_line(reason: object) -> str:
    text = getattr(reason, "strerror", None) or str(reason)
    return str(text).strip().splitlines()[0] if str(text).strip() else type(reason).__name__


def _engine(url: str) -> Engine:
    from sqlalchemy import create_engine, event, make_url
    from sqlalchemy.exc import ArgumentError, NoSuchModuleError

    if "://" not in url:
        url = f"sqlite:///{Path(url).expanduser()}"
    if url in ("sqlite://", "sqlite:///", "sqlite:///:memory:"):
        url = ""  # a store that forgets is none
    try:
        parsed = make_url(url)
        if parsed.drivername in ("postgresql", "postgres"):
            parsed = parsed.set(drivername="postgresql+psycopg")
        if parsed.get_backend_name() not in ("sqlite", "postgresql"):
            raise ArgumentError("neither SQLite nor PostgreSQL")
        engine = create_engine(parsed, pool_pre_ping=parsed.get_backend_name() == "postgresql")
    except (ArgumentError, NoSuchModuleError, ValueError):
        raise AdvisorError(
            "store-url",
            "this is not the address of a progress store",
            where=url.partition("@")[2] or url,
            hint="sqlite:///path/to/file, or postgresql://user@host/database",
        ) from None
    except ModuleNotFoundError:
        raise AdvisorError(
            "store-driver",
            "the driver for PostgreSQL is not installed",
            hint="install curdwise with its extra: curdwise[postgresql]",
        ) from None
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _settings)
        event.listen(engine, "begin", _begin_writing)
    return engine


def _settings(connection: Any, _: object) -> None:
    """Durable, patient, and with transactions that are ours to begin."""
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in (
        f"busy_timeout = {_BUSY_MS}",
        "journal_mode = wal",
        "synchronous = full",
        "foreign_keys = on",
    ):
        cursor.execute(f"pragma {pragma}")
    cursor.close()


def _begin_writing(connection: Any) -> None:
    # A transaction that reads first and writes later could be refused; this one waits instead.
    connection.exec_driver_sql("begin immediate")


def set_damaged_aside(file: Path) -> Path | None:
    """Rename a file that is no sound database; its new place, or ``None`` when all is well.

    The side files of SQLite go with it. A name that is taken is never written over. Only one
    program may do this at a time.
    """
    if not file.exists() or _sound(file):
        return None
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    number = 0
    while True:
        mark = f"damaged-{stamp}" + (f"-{number}" if number else "")
        aside = file.with_name(f"{file.stem}.{mark}{file.suffix}")
        if not aside.exists():
            break
        number += 1
    file.rename(aside)
    for side in _SIDE_FILES:
        with suppress(FileNotFoundError):
            Path(f"{file}{side}").rename(f"{aside}{side}")
    return aside


def _sound(file: Path) -> bool:
    if file.stat().st_size == 0:
        return True
    try:
        with closing(sqlite3.connect(file, timeout=_BUSY_MS / 1000)) as connection:
            rows = connection.execute("pragma quick_check").fetchall()
    except sqlite3.OperationalError:
        raise  # locked, or not ours to read: that is no damage
    except sqlite3.DatabaseError:
        return False
    return rows == [("ok",)]


@contextmanager
def _only_one(file: Path) -> Iterator[None]:
    """Keep other programs of ours from opening the same file at the same time."""
    path = file.with_name(f".{file.name}.lock")
    with path.open("a") as lock:
        try:
            import fcntl
        except ImportError:  # no such locks on this system: the check above must do
            yield
            return
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
