"""Versioned rule books and weldments, plans with their kits, and answered idempotency keys."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Create the tables, empty."""
    op.create_table(
        "answered",
        sa.Column("key", sa.String(255), nullable=False),
        sa.Column("fingerprint", sa.String(64), nullable=False),
        sa.Column("answer", sa.JSON, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_answered"),
    )
    op.create_index("ix_answered_at", "answered", ["at"])
    op.create_table(
        "documents",
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("document", sa.JSON, nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("why", sa.String(1000), nullable=False),
        sa.PrimaryKeyConstraint("kind", "name", "version", name="pk_documents"),
    )
    op.create_table(
        "plans",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("request", sa.JSON),
        sa.Column("document", sa.JSON, nullable=False),
        sa.Column("first_day", sa.Date, nullable=False),
        sa.Column("last_day", sa.Date, nullable=False),
        sa.Column("stock_version", sa.BigInteger),
        sa.Column("rules_version", sa.Integer),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("why", sa.String(1000), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_plans"),
    )
    op.create_index("ix_plans_last_day", "plans", ["last_day"])
    op.create_index("ix_plans_at", "plans", ["at"])
    op.create_table(
        "plan_kits",
        sa.Column("plan", sa.String(64), nullable=False),
        sa.Column("plan_rank", sa.Integer, nullable=False),
        sa.Column("item", sa.String(64), nullable=False),
        sa.Column("pieces", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("plan", "plan_rank", "item", name="pk_plan_kits"),
        sa.ForeignKeyConstraint(["plan"], ["plans.id"], name="fk_plan_kits_plan_plans", ondelete="CASCADE"),
    )
    op.create_index("ix_plan_kits_item", "plan_kits", ["item"])


def downgrade() -> None:
    """Drop them; counts and reservations stay."""
    for table in ("plan_kits", "plans", "documents", "answered"):
        op.drop_table(table)
