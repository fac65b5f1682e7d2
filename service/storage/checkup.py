"""The check of a store: what is missing, orphaned or damaged, and its repair where possible.

Nothing is deleted that cannot be made again: unlisted kits are listed again, damaged files are set
aside. A kit's file is repaired from the lost and found or from a backup, if one there has its hash.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import time
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import Row, delete, func, select, update

from geometry.sentences import number_of
from service.storage.database_file import integrity_errors
from service.storage.found_files import FilesUnreachableError, FoundFile
from service.storage.good_copies import GoodCopies
from service.storage.kits import KITS_FOLDER, write_file_rows
from service.storage.notes import without_note
from service.storage.rebuild import NoKitError, Rebuilt, rebuilt
from service.storage.results import RESULTS
from service.storage.store import Store
from service.storage.sweep import in_steps, is_kit
from service.storage.tables import BATCHES, JOBS, KIT_FILES, KIT_TERMS, KITS, ORDERS, PINS

#: Younger files may belong to a request that is still being answered.
_YOUNG_S = 60.0
_STEP = 200
#: Errors of the database that are listed.
_MAX_ERRORS = 20
#: Names that not every version wrote as a row or as a file: the zip itself, and its description.
_UNLISTED = {"", "kit.json"}


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong.

    Args:
        kind: ``missing``, ``orphaned`` or ``damaged``.
        subject: what, for people.
        detail: what is wrong with it, or what was done.
        repaired: whether it is right now.
    """

    kind: str
    subject: str
    detail: str
    repaired: bool = False


class Checkup:
    """A check of a store, which may be in use.

    Args:
        store: the store.
        copies: where good copies of kits' files are looked for; ``None`` to repair nothing.
    """

    def __init__(self, store: Store, copies: GoodCopies | None = None) -> None:
        self._store = store
        self._copies = copies
        self.kits = 0

    def run(self) -> Iterator[Finding]:
        """Yield what is wrong, in the order: database, kits, rows without a kit, files."""
        yield from self._database()
        yield from self._kits()
        yield from self._rows()
        yield from self._results()
        yield from self._unlisted()

    def _database(self) -> Iterator[Finding]:
        engine = self._store.engine
        if engine.dialect.name != "sqlite":
            return
        for error in integrity_errors(engine, _MAX_ERRORS):
            yield Finding("damaged", "the database", f"{error}; restore a backup")

    def _kits(self) -> Iterator[Finding]:
        last = ""
        while rows := self._page(last):
            last = rows[-1].id
            for row in rows:
                self.kits += 1
                finding = self._kit(row)
                # It may have been deleted since its row was read.
                if finding is not None and self._store.kits.listed([row.id]):
                    yield finding

    def _page(self, last: str) -> list[Row[Any]]:
        files = (KIT_FILES.c.kit_id == KITS.c.id) & (KIT_FILES.c.name == "")
        query = (
            select(KITS.c.id, KITS.c.answer, KITS.c.sha256, KIT_FILES.c.sha256.label("archive"))
            .outerjoin(KIT_FILES, files)
            .where(KITS.c.id > last)
            .order_by(KITS.c.id)
            .limit(_STEP)
        )
        with self._store.engine.connect() as connection:
            return list(connection.execute(query))

    def _kit(self, row: Row[Any]) -> Finding | None:
        """Return the first thing that is wrong with a kit."""
        subject = f"kit {row.id}"
        try:
            stored = self._store.files.read(self._store.kits.name(row.id))
        except FileNotFoundError:
            return self._replace_file(row, "missing", "its file is missing")
        except FilesUnreachableError:
            raise
        except OSError as error:
            return Finding("damaged", subject, f"its file cannot be read: {error}")
        archive = without_note(stored)[0]
        if row.archive is not None and hashlib.sha256(archive).hexdigest() != row.archive:
            return self._replace_file(row, "damaged", "its file is not what was stored")
        # In a damaged database it may be of any type.
        answer = row.answer if isinstance(row.answer, bytes) else b""
        answer_changed = hashlib.sha256(answer).hexdigest() != row.sha256
        if not answer_changed and row.archive is not None and self._lists_files(row.id, archive):
            return None
        return self._rewrite_rows(row, stored, answer_changed=answer_changed)

    def _lists_files(self, kit_id: str, archive: bytes) -> bool:
        """Return whether the rows of a kit's files are those of its zip."""
        query = select(KIT_FILES.c.name).where(KIT_FILES.c.kit_id == kit_id)
        with self._store.engine.connect() as connection:
            rows = set(connection.execute(query).scalars())
        with zipfile.ZipFile(io.BytesIO(archive)) as inside:
            return rows - _UNLISTED == set(inside.namelist()) - _UNLISTED

    def _replace_file(self, row: Row[Any], kind: str, detail: str) -> Finding:
        found = None
        if self._copies is not None and row.archive is not None:
            found = self._copies.find(row.id, row.archive)
        if found is None:
            return Finding(kind, f"kit {row.id}", detail)
        name = self._store.kits.name(row.id)
        with contextlib.suppress(FileNotFoundError):
            self._store.lost_and_found.add(name)
        self._store.files.write(name, found.data)
        found.remove()
        return Finding(kind, f"kit {row.id}", f"{detail}; taken from {found.place}", repaired=True)

    def _rewrite_rows(self, row: Row[Any], stored: bytes, *, answer_changed: bool) -> Finding:
        """Rewrite a kit's rows from its file, as far as they are certain to be the same."""
        detail = (
            "its answer is not what was stored"
            if answer_changed
            else "the rows of its files are missing"
        )
        finding = Finding("damaged", f"kit {row.id}", detail)
        if self._copies is None:
            return finding
        made = _rebuilt(stored, row.id)
        if made is None or (answer_changed and not made.is_exact):
            return finding
        digest = hashlib.sha256(made.kit.answer).hexdigest()
        with self._store.engine.begin() as connection:
            if answer_changed:
                answer = update(KITS).where(KITS.c.id == row.id)
                connection.execute(answer.values(answer=made.kit.answer, sha256=digest))
            connection.execute(delete(KIT_FILES).where(KIT_FILES.c.kit_id == row.id))
            write_file_rows(connection, made.kit)
        return Finding("damaged", f"kit {row.id}", f"{detail}; made from its file", repaired=True)

    def _rows(self) -> Iterator[Finding]:
        """Yield rows that belong to nothing."""
        engine, repair = self._store.engine, self._copies is not None
        no_kit = [
            (table, ~select(KITS.c.id).where(KITS.c.id == table.c.kit_id).exists())
            for table in (KIT_FILES, KIT_TERMS, PINS)
        ]
        job = select(JOBS.c.id).where(JOBS.c.id == ORDERS.c.id).exists()
        batch = select(BATCHES.c.id).where(BATCHES.c.id == ORDERS.c.id).exists()
        for table, alone in (*no_kit, (ORDERS, ~job & ~batch)):
            with engine.begin() as connection:
                query = select(func.count()).select_from(table).where(alone)
                count = int(connection.execute(query).scalar_one())
                if count and repair:
                    connection.execute(delete(table).where(alone))
            if count:
                detail = "they belong to nothing that is listed" + ("; deleted" if repair else "")
                yield Finding(
                    "orphaned", f"{number_of(count, 'row')} of {table.name}", detail, repair
                )

    def _results(self) -> Iterator[Finding]:
        """Yield results of jobs that are not listed, and damaged ones; any can be made again."""
        files = self._store.files
        results = (each for each in files.list(RESULTS) if each.suffix == ".json")
        for step in in_steps(results):
            known = self._store.jobs.known([each.stem for each in step])
            for each in step:
                place = files.place(each.name)
                with contextlib.suppress(FileNotFoundError):
                    if each.stem not in known and self._is_old(each):
                        yield self._drop(Finding("orphaned", place, "no job lists it"), each)
                    elif each.stem in known and not _is_json(files.read(each.name)):
                        yield self._drop(Finding("damaged", place, "it is not JSON"), each)

    def _drop(self, finding: Finding, file: FoundFile) -> Finding:
        if self._copies is None:
            return finding
        self._store.files.delete(file.name)
        return Finding(finding.kind, finding.subject, f"{finding.detail}; deleted", repaired=True)

    def _unlisted(self) -> Iterator[Finding]:
        """Yield kit files that no row lists, also those that were set aside before."""
        store = self._store
        if self._copies is not None:
            # Deletions that were interrupted after their rows.
            while pending := store.kits.deletions(_STEP):
                for kit_id in pending:
                    store.kits.finish_deletion(kit_id)
        # What is set aside on the way is not looked at twice.
        aside = list(store.lost_and_found)
        for step in in_steps(store.files.list(KITS_FOLDER)):
            listed = store.kits.listed([each.stem for each in step if is_kit(each)])
            for each in step:
                if each.stem not in listed or not is_kit(each):
                    yield from self._orphan(each)
        for each in aside:
            yield from self._orphan(each)

    def _orphan(self, file: FoundFile) -> Iterator[Finding]:
        store, place = self._store, self._store.files.place(file.name)
        finding = Finding("orphaned", place, "no kit lists it")
        with contextlib.suppress(FileNotFoundError):
            if file.last.startswith(".") or not self._is_old(file):
                return
            if self._copies is None or store.kits.is_deletion_pending(file.stem):
                yield finding
                return
            data = store.files.read(file.name)
            made = _rebuilt(data, file.stem, int(file.modified_s * 1e6))
            if made is not None and not store.kits.listed([made.kit.row.id]):
                store.kits.take_back(made.kit)
                if file.name != store.kits.name(made.kit.row.id):
                    store.files.delete(file.name)
                detail = f"listed again as kit {made.kit.row.id}"
                yield Finding("orphaned", place, detail, repaired=True)
                return
            if not store.lost_and_found.holds(file.name):
                target = store.files.place(store.lost_and_found.add(file.name))
                finding = Finding("orphaned", target, "no kit lists it; set aside")
            yield finding

    def _is_old(self, file: FoundFile) -> bool:
        return time.time() - file.modified_s >= _YOUNG_S


def _rebuilt(data: bytes, name: str, modified_us: int | None = None) -> Rebuilt | None:
    try:
        return rebuilt(data, name, modified_us)
    except NoKitError:
        return None


def _is_json(data: bytes) -> bool:
    try:
        orjson.loads(data)
    except orjson.JSONDecodeError:
        return False
    return True
