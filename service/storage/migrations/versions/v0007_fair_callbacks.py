"""The host of each callback, so that none waits behind another's; numbers of batches.

Revision: 0007, after 0006. Callbacks that wait get no host: they are delivered as those of one.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Add the columns and the index."""
    op.add_column("jobs", sa.Column("host", sa.String(262), nullable=False, server_default=""))
    op.add_column("batches", sa.Column("number", sa.String(12), nullable=False, server_default=""))
    op.create_index("batches_by_number", "batches", ["number"])
