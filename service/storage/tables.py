"""The database's tables."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    text,
)

METADATA = MetaData()

#: The row of a kit's zip, which has no name. In words, because SQLite uses an index with a
#: condition only where a query states the same one.
IS_ZIP = text("name = ''")
#: Jobs that are callbacks, likewise.
IS_CALLBACK = text("kind = 'callback'")

KITS = Table(
    "kits",
    METADATA,
    Column("id", String(36), primary_key=True),
    # Microseconds since 1970: sorts the same on every database, without rounding.
    Column("created_us", BigInteger, nullable=False),
    Column("title", String(200), nullable=False),
    Column("version", String(40), nullable=False),
    Column("recut_of", String(36), nullable=True),
    # The answer as it was first sent, to be repeated byte for byte.
    Column("answer", LargeBinary, nullable=False),
    Column("sha256", String(64), nullable=False),
    # What it is searched by, beside the terms below; a title in small letters.
    Column("number", String(12), nullable=False, server_default=""),
    Column("reference", String(60), nullable=False, server_default=""),
    Column("date", String(10), nullable=False, server_default=""),
    Column("title_folded", String(600), nullable=False, server_default=""),
    # The key that made it; empty where no key did.
    Column("key_id", String(12), nullable=False, server_default=""),
    # With the title: searching one reads no answers.
    Index("kits_newest_first", "created_us", "id", "title_folded"),
    Index("kits_of_key", "key_id", "created_us", "id", "title_folded"),
    Index("kits_by_date", "date", "created_us", "id"),
    Index("kits_by_number", "number"),
    Index("kits_by_reference", "reference"),
)

#: What a kit holds that it is searched by: shapes of its pieces, and cutters by name.
KIT_TERMS = Table(
    "kit_terms",
    METADATA,
    Column("kit_id", String(36), primary_key=True),
    Column("term", String(10), primary_key=True),
    Column("value", String(64), primary_key=True),
    # The kit's own, so that kits with a term are found newest first.
    Column("created_us", BigInteger, nullable=False, server_default="0"),
    Index("kit_terms_by_value", "term", "value", "created_us", "kit_id"),
)

KIT_FILES = Table(
    "kit_files",
    METADATA,
    Column("kit_id", String(36), primary_key=True),
    Column("name", String(120), primary_key=True),
    Column("media_type", String(120), nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("sha256", String(64), nullable=False),
    # The size of every kit's zip.
    Index("kit_archives", "name", "bytes", sqlite_where=IS_ZIP, postgresql_where=IS_ZIP),
)

CUTTERS = Table(
    "cutters",
    METADATA,
    Column("name", String(64), primary_key=True),
    Column("version", Integer, nullable=False),
    Column("updated_us", BigInteger, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("key_id", String(12), nullable=False, server_default=""),
)

PRICE_LISTS = Table(
    "price_lists",
    METADATA,
    Column("name", String(64), primary_key=True),
    Column("version", Integer, nullable=False),
    Column("updated_us", BigInteger, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("key_id", String(12), nullable=False, server_default=""),
)

BLOCKS = Table(
    "blocks",
    METADATA,
    Column("name", String(64), primary_key=True),
    Column("version", Integer, nullable=False),
    Column("updated_us", BigInteger, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("key_id", String(12), nullable=False, server_default=""),
)

KEYS = Table(
    "keys",
    METADATA,
    Column("id", String(12), primary_key=True),
    Column("name", String(120), nullable=False),
    Column("scope", String(10), nullable=False),
    Column("created_us", BigInteger, nullable=False),
    Column("revoked_us", BigInteger, nullable=True),
    Column("sha256", String(64), nullable=False),
    Column("expires_us", BigInteger, nullable=True),
    # To the minute.
    Column("last_used_us", BigInteger, nullable=True),
    # The secret before the last rotation, and until when it is still accepted.
    Column("old_sha256", String(64), nullable=True),
    Column("old_until_us", BigInteger, nullable=True),
)

CLAIMS = Table(
    "claims",
    METADATA,
    Column("key", String(64), primary_key=True),
    Column("token", String(32), nullable=False),
    Column("fingerprint", String(64), nullable=False),
    Column("claimed_us", BigInteger, nullable=False),
    Column("kit_id", String(36), nullable=True),
    Index("claims_by_time", "claimed_us"),
)

JOBS = Table(
    "jobs",
    METADATA,
    Column("id", String(36), primary_key=True),
    Column("kind", String(10), nullable=False),
    Column("state", String(10), nullable=False),
    Column("created_us", BigInteger, nullable=False),
    Column("started_us", BigInteger, nullable=True),
    Column("ended_us", BigInteger, nullable=True),
    # When a running job's lease ends, or a queued one is delivered again.
    Column("lease_us", BigInteger, nullable=False),
    # Increases with every start: a late worker's writes name an older number and change nothing.
    Column("attempts", Integer, nullable=False, default=0),
    # Attempts that a stopping worker released; they do not count against the job.
    Column("spared", Integer, nullable=False, default=0),
    Column("deliveries", Integer, nullable=False, default=0),
    Column("cancel", Boolean, nullable=False, default=False),
    Column("progress", Float, nullable=False, default=0.0),
    Column("phase", String(200), nullable=False, default=""),
    # Increases with every change, so that watchers know what they have seen.
    Column("version", Integer, nullable=False, default=1),
    # The kit's id is chosen before any work, so that a second attempt creates the same kit.
    Column("kit_id", String(36), nullable=True),
    Column("title", String(200), nullable=False, default=""),
    Column("request", LargeBinary, nullable=True),
    Column("request_id", String(64), nullable=False, default=""),
    # The place of its request in a trace (W3C Trace Context); its work is traced there.
    Column("traceparent", String(55), nullable=False, server_default=""),
    Column("problem", LargeBinary, nullable=True),
    Column("batch_id", String(36), nullable=True),
    # Its number within its batch, and its position in the order of ending.
    Column("number", Integer, nullable=True),
    Column("finish", Integer, nullable=True),
    # Who is called back at its end; empty once that has been passed on.
    Column("callback", LargeBinary, nullable=True),
    # That a callback goes to, with its port; empty for other jobs.
    Column("host", String(262), nullable=False, server_default=""),
    # The key that asked for it; empty where no key did.
    Column("key_id", String(12), nullable=False, server_default=""),
    # Single jobs, which have no batch, are listed and deleted by themselves.
    Index("jobs_newest_first", "batch_id", "created_us", "id"),
    Index("jobs_of_key", "key_id", "batch_id", "created_us", "id"),
    Index("jobs_by_end", "batch_id", "ended_us"),
    Index("jobs_by_lease", "state", "lease_us"),
    Index("jobs_of_batch", "batch_id", "state", "number"),
    Index("jobs_as_they_end", "batch_id", "finish"),
    Index(
        "jobs_callbacks",
        "state",
        "lease_us",
        sqlite_where=IS_CALLBACK,
        postgresql_where=IS_CALLBACK,
    ),
)

BATCHES = Table(
    "batches",
    METADATA,
    Column("id", String(36), primary_key=True),
    Column("created_us", BigInteger, nullable=False),
    Column("title", String(200), nullable=False),
    Column("total", Integer, nullable=False),
    Column("finished", Integer, nullable=False, default=0),
    Column("cancel", Boolean, nullable=False, default=False),
    Column("source", LargeBinary, nullable=False),
    Column("request_id", String(64), nullable=False, default=""),
    # The number of its current message, and when that is sent again.
    Column("serial", Integer, nullable=False, default=0),
    Column("lease_us", BigInteger, nullable=False),
    Column("reference", String(60), nullable=False, server_default=""),
    # As a job's.
    Column("callback", LargeBinary, nullable=True),
    # By which a person finds it, as a kit's.
    Column("number", String(12), nullable=False, server_default=""),
    Column("key_id", String(12), nullable=False, server_default=""),
    Index("batches_of_key", "key_id", "created_us", "id"),
    Index("batches_newest_first", "created_us", "id"),
    Index("batches_by_number", "number"),
    Index("batches_by_reference", "reference"),
)

# What workers have added up since the database was made: seconds of attempts by phase, in buckets
# of a histogram, and jobs by how they ended. Rows are few, whatever the number of jobs.
JOB_SECONDS = Table(
    "job_seconds",
    METADATA,
    Column("kind", String(10), primary_key=True),
    Column("phase", String(20), primary_key=True),
    # The index of the bucket's upper bound.
    Column("bucket", Integer, primary_key=True, autoincrement=False),
    Column("count", BigInteger, nullable=False),
    Column("seconds", Float, nullable=False),
)
JOB_ENDS = Table(
    "job_ends",
    METADATA,
    Column("kind", String(10), primary_key=True),
    Column("state", String(10), primary_key=True),
    Column("jobs", BigInteger, nullable=False),
    Column("attempts", BigInteger, nullable=False),
)

# One row: the store's id. The data folder holds the same one.
STORE = Table(
    "store",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("id", String(36), nullable=False),
    # Set when all rows were moved to another database.
    Column("moved_us", BigInteger, nullable=True),
)

# Kits that no retention deletes.
PINS = Table(
    "pins",
    METADATA,
    Column("kit_id", String(36), primary_key=True),
    Column("pinned_us", BigInteger, nullable=False),
)

# Kits whose rows were deleted and whose files may remain, if their process died in between.
DELETIONS = Table("deletions", METADATA, Column("kit_id", String(36), primary_key=True))

# Which key created a job or a batch, and its effort.
ORDERS = Table(
    "orders",
    METADATA,
    Column("id", String(36), primary_key=True),
    Column("key_id", String(12), nullable=False),
    Column("jobs", Integer, nullable=False),
    Column("effort_s", Float, nullable=False),
)

# The number that databases had before revisions; version 0.1.0 refuses one with a higher number.
VERSION = Table("schema_version", METADATA, Column("version", Integer, nullable=False))

# Alembic's own table, which it creates: read here without importing Alembic.
REVISION = Table("alembic_version", MetaData(), Column("version_num", String(32), primary_key=True))
