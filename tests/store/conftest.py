"""A store on SQLite and, where CI has started a server, on PostgreSQL."""

from __future__ import annotations

import os
import uuid
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import create_engine, make_url, text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture(params=["sqlite", "postgresql"])
def store_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a store that does not exist yet."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'progress.sqlite3'}"
        return
    server = os.environ.get("CURDWISE_TEST_POSTGRESQL")
    if not server:
        pytest.skip("no PostgreSQL server: .ci/postgresql starts one")
    name = f"t_{uuid.uuid4().hex}"
    admin = create_engine(
        make_url(server).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT"
    )
    with admin.connect() as connection:
        connection.execute(text(f"create database {name}"))
    yield make_url(server).set(database=name).render_as_string(hide_password=False)
    with admin.connect() as connection:
        connection.execute(text(f"drop database {name} with (force)"))
    admin.dispose()
