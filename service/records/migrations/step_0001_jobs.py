"""Plan jobs; stores that were opened before there were steps have the table already."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the table where it is missing."""
    if sa.inspect(op.get_bind()).has_table("plan_jobs"):
        return
    op.create_table(
        "plan_jobs",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("created_at", Moment, nullable=False),
        sa.Column("started_at", Moment),
        sa.Column("finished_at", Moment),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("cancel_asked", sa.Boolean, nullable=False),
        sa.Column("owner", sa.String(32)),
        sa.Column("leased_until", Moment),
        sa.Column("request", sa.Text, nullable=False),
        sa.Column("warnings", sa.JSON, nullable=False),
        sa.Column("progress", sa.JSON),
        sa.Column("plan", sa.JSON),
        sa.Column("failure", sa.JSON),
        sa.Column("key", sa.String(255)),
        sa.Column("key_body", sa.String(64)),
        sa.PrimaryKeyConstraint("id", name="pk_plan_jobs"),
        sa.UniqueConstraint("key", name="uq_plan_jobs_key"),
        sa.CheckConstraint(
            "state IN ('queued', 'running', 'done', 'failed', 'cancelled')", name=op.f("ck_plan_jobs_known_state")
        ),
    )
    op.create_index("ix_plan_jobs_state", "plan_jobs", ["state", "created_at"])


def downgrade() -> None:
    """Forget all jobs."""
    op.drop_table("plan_jobs")
