"""Pieces held stand on the line itself, with an index of the promises in force."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Give every line the pieces it holds now: the outstanding ones while its reservation is in force, else none."""
    with op.batch_alter_table("reservation_lines") as batch:
        batch.add_column(sa.Column("held", sa.Integer, nullable=False, server_default="0"))
    op.execute(
        """
        UPDATE reservation_lines SET held = pieces - whole - broken - missing
        WHERE reservation IN (SELECT id FROM reservations WHERE state IN ('reserved', 'on_the_table'))
        """
    )
    with op.batch_alter_table("reservation_lines") as batch:
        batch.alter_column("held", server_default=None, existing_type=sa.Integer(), existing_nullable=False)
        batch.drop_constraint(op.f("ck_reservation_lines_no_more_than_promised"), type_="check")
        batch.create_check_constraint(
            op.f("ck_reservation_lines_no_more_than_promised"), "whole + broken + missing + held <= pieces"
        )
        batch.create_check_constraint(op.f("ck_reservation_lines_held_not_negative"), "held >= 0")
    op.create_index(
        "ix_reservation_lines_held",
        "reservation_lines",
        ["item"],
        sqlite_where=sa.text("held > 0"),
        postgresql_where=sa.text("held > 0"),
    )


def downgrade() -> None:
    """Forget the column; states and returned pieces say the same."""
    op.drop_index("ix_reservation_lines_held", "reservation_lines")
    with op.batch_alter_table("reservation_lines") as batch:
        batch.drop_constraint(op.f("ck_reservation_lines_held_not_negative"), type_="check")
        batch.drop_constraint(op.f("ck_reservation_lines_no_more_than_promised"), type_="check")
        batch.create_check_constraint(op.f("ck_reservation_lines_no_more_than_promised"), "whole + broken + missing <= pieces")
        batch.drop_column("held")
