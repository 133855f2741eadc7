"""What reservations hold of an item over the same days, added up."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Create the table and add up what every line holds."""
    op.create_table(
        "promised",
        sa.Column("item", sa.String(64), nullable=False),
        sa.Column("first_day", sa.Date, nullable=False),
        sa.Column("last_day", sa.Date, nullable=False),
        sa.Column("on_the_table", sa.Boolean, nullable=False),
        sa.Column("pieces", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("item", "first_day", "last_day", "on_the_table", name="pk_promised"),
        sa.ForeignKeyConstraint(["item"], ["items.id"], name="fk_promised_item_items"),
        sa.CheckConstraint("pieces >= 0", name=op.f("ck_promised_pieces_not_negative")),
    )
    op.execute(
        """
        INSERT INTO promised (item, first_day, last_day, on_the_table, pieces)
        SELECT item, first_day, last_day, state = 'on_the_table', SUM(held)
        FROM reservation_lines JOIN reservations ON reservations.id = reservation_lines.reservation
        WHERE held > 0 GROUP BY item, first_day, last_day, state = 'on_the_table'
        """
    )


def downgrade() -> None:
    """Forget the sums; the lines say the same."""
    op.drop_table("promised")
