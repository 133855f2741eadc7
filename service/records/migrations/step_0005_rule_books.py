"""Rule books with their versions, and which one is used."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the tables of rule books, empty: the built-in numbers are used until a book is."""
    op.create_table(
        "rule_books",
        sa.Column("name", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("newest", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_rule_books"),
    )
    op.create_table(
        "rule_book_versions",
        sa.Column("book", sa.String(64), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("base", sa.String(64), nullable=False),
        sa.Column("base_version", sa.Integer, nullable=False),
        sa.Column("changes", sa.JSON, nullable=False),
        sa.Column("resolved", sa.JSON, nullable=False),
        sa.Column("by", sa.String(200), nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("at", Moment, nullable=False),
        sa.Column("fingerprint", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("book", "number", name="pk_rule_book_versions"),
        sa.ForeignKeyConstraint(["book"], ["rule_books.name"], name="fk_rule_book_versions_book_rule_books"),
    )
    op.create_table(
        "rule_book_uses",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("book", sa.String(64), nullable=False),
        sa.Column("version", sa.Integer),
        sa.Column("by", sa.String(200), nullable=False),
        sa.Column("why", sa.Text, nullable=False),
        sa.Column("at", Moment, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_rule_book_uses"),
    )


def downgrade() -> None:
    """Forget all rule books."""
    op.drop_table("rule_book_uses")
    op.drop_table("rule_book_versions")
    op.drop_table("rule_books")
