"""Run by Alembic: migrates within the transaction of the connection that it is given."""

from __future__ import annotations

from alembic import context

from service.storage.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
