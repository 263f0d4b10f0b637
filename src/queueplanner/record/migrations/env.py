"""How Alembic runs the steps: on the connection it is handed, inside the transaction that is open there."""

from __future__ import annotations

from alembic import context

from queueplanner.record.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    transactional_ddl=True,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
