"""The tables, and the engine that reaches them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Engine,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    create_engine,
    event,
)

METADATA = MetaData()

KITS = Table(
    "kits",
    METADATA,
    Column("id", String(36), primary_key=True),
    # Microseconds since 1970: sorts alike on every database and keeps its last digit.
    Column("created_us", BigInteger, nullable=False),
    Column("title", String(200), nullable=False),
    Column("version", String(40), nullable=False),
    Column("recut_of", String(36), nullable=True),
    # The answer as it was sent, to be sent again byte for byte.
    Column("answer", LargeBinary, nullable=False),
    Column("sha256", String(64), nullable=False),
    Index("kits_newest_first", "created_us", "id"),
)

KIT_FILES = Table(
    "kit_files",
    METADATA,
    Column("kit_id", String(36), primary_key=True),
    Column("name", String(120), primary_key=True),
    Column("media_type", String(120), nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("sha256", String(64), nullable=False),
)

CUTTERS = Table(
    "cutters",
    METADATA,
    Column("name", String(64), primary_key=True),
    Column("version", Integer, nullable=False),
    Column("updated_us", BigInteger, nullable=False),
    Column("body", LargeBinary, nullable=False),
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
)

CLAIMS = Table(
    "claims",
    METADATA,
    Column("key", String(64), primary_key=True),
    Column("token", String(32), nullable=False),
    Column("fingerprint", String(64), nullable=False),
    Column("claimed_us", BigInteger, nullable=False),
    Column("kit_id", String(36), nullable=True),
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
    # Until when whoever does the job holds it; of one that waits, when it is delivered again.
    Column("lease_us", BigInteger, nullable=False),
    # Counts up with every start: a late worker's writes name an older one and change nothing.
    Column("tries", Integer, nullable=False, default=0),
    # Starts that were given back in good order, which do not count against the job.
    Column("spared", Integer, nullable=False, default=0),
    Column("deliveries", Integer, nullable=False, default=0),
    Column("cancel", Boolean, nullable=False, default=False),
    Column("progress", Float, nullable=False, default=0.0),
    Column("stage", String(200), nullable=False, default=""),
    # Counts up with every change, so that watchers know what they have seen.
    Column("version", Integer, nullable=False, default=1),
    # The kit's id is settled before any work, so that a second try makes the same kit.
    Column("kit_id", String(36), nullable=True),
    Column("title", String(200), nullable=False, default=""),
    Column("request", LargeBinary, nullable=True),
    Column("request_id", String(64), nullable=False, default=""),
    Column("problem", LargeBinary, nullable=True),
    Column("batch_id", String(36), nullable=True),
    # Which of its batch it is, and the how-manieth of it to end.
    Column("number", Integer, nullable=True),
    Column("finish", Integer, nullable=True),
    Index("jobs_newest_first", "created_us", "id"),
    Index("jobs_by_lease", "state", "lease_us"),
    Index("jobs_of_batch", "batch_id", "state", "number"),
    Index("jobs_as_they_end", "batch_id", "finish"),
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
    # Its one message: a message of another number is an old one. And when it is sent again.
    Column("serial", Integer, nullable=False, default=0),
    Column("lease_us", BigInteger, nullable=False),
    Index("batches_newest_first", "created_us", "id"),
)

# One row: which store this is. The data folder holds the same id.
STORE = Table(
    "store",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("id", String(36), nullable=False),
    # Set when all of it was copied to another database, which is used since.
    Column("moved_us", BigInteger, nullable=True),
)

# Kits whose rows were deleted and whose files may remain: their process died in between.
DELETIONS = Table("deletions", METADATA, Column("kit_id", String(36), primary_key=True))

# Whose a job or a batch is, and how much it asks for.
ORDERS = Table(
    "orders",
    METADATA,
    Column("id", String(36), primary_key=True),
    Column("key_id", String(12), nullable=False),
    Column("jobs", Integer, nullable=False),
    Column("effort_s", Float, nullable=False),
)

VERSION = Table("schema_version", METADATA, Column("version", Integer, nullable=False))


def open_engine(url: str, *, connect_s: int = 10, statement_s: int = 60) -> Engine:
    """Return an engine for the database at a URL.

    Args:
        url: where it is.
        connect_s: how long PostgreSQL may take to answer at all.
        statement_s: how long one of its statements may take; 0: any time.
    """
    options: dict[str, Any] = {"pool_pre_ping": True}
    if url.startswith("sqlite"):
        # Several processes and threads share the file: wait for a lock rather than fail.
        options["connect_args"] = {"timeout": 30, "check_same_thread": False}
    else:
        milliseconds = 1000 * statement_s
        options["connect_args"] = {
            "connect_timeout": connect_s,
            "options": f"-c statement_timeout={milliseconds} -c lock_timeout={milliseconds}",
            # A machine that vanished answers no statement and ends none either.
            "tcp_user_timeout": max(milliseconds, 1000 * connect_s),
        }
    engine = create_engine(url, **options)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _set_up_sqlite)
    return engine


def _set_up_sqlite(connection: Any, _: object) -> None:  # noqa: ANN401 - the driver's own
    cursor = connection.cursor()
    # Readers do not block the writer; what was acknowledged survives a power cut.
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")
    # What is deleted is overwritten, not merely forgotten.
    cursor.execute("PRAGMA secure_delete=ON")
    cursor.close()
