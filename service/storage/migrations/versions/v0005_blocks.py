"""Saved blocks.

Revision: 0005, after 0004.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Add the table."""
    op.create_table(
        "blocks",
        sa.Column("name", sa.String(64), primary_key=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("updated_us", sa.BigInteger, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
    )
