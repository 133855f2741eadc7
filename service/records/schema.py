"""The service's tables, beside the stock's in one database."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa

from inventory.store.schema import Moment
from inventory.store.schema_version import SchemaHistory
from service.records.job import STATES

metadata = sa.MetaData()

plan_jobs = sa.Table(
    "plan_jobs",
    metadata,
    sa.Column("id", sa.String(32), nullable=False),
    sa.Column("kind", sa.String(16), nullable=False, server_default="plan"),
    sa.Column("state", sa.String(16), nullable=False),
    sa.Column("priority", sa.Integer, nullable=False, server_default="10"),
    sa.Column("name", sa.String(200), nullable=False, server_default=""),
    sa.Column("created_at", Moment, nullable=False),
    sa.Column("started_at", Moment),
    sa.Column("finished_at", Moment),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("cancel_asked", sa.Boolean, nullable=False),
    sa.Column("owner", sa.String(32)),
    sa.Column("leased_until", Moment),
    sa.Column("request", sa.Text, nullable=False),
    sa.Column("warnings", sa.JSON, nullable=False),
    sa.Column("progress", sa.JSON(none_as_null=True)),
    sa.Column("status", sa.String(16)),
    sa.Column("plan", sa.JSON(none_as_null=True)),
    sa.Column("failure", sa.JSON(none_as_null=True)),
    sa.Column("key", sa.String(255)),
    sa.Column("key_body", sa.String(64)),
    sa.Column("asked_by", sa.String(32)),
    sa.Column("content", sa.String(64)),
    sa.Column("answered_from", sa.String(32)),
    sa.Column("quantity", sa.Integer),
    sa.Column("needed_from", sa.Date),
    sa.Column("needed_to", sa.Date),
    sa.Column("total_cents", sa.BigInteger),
    sa.Column("gap", sa.Float),
    sa.Column("pieces_short", sa.Integer),
    sa.Column("quote", sa.String(32)),
    sa.Column("weldment", sa.String(64)),
    sa.Column("weldment_version", sa.Integer),
    sa.PrimaryKeyConstraint("id", name="pk_plan_jobs"),
    sa.UniqueConstraint("key", name="uq_plan_jobs_key"),
    sa.CheckConstraint(f"state IN ({', '.join(repr(state) for state in STATES)})", name="ck_plan_jobs_known_state"),
    sa.Index("ix_plan_jobs_state", "state", "created_at"),
    sa.Index("ix_plan_jobs_created", "created_at", "id"),
    sa.Index("ix_plan_jobs_content", "content"),
    sa.Index("ix_plan_jobs_answered_from", "answered_from"),
    sa.Index("ix_plan_jobs_quote", "quote"),
)
"""`kind`: what the answer is, a plan or advice, which stands in `plan`. `priority`: larger first. `name`: the weldment's.
`status`: the plan's. `asked_by`: the API key. `content`: the fingerprint of all an answer depends on. `answered_from`: the job
whose answer it is. `quantity` and those behind it: figures for lists, null in jobs that are older than they are. `quote`: the
quote it is planned for, null where a plan was asked for by itself. `weldment`: the stored weldment that its request names."""

job_events = sa.Table(
    "job_events",
    metadata,
    sa.Column("job", sa.String(32), nullable=False),
    sa.Column("number", sa.Integer, nullable=False),
    sa.Column("event", sa.JSON, nullable=False),
    sa.PrimaryKeyConstraint("job", "number", name="pk_job_events"),
    sa.ForeignKeyConstraint(["job"], ["plan_jobs.id"], name="fk_job_events_job_plan_jobs", ondelete="CASCADE"),
)
"""Progress of jobs, numbered from 0."""

job_best = sa.Table(
    "job_best",
    metadata,
    sa.Column("job", sa.String(32), nullable=False),
    sa.Column("alternative", sa.Text, nullable=False),
    sa.PrimaryKeyConstraint("job", name="pk_job_best"),
    sa.ForeignKeyConstraint(["job"], ["plan_jobs.id"], name="fk_job_best_job_plan_jobs", ondelete="CASCADE"),
)
"""The best alternative so far of each job that runs; beside the table of jobs, whose rows are long, as it is written often."""

plan_scores = sa.Table(
    "plan_scores",
    metadata,
    sa.Column("job", sa.String(32), nullable=False),
    sa.Column("score", sa.Text, nullable=False),
    sa.PrimaryKeyConstraint("job", name="pk_plan_scores"),
    sa.ForeignKeyConstraint(["job"], ["plan_jobs.id"], name="fk_plan_scores_job_plan_jobs", ondelete="CASCADE"),
)
"""What changed rules are held against, of each finished plan; beside the table of jobs, whose rows are long."""

api_keys = sa.Table(
    "api_keys",
    metadata,
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
"""Keys by which systems and people are known; the key itself is nowhere, only its hash."""

sign_ins = sa.Table(
    "sign_ins",
    metadata,
    sa.Column("hash", sa.String(64), nullable=False),
    sa.Column("api_key", sa.String(32), nullable=False),
    sa.Column("made_at", Moment, nullable=False),
    sa.Column("expires_at", Moment, nullable=False),
    sa.PrimaryKeyConstraint("hash", name="pk_sign_ins"),
    sa.ForeignKeyConstraint(["api_key"], ["api_keys.id"], name="fk_sign_ins_api_key_api_keys", ondelete="CASCADE"),
)
"""Browsers that have signed in by a key, until they sign out or it expires; only the cookie's hash is kept."""

writes = sa.Table(
    "writes",
    metadata,
    sa.Column("id", sa.Integer, autoincrement=True),
    sa.Column("at", Moment, nullable=False),
    sa.Column("api_key", sa.String(32)),
    sa.Column("operation", sa.String(64), nullable=False),
    sa.Column("address", sa.String(400), nullable=False),
    sa.Column("status", sa.Integer, nullable=False),
    sa.Column("request_id", sa.String(64), nullable=False),
    sa.PrimaryKeyConstraint("id", name="pk_writes"),
    sa.Index("ix_writes_at", "at"),
    sqlite_autoincrement=True,
)
"""The journal of writes: which key did what, when."""

webhooks = sa.Table(
    "webhooks",
    metadata,
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
"""Addresses that want to hear of events, with the secret each message is signed with."""

deliveries = sa.Table(
    "deliveries",
    metadata,
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
    sa.CheckConstraint("state IN ('waiting', 'delivered', 'dead')", name="ck_deliveries_known_state"),
    sa.Index("ix_deliveries_due", "webhook", "state", "next_at"),
)
"""Messages on their way, delivered, or given up (dead letters)."""

drafts = sa.Table(
    "drafts",
    metadata,
    sa.Column("id", sa.String(32), nullable=False),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("created_at", Moment, nullable=False),
    sa.Column("changed_at", Moment, nullable=False),
    sa.Column("step", sa.Integer, nullable=False),
    sa.Column("last_step", sa.Integer, nullable=False),
    sa.Column("made_by", sa.String(32)),
    sa.PrimaryKeyConstraint("id", name="pk_drafts"),
    sa.Index("ix_drafts_changed", "changed_at", "id"),
)
"""Requests in the making. `step`: the number of the step each stands at. `last_step`: the highest one a step of it ever had."""

draft_steps = sa.Table(
    "draft_steps",
    metadata,
    sa.Column("draft", sa.String(32), nullable=False),
    sa.Column("number", sa.Integer, nullable=False),
    sa.Column("document", sa.Text, nullable=False),
    sa.Column("words", sa.String(200), nullable=False),
    sa.PrimaryKeyConstraint("draft", "number", name="pk_draft_steps"),
    sa.ForeignKeyConstraint(["draft"], ["drafts.id"], name="fk_draft_steps_draft_drafts", ondelete="CASCADE"),
)
"""What each draft was after its last steps; `words` say what a step did."""

rule_books = sa.Table(
    "rule_books",
    metadata,
    sa.Column("name", sa.String(64), nullable=False),
    sa.Column("kind", sa.String(16), nullable=False),
    sa.Column("newest", sa.Integer, nullable=False),
    sa.PrimaryKeyConstraint("name", name="pk_rule_books"),
)
"""Rule books of the shop and its customers. `newest`: the number of the newest version."""

rule_book_versions = sa.Table(
    "rule_book_versions",
    metadata,
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
"""What each rule book says, version by version; rows are only added. `base` may be `default`, which is in no table."""

rule_book_uses = sa.Table(
    "rule_book_uses",
    metadata,
    sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
    sa.Column("book", sa.String(64), nullable=False),
    sa.Column("version", sa.Integer),
    sa.Column("by", sa.String(200), nullable=False),
    sa.Column("why", sa.Text, nullable=False),
    sa.Column("at", Moment, nullable=False),
    sa.PrimaryKeyConstraint("number", name="pk_rule_book_uses"),
)
"""Which book counts where a request names none: the row with the highest number; rows are only added."""

measured_times = sa.Table(
    "measured_times",
    metadata,
    sa.Column("number", sa.Integer, autoincrement=True),
    sa.Column("plan", sa.String(32), nullable=False),
    sa.Column("rank", sa.Integer, nullable=False),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("what", sa.String(16), nullable=False),
    sa.Column("seconds", sa.Float, nullable=False),
    sa.Column("arc_s", sa.Float, nullable=False),
    sa.Column("count", sa.Integer, nullable=False),
    sa.Column("set_before", sa.Boolean),
    sa.Column("stations", sa.Integer, nullable=False),
    sa.Column("predicted_s", sa.Integer, nullable=False),
    sa.Column("work", sa.JSON, nullable=False),
    sa.Column("measured_on", sa.Date, nullable=False),
    sa.Column("reported_at", Moment, nullable=False),
    sa.Column("by", sa.String(200), nullable=False),
    sa.Column("note", sa.String(1000), nullable=False),
    sa.Column("withdrawn_at", Moment),
    sa.Column("withdrawn_by", sa.String(200)),
    sa.Column("withdrawn_why", sa.String(1000)),
    sa.PrimaryKeyConstraint("number", name="pk_measured_times"),
    sa.CheckConstraint("what IN ('setup', 'cycle')", name="ck_measured_times_known_what"),
    sa.Index("ix_measured_times_plan", "plan", "rank"),
    sa.Index("ix_measured_times_reported", "reported_at"),
    sqlite_autoincrement=True,
)
"""How long setups and cycles really took. `work`: what they consisted of, so that a report needs its plan no more. `by`: whoever
reports, who need not be who worked. What was withdrawn stays, with who and why."""

quotes = sa.Table(
    "quotes",
    metadata,
    sa.Column("id", sa.String(32), nullable=False),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("state", sa.String(16), nullable=False),
    sa.Column("priority", sa.Integer, nullable=False),
    sa.Column("created_at", Moment, nullable=False),
    sa.Column("finished_at", Moment),
    sa.Column("lines", sa.JSON, nullable=False),
    sa.Column("price_only", sa.Boolean, nullable=False),
    sa.Column("break_even", sa.Boolean, nullable=False),
    sa.Column("key", sa.String(255)),
    sa.Column("key_body", sa.String(64)),
    sa.Column("asked_by", sa.String(32)),
    sa.PrimaryKeyConstraint("id", name="pk_quotes"),
    sa.UniqueConstraint("key", name="uq_quotes_key"),
    sa.CheckConstraint("state IN ('running', 'done', 'cancelled')", name="ck_quotes_known_state"),
    sa.Index("ix_quotes_state", "state", "created_at"),
)
"""Quotes. `lines`: what was asked for, line by line, each with the number of its group."""

quote_groups = sa.Table(
    "quote_groups",
    metadata,
    sa.Column("quote", sa.String(32), nullable=False),
    sa.Column("number", sa.Integer, nullable=False),
    sa.Column("request", sa.Text, nullable=False),
    sa.Column("weldment", sa.String(200), nullable=False),
    sa.Column("basis", sa.JSON, nullable=False),
    sa.Column("quantities", sa.JSON, nullable=False),
    sa.Column("content", sa.String(64), nullable=False),
    sa.Column("warnings", sa.JSON, nullable=False),
    sa.Column("facts", sa.JSON, nullable=False),
    sa.Column("under_way", sa.JSON, nullable=False),
    sa.Column("plans", sa.Integer, nullable=False),
    sa.Column("failed", sa.Text),
    sa.Column("ended", sa.Integer),
    sa.Column("version", sa.Integer, nullable=False),
    sa.PrimaryKeyConstraint("quote", "number", name="pk_quote_groups"),
    sa.ForeignKeyConstraint(["quote"], ["quotes.id"], name="fk_quote_groups_quote_quotes", ondelete="CASCADE"),
    sa.Index("ix_quote_groups_content", "content"),
)
"""The different requests of each quote. `facts`: what its plans say of prices. `under_way`: jobs by the quantity they plan.
`plans`: how many were made. `content`: the fingerprint of all its prices depend on. `ended`: its
place among those that have ended, from 1, null while it is worked on."""

stored_weldments = sa.Table(
    "stored_weldments",
    metadata,
    sa.Column("id", sa.String(64), nullable=False),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("newest", sa.Integer, nullable=False),
    sa.PrimaryKeyConstraint("id", name="pk_stored_weldments"),
)
"""Stored weldments. `newest`: the number of the newest version; `name`: what that one calls it."""

stored_weldment_versions = sa.Table(
    "stored_weldment_versions",
    metadata,
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
    sa.ForeignKeyConstraint(["weldment"], ["stored_weldments.id"], name="fk_stored_weldment_versions_weldment_stored_weldments"),
)
"""What each stored weldment is, version by version; rows are only added. `source`: the file it was read from, if it was."""

SERVICE = SchemaHistory(
    Path(__file__).parent / "migrations", "service_schema_version", metadata, lock=4_729_183_650_272, alone=False
)
"""The tables of the service."""
