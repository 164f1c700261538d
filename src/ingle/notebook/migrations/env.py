"""Alembic's door: it is given an open connection and begins nothing by itself."""

from __future__ import annotations

from alembic import context

from ingle.notebook.models import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,  # SQLite alters a table by copying it
    transactional_ddl=False,  # the caller's transaction holds all of it
)
context.run_migrations()
