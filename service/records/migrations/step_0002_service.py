"""Jobs know who asked, how urgent they are and what they depend on; their progress, keys, webhooks and the journal of writes."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

from inventory.store.schema import Moment

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def _new_columns() -> tuple[sa.Column[Any], ...]:
    return (
        sa.Column("kind", sa.String(16), nullable=False, server_default="plan"),
        sa.Column("priority", sa.Integer, nullable=False, server_default="10"),
        sa.Column("name", sa.String(200), nullable=False, server_default=""),
        sa.Column("status", sa.String(16)),
        sa.Column("asked_by", sa.String(32)),
        sa.Column("content", sa.String(64)),
        sa.Column("answered_from", sa.String(32)),
    )


def upgrade() -> None:
    """Add columns and tables; jobs that are there stay as they are, and their plans' status is written beside them."""
    with op.batch_alter_table("plan_jobs") as batch:
        for column in _new_columns():
            batch.add_column(column)
    _write_down_statuses(op.get_bind())
    op.create_index("ix_plan_jobs_created", "plan_jobs", ["created_at", "id"])
    op.create_index("ix_plan_jobs_content", "plan_jobs", ["content"])
    op.create_index("ix_plan_jobs_answered_from", "plan_jobs", ["answered_from"])
    op.create_table(
        "job_events",
        sa.Column("job", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("event", sa.JSON, nullable=False),
        sa.PrimaryKeyConstraint("job", "number", name="pk_job_events"),
        sa.ForeignKeyConstraint(["job"], ["plan_jobs.id"], name="fk_job_events_job_plan_jobs", ondelete="CASCADE"),
    )
    _create_keys()
    _create_webhooks()


def _write_down_statuses(connection: sa.Connection) -> None:
    jobs = sa.table("plan_jobs", sa.column("id"), sa.column("status"), sa.column("plan", sa.JSON))
    for id in connection.execute(sa.select(jobs.c.id).where(jobs.c.plan.is_not(None))).scalars().all():
        plan = connection.execute(sa.select(jobs.c.plan).where(jobs.c.id == id)).scalar_one()
        connection.execute(jobs.update().where(jobs.c.id == id).values(status=(plan or {}).get("status")))


def _create_keys() -> None:
    op.create_table(
        "api_keys",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("prefix", sa.String(16), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("made_at", Moment, nullable=False),
        sa.Column("made_by", sa.String(200), nullable=False),
        sa.Column("expires_at", Moment),
        sa.Column("last_used_at", Moment),
        sa.Column("revoked_at", Moment),
        sa.PrimaryKeyConstraint("id", name="pk_api_keys"),
        sa.UniqueConstraint("prefix", name="uq_api_keys_prefix"),
    )
    op.create_table(
        "sign_ins",
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("api_key", sa.String(32), nullable=False),
        sa.Column("made_at", Moment, nullable=False),
        sa.Column("expires_at", Moment, nullable=False),
        sa.PrimaryKeyConstraint("hash", name="pk_sign_ins"),
        sa.ForeignKeyConstraint(["api_key"], ["api_keys.id"], name="fk_sign_ins_api_key_api_keys", ondelete="CASCADE"),
    )
    op.create_table(
        "writes",
        sa.Column("id", sa.Integer, autoincrement=True),
        sa.Column("at", Moment, nullable=False),
        sa.Column("api_key", sa.String(32)),
        sa.Column("operation", sa.String(64), nullable=False),
        sa.Column("address", sa.String(400), nullable=False),
        sa.Column("status", sa.Integer, nullable=False),
        sa.Column("request_id", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_writes"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_writes_at", "writes", ["at"])


def _create_webhooks() -> None:
    op.create_table(
        "webhooks",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("url", sa.String(2000), nullable=False),
        sa.Column("events", sa.JSON, nullable=False),
        sa.Column("secret", sa.String(200), nullable=False),
        sa.Column("enabled", sa.Boolean, nullable=False),
        sa.Column("made_at", Moment, nullable=False),
        sa.Column("made_by", sa.String(32)),
        sa.Column("version", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_webhooks"),
    )
    op.create_table(
        "deliveries",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("webhook", sa.String(32), nullable=False),
        sa.Column("event", sa.String(64), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("made_at", Moment, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("next_at", Moment, nullable=False),
        sa.Column("ended_at", Moment),
        sa.Column("last_status", sa.Integer),
        sa.Column("last_error", sa.String(400), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_deliveries"),
        sa.ForeignKeyConstraint(["webhook"], ["webhooks.id"], name="fk_deliveries_webhook_webhooks", ondelete="CASCADE"),
        sa.CheckConstraint("state IN ('waiting', 'delivered', 'dead')", name=op.f("ck_deliveries_known_state")),
    )
    op.create_index("ix_deliveries_due", "deliveries", ["webhook", "state", "next_at"])


def downgrade() -> None:
    """Keep the jobs, forget the rest."""
    for table in ("deliveries", "webhooks", "writes", "sign_ins", "api_keys", "job_events"):
        op.drop_table(table)
    for index in ("ix_plan_jobs_answered_from", "ix_plan_jobs_content", "ix_plan_jobs_created"):
        op.drop_index(index, "plan_jobs")
    with op.batch_alter_table("plan_jobs") as batch:
        for column in _new_columns():
            batch.drop_column(column.name)
