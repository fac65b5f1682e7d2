"""The engine that reaches the database."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Engine, create_engine, event


def open_engine(url: str, *, connect_s: int = 10, statement_s: int = 60) -> Engine:
    """Return an engine for the database at a URL.

    Args:
        url: where it is.
        connect_s: how long connecting to PostgreSQL may take.
        statement_s: how long a statement may take; 0: no limit.
    """
    options: dict[str, Any] = {"pool_pre_ping": True}
    if url.startswith("sqlite"):
        # Processes and threads share the file: wait for a lock instead of failing.
        options["connect_args"] = {"timeout": 30, "check_same_thread": False}
    else:
        milliseconds = 1000 * statement_s
        options["connect_args"] = {
            "connect_timeout": connect_s,
            "options": f"-c statement_timeout={milliseconds} -c lock_timeout={milliseconds}",
            # Ends connections to a machine that has vanished.
            "tcp_user_timeout": max(milliseconds, 1000 * connect_s),
        }
    engine = create_engine(url, **options)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _set_up_sqlite)
    return engine


def _set_up_sqlite(connection: Any, _: object) -> None:  # noqa: ANN401 - the driver's own
    cursor = connection.cursor()
    # Readers do not block the writer; acknowledged writes survive a power cut.
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")
    # Overwrite deleted content.
    cursor.execute("PRAGMA secure_delete=ON")
    cursor.close()
