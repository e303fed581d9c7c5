"""Run by Alembic: migrate over the connection that the store hands in, in its transaction."""

from __future__ import annotations

from alembic import context

from advisor.store.tables import metadata

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=metadata,
    render_as_batch=connection.dialect.name == "sqlite",
    transactional_ddl=True,
)
context.run_migrations()
