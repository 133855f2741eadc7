"""The store's tables. Every constraint has a name, so that migrations can alter it on either database."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Dialect

from inventory.reservations import STATES

metadata = sa.MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


class Moment(sa.TypeDecorator[datetime]):
    """A point in time, aware in and out; SQLite keeps it as UTC without a zone."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse naive times: the shop's clock and the server's need not agree."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone cannot be stored")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Return an aware UTC time."""
        if value is None:
            return None
        read: datetime = value
        return read.replace(tzinfo=UTC) if read.tzinfo is None else read.astimezone(UTC)


def _one_of(column: str, values: tuple[str, ...]) -> str:
    return f"{column} IN ({', '.join(repr(value) for value in values)})"


store_state = sa.Table(
    "store_state",
    metadata,
    sa.Column("id", sa.Integer, sa.CheckConstraint("id = 1", name="one_row"), primary_key=True),
    sa.Column("stock_version", sa.BigInteger, nullable=False),
)

items = sa.Table(
    "items",
    metadata,
    sa.Column("id", sa.String(64), primary_key=True),
    sa.Column("kind", sa.String(32), nullable=False),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("document", sa.JSON, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
)

lattice_tables = sa.Table(
    "lattice_tables",
    metadata,
    sa.Column("id", sa.String(64), primary_key=True),
    sa.Column("document", sa.JSON, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
)

stock = sa.Table(
    "stock",
    metadata,
    sa.Column("item", sa.String(64), sa.ForeignKey("items.id"), primary_key=True),
    sa.Column("count", sa.Integer, sa.CheckConstraint("count >= 0", name="count_not_negative"), nullable=False),
    sa.Column("out_of_service", sa.Integer, nullable=False),
    sa.Column("bin", sa.String(200), nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.CheckConstraint("out_of_service >= 0 AND out_of_service <= count", name="out_of_service_within_count"),
)

reservations = sa.Table(
    "reservations",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("job", sa.String(200), nullable=False),
    sa.Column("state", sa.String(16), sa.CheckConstraint(_one_of("state", STATES), name="known_state"), nullable=False),
    sa.Column("first_day", sa.Date, nullable=False),
    sa.Column("last_day", sa.Date, nullable=False),
    sa.Column("expires_at", Moment),
    sa.Column("plan", sa.String(64)),
    sa.Column("plan_rank", sa.Integer),
    sa.Column("made_by", sa.String(200), nullable=False),
    sa.Column("made_at", Moment, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.CheckConstraint("first_day <= last_day", name="days_in_order"),
    sa.Index(None, "state", "last_day"),
    sa.Index(None, "plan"),
    sqlite_autoincrement=True,
)

reservation_lines = sa.Table(
    "reservation_lines",
    metadata,
    sa.Column("reservation", sa.Integer, sa.ForeignKey("reservations.id"), primary_key=True),
    sa.Column("item", sa.String(64), sa.ForeignKey("items.id"), primary_key=True),
    sa.Column("pieces", sa.Integer, nullable=False),
    sa.Column("whole", sa.Integer, nullable=False),
    sa.Column("broken", sa.Integer, nullable=False),
    sa.Column("missing", sa.Integer, nullable=False),
    sa.Column("held", sa.Integer, nullable=False),
    sa.CheckConstraint("pieces > 0", name="some_pieces"),
    sa.CheckConstraint("whole >= 0 AND broken >= 0 AND missing >= 0", name="returns_not_negative"),
    sa.CheckConstraint("whole + broken + missing + held <= pieces", name="no_more_than_promised"),
    sa.CheckConstraint("held >= 0", name="held_not_negative"),
)
# Lines that hold pieces are few beside the years of finished ones: only they are looked through for whom a shortage hits.
sa.Index(
    "ix_reservation_lines_held",
    reservation_lines.c.item,
    sqlite_where=reservation_lines.c.held > 0,
    postgresql_where=reservation_lines.c.held > 0,
)

# What all lines hold of an item over the same days, added up: whoever asks what is free reads a few rows, however many reserved.
promised = sa.Table(
    "promised",
    metadata,
    sa.Column("item", sa.String(64), sa.ForeignKey("items.id"), primary_key=True),
    sa.Column("first_day", sa.Date, primary_key=True),
    sa.Column("last_day", sa.Date, primary_key=True),
    sa.Column("on_the_table", sa.Boolean, primary_key=True),
    sa.Column("pieces", sa.Integer, sa.CheckConstraint("pieces >= 0", name="pieces_not_negative"), nullable=False),
)

reservation_steps = sa.Table(
    "reservation_steps",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("reservation", sa.Integer, sa.ForeignKey("reservations.id"), nullable=False, index=True),
    sa.Column("step", sa.String(16), nullable=False),
    sa.Column("state", sa.String(16), nullable=False),
    sa.Column("who", sa.String(200), nullable=False),
    sa.Column("at", Moment, nullable=False),
    sa.Column("why", sa.String(1000), nullable=False),
    sa.Column("key", sa.String(200)),
    sqlite_autoincrement=True,
)

# Entries outlive the items they tell of, so `item` and `reservation` are no foreign keys.
journal = sa.Table(
    "journal",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
    sa.Column("at", Moment, nullable=False),
    sa.Column("who", sa.String(200), nullable=False),
    sa.Column("why", sa.String(1000), nullable=False),
    sa.Column("kind", sa.String(16), nullable=False),
    sa.Column("item", sa.String(64), nullable=False, index=True),
    sa.Column("pieces", sa.Integer, nullable=False),
    sa.Column("count_change", sa.Integer, nullable=False),
    sa.Column("out_of_service_change", sa.Integer, nullable=False),
    sa.Column("count", sa.Integer, nullable=False),
    sa.Column("out_of_service", sa.Integer, nullable=False),
    sa.Column("reservation", sa.Integer),
    sa.Column("key", sa.String(200)),
    sqlite_autoincrement=True,
)

answered = sa.Table(
    "answered",
    metadata,
    sa.Column("key", sa.String(255), primary_key=True),
    sa.Column("fingerprint", sa.String(64), nullable=False),
    sa.Column("answer", sa.JSON, nullable=False),
    sa.Column("at", Moment, nullable=False, index=True),
)

documents = sa.Table(
    "documents",
    metadata,
    sa.Column("kind", sa.String(16), primary_key=True),
    sa.Column("name", sa.String(200), primary_key=True),
    sa.Column("version", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("document", sa.JSON, nullable=False),
    sa.Column("who", sa.String(200), nullable=False),
    sa.Column("at", Moment, nullable=False),
    sa.Column("why", sa.String(1000), nullable=False),
)

# Plans somebody built or reserved: a plan document never changes, a re-plan is another plan.
plans = sa.Table(
    "plans",
    metadata,
    sa.Column("id", sa.String(64), primary_key=True),
    sa.Column("request", sa.JSON(none_as_null=True)),
    sa.Column("document", sa.JSON, nullable=False),
    sa.Column("first_day", sa.Date, nullable=False),
    sa.Column("last_day", sa.Date, nullable=False, index=True),
    sa.Column("stock_version", sa.BigInteger),
    sa.Column("rules_version", sa.Integer),
    sa.Column("who", sa.String(200), nullable=False),
    sa.Column("at", Moment, nullable=False, index=True),
    sa.Column("why", sa.String(1000), nullable=False),
)

# The kits of saved plans, so that a breakage can say which plans it hits without opening every document.
plan_kits = sa.Table(
    "plan_kits",
    metadata,
    sa.Column("plan", sa.String(64), sa.ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    sa.Column("plan_rank", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("item", sa.String(64), primary_key=True, index=True),
    sa.Column("pieces", sa.Integer, nullable=False),
)
