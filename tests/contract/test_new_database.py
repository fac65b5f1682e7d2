"""A new database is made by a script, which leaves the same behind as all migrations."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, create_engine, inspect, select, table, text

from service.storage.migrations import migrate, new_database, upgrade

ROOT = Path(__file__).resolve().parents[2]
_SCRIPT = Path(new_database.__file__).with_suffix(".sql")


def _described(connection: Connection) -> dict[str, Any]:
    """Return all that SQLite and SQLAlchemy know of a database, and its rows."""
    looked = inspect(connection)
    names = sorted(looked.get_table_names())
    pragmas = ("table_xinfo", "index_list", "foreign_key_list")
    return {
        "statements": [" ".join(each.split()) for each in new_database.statements_of(connection)],
        "columns": {name: repr(looked.get_columns(name)) for name in names},
        "keys": {name: repr(looked.get_pk_constraint(name)) for name in names},
        "unique": {name: repr(looked.get_unique_constraints(name)) for name in names},
        "checks": {name: repr(looked.get_check_constraints(name)) for name in names},
        "pragmas": {
            (name, pragma): connection.execute(text(f"PRAGMA {pragma}('{name}')")).all()
            for name in names
            for pragma in pragmas
        },
        "rows": {
            name: connection.execute(select(text("*")).select_from(table(name))).all()
            for name in names
        },
        "version": connection.execute(text("PRAGMA user_version")).scalar_one(),
    }


def test_the_script_makes_what_the_migrations_make() -> None:
    by_script, by_migrations = create_engine("sqlite://"), create_engine("sqlite://")
    migrate(by_script)
    with by_migrations.begin() as connection:
        upgrade(connection)
        expected = _described(connection)
    with by_script.connect() as connection:
        assert _described(connection) == expected
    assert len(expected["columns"]) > 10


def test_the_script_is_the_one_that_the_command_prints(capsys: pytest.CaptureFixture[str]) -> None:
    new_database.main()
    command = "python -m service.storage.migrations.new_database"
    assert capsys.readouterr().out == _SCRIPT.read_text(), f"Write it again: {command}"


def test_a_new_store_needs_no_alembic(tmp_path: Path) -> None:
    script = (
        "import sys\nfrom pathlib import Path\nfrom service.settings import Settings\n"
        "from service.storage.store import Store\n"
        "Store(Settings(data=Path(sys.argv[1]))).close()\nprint('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path)], cwd=ROOT, check=True, capture_output=True,
        text=True, timeout=600,
    )  # fmt: skip
    assert done.stdout == "False\n"


@pytest.mark.parametrize("statement", ["CREATE TABLE notes (text)", "CREATE VIEW one AS SELECT 1"])
def test_a_database_that_holds_anything_is_migrated(
    monkeypatch: pytest.MonkeyPatch, statement: str
) -> None:
    engine = create_engine("sqlite://")
    with engine.begin() as connection:
        connection.execute(text(statement))
    monkeypatch.setattr(new_database, "make", None)
    migrate(engine)
    assert {"kits", "jobs"} <= set(inspect(engine).get_table_names())
