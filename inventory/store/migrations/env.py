"""Run the migrations on the connection handed in, inside its transaction: all of them or none."""

from __future__ import annotations

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=context.config.attributes["tables"],
    render_as_batch=True,
    transactional_ddl=True,
    version_table=context.config.attributes["version_table"],
)
with context.begin_transaction():
    context.run_migrations()
