"""How alembic runs our migrations: on the connection that opening.py gives, inside its transaction."""

from __future__ import annotations

from alembic import context

from steadyrest.store.schema import TABLES

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=TABLES,
    transactional_ddl=True,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
