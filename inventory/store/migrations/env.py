"""Run the migrations on the connection handed in, inside its transaction: all of them or none."""

from __future__ import annotations

from alembic import context

from inventory.store.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    transactional_ddl=True,
    version_table="schema_version",
)
with context.begin_transaction():
    context.run_migrations()
