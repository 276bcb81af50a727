"""What Alembic runs to migrate: on the connection that is handed to it, in the transaction that is open."""

from __future__ import annotations

from alembic import context

from looseends.store.models import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
