"""Runs the versions over a connection that is handed in."""

from __future__ import annotations

from alembic import context

from spadework.records.store.schema_sql import METADATA

__all__ = ["run"]


def run() -> None:
    """Bring the tables of the connection to the version that is asked for, within one transaction."""
    connection = context.config.attributes["connection"]
    context.configure(connection=connection, target_metadata=METADATA, render_as_batch=True, transactional_ddl=True)
    with context.begin_transaction():
        context.run_migrations()


if __name__ == "env_py":  # the name that it is run under
    run()
