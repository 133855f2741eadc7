"""Quotes, the groups of each, and which quote a job is planned for."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the tables of quotes, empty, and the column that says for which one a job is planned."""
    with op.batch_alter_table("plan_jobs") as batch:
        batch.add_column(sa.Column("quote", sa.String(32)))
    op.create_index("ix_plan_jobs_quote", "plan_jobs", ["quote"])
    op.create_table(
        "quotes",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("priority", sa.Integer, nullable=False),
        sa.Column("created_at", Moment, nullable=False),
        sa.Column("finished_at", Moment),
        sa.Column("lines", sa.JSON, nullable=False),
        sa.Column("price_only", sa.Boolean, nullable=False),
        sa.Column("break_even", sa.Boolean, nullable=False),
        sa.Column("key", sa.String(255)),
        sa.Column("key_body", sa.String(64)),
        sa.Column("asked_by", sa.String(32)),
        sa.PrimaryKeyConstraint("id", name="pk_quotes"),
        sa.UniqueConstraint("key", name="uq_quotes_key"),
        sa.CheckConstraint("state IN ('running', 'done', 'cancelled')", name="ck_quotes_known_state"),
    )
    op.create_index("ix_quotes_state", "quotes", ["state", "created_at"])
    op.create_table(
        "quote_groups",
        sa.Column("quote", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("request", sa.Text, nullable=False),
        sa.Column("weldment", sa.String(200), nullable=False),
        sa.Column("basis", sa.JSON, nullable=False),
        sa.Column("quantities", sa.JSON, nullable=False),
        sa.Column("content", sa.String(64), nullable=False),
        sa.Column("warnings", sa.JSON, nullable=False),
        sa.Column("facts", sa.JSON, nullable=False),
        sa.Column("under_way", sa.JSON, nullable=False),
        sa.Column("plans", sa.Integer, nullable=False),
        sa.Column("failed", sa.Text),
        sa.Column("ended", sa.Integer),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("quote", "number", name="pk_quote_groups"),
        sa.ForeignKeyConstraint(["quote"], ["quotes.id"], name="fk_quote_groups_quote_quotes", ondelete="CASCADE"),
    )
    op.create_index("ix_quote_groups_content", "quote_groups", ["content"])


def downgrade() -> None:
    """Forget all quotes; the plans that were made for them stay."""
    op.drop_table("quote_groups")
    op.drop_index("ix_quotes_state", "quotes")
    op.drop_table("quotes")
    op.drop_index("ix_plan_jobs_quote", "plan_jobs")
    with op.batch_alter_table("plan_jobs") as batch:
        batch.drop_column("quote")
