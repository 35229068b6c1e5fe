"""Alembic's entry: runs on the connection that the store hands over, inside its transaction."""

from __future__ import annotations

from alembic import context

from ringwright.store.schema import metadata


def run() -> None:
    """Run the steps that are missing."""
    context.configure(
        connection=context.config.attributes["connection"],
        target_metadata=metadata,
        render_as_batch=True,
        transactional_ddl=True,
    )
    with context.begin_transaction():
        context.run_migrations()


if __name__ == "env_py":  # the name under which Alembic loads this file; an ordinary import does nothing
    run()
