"""The tables, and the engine that reaches them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Engine,
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

VERSION = Table("schema_version", METADATA, Column("version", Integer, nullable=False))


def open_engine(url: str) -> Engine:
    """Return an engine for the database at a URL."""
    options: dict[str, Any] = {"pool_pre_ping": True}
    if url.startswith("sqlite"):
        # Several processes and threads share the file: wait for a lock rather than fail.
        options["connect_args"] = {"timeout": 30, "check_same_thread": False}
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
