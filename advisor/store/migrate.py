"""Bring a store's tables up to date, whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection, Engine

__all__ = ["HEAD", "bring_up_to_date", "revision_of"]

# The newest migration; a test holds it equal to the newest file.
HEAD = "0001"

# Names the lock under which a server's tables are changed; any number, the same everywhere.
_LOCK = 7_336_214


def revision_of(connection: Connection) -> str | None:
    """The revision that a store's tables are at; ``None`` for a store without tables."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("select version_num from alembic_version")).scalar()
    return None if found is None else str(found)


def bring_up_to_date(engine: Engine) -> None:
    """Migrate to ``HEAD`` in one transaction.

    Two programs that open a new store at the same time do it one after the other. Raises
    ``AdvisorError`` (code ``store-newer``) when a newer curdwise made the store.
    """
    with engine.begin() as connection:
        found = revision_of(connection)
    if found == HEAD:
        return
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if found is not None and found not in known:
        raise AdvisorError(
            "store-newer",
            f"this store was made by a newer curdwise (its tables are at revision {found})",
            where=engine.url.render_as_string(hide_password=True),
            hint="install the newest curdwise; nothing was changed",
        )
    with engine.begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("select pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        if revision_of(connection) != HEAD:
            config.attributes["connection"] = connection
            command.upgrade(config, HEAD)
