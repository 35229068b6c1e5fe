"""The log and the sheets refuse to be changed or emptied, whoever asks."""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"

TABLES = ("events", "sheets")


def upgrade() -> None:
    """Put a trigger on each of the two tables."""
    if op.get_bind().dialect.name == "sqlite":
        for table in TABLES:
            for act in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_no_{act.lower()} BEFORE {act} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END"
                )
        return
    op.execute(
        "CREATE FUNCTION ringwright_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the log is append-only'; END $$"
    )
    for table in TABLES:
        op.execute(
            f"CREATE TRIGGER {table}_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION ringwright_append_only()"
        )
