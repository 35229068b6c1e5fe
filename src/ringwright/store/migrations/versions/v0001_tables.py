"""Jobs, kit, round sheets and the log."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the four tables."""
    op.create_table(
        "jobs",
        sa.Column("job_id", sa.String(40), primary_key=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("number", sa.String(20), nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("saved_at", sa.String(40), nullable=False),
    )
    op.create_table(
        "kit",
        sa.Column("one", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
    )
    op.create_table(
        "sheets",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("job_id", sa.String(40), sa.ForeignKey("jobs.job_id"), nullable=False),
        sa.Column("round_id", sa.String(40), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("sheet", sa.Text, nullable=False),
        sa.Column("frozen_at", sa.String(40), nullable=False),
        sa.UniqueConstraint("job_id", "round_id", "revision", name="sheets_one_revision"),
    )
    op.create_table(
        "events",
        sa.Column("job_id", sa.String(40), sa.ForeignKey("jobs.job_id"), primary_key=True),
        sa.Column("round_id", sa.String(40), primary_key=True),
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("event_id", sa.String(64), nullable=False, unique=True),
        sa.Column("sheet_digest", sa.String(64), sa.ForeignKey("sheets.digest"), nullable=False),
        sa.Column("station", sa.String(40), nullable=False),
        sa.Column("station_seq", sa.Integer, nullable=False),
        sa.Column("event", sa.Text, nullable=False),
        sa.Column("received_at", sa.String(40), nullable=False),
    )
    op.create_index("events_station", "events", ["station", "station_seq"])
