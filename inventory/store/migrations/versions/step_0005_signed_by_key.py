"""Entries of the journal and steps of reservations say by which API key they came."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_TABLES = ("journal", "reservation_steps")


def upgrade() -> None:
    """Add the key's name; what is there already came without one."""
    for table in _TABLES:
        op.add_column(table, sa.Column("key", sa.String(200)))


def downgrade() -> None:
    """Forget by which keys they came."""
    for table in _TABLES:
        op.drop_column(table, "key")
