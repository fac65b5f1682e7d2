"""Callbacks of jobs and batches, and an index of those that are due.

Revision: 0006, after 0005.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add the columns and the index."""
    for table in ("jobs", "batches"):
        op.add_column(table, sa.Column("callback", sa.LargeBinary, nullable=True))
    callbacks = sa.text("kind = 'callback'")
    op.create_index(
        "jobs_callbacks",
        "jobs",
        ["state", "lease_us"],
        sqlite_where=callbacks,
        postgresql_where=callbacks,
    )
