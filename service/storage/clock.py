"""The database's time: one clock for all machines."""

from __future__ import annotations

from typing import Any

from sqlalchemy import BigInteger
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement


class NowUs(FunctionElement[int]):
    """Microseconds since 1970 at the moment the statement runs."""

    type = BigInteger()
    inherit_cache = True


@compiles(NowUs, "sqlite")
def _sqlite(*_: Any, **__: Any) -> str:  # noqa: ANN401 - the compiler's own
    # SQLite runs inside this process, so this is the machine's clock, to the millisecond.
    return "CAST((julianday('now') - 2440587.5) * 86400000000.0 AS INTEGER)"


@compiles(NowUs, "postgresql")
def _postgresql(*_: Any, **__: Any) -> str:  # noqa: ANN401 - the compiler's own
    # Not now(): that is when the transaction began.
    return "CAST(EXTRACT(EPOCH FROM clock_timestamp()) * 1000000 AS BIGINT)"
