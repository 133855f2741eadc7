"""Of every finished plan is kept what changed rules are held against."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table, empty: plans that are there are scored when they are first asked about."""
    op.create_table(
        "plan_scores",
        sa.Column("job", sa.String(32), nullable=False),
        sa.Column("score", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("job", name="pk_plan_scores"),
        sa.ForeignKeyConstraint(["job"], ["plan_jobs.id"], name="fk_plan_scores_job_plan_jobs", ondelete="CASCADE"),
    )


def downgrade() -> None:
    """Forget it."""
    op.drop_table("plan_scores")
