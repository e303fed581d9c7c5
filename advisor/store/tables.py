"""The tables. A change here needs a migration beside it; a test holds the two equal."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import (
    JSON,
    Column,
    DateTime,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    TypeDecorator,
    UniqueConstraint,
)

if TYPE_CHECKING:
    from sqlalchemy.engine import Dialect

__all__ = ["UtcTime", "attempt", "learner", "metadata"]

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


class UtcTime(TypeDecorator[datetime]):
    """A moment in UTC; SQLite keeps no zone, so it is put back when read."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a time without a zone: it would mean another moment elsewhere."""
        if value is not None and value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """The same moment, marked as UTC."""
        if value is None:
            return None
        assert isinstance(value, datetime)  # noqa: S101  (what the column holds)
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


learner = Table(
    "learner",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(200), nullable=False),
    Column("class_name", String(200), nullable=False, server_default=""),
    UniqueConstraint("class_name", "name"),
)

attempt = Table(
    "attempt",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("key", String(64), nullable=False, unique=True),
    Column("learner_id", ForeignKey("learner.id", ondelete="CASCADE"), nullable=False),
    Column("scenario", String(200), nullable=False),
    Column("mode", String(20), nullable=False),
    Column("finished", UtcTime, nullable=False),
    Column("score", Float, nullable=False),
    Column("record", JSON, nullable=False),
    Index(None, "learner_id", "finished"),
)
