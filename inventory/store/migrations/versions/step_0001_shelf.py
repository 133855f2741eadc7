"""The shelf: items, tables, counted stock, reservations over days, the journal."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_MOMENT = sa.DateTime(timezone=True)
_STATES = "state IN ('proposed', 'reserved', 'on_the_table', 'returned', 'released', 'expired')"


def upgrade() -> None:
    """Create the first tables, empty, at stock version 1."""
    state = op.create_table(
        "store_state",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("stock_version", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_store_state"),
        sa.CheckConstraint("id = 1", name=op.f("ck_store_state_one_row")),
    )
    op.bulk_insert(state, [{"id": 1, "stock_version": 1}])
    op.create_table(
        "items",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("document", sa.JSON, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_items"),
    )
    op.create_table(
        "lattice_tables",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("document", sa.JSON, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_lattice_tables"),
    )
    op.create_table(
        "stock",
        sa.Column("item", sa.String(64), nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        sa.Column("out_of_service", sa.Integer, nullable=False),
        sa.Column("bin", sa.String(200), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("item", name="pk_stock"),
        sa.ForeignKeyConstraint(["item"], ["items.id"], name="fk_stock_item_items"),
        sa.CheckConstraint("count >= 0", name=op.f("ck_stock_count_not_negative")),
        sa.CheckConstraint("out_of_service >= 0 AND out_of_service <= count", name=op.f("ck_stock_out_of_service_within_count")),
    )
    _reservations()
    _journal()


def _reservations() -> None:
    op.create_table(
        "reservations",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("job", sa.String(200), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("first_day", sa.Date, nullable=False),
        sa.Column("last_day", sa.Date, nullable=False),
        sa.Column("expires_at", _MOMENT),
        sa.Column("plan", sa.String(64)),
        sa.Column("plan_rank", sa.Integer),
        sa.Column("made_by", sa.String(200), nullable=False),
        sa.Column("made_at", _MOMENT, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_reservations"),
        sa.CheckConstraint("first_day <= last_day", name=op.f("ck_reservations_days_in_order")),
        sa.CheckConstraint(_STATES, name=op.f("ck_reservations_known_state")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_reservations_state_last_day", "reservations", ["state", "last_day"])
    op.create_index("ix_reservations_plan", "reservations", ["plan"])
    op.create_table(
        "reservation_lines",
        sa.Column("reservation", sa.Integer, nullable=False),
        sa.Column("item", sa.String(64), nullable=False),
        sa.Column("pieces", sa.Integer, nullable=False),
        sa.Column("whole", sa.Integer, nullable=False),
        sa.Column("broken", sa.Integer, nullable=False),
        sa.Column("missing", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("reservation", "item", name="pk_reservation_lines"),
        sa.ForeignKeyConstraint(["reservation"], ["reservations.id"], name="fk_reservation_lines_reservation_reservations"),
        sa.ForeignKeyConstraint(["item"], ["items.id"], name="fk_reservation_lines_item_items"),
        sa.CheckConstraint("pieces > 0", name=op.f("ck_reservation_lines_some_pieces")),
        sa.CheckConstraint("whole >= 0 AND broken >= 0 AND missing >= 0", name=op.f("ck_reservation_lines_returns_not_negative")),
        sa.CheckConstraint("whole + broken + missing <= pieces", name=op.f("ck_reservation_lines_no_more_than_promised")),
    )
    op.create_table(
        "reservation_steps",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("reservation", sa.Integer, nullable=False),
        sa.Column("step", sa.String(16), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("why", sa.String(1000), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_reservation_steps"),
        sa.ForeignKeyConstraint(["reservation"], ["reservations.id"], name="fk_reservation_steps_reservation_reservations"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_reservation_steps_reservation", "reservation_steps", ["reservation"])


def _journal() -> None:
    op.create_table(
        "journal",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("why", sa.String(1000), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("item", sa.String(64), nullable=False),
        sa.Column("pieces", sa.Integer, nullable=False),
        sa.Column("count_change", sa.Integer, nullable=False),
        sa.Column("out_of_service_change", sa.Integer, nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        sa.Column("out_of_service", sa.Integer, nullable=False),
        sa.Column("reservation", sa.Integer),
        sa.PrimaryKeyConstraint("id", name="pk_journal"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_journal_item", "journal", ["item"])


def downgrade() -> None:
    """Drop everything."""
    for table in (
        "journal",
        "reservation_steps",
        "reservation_lines",
        "reservations",
        "stock",
        "lattice_tables",
        "items",
        "store_state",
    ):
        op.drop_table(table)
