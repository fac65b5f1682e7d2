"""The keys that made kits, jobs, batches and what is saved by name; expiry and rotation of keys.

Revision: 0008, after 0007. Jobs and batches get the key of their order, and kits that of their job.
What has no order, such as kits that were made at once, belongs to no key.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"

_OWNED = ("kits", "jobs", "batches", "cutters", "price_lists", "blocks")


def upgrade() -> None:
    """Add the columns and the indexes, and fill in the keys that are known."""
    for table in _OWNED:
        op.add_column(table, sa.Column("key_id", sa.String(12), nullable=False, server_default=""))
    for name in ("expires_us", "last_used_us", "old_until_us"):
        op.add_column("keys", sa.Column(name, sa.BigInteger, nullable=True))
    op.add_column("keys", sa.Column("old_sha256", sa.String(64), nullable=True))
    for table, whose in (("batches", "batches.id"), ("jobs", "COALESCE(jobs.batch_id, jobs.id)")):
        op.execute(
            f"UPDATE {table} SET key_id = "  # noqa: S608 - names of its own
            f"COALESCE((SELECT orders.key_id FROM orders WHERE orders.id = {whose}), '')"
        )
    # One pass over the jobs that made a kit: no index finds a kit's job.
    op.create_table(
        "kit_keys",
        sa.Column("kit_id", sa.String(36), primary_key=True),
        sa.Column("key_id", sa.String(12), nullable=False),
    )
    op.execute(
        "INSERT INTO kit_keys (kit_id, key_id) SELECT kit_id, MAX(key_id) FROM jobs "
        "WHERE kit_id IS NOT NULL AND key_id <> '' GROUP BY kit_id"
    )
    op.execute(
        "UPDATE kits SET key_id = "
        "COALESCE((SELECT kit_keys.key_id FROM kit_keys WHERE kit_keys.kit_id = kits.id), '')"
    )
    op.drop_table("kit_keys")
    op.create_index("kits_of_key", "kits", ["key_id", "created_us", "id", "title_folded"])
    op.create_index("jobs_of_key", "jobs", ["key_id", "batch_id", "created_us", "id"])
    op.create_index("batches_of_key", "batches", ["key_id", "created_us", "id"])
