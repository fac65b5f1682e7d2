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
from pathlib import Path
from typing import Any

import orjson
from sqlalchemy import Row, delete, func, select, update

from service.storage.archives import write_whole
from service.storage.database_file import integrity_errors
from service.storage.good_copies import GoodCopies
from service.storage.kits import write_file_rows
from service.storage.notes import without_note
from service.storage.rebuild import NoKitError, Rebuilt, rebuilt
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
        subject, path = f"kit {row.id}", self._store.kits.path(row.id)
        try:
            stored = path.read_bytes()
        except FileNotFoundError:
            return self._replace_file(row, "missing", "its file is missing")
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
        path = self._store.kits.path(row.id)
        with contextlib.suppress(FileNotFoundError):
            self._store.lost_and_found.add(path)
        write_whole(path, found.data)
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
                yield Finding("orphaned", f"{count} rows of {table.name}", detail, repair)

    def _results(self) -> Iterator[Finding]:
        """Yield results of jobs that are not listed, and damaged ones; any can be made again."""
        folder = self._store.results.folder
        for paths in in_steps(sorted(folder.glob("*/*.json"))):
            known = self._store.jobs.known([path.stem for path in paths])
            for path in paths:
                with contextlib.suppress(FileNotFoundError):
                    if path.stem not in known and self._is_old(path):
                        yield self._drop(Finding("orphaned", str(path), "no job lists it"), path)
                    elif path.stem in known and not _is_json(path.read_bytes()):
                        yield self._drop(Finding("damaged", str(path), "it is not JSON"), path)

    def _drop(self, finding: Finding, path: Path) -> Finding:
        if self._copies is None:
            return finding
        path.unlink(missing_ok=True)
        return Finding(finding.kind, finding.subject, f"{finding.detail}; deleted", repaired=True)

    def _unlisted(self) -> Iterator[Finding]:
        """Yield kit files that no row lists, also those that were set aside before."""
        store = self._store
        if self._copies is not None:
            # Deletions that were interrupted after their rows.
            while pending := store.kits.deletions(_STEP):
                for kit_id in pending:
                    store.kits.finish_deletion(kit_id)
        for paths in in_steps(sorted(store.kits.folder.glob("*/*"))):
            listed = store.kits.listed([path.stem for path in paths if is_kit(path)])
            for path in paths:
                if path.stem not in listed or not is_kit(path):
                    yield from self._orphan(path)
        for path in sorted(store.lost_and_found):
            yield from self._orphan(path)

    def _orphan(self, path: Path) -> Iterator[Finding]:
        store, finding = self._store, Finding("orphaned", str(path), "no kit lists it")
        with contextlib.suppress(FileNotFoundError):
            if path.name.startswith(".") or not self._is_old(path):
                return
            if self._copies is None or store.kits.is_deletion_pending(path.stem):
                yield finding
                return
            data = path.read_bytes()
            made = _rebuilt(data, path.stem, path.stat().st_mtime_ns // 1000)
            if made is not None and not store.kits.listed([made.kit.row.id]):
                store.kits.take_back(made.kit)
                if path != store.kits.path(made.kit.row.id):
                    path.unlink()
                detail = f"listed again as kit {made.kit.row.id}"
                yield Finding("orphaned", str(path), detail, repaired=True)
                return
            if path.parent != store.lost_and_found.folder:
                target = store.lost_and_found.add(path)
                finding = Finding("orphaned", str(target), "no kit lists it; set aside")
            yield finding

    def _is_old(self, path: Path) -> bool:
        return time.time() - path.stat().st_mtime >= _YOUNG_S


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
