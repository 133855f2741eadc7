"""How long setups and cycles really took, as the floor reports it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table, empty."""
    op.create_table(
        "measured_times",
        sa.Column("number", sa.Integer, autoincrement=True),
        sa.Column("plan", sa.String(32), nullable=False),
        sa.Column("rank", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("what", sa.String(16), nullable=False),
        sa.Column("seconds", sa.Float, nullable=False),
        sa.Column("arc_s", sa.Float, nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        sa.Column("set_before", sa.Boolean),
        sa.Column("stations", sa.Integer, nullable=False),
        sa.Column("predicted_s", sa.Integer, nullable=False),
        sa.Column("work", sa.JSON, nullable=False),
        sa.Column("measured_on", sa.Date, nullable=False),
        sa.Column("reported_at", Moment, nullable=False),
        sa.Column("by", sa.String(200), nullable=False),
        sa.Column("note", sa.String(1000), nullable=False),
        sa.Column("withdrawn_at", Moment),
        sa.Column("withdrawn_by", sa.String(200)),
        sa.Column("withdrawn_why", sa.String(1000)),
        sa.PrimaryKeyConstraint("number", name="pk_measured_times"),
        sa.CheckConstraint("what IN ('setup', 'cycle')", name="ck_measured_times_known_what"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_measured_times_plan", "measured_times", ["plan", "rank"])
    op.create_index("ix_measured_times_reported", "measured_times", ["reported_at"])


def downgrade() -> None:
    """Forget all reports."""
    op.drop_table("measured_times")
