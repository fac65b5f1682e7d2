"""The store's id: data folder and database must hold the same one to be opened."""

from __future__ import annotations

import contextlib
import itertools
import uuid
from collections.abc import Iterator

from sqlalchemy import Engine, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.storage.files import Files
from service.storage.found_files import FoundFile
from service.storage.kits import KITS_FOLDER, Kits
from service.storage.tables import KITS, STORE

NAME = "identity"
#: Number of kits to compare when one side has no id, as in stores older than the ids.
_SAMPLE = 100


class WrongStoreError(OSError):
    """The data folder and the database do not belong together."""


class Identity:
    """The id of a store.

    Args:
        engine: reaches the database.
        files: the data folder, or the object store.
        kits: the kits of both.
    """

    def __init__(self, engine: Engine, files: Files, kits: Kits) -> None:
        self._engine = engine
        self._files = files
        self._kits = kits

    def check(self) -> str:
        """Return the store's id; the first process creates it.

        Raises:
            WrongStoreError: when the two do not belong together; nothing is changed.
            OSError: when the id cannot be written.
        """
        ours, theirs = self._of_folder(), self._of_database()
        if ours and theirs and ours != theirs:
            raise self._refusal(f"The folder is of store {ours}, the database of store {theirs}.")
        if not theirs:
            self._check_unmarked_database(ours)
            theirs = self._mark_database(ours or str(uuid.uuid4()))
        if not ours:
            self._check_unmarked_folder()
            self._files.write(NAME, f"{theirs}\n".encode())
        return theirs

    def _of_folder(self) -> str:
        try:
            return self._files.read(NAME).decode("ascii").strip()
        except FileNotFoundError:
            return ""

    def _of_database(self) -> str:
        with self._engine.connect() as connection:
            row = connection.execute(select(STORE)).first()
        if row is None:
            return ""
        if row.moved_us is not None:
            raise WrongStoreError(
                f"All of {self._database} was moved to another database, which is now in use: set "
                "QUARTERSEAM_DATABASE to that one. See openapi/OPERATIONS.md."
            )
        return str(row.id)

    def _mark_database(self, store_id: str) -> str:
        """Write the id unless another process was faster; return the id that is stored."""
        with contextlib.suppress(IntegrityError), self._engine.begin() as connection:
            connection.execute(insert(STORE).values(number=1, id=store_id))
        with self._engine.connect() as connection:
            return str(connection.execute(select(STORE.c.id)).scalar_one())

    def _check_unmarked_database(self, ours: str) -> None:
        """Raise an error for a database without an id when the folder belongs to another one."""
        files = self._sample_files()
        if (not ours and not files) or self._kits.listed(files) or self._has_file_of_a_row():
            return
        if ours and not files and not self._has_rows():
            # Both are empty: the database was created again before its first kit.
            return
        raise self._refusal("The folder holds kits, and this database lists none of them.")

    def _check_unmarked_folder(self) -> None:
        """Raise an error for a folder without an id when the database belongs to another one."""
        if self._has_rows() and not self._has_file_of_a_row():
            raise self._refusal("The database lists kits, and this folder holds none of them.")

    def _sample_files(self) -> list[str]:
        return [found.stem for found in itertools.islice(self._zips(), _SAMPLE)]

    def _zips(self) -> Iterator[FoundFile]:
        return (each for each in self._files.list(KITS_FOLDER) if each.suffix == ".zip")

    def _has_rows(self) -> bool:
        with self._engine.connect() as connection:
            return connection.execute(select(KITS.c.id).limit(1)).first() is not None

    def _has_file_of_a_row(self) -> bool:
        newest = [row.id for row in self._kits.page(_SAMPLE)]
        return any(self._files.exists(self._kits.name(kit_id)) for kit_id in newest)

    @property
    def _database(self) -> str:
        return self._engine.url.render_as_string(hide_password=True)

    def _refusal(self, why: str) -> WrongStoreError:
        return WrongStoreError(
            f"The files in {self._files.place('')} and the database {self._database} do not belong "
            f"together. {why} Nothing was changed. Set QUARTERSEAM_DATA and QUARTERSEAM_DATABASE "
            "to a folder and a database of one store. To move one from one machine to several, "
            "run: python -m service move. If the database is lost, start with a new data folder "
            "and take the kits back from the old one: python -m service import OLD_FOLDER. See "
            "openapi/OPERATIONS.md."
        )


def mark_moved(engine: Engine, now_us: int) -> None:
    """Mark a database as copied to another, so that nothing more is written to it."""
    with engine.begin() as connection:
        connection.execute(update(STORE).values(moved_us=now_us))
