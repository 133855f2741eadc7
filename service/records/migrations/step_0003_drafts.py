"""Drafts: requests in the making, with their steps."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the tables of drafts and their steps."""
    op.create_table(
        "drafts",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("created_at", Moment, nullable=False),
        sa.Column("changed_at", Moment, nullable=False),
        sa.Column("step", sa.Integer, nullable=False),
        sa.Column("last_step", sa.Integer, nullable=False),
        sa.Column("made_by", sa.String(32)),
        sa.PrimaryKeyConstraint("id", name="pk_drafts"),
    )
    op.create_index("ix_drafts_changed", "drafts", ["changed_at", "id"])
    op.create_table(
        "draft_steps",
        sa.Column("draft", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("words", sa.String(200), nullable=False),
        sa.PrimaryKeyConstraint("draft", "number", name="pk_draft_steps"),
        sa.ForeignKeyConstraint(["draft"], ["drafts.id"], name="fk_draft_steps_draft_drafts", ondelete="CASCADE"),
    )


def downgrade() -> None:
    """Forget all drafts."""
    op.drop_table("draft_steps")
    op.drop_table("drafts")
