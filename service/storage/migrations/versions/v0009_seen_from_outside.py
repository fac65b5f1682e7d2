"""The trace that a job is part of; what workers add up about the jobs that they do.

Revision: 0009, after 0008. Jobs that wait are part of no trace.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    """Add the column and the tables."""
    op.add_column(
        "jobs", sa.Column("traceparent", sa.String(55), nullable=False, server_default="")
    )
    op.create_table(
        "job_seconds",
        sa.Column("kind", sa.String(10), primary_key=True),
        sa.Column("phase", sa.String(20), primary_key=True),
        sa.Column("bucket", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("count", sa.BigInteger, nullable=False),
        sa.Column("seconds", sa.Float, nullable=False),
    )
    op.create_table(
        "job_ends",
        sa.Column("kind", sa.String(10), primary_key=True),
        sa.Column("state", sa.String(10), primary_key=True),
        sa.Column("jobs", sa.BigInteger, nullable=False),
        sa.Column("attempts", sa.BigInteger, nullable=False),
    )
