"""Stored weldments with their versions, and which one a job's request names."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the tables of stored weldments, empty, and the columns that say which one a job is for."""
    with op.batch_alter_table("plan_jobs") as batch:
        batch.add_column(sa.Column("weldment", sa.String(64)))
        batch.add_column(sa.Column("weldment_version", sa.Integer))
    op.create_table(
        "stored_weldments",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("newest", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_stored_weldments"),
    )
    op.create_table(
        "stored_weldment_versions",
        sa.Column("weldment", sa.String(64), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("fingerprint", sa.String(64), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("parts", sa.Integer, nullable=False),
        sa.Column("welds", sa.Integer, nullable=False),
        sa.Column("source", sa.JSON(none_as_null=True)),
        sa.Column("by", sa.String(200), nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("at", Moment, nullable=False),
        sa.PrimaryKeyConstraint("weldment", "number", name="pk_stored_weldment_versions"),
        sa.ForeignKeyConstraint(
            ["weldment"], ["stored_weldments.id"], name="fk_stored_weldment_versions_weldment_stored_weldments"
        ),
    )


def downgrade() -> None:
    """Forget all stored weldments; requests have theirs in full."""
    op.drop_table("stored_weldment_versions")
    op.drop_table("stored_weldments")
    with op.batch_alter_table("plan_jobs") as batch:
        batch.drop_column("weldment_version")
        batch.drop_column("weldment")
