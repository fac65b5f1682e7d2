"""The tables of version 0.2.0; also from any database made before revisions were written down.

Revision: 0001, the first.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.storage.migrations import FENCE

revision = "0001"
down_revision = None

#: Columns of ``jobs`` that version 0.1.0 named otherwise.
_RENAMED = {"tries": "attempts", "stage": "phase"}


def upgrade() -> None:
    """Create the tables that are missing, and rename the columns that have other names now."""
    connection = op.get_bind()
    found = sa.inspect(connection)
    names = set(found.get_table_names())
    if "jobs" in names:
        columns = {each["name"] for each in found.get_columns("jobs")}
        for old, new in _RENAMED.items():
            if old in columns:
                op.execute(f"ALTER TABLE jobs RENAME COLUMN {old} TO {new}")
    for name, columns_and_more in _tables().items():
        if name not in names:
            op.create_table(name, *columns_and_more)
    for name, table, *indexed in _INDEXES:
        if table not in names:
            op.create_index(name, table, indexed)
    version = sa.table("schema_version", sa.column("version"))
    op.execute(version.delete())
    op.execute(version.insert().values(version=FENCE))


_INDEXES = (
    ("kits_newest_first", "kits", "created_us", "id"),
    ("jobs_newest_first", "jobs", "created_us", "id"),
    ("jobs_by_lease", "jobs", "state", "lease_us"),
    ("jobs_of_batch", "jobs", "batch_id", "state", "number"),
    ("jobs_as_they_end", "jobs", "batch_id", "finish"),
    ("batches_newest_first", "batches", "created_us", "id"),
)


def _tables() -> dict[str, list[sa.schema.SchemaItem]]:
    """Return the columns of each table as they were in this revision."""
    return {**_kits_and_keys(), "jobs": _jobs(), **_batches_and_store()}


def _kits_and_keys() -> dict[str, list[sa.schema.SchemaItem]]:
    return {
        "kits": [
            sa.Column("id", sa.String(36), primary_key=True),
            sa.Column("created_us", sa.BigInteger, nullable=False),
            sa.Column("title", sa.String(200), nullable=False),
            sa.Column("version", sa.String(40), nullable=False),
            sa.Column("recut_of", sa.String(36)),
            sa.Column("answer", sa.LargeBinary, nullable=False),
            sa.Column("sha256", sa.String(64), nullable=False),
        ],
        "kit_files": [
            sa.Column("kit_id", sa.String(36), primary_key=True),
            sa.Column("name", sa.String(120), primary_key=True),
            sa.Column("media_type", sa.String(120), nullable=False),
            sa.Column("bytes", sa.Integer, nullable=False),
            sa.Column("sha256", sa.String(64), nullable=False),
        ],
        "cutters": [
            sa.Column("name", sa.String(64), primary_key=True),
            sa.Column("version", sa.Integer, nullable=False),
            sa.Column("updated_us", sa.BigInteger, nullable=False),
            sa.Column("body", sa.LargeBinary, nullable=False),
        ],
        "keys": [
            sa.Column("id", sa.String(12), primary_key=True),
            sa.Column("name", sa.String(120), nullable=False),
            sa.Column("scope", sa.String(10), nullable=False),
            sa.Column("created_us", sa.BigInteger, nullable=False),
            sa.Column("revoked_us", sa.BigInteger),
            sa.Column("sha256", sa.String(64), nullable=False),
        ],
        "claims": [
            sa.Column("key", sa.String(64), primary_key=True),
            sa.Column("token", sa.String(32), nullable=False),
            sa.Column("fingerprint", sa.String(64), nullable=False),
            sa.Column("claimed_us", sa.BigInteger, nullable=False),
            sa.Column("kit_id", sa.String(36)),
        ],
    }


def _batches_and_store() -> dict[str, list[sa.schema.SchemaItem]]:
    return {
        "batches": [
            sa.Column("id", sa.String(36), primary_key=True),
            sa.Column("created_us", sa.BigInteger, nullable=False),
            sa.Column("title", sa.String(200), nullable=False),
            sa.Column("total", sa.Integer, nullable=False),
            sa.Column("finished", sa.Integer, nullable=False),
            sa.Column("cancel", sa.Boolean, nullable=False),
            sa.Column("source", sa.LargeBinary, nullable=False),
            sa.Column("request_id", sa.String(64), nullable=False),
            sa.Column("serial", sa.Integer, nullable=False),
            sa.Column("lease_us", sa.BigInteger, nullable=False),
        ],
        "store": [
            sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
            sa.Column("id", sa.String(36), nullable=False),
            sa.Column("moved_us", sa.BigInteger),
        ],
        "deletions": [sa.Column("kit_id", sa.String(36), primary_key=True)],
        "orders": [
            sa.Column("id", sa.String(36), primary_key=True),
            sa.Column("key_id", sa.String(12), nullable=False),
            sa.Column("jobs", sa.Integer, nullable=False),
            sa.Column("effort_s", sa.Float, nullable=False),
        ],
        "schema_version": [sa.Column("version", sa.Integer, nullable=False)],
    }


def _jobs() -> list[sa.schema.SchemaItem]:
    return [
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("kind", sa.String(10), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("created_us", sa.BigInteger, nullable=False),
        sa.Column("started_us", sa.BigInteger),
        sa.Column("ended_us", sa.BigInteger),
        sa.Column("lease_us", sa.BigInteger, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("spared", sa.Integer, nullable=False),
        sa.Column("deliveries", sa.Integer, nullable=False),
        sa.Column("cancel", sa.Boolean, nullable=False),
        sa.Column("progress", sa.Float, nullable=False),
        sa.Column("phase", sa.String(200), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("kit_id", sa.String(36)),
        sa.Column("title", sa.String(200), nullable=False),
        sa.Column("request", sa.LargeBinary),
        sa.Column("request_id", sa.String(64), nullable=False),
        sa.Column("problem", sa.LargeBinary),
        sa.Column("batch_id", sa.String(36)),
        sa.Column("number", sa.Integer),
        sa.Column("finish", sa.Integer),
    ]
