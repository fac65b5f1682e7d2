"""What workers add up about jobs: seconds by phase, ends and attempts, for all processes together.

A process adds up in memory and writes what has come every few seconds, so that no job waits for
it; one that is killed loses those seconds, never a job.
"""

from __future__ import annotations

import threading
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple, TypeAlias

from sqlalchemy import Connection, Engine, Table, select
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import JOB_ENDS, JOB_SECONDS

#: Upper bounds of the histograms' buckets, s; what takes longer falls into one more.
BOUNDS_S = (0.05, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0, 3000.0)


class PhaseSeconds(NamedTuple):
    """Attempts of one kind of job by what a phase of them took.

    Args:
        kind: of the jobs.
        phase: of the attempts.
        counts: in each bucket, one more than there are bounds.
        seconds: of all together.
    """

    kind: str
    phase: str
    counts: tuple[int, ...]
    seconds: float


class JobEnds(NamedTuple):
    """Jobs of one kind that ended in one state, and the attempts that they took."""

    kind: str
    state: str
    jobs: int
    attempts: int


#: What a process has added up and not written yet: two numbers of each row, by its key.
_Sums: TypeAlias = dict[tuple[str | int, ...], tuple[int, float]]


def _more(sums: _Sums, at: tuple[str | int, ...], count: int, amount: float) -> None:
    before = sums.get(at, (0, 0.0))
    sums[at] = before[0] + count, before[1] + amount


class JobTotals:
    """The totals of jobs.

    Args:
        engine: reaches the database.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._lock = threading.Lock()
        self._seconds: _Sums = {}
        self._ends: _Sums = {}

    def observe(self, kind: str, seconds: Mapping[str, float]) -> None:
        """Add what the phases of an attempt took, s."""
        with self._lock:
            for phase, taken in seconds.items():
                _more(self._seconds, (kind, phase, bisect_left(BOUNDS_S, taken)), 1, taken)

    def count_end(self, kind: str, state: str, attempts: int) -> None:
        """Add a job that has ended, and its attempts."""
        with self._lock:
            _more(self._ends, (kind, state), 1, attempts)

    def write(self) -> None:
        """Write what has been added up; it is kept for the next time where that fails.

        Raises:
            sqlalchemy.exc.SQLAlchemyError: when the database does not answer.
        """
        with self._lock:
            seconds, self._seconds = self._seconds, {}
            ends, self._ends = self._ends, {}
        if not seconds and not ends:
            return
        try:
            with self._engine.begin() as connection:
                _write(connection, JOB_SECONDS, seconds)
                _write(connection, JOB_ENDS, ends)
        except BaseException:
            with self._lock:
                for own, unwritten in ((self._seconds, seconds), (self._ends, ends)):
                    for at, (count, amount) in unwritten.items():
                        _more(own, at, count, amount)
            raise

    def phase_seconds(self) -> list[PhaseSeconds]:
        """Return what the phases of all attempts took, as far as it was written."""
        counts: dict[tuple[str, str], list[int]] = {}
        seconds: defaultdict[tuple[str, str], float] = defaultdict(float)
        for row in self._rows(JOB_SECONDS):
            per_bucket = counts.setdefault((row.kind, row.phase), [0] * (len(BOUNDS_S) + 1))
            # A later version may have had more bounds.
            per_bucket[min(row.bucket, len(BOUNDS_S))] += row.count
            seconds[row.kind, row.phase] += row.seconds
        return [
            PhaseSeconds(kind, phase, tuple(each), seconds[kind, phase])
            for (kind, phase), each in sorted(counts.items())
        ]

    def ends(self) -> list[JobEnds]:
        """Return how many jobs have ended in which state, as far as it was written."""
        rows = self._rows(JOB_ENDS)
        return sorted(JobEnds(row.kind, row.state, row.jobs, row.attempts) for row in rows)

    def _rows(self, table: Table) -> Iterable[Any]:
        with self._engine.connect() as connection:
            return connection.execute(select(table)).all()


def _write(connection: Connection, table: Table, sums: _Sums) -> None:
    """Add numbers to the rows of a table; a row is made if there is none."""
    key = [column.name for column in table.primary_key]
    count, amount = (column for column in table.c if not column.primary_key)
    insert: Any = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    # In one order everywhere, so that no two processes wait for each other.
    for at in sorted(sums, key=str):
        more = {count.name: sums[at][0], amount.name: sums[at][1]}
        values = dict(zip(key, at, strict=True)) | more
        change = {name: table.c[name] + value for name, value in more.items()}
        connection.execute(
            insert(table).values(**values).on_conflict_do_update(index_elements=key, set_=change)
        )
