"""Lists of jobs have their figures at hand, and of a job that runs the best plan so far is kept."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def _new_columns() -> tuple[sa.Column[Any], ...]:
    return (
        sa.Column("quantity", sa.Integer),
        sa.Column("needed_from", sa.Date),
        sa.Column("needed_to", sa.Date),
        sa.Column("total_cents", sa.BigInteger),
        sa.Column("gap", sa.Float),
        sa.Column("pieces_short", sa.Integer),
    )


def upgrade() -> None:
    """Add the columns, empty: figures of jobs that are there are taken from their documents when they are listed."""
    with op.batch_alter_table("plan_jobs") as batch:
        for column in _new_columns():
            batch.add_column(column)
    op.create_table(
        "job_best",
        sa.Column("job", sa.String(32), nullable=False),
        sa.Column("alternative", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("job", name="pk_job_best"),
        sa.ForeignKeyConstraint(["job"], ["plan_jobs.id"], name="fk_job_best_job_plan_jobs", ondelete="CASCADE"),
    )


def downgrade() -> None:
    """Forget both."""
    op.drop_table("job_best")
    with op.batch_alter_table("plan_jobs") as batch:
        for column in _new_columns():
            batch.drop_column(column.name)
