"""Saved kits: a row and a zip for each; the zip holds every file."""

from __future__ import annotations

import contextlib
import hashlib
import zipfile
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from sqlalchemy import Connection, Engine, delete, insert, select

from service.storage.files import Files
from service.storage.found_files import FilesUnreachableError
from service.storage.kit_lists import KitSearch, ListedKit, listed_kits, reads_by_term
from service.storage.kit_rows import NewKit, StoredAnswer, StoredFile
from service.storage.notes import Note, parts_without_note, with_note, without_note
from service.storage.room import Room
from service.storage.tables import DELETIONS, KIT_FILES, KIT_TERMS, KITS, PINS

KITS_FOLDER = "kits"
#: A search that every kit fits.
_ALL = KitSearch()


class ChecksumMismatchError(Exception):
    """A stored file does not match its checksum."""


class Kits:
    """The table of kits and the folder of their zips.

    Args:
        engine: reaches the database.
        files: where the zips are.
        room: of the data folder's volume.
    """

    def __init__(self, engine: Engine, files: Files, room: Room) -> None:
        self._engine = engine
        self._files = files
        self._room = room

    def name(self, kit_id: str) -> str:
        """Return the name of a kit's zip; ``kit_id`` comes from the database or was made by us."""
        return f"{KITS_FOLDER}/{kit_id[:2]}/{kit_id}.zip"

    def save(
        self, kit: NewKit, *, also: Callable[[Connection], None] | None = None, again: bool = False
    ) -> bytes:
        """Save a kit and return its zip.

        Args:
            kit: what is saved.
            also: writes in the same transaction; when it raises an error, the kit is not added.
            again: whether another may be saving this very kit; its file is touched only once
                ``also`` has passed then, and left alone whatever happens.

        The zip comes first and the rows last, so that whatever is listed is whole.

        Raises:
            OSError: when the disk is full; nothing is left then.
            sqlalchemy.exc.SQLAlchemyError: when the database does not answer; likewise.
        """
        archive = kit.archive.data
        self._room.check(len(archive))
        name, kept = self.name(kit.row.id), with_note(archive, _note(kit))
        if not again:
            self._files.write(name, kept)
        try:
            with self._engine.begin() as connection:
                if also is not None:
                    also(connection)
                if again:
                    # Only the process that may add the kit touches its file.
                    self._files.write(name, kept)
                _insert(connection, kit)
        except BaseException:
            # A sweep sets it aside later if it never gets listed.
            if not again:
                with contextlib.suppress(OSError):
                    self._files.delete(name)
            raise
        return archive

    def take_back(self, kit: NewKit) -> None:
        """Add the rows of a kit whose zip is already in place; leave the zip as it is.

        Raises:
            OSError: when the disk is full.
            sqlalchemy.exc.SQLAlchemyError: when the database does not answer, or lists it already.
        """
        self._room.check(len(kit.archive.data))
        self._files.write(self.name(kit.row.id), with_note(kit.archive.data, _note(kit)))
        with self._engine.begin() as connection:
            connection.execute(delete(DELETIONS).where(DELETIONS.c.kit_id == kit.row.id))
            _insert(connection, kit)

    def answer(self, kit_id: str) -> StoredAnswer | None:
        """Return a kit's answer, or ``None``."""
        query = select(KITS.c.answer, KITS.c.sha256).where(KITS.c.id == kit_id)
        with self._engine.connect() as connection:
            row = connection.execute(query).first()
        return None if row is None else StoredAnswer(row.answer, row.sha256)

    def number(self, kit_id: str) -> str:
        """Return a kit's number; empty when it is not listed."""
        query = select(KITS.c.number).where(KITS.c.id == kit_id)
        with self._engine.connect() as connection:
            return connection.execute(query).scalar() or ""

    def archive(self, kit_id: str) -> StoredFile | None:
        """Return a kit's zip, or ``None``.

        Raises:
            ChecksumMismatchError: when it is not what was stored.
        """
        return self._stored(kit_id, "")

    def file(self, kit_id: str, name: str) -> StoredFile | None:
        """Return one file of a kit, or ``None``.

        Raises:
            ChecksumMismatchError: when it is not what was stored.
        """
        return self._stored(kit_id, name) if name else None

    def has_file(self, kit_id: str, name: str) -> bool:
        """Return whether a kit has a file with a name."""
        wanted = (KIT_FILES.c.kit_id == kit_id) & (KIT_FILES.c.name == name)
        with self._engine.connect() as connection:
            return (
                bool(name)
                and connection.execute(select(KIT_FILES).where(wanted)).first() is not None
            )

    def _stored(self, kit_id: str, name: str) -> StoredFile | None:
        wanted = (KIT_FILES.c.kit_id == kit_id) & (KIT_FILES.c.name == name)
        with self._engine.connect() as connection:
            row = connection.execute(select(KIT_FILES).where(wanted)).first()
        if row is None:
            return None
        try:
            data = self._member(kit_id, row.name) if row.name else self.read(kit_id)
        except FileNotFoundError:
            # Deleted between the two reads, or by hand.
            if self.answer(kit_id) is None:
                return None
            raise ChecksumMismatchError(f"the zip of kit {kit_id} is gone") from None
        except (KeyError, zipfile.BadZipFile) as error:
            raise ChecksumMismatchError(f"the zip of kit {kit_id} is damaged: {error}") from None
        if hashlib.sha256(data).hexdigest() != row.sha256:
            raise ChecksumMismatchError(
                f"{row.name or 'the zip'} of kit {kit_id} has changed where it is stored"
            )
        return StoredFile(row.name, row.media_type, data, row.sha256)

    def _member(self, kit_id: str, name: str) -> bytes:
        """Return one file of a kit's zip."""
        with self._files.open(self.name(kit_id)) as file, zipfile.ZipFile(file) as archive:
            return archive.read(name)

    def read(self, kit_id: str) -> bytes:
        """Return a kit's zip as it is sent, unchecked.

        Raises:
            OSError: when it cannot be read; FileNotFoundError when it is not there.
        """
        return without_note(self._files.read(self.name(kit_id)))[0]

    def parts(self, kit_id: str, chunk: int) -> Iterator[bytes]:
        """Yield a kit's zip as it is sent, unchecked, in parts.

        Raises:
            OSError: when it cannot be read; FileNotFoundError, before any part, when it is not
                there.
        """
        with self._files.open(self.name(kit_id)) as file:
            yield from parts_without_note(file, chunk)

    def archive_sha256(self, kit_id: str) -> str | None:
        """Return the hash of a kit's zip as it is sent, or ``None`` when it is not listed."""
        wanted = (KIT_FILES.c.kit_id == kit_id) & (KIT_FILES.c.name == "")
        with self._engine.connect() as connection:
            return connection.execute(select(KIT_FILES.c.sha256).where(wanted)).scalar()

    def listed(self, kit_ids: Sequence[str]) -> set[str]:
        """Return which of these kits are listed; pass a few hundred ids at most."""
        query = select(KITS.c.id).where(KITS.c.id.in_(kit_ids))
        with self._engine.connect() as connection:
            return set(connection.execute(query).scalars())

    def page(
        self,
        count: int,
        *,
        after: tuple[int, str] | None = None,
        search: KitSearch = _ALL,
    ) -> Sequence[ListedKit]:
        """Return up to ``count`` kits, newest first, from behind ``after`` (time and id)."""
        with self._engine.connect() as connection:
            by_term = reads_by_term(connection, search)
            found = connection.execute(listed_kits(count, after, search, by_term=by_term))
            return [ListedKit(*row) for row in found]

    def delete(self, kit_id: str) -> bool:
        """Delete a kit and its files; return whether there was one."""
        with self._engine.begin() as connection:
            gone = delete_rows(connection, kit_id)
            if gone:
                # If this process dies now, a sweep deletes the file later.
                connection.execute(insert(DELETIONS).values(kit_id=kit_id))
        if gone:
            with contextlib.suppress(FilesUnreachableError):
                self.finish_deletion(kit_id)
        return gone

    def deletions(self, count: int) -> list[str]:
        """Return up to ``count`` kits whose rows were deleted and whose files may remain."""
        query = select(DELETIONS.c.kit_id).limit(count)
        with self._engine.connect() as connection:
            return list(connection.execute(query).scalars())

    def is_deletion_pending(self, kit_id: str) -> bool:
        """Return whether a kit's rows were deleted and its file may remain."""
        query = select(DELETIONS.c.kit_id).where(DELETIONS.c.kit_id == kit_id)
        with self._engine.connect() as connection:
            return connection.execute(query).first() is not None

    def finish_deletion(self, kit_id: str) -> None:
        """Delete the file of a kit whose row was deleted, then the record of its deletion.

        Raises:
            OSError: when it cannot be deleted; a sweep tries again.
        """
        self._files.delete(self.name(kit_id))
        with self._engine.begin() as connection:
            connection.execute(delete(DELETIONS).where(DELETIONS.c.kit_id == kit_id))


def _note(kit: NewKit) -> Note:
    answer_sha256 = hashlib.sha256(kit.answer).hexdigest()
    row = kit.row
    return Note(row.id, row.created_us, row.recut_of, answer_sha256, row.key_id)


def _insert(connection: Connection, kit: NewKit) -> None:
    """Write the rows of a kit and its files."""
    digest = hashlib.sha256(kit.answer).hexdigest()
    folded = kit.row.title.casefold()
    row = {**vars(kit.row), "title_folded": folded, "answer": kit.answer, "sha256": digest}
    connection.execute(insert(KITS).values(**row))
    if kit.terms:
        which = {"kit_id": kit.row.id, "created_us": kit.row.created_us}
        terms = [{**which, "term": term, "value": value} for term, value in kit.terms]
        connection.execute(insert(KIT_TERMS), terms)
    write_file_rows(connection, kit)


def write_file_rows(connection: Connection, kit: NewKit) -> None:
    """Write the rows of a kit's files and of its zip."""
    rows = [
        _file_row(kit.row.id, name, kit.media_types[name], *each)
        for name, each in sorted(kit.archive.files.items())
    ]
    whole = ("", "application/zip", len(kit.archive.data), kit.archive.sha256)
    rows.append(_file_row(kit.row.id, *whole))
    connection.execute(insert(KIT_FILES), rows)


def delete_rows(connection: Connection, kit_id: str) -> bool:
    """Delete all rows of a kit; return whether there was one."""
    gone = connection.execute(delete(KITS).where(KITS.c.id == kit_id)).rowcount == 1
    if gone:
        connection.execute(delete(KIT_FILES).where(KIT_FILES.c.kit_id == kit_id))
        connection.execute(delete(KIT_TERMS).where(KIT_TERMS.c.kit_id == kit_id))
        connection.execute(delete(PINS).where(PINS.c.kit_id == kit_id))
    return gone


def _file_row(kit_id: str, name: str, media_type: str, size: int, sha256: str) -> dict[str, Any]:
    return {
        "kit_id": kit_id,
        "name": name,
        "media_type": media_type,
        "bytes": size,
        "sha256": sha256,
    }
