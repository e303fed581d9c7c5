"""Learners and their attempts."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the tables to this revision."""
    op.create_table(
        "learner",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("class_name", sa.String(200), server_default="", nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_learner"),
        sa.UniqueConstraint("class_name", "name", name="uq_learner_class_name_name"),
    )
    op.create_table(
        "attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("learner_id", sa.Integer(), nullable=False),
        sa.Column("scenario", sa.String(200), nullable=False),
        sa.Column("mode", sa.String(20), nullable=False),
        sa.Column("finished", sa.DateTime(timezone=True), nullable=False),
        sa.Column("score", sa.Float(), nullable=False),
        sa.Column("record", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_attempt"),
        sa.UniqueConstraint("key", name="uq_attempt_key"),
        sa.ForeignKeyConstraint(
            ["learner_id"],
            ["learner.id"],
            name="fk_attempt_learner_id_learner",
            ondelete="CASCADE",
        ),
    )
    op.create_index("ix_attempt_learner_id_finished", "attempt", ["learner_id", "finished"])


def downgrade() -> None:
    """Take this revision back."""
    op.drop_index("ix_attempt_learner_id_finished", "attempt")
    op.drop_table("attempt")
    op.drop_table("learner")
